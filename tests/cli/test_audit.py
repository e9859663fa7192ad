"""`suncover audit`: exit status, what it says, and faults in its files."""

import json
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from command_line import HOME, ok, refused, run, write_home
from site_texts import table

WEEK = ("--from", "2027-06-01", "--to", "2027-06-07")


@pytest.fixture(scope="module")
def week(tmp_path_factory):
    """The plan of the usual house for a week, as text."""
    return run("plan", write_home(tmp_path_factory.mktemp("week")), *WEEK, "--csv", "-").out


@pytest.fixture
def plan(home, week):
    """A site file, and the file of its plan."""
    file = home.with_name("plan.csv")
    file.write_text(week, newline="")
    return home, file


def edited(file, old, new):
    text = file.read_text(encoding="utf-8")
    assert text.count(old) == 1, old
    file.write_text(text.replace(old, new), encoding="utf-8")
    return file


def rows(file, shade):
    return [line for line in file.read_text().splitlines() if line.startswith(shade)]


def without_one(file):
    """The plan without the study's closing of 4 June."""
    return edited(file, rows(file, "study")[3] + "\n", "")


def test_our_own_plan_passes(plan):
    said = run("audit", *plan)
    assert (said.status, said.err) == (0, "")
    assert "1 to 7 Jun 2027" in said.out
    assert "All that the site file asks for is kept" in said.out
    assert all(len(line) <= 80 for line in said.out.splitlines())
    said = run("audit", *plan, "--year", "2028")
    assert "1 to 7 Jun 2028" in said.out
    assert said.status in (0, 1)


def test_a_missing_row_is_found_with_its_day(plan):
    home, file = plan
    said = run("audit", home, without_one(file))
    assert said.status == 1
    assert "study: " in said.out
    assert "uncovered on 1 day" in said.out
    assert "Fri 4 Jun" in said.out
    target = home.with_name("audit.json")
    said = run("audit", home, file, "--format", "json", "-o", target)
    assert (said.status, said.out) == (1, "")
    document = json.loads(target.read_text(encoding="utf-8"))
    assert document["kept"] is False
    assert (document["from"], document["to"]) == ("2027-06-01", "2027-06-07")
    study = next(shade for shade in document["shades"] if shade["shade"] == "study")
    assert [part["date"] for part in study["uncovered"]] == ["2027-06-04"]
    assert study["uncovered_minutes"] == pytest.approx(study["uncovered"][0]["minutes"])
    assert 0.8 < study["covered_share"] < 0.9  # six days of seven


def test_a_move_in_quiet_hours_is_found(plan):
    home, file = plan
    # The study has the default shade without quiet hours, the kitchen roller has them.
    for shade, status in (("study", 0), ("kitchen roller", 1)):
        opens = rows(file, shade)[2].split(",")[3]
        said = run("audit", home, edited(file, opens, "2027-06-03T23:00:00-04:00"))
        assert said.status == status
    assert "kitchen roller: 1 move in quiet hours" in said.out
    assert "Thu 3 Jun: opens at 23:00" in said.out


def test_a_plan_without_closings(plan):
    home, file = plan
    file.write_text(file.read_text().splitlines()[0] + "\n")
    said = ok("audit", home, file)
    assert "it does not say which days it is for" in said.out
    assert run("audit", home, file, *WEEK).status == 1


def faults_of(*args):
    said = refused("audit", *args)
    return said.faults


def test_every_fault_of_the_files_is_one_line(plan):
    home, file = plan
    first, second = rows(file, "study")[:2]
    edited(file, first, first.replace("study", "studdy"))
    edited(file, second, second.replace("-04:00", "!"))
    faults = faults_of(home, file)
    assert len(faults) == 3
    assert 'the site has no shade "studdy"; did you mean "study"?' in faults[0]
    assert all(fault.startswith(f"{file}:") for fault in faults)
    none = home.with_name("none.csv")
    assert faults_of(home, none) == [f"{none}: there is no such file"]
    assert len(faults_of(home.with_name("none.toml"), file)) == 1
    assert "go together" in faults_of(*plan, "--light", "x.csv")[0]
    assert "goes with --light" in faults_of(*plan, "--indoor", "x.csv")[0]


def test_a_missing_first_row_goes_unnoticed_but_that_is_said(plan):
    home, file = plan
    lines = file.read_text(encoding="utf-8").splitlines(keepends=True)
    file.write_text("".join(line for line in lines if ",2027-06-01," not in line))
    said = ok("audit", home, file)
    warning = "These days are the plan's own: rows missing before its first or after its last go"
    assert warning in said.flat
    assert run("audit", home, file, "--format", "json").json["days_from_plan"] is True
    whole = run("audit", home, file, *WEEK)
    assert whole.status == 1
    assert warning not in whole.flat


def test_days_with_the_same_fault_and_shades_with_the_same_are_told_together(tmp_path):
    text = HOME.replace('quiet = ["21:30", "07:00"]', 'quiet = ["03:00", "04:00"]')
    text += table("shade", name="study roller", windows=["study"], quiet=["03:00", "04:00"])
    home, file = write_home(tmp_path, text), tmp_path / "made.csv"
    closings = [
        f"{shade},2027-12-{day:02d} 03:30,2027-12-{day:02d} 05:00\n"
        for shade in ("kitchen roller", "study roller")
        for day in (1, 2, 3, 5)
    ]
    file.write_text("shade,close,open\n" + "".join(closings), encoding="utf-8")
    said = run("audit", home, file, "--brief")
    assert said.status == 1
    page = said.flat
    assert "kitchen roller and study roller: each 4 moves in quiet hours" in page
    assert "Wed 1 Dec to Fri 3 Dec: closes at 03:30, each of 3 days Sun 5 Dec: closes" in page
    assert "For nothing" not in page
    assert "For nothing" in run("audit", home, file).out


def test_a_light_log_tells_when_the_sun_was_on_the_glass(plan):
    home, file = plan
    start = datetime(2027, 6, 1, 4, tzinfo=UTC)
    # The study faces west of south: sun from shortly after noon, 17 h UTC, on clear days.
    lines = ["time,value"]
    for number in range(7 * 96):
        time = start + timedelta(minutes=15 * number)
        hour = (time.hour + time.minute / 60 - 4) % 24
        sky = max(0.0, 150 * np.sin((hour - 5.2) / 14.4 * np.pi)) if 5.2 < hour < 19.6 else 0.0
        sun = 800.0 if 14 < hour < 19 and number // 96 != 2 else 0.0
        lines.append(f"{time.isoformat()},{sky + sun:.1f}")
    log = home.with_name("log.csv")
    log.write_text("\n".join(lines) + "\n", encoding="utf-8")
    asked = ("audit", home, without_one(file), *WEEK, "--light", log, "--window", "study")
    said = run(*asked)
    assert said.status == 1  # by the audit: the sun of 4 June is uncovered
    assert "On 1 of 7 days the sun was on the glass with study up" in said.out
    assert all(len(line) <= 80 for line in said.out.splitlines())
    logged = run(*asked, "--format", "json").json["logged"]
    minutes = {day["date"]: day["sun_seen_shade_up_minutes"] for day in logged["days"]}
    assert minutes["2027-06-04"] == pytest.approx(300, abs=30)
    assert minutes["2027-06-03"] == 0
