"""`suncover plan` for timers and round times: every plan still keeps what the site asks for."""

import pytest
from command_line import fault_of, ok, run, write_home
from site_texts import house, table, window

JUNE = ("--from", "2027-06-01", "--to", "2027-06-30")


@pytest.mark.parametrize(
    "options", ["--round 5min", "--every month --round 15min", "--every week --timer-ignores-dst"]
)
def test_the_audit_passes_it(options, home):
    file = home.with_name("plan.csv")
    said = ok("plan", home, *JUNE, *options.split(), "--csv", file)
    assert ("costs against the daily plan" in said.out) == ("--every" in options)
    ok("audit", home, file)


AZIMUTHS = {"den": 95, "hall": 95, "attic": 180, "porch": 181}
TWINS = house(
    *(window(name, azimuth, 1, 1) for name, azimuth in AZIMUTHS.items()),
    *(
        table("shade", name=f"{name} roller", windows=[name], travel=40, quiet=["21:00", "07:30"])
        for name in AZIMUTHS
    ),
    timezone="America/New_York",
)
BOX = table("supply", name="box", shades=[f"{name} roller" for name in AZIMUTHS], gap=5)


@pytest.mark.parametrize("minutes", [15, 60])
def test_round_times_are_spread_over_a_supply(minutes, tmp_path):
    home, alone = write_home(tmp_path, TWINS + BOX), write_home(tmp_path, TWINS, "alone.toml")
    spread, together = tmp_path / "spread.csv", tmp_path / "together.csv"
    options = (*JUNE, "--round", f"{minutes}min", "--csv")
    ok("plan", home, *options, spread)
    ok("audit", home, spread)
    # Without the supply they would all start at once.
    ok("plan", alone, *options, together)
    said = run("audit", home, together)
    assert said.status == 1
    assert "supply box: more motors at once than it can run" in said.out
    rows = run("plan", home, *options, "-").rows
    step = minutes if minutes <= 15 else 5
    assert rows
    for at in (row[key] for row in rows for key in ("close", "open")):
        assert int(at[14:16]) % step == 0
        assert at[17:19] == "00"


def test_every_day_is_the_daily_plan_and_round_times_are_round(home):
    daily, every, rounded = (
        run("plan", home, *JUNE, *options, "--csv", "-").rows
        for options in ((), ("--every", "day"), ("--round", "10 min"))
    )
    keys = ("shade", "close", "open", "sun_minutes")
    assert [[row[key] for key in keys] for row in daily] == [
        [r[key] for key in keys] for r in every
    ]
    study = [row for row in rounded if row["shade"] == "study"]  # it has no quiet hours
    assert len(study) == 30
    assert {row[key][15:19] for row in study for key in ("close", "open")} == {"0:00"}


def test_the_calendar_of_a_weeks_settings_recurs_in_the_zone(home):
    week, day = (run("plan", home, *JUNE, "--every", e, "--ics", "-").out for e in ("week", "day"))
    assert "RRULE:FREQ=DAILY;COUNT=7" in week
    assert "DTSTART;TZID=America/New_York:" in week
    assert "TZID" not in day


@pytest.mark.parametrize(
    ("name", "begin"),
    [("card.txt", "kitchen roller, Larkspur Lane"), ("card.csv", "shade,period,")],
)
def test_a_card_is_a_page_or_a_table_by_its_name(home, name, begin):
    card = home.with_name(name)
    ok("plan", home, *JUNE, "--every", "month", "--card", card)
    assert card.read_text().startswith(begin)


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ("--card card.txt", "--card goes with --every day, week or month; add it"),
        ("--timer-ignores-dst", "--timer-ignores-dst goes with --every"),
        ("--round 7min", "'7min' is not a length of time that an hour can be cut into"),
        ("--round １５min", "'１５min' is not a length of time that an hour"),
        ("--round 0", "'0' is not a length of time that an hour"),
        ("--steady 121min", "'121min' is not a length of time from 1min to 120min"),
        ("--steady 0min", "'0min' is not a length of time from 1min to 120min"),
        ("--steady 5min --every week", "--every week has one setting for each week"),
        ("--every year", "'year' is not one of"),
        ("--every day --csv a --card a", "--csv and --card both go to a"),
    ],
)
def test_what_cannot_be_is_refused(options, message, home):
    assert message in fault_of("plan", home, *JUNE, *options.split())


def test_the_best_plan_tells_what_it_weighs_and_what_a_step_would_bring(home):
    file = home.with_name("plan.csv")
    said = ok("plan", home, *JUNE, "--best", "--csv", file)
    assert "The best plan, in minutes of sun not kept out" in said.out
    assert "What one step would bring" in said.out
    assert "  Any step would bring nothing." in said.out  # its limits leave June as it is
    assert "A minute of sun counts 1, a minute of daylight lost 0.2, a move 2." in said.out
    lines = [line for line in said.out.splitlines() if not line.startswith("wrote ")]
    assert all(len(line) <= 80 for line in lines)
    assert file.read_text().startswith("shade,date,close,open,")
    # Weights of the site file are taken.
    home.write_text(home.read_text() + table("best", move=1000))
    assert run("plan", home, *JUNE, "--best", "--csv", "-").rows == []
    assert run("plan", home, *JUNE, "--csv", "-").rows != []
