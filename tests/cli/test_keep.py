"""The keeper on the command line: its rehearsal, and what it refuses. (It runs in tests/keeper.)"""
# ruff: noqa: E501  (a case to a line)

import pytest
from command_line import HOME, ok, refused, run, write_home
from site_texts import table

DAYS = ("--from", "2026-06-01", "--to", "2026-06-14")


def away(do):
    return table("exception", name="x", dates=["2026-06-05", "2026-06-07"], do=do)


GLARE = {"need": {"for": ["glare"], "glare": {"spots": ["desk"]}}}


@pytest.mark.parametrize(
    "text",
    [
        HOME,
        HOME + table("supply", name="s", shades=["kitchen roller", "study"], gap=30),
        HOME + away("up"),
        HOME + away("down"),
        HOME + table("shade", name="study roller", windows=["study"], travel=60, **GLARE),
    ],
    ids=["plain", "supply", "up", "down", "glare"],
)
def test_without_events_it_orders_the_plans_moves(tmp_path, text):
    path = write_home(tmp_path, text)
    said = ok("keep", path, "--rehearse", *DAYS)
    assert list(said.rows[0]) == ["time", "shade", "position", "direction", "seconds", "reason"]
    rows = run("plan", path, *DAYS, "--csv", "-").rows
    moves = [(row["close"], row["shade"], row.get("position", "100")) for row in rows]
    moves += [(row["open"], row["shade"], "0") for row in rows]
    given = sorted((row["time"], row["shade"], row["position"]) for row in said.rows)
    assert given == sorted(moves)
    assert len(given) > 20
    kitchen = [row for row in said.rows if row["shade"] == "kitchen roller"]
    assert {(row["position"], row["direction"], row["seconds"]) for row in kitchen} == {
        ("100", "down", "75"),
        ("0", "up", "75"),
    }


def rehearsed(home, text):
    events = home.with_name("events.csv")
    events.write_text(text)
    return run("keep", home, "--rehearse", *DAYS, "--events", events)


def test_messages_play_their_part(home):
    """A hold over a day, and nonsense."""
    said = rehearsed(
        home,
        "time,topic,payload\n"
        '2026-06-03T03:00,larkspur-lane/hold,"{""until"": ""2026-06-04T03:00""}"\n'
        "2026-06-05T00:00,larkspur-lane/hold,nonsense\n",
    )
    assert "passed over" in said.err
    plain = run("keep", home, "--rehearse", *DAYS).rows
    times = [row["time"] for row in plain if row["shade"] == "study"]
    held = [row["time"] for row in said.rows if row["shade"] == "study"]
    assert held == [time for time in times if not time.startswith("2026-06-03")]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("time,topic\n", "payload is missing"),
        ("time,topic,payload\nnoon,a,1\n2026-06-01T10:00,,1\n", "noon"),
    ],
)
def test_faults_of_the_events_are_told_with_their_lines(home, text, words):
    said = rehearsed(home, text)
    assert said.status == 2
    assert words in said.err
    assert "events.csv:" in said.err


@pytest.mark.parametrize(
    ("args", "words"),
    [
        ("--rehearse --state x", "--state"),
        ("--from 2026-06-01", "--rehearse"),
        ("--token-file x", "--serve"),
        ("", "there is no [keeper]"),
    ],
)
def test_what_does_not_go_together_is_refused(home, args, words):
    said = refused("keep", home, *args.split())
    assert words in said.err
    assert len(said.faults) == 1
    assert list(home.parent.iterdir()) == [home]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('broker = "http://x"', "is no broker"),
        ('broker = "mqtt://me:word@x"', "no name and password belong here"),
        ('topic = "a/#"', "is no topic"),
        ('brokr = "x"', "did you mean `broker`?"),
        ('[keeper.sunny]\nsensor = "roof"\nabove = 1', 'no sensor is named "roof"'),
        ('[keeper.wind]\nsensor = "a"\nabove = 1\nfor = "15"', "is not a time with its unit"),
        ('[[sensor]]\nname = "a"\ntopic = "t"\nmeasures = "light"\n[keeper.wind]\nsensor = "a"\nabove = 1', "measures light"),
        ('[[shade]]\nname = "Study!"\nwindows = ["study"]\n[[shade]]\nname = "study?"\nwindows = ["kitchen"]', 'the topic "study"'),
    ],
)  # fmt: skip
def test_faults_of_the_keepers_tables_have_their_remedy(tmp_path, text, words):
    said = refused("check", write_home(tmp_path, f"{HOME}[keeper]\n{text}\n"))
    assert words in said.err


@pytest.mark.parametrize(
    ("shade", "words"),
    [
        ("", "add it, with broker = "),
        ('[[shade]]\nname = "b"\nwindows = ["study"]\nprogram = ["true"]\n', "add it, that line alone"),
    ],
    ids=["some without a program", "each with one"],
)  # fmt: skip
def test_what_a_keeper_that_is_not_there_needs_hangs_on_the_programs(tmp_path, shade, words):
    text = HOME.replace("travel = 75", 'travel = 75\nprogram = ["true"]') + shade
    assert words in refused("keep", write_home(tmp_path, text)).err


def test_a_shade_needs_a_broker_or_a_program(tmp_path):
    text = HOME.replace("travel = 75", 'travel = 75\nprogram = ["true", "{shade}"]')
    said = refused("keep", write_home(tmp_path, f"{text}[keeper]\n"))
    assert 'shade "study"' in said.err
    assert 'shade "kitchen roller"' not in said.err
    said = run("check", write_home(tmp_path, text.replace("{shade}", "{name}")))
    assert "there are {shade}, {direction}, {seconds}, {position}" in said.err
