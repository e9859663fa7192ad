"""`suncover plan` for timers and round times: every plan still keeps what the site asks for."""

from __future__ import annotations

from pathlib import Path

import pytest
from command_line import run, write_home

JUNE = ("--from", "2027-06-01", "--to", "2027-06-30")


@pytest.mark.parametrize(
    "options",
    [
        ("--round", "5min"),
        ("--every", "day"),
        ("--every", "week"),
        ("--every", "month", "--round", "15min"),
        ("--every", "week", "--timer-ignores-dst"),
    ],
    ids=" ".join,
)
def test_the_audit_passes_it(options: tuple[str, ...], tmp_path: Path) -> None:
    home, file = write_home(tmp_path), tmp_path / "plan.csv"
    said = run("plan", home, *JUNE, *options, "--csv", file)
    assert said.status == 0
    assert ("costs against the daily plan" in said.out) == ("--every" in options)
    assert run("audit", home, file).status == 0


TWINS = """
[site]
name = "Larkspur Lane"
latitude = 36.1
longitude = -79.95
timezone = "America/New_York"
""" + "".join(
    f'''
[[window]]
name = "{name}"
azimuth = {azimuth}
width = 1
height = 1
[[shade]]
name = "{name} roller"
windows = ["{name}"]
travel = 40
quiet = ["21:00", "07:30"]
'''
    for name, azimuth in {"den": 95, "hall": 95, "attic": 180, "porch": 181}.items()
)
BOX = """
[[supply]]
name = "box"
shades = ["den roller", "hall roller", "attic roller", "porch roller"]
gap = 5
"""


@pytest.mark.parametrize("minutes", [5, 15, 60])
def test_round_times_are_spread_over_a_supply(minutes: int, tmp_path: Path) -> None:
    home, alone = tmp_path / "home.toml", tmp_path / "alone.toml"
    home.write_text(TWINS + BOX)
    alone.write_text(TWINS)
    spread, together = tmp_path / "spread.csv", tmp_path / "together.csv"
    options = (*JUNE, "--round", f"{minutes}min", "--csv")
    assert run("plan", home, *options, spread).status == 0
    assert run("audit", home, spread).status == 0
    # Without the supply they would all start at once.
    assert run("plan", alone, *options, together).status == 0
    said = run("audit", home, together)
    assert said.status == 1
    assert "supply box: more motors at once than it can run" in said.out
    rows = run("plan", home, *options, "-").rows
    step = minutes if minutes <= 15 else 5
    assert rows
    for row in rows:
        for at in (row["close"], row["open"]):
            assert int(at[14:16]) % step == 0
            assert at[17:19] == "00"


@pytest.mark.parametrize(
    "options",
    [
        ("day",),
        ("week",),
        ("month", "--round", "5min"),
        ("week", "--round", "15min", "--timer-ignores-dst"),
    ],
    ids=" ".join,
)
def test_settings_are_spread_over_a_supply(options: tuple[str, ...], tmp_path: Path) -> None:
    home, file = tmp_path / "home.toml", tmp_path / "plan.csv"
    home.write_text(TWINS + BOX)
    said = run("plan", home, *JUNE, "--every", *options, "--csv", file)
    assert said.status == 0
    assert "more than it can do" not in said.out
    assert run("audit", home, file).status == 0


def test_every_day_is_the_daily_plan(tmp_path: Path) -> None:
    home = write_home(tmp_path)
    times = []
    for options in ((), ("--every", "day")):
        rows = run("plan", home, *JUNE, *options, "--csv", "-").rows
        times.append(
            [(row["shade"], row["close"], row["open"], row["sun_minutes"]) for row in rows]
        )
    assert times[0] == times[1]
    assert times[0]


def test_round_times_are_round(tmp_path: Path) -> None:
    rows = run("plan", write_home(tmp_path), *JUNE, "--round", "10 min", "--csv", "-").rows
    study = [row for row in rows if row["shade"] == "study"]  # it has no quiet hours
    assert study
    for row in study:
        assert {row["close"][15:19], row["open"][15:19]} == {"0:00"}


def test_the_calendar_of_a_weeks_settings_recurs_in_the_zone(tmp_path: Path) -> None:
    home, file = write_home(tmp_path), tmp_path / "plan.ics"
    assert run("plan", home, *JUNE, "--every", "week", "--ics", file).status == 0
    text = file.read_text()
    assert "RRULE:FREQ=DAILY;COUNT=7" in text
    assert "DTSTART;TZID=America/New_York:" in text
    assert run("plan", home, *JUNE, "--every", "day", "--ics", file).status == 0
    assert "TZID" not in file.read_text()


def test_a_card_is_a_page_or_a_table_by_its_name(tmp_path: Path) -> None:
    home = write_home(tmp_path)
    for name, begin in (
        ("card.txt", "kitchen roller, Larkspur Lane"),
        ("card.csv", "shade,period,"),
    ):
        said = run("plan", home, *JUNE, "--every", "month", "--card", tmp_path / name)
        assert said.status == 0
        assert (tmp_path / name).read_text().startswith(begin)


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (("--card", "card.txt"), "--card goes with --every day, week or month; add it"),
        (("--timer-ignores-dst",), "--timer-ignores-dst goes with --every"),
        (("--round", "7min"), "'7min' is not a length of time that an hour can be cut into"),
        (("--round", "１５min"), "'１５min' is not a length of time that an hour"),
        (("--round", "0"), "'0' is not a length of time that an hour"),
        (("--steady", "121min"), "'121min' is not a length of time from 1min to 120min"),
        (("--every", "year"), "'year' is not one of"),
        (("--every", "day", "--csv", "a", "--card", "a"), "--csv and --card both go to a"),
    ],
    ids=["card", "dst", "round", "script", "zero", "steady", "every", "same file"],
)
def test_what_cannot_be_is_refused(options: tuple[str, ...], message: str, tmp_path: Path) -> None:
    said = run("plan", write_home(tmp_path), *JUNE, *options)
    assert (said.status, said.out) == (2, "")
    assert len(said.faults) == 1
    assert message in said.faults[0]


def test_the_best_plan_tells_what_it_weighs_and_what_a_step_would_bring(tmp_path: Path) -> None:
    home, file = write_home(tmp_path), tmp_path / "plan.csv"
    said = run("plan", home, *JUNE, "--best", "--csv", file)
    assert said.status == 0
    assert "The best plan, in minutes of sun not kept out" in said.out
    assert "What one step would bring" in said.out
    assert "  Any step would bring nothing." in said.out  # its limits leave June as it is
    assert "A minute of sun counts 1, a minute of daylight lost 0.2, a move 2." in said.out
    lines = [line for line in said.out.splitlines() if not line.startswith("wrote ")]
    assert all(len(line) <= 80 for line in lines)
    assert file.read_text().startswith("shade,date,close,open,")


def test_weights_of_the_site_file_are_taken(tmp_path: Path) -> None:
    home = write_home(tmp_path)
    home.write_text(home.read_text() + "\n[best]\nmove = 1000\n")
    assert run("plan", home, *JUNE, "--best", "--csv", "-").rows == []
    assert run("plan", home, *JUNE, "--csv", "-").rows != []
