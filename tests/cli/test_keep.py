"""The keeper on the command line: its rehearsal, and what it refuses. (It runs in tests/keeper.)"""

from __future__ import annotations

from pathlib import Path

import pytest
from command_line import HOME, run, write_home

KEEPER = '[keeper]\nbroker = "mqtt://127.0.0.1:1"\n'
DAYS = ("--from", "2026-06-01", "--to", "2026-06-14")


def moves(path: Path) -> list[tuple[str, str, str]]:
    """The moves of the plan for these days: instant, shade, position."""
    rows = run("plan", path, *DAYS, "--csv", "-").rows
    found = [(row["close"], row["shade"], row.get("position", "100")) for row in rows]
    return sorted([*found, *((row["open"], row["shade"], "0") for row in rows)])


@pytest.mark.parametrize(
    "more",
    [
        "",
        '[[supply]]\nname = "s"\nshades = ["kitchen roller", "study"]\ngap = 30\n',
        '[[exception]]\nname = "x"\ndates = ["2026-06-05", "2026-06-07"]\ndo = "up"\n',
        '[[exception]]\nname = "x"\ndates = ["2026-06-05", "2026-06-07"]\ndo = "down"\n',
        '[shade.need]\nfor = ["glare"]\n[shade.need.glare]\nspots = ["desk"]\n',
    ],
    ids=["plain", "supply", "up", "down", "glare"],
)
def test_without_events_it_orders_the_plans_moves(tmp_path: Path, more: str) -> None:
    text = HOME.replace("[[spot]]", f"{more if '[shade' in more else ''}\n[[spot]]")
    text = text.replace('windows = ["kitchen"]', 'windows = ["kitchen", "study"]', "glare" in more)
    path = write_home(tmp_path, text + ("" if "[shade" in more else more))
    said = run("keep", path, "--rehearse", *DAYS)
    assert said.status == 0
    given = sorted((row["time"], row["shade"], row["position"]) for row in said.rows)
    assert given == moves(path)
    assert len(given) > 20


def test_its_rows_say_which_way_and_how_long(tmp_path: Path) -> None:
    rows = run("keep", write_home(tmp_path), "--rehearse", *DAYS).rows
    assert list(rows[0]) == ["time", "shade", "position", "direction", "seconds", "reason"]
    kitchen = [row for row in rows if row["shade"] == "kitchen roller"]
    assert {(row["position"], row["direction"], row["seconds"]) for row in kitchen} == {
        ("100", "down", "75"),
        ("0", "up", "75"),
    }


def test_messages_play_their_part(tmp_path: Path) -> None:
    """A hold over a day, and a hand: the plan leaves the shade alone until its next move."""
    path = write_home(tmp_path)
    plain = run("keep", path, "--rehearse", *DAYS).rows
    events = tmp_path / "events.csv"
    events.write_text(
        "time,topic,payload\n"
        '2026-06-03T03:00,larkspur-lane/hold,"{""until"": ""2026-06-04T03:00""}"\n'
        "2026-06-05T00:00,larkspur-lane/hold,nonsense\n"
    )
    said = run("keep", path, "--rehearse", *DAYS, "--events", events)
    assert "passed over" in said.err
    held = [row for row in plain if not row["time"].startswith("2026-06-03")]
    assert [row["time"] for row in said.rows if row["shade"] == "study"] == [
        row["time"] for row in held if row["shade"] == "study"
    ]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("time,topic\n", "payload is missing"),
        ("time,topic,payload\nnoon,a,1\n2026-06-01T10:00,,1\n", "noon"),
    ],
)
def test_faults_of_the_events_are_told_with_their_lines(
    tmp_path: Path, text: str, words: str
) -> None:
    events = tmp_path / "events.csv"
    events.write_text(text)
    said = run("keep", write_home(tmp_path), "--rehearse", *DAYS, "--events", events)
    assert said.status == 2
    assert words in said.err
    assert "events.csv:" in said.err


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (("--rehearse", "--state", "x"), "--state"),
        (("--from", "2026-06-01"), "--rehearse"),
        (("--token-file", "x"), "--serve"),
        ((), "there is no [keeper]"),
    ],
)
def test_what_does_not_go_together_is_refused(
    tmp_path: Path, args: tuple[str, ...], words: str
) -> None:
    said = run("keep", write_home(tmp_path), *args)
    assert said.status == 2
    assert words in said.err
    assert len(said.faults) == 1
    assert [path.name for path in tmp_path.iterdir()] == ["home.toml"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('[keeper]\nbroker = "http://x"\n', "is no broker"),
        ('[keeper]\nbroker = "mqtt://me:word@x"\n', "no name and password belong here"),
        ('[keeper]\ntopic = "a/#"\n', "is no topic"),
        ('[keeper]\n[keeper.sunny]\nsensor = "roof"\nabove = 1\n', 'no sensor is named "roof"'),
        (
            '[keeper]\n[keeper.wind]\nsensor = "a"\nabove = 1\nfor = "15"\n',
            "is not a time with its unit",
        ),
        (
            '[keeper]\n[[sensor]]\nname = "a"\ntopic = "t"\nmeasures = "light"\n'
            '[keeper.wind]\nsensor = "a"\nabove = 1\n',
            "measures light",
        ),
        ('[keeper]\n[[shade]]\nname = "Study!"\nwindows = ["study"]\n'
         '[[shade]]\nname = "study?"\nwindows = ["kitchen"]\n', 'the topic "study"'),
        ('[keeper]\nbrokr = "x"\n', "did you mean `broker`?"),
    ],
)  # fmt: skip
def test_faults_of_the_keepers_tables_have_their_remedy(
    tmp_path: Path, text: str, words: str
) -> None:
    said = run("check", write_home(tmp_path, HOME + text))
    assert said.status == 2
    assert words in said.err


def test_a_shade_needs_a_broker_or_a_program(tmp_path: Path) -> None:
    text = HOME.replace("travel = 75", 'travel = 75\nprogram = ["true", "{shade}"]')
    said = run("keep", write_home(tmp_path, f"{text}[keeper]\n"))
    assert said.status == 2
    assert 'shade "study"' in said.err
    assert 'shade "kitchen roller"' not in said.err


def test_a_programs_braces_stand_for_something(tmp_path: Path) -> None:
    text = HOME.replace("travel = 75", 'travel = 75\nprogram = ["relay", "{name}"]')
    said = run("check", write_home(tmp_path, text))
    assert "there are {shade}, {direction}, {seconds}, {position}" in said.err
