"""`suncover facing --light`: a log's table, page and sightings, and what is wrong with a log."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
import pytest
from command_line import run
from made_light import Logger, made_log
from made_sightings import made_site, turned
from svg_reading import parsed, with_class, words

SITE = """\
[site]
name = "Larkspur Lane"
latitude = 48.0
longitude = 0
timezone = "Etc/GMT"

[[window]]
name = "w"
azimuth = {azimuth}
width = 1.2
height = 1.4
"""
TRUTH = 262.0


@pytest.fixture(scope="module")
def log_text() -> str:
    site = made_site(48.0, azimuth=TRUTH)
    logger = Logger(clock_min=9.0, clear=0.7)
    log = made_log(site, logger, np.random.default_rng(6), date(2027, 4, 5), 16)
    rows = [
        f"{datetime.fromtimestamp(time, UTC):%Y-%m-%dT%H:%M:%S},{value:.1f}"
        for time, value in zip(log.times, log.values, strict=True)
    ]
    return "\n".join(["time,value", *rows]) + "\n"


@pytest.fixture
def home(tmp_path: Path, log_text: str) -> Path:
    (tmp_path / "log.csv").write_text(log_text)
    path = tmp_path / "home.toml"
    path.write_text(SITE.format(azimuth=250))
    return path


def test_table_page_and_sightings_of_a_log(home: Path) -> None:
    light = ["facing", str(home), "--light", str(home.parent / "log.csv"), "--window", "w"]
    sightings = home.parent / "seen.csv"
    csv = run(*light, "--format", "csv", "--sightings", str(sightings))
    assert csv.status == 0
    header, row = csv.out.splitlines()
    assert header == "window,azimuth,azimuth_sd,sightings"
    name, azimuth, sd, count = row.split(",")
    assert name == "w"
    assert turned(float(azimuth), TRUTH) < 2.5 * float(sd)
    lines = sightings.read_text().splitlines()
    assert lines[0].startswith("window,time,seen")
    assert len(lines) == int(count) + 1
    again = run("facing", str(home), "--sightings", str(sightings), "--format", "csv")
    assert turned(float(again.out.splitlines()[1].split(",")[1]), TRUTH) < 3.0
    picture = home.parent / "log.svg"
    page = run(*light, "--picture", picture)
    drawn = parsed(picture.read_text())
    assert len(with_class(drawn, "rise")) == int(count) + 1  # and one in the legend
    assert "The light on w" in words(drawn)
    assert "min ahead" in page.out
    assert "of 16 days" in page.out.lower() or "Of 16 days" in page.out


def test_the_report_shows_the_log_and_what_it_says(home: Path) -> None:
    page = home.parent / "report.html"
    asked = ("report", home, "-o", page, "--no-heat", "--from", "2027-04-05", "--to", "2027-04-20")
    assert run(*asked, "--light", home.parent / "log.csv", "--window", "w").status == 0
    text = page.read_text()
    [alt] = re.findall(r'aria-label="(The light on w on 1[67] days[^"]*)"', text)
    # The sun comes round a wall that faces a little south of west about noon.
    assert re.search(r"The sun came between 1[12]:\d\d and 1[123]:\d\d on \d+ days", alt)
    assert "It faces 26" in text
    assert 'href="#light"' in text
    pictures = home.parent / "pictures"
    log = ("--light", home.parent / "log.csv", "--window", "w")
    assert run("report", home, "--figures", pictures, *asked[4:], *log).status == 0
    said = words(parsed((pictures / "light-log.svg").read_text()))
    assert "Larkspur Lane, 5 to 20 Apr 2027" in said


def test_a_log_for_the_report_needs_its_window(home: Path) -> None:
    said = run("report", home, "-o", home.parent / "x.html", "--light", home.parent / "log.csv")
    assert said.status == 2
    assert "--light and --window go together" in said.err


def test_too_few_clear_days_exit_with_1_and_write_nothing(home: Path, log_text: str) -> None:
    short = home.parent / "short.csv"
    short.write_text("\n".join(log_text.splitlines()[:200]) + "\n")
    seen = home.parent / "seen.csv"
    found = run(
        "facing", str(home), "--light", str(short), "--window", "w", "--format", "csv",
        "--sightings", str(seen),
    )  # fmt: skip
    assert found.status == 1
    assert found.out == ""
    assert "at least 3 are needed" in " ".join(found.err.split())
    assert not seen.exists()


WRONG = {
    "no column": ("when,value\n", "the column `time` is missing"),
    "no time": ("time,value\nyesterday,3\n", '"yesterday" is not a date and time'),
    "no number": ("time,value\n2027-04-05T10:00Z,much\n", '"much" is not a number'),
    "too coarse": (
        "time,value\n2027-04-05T10:00Z,1\n2027-04-05T11:00Z,1\n2027-04-05T12:00Z,1\n",
        "60 minutes apart",
    ),
    "empty": ("time,value\n", "there are no readings"),
}


@pytest.mark.parametrize("case", WRONG)
def test_a_log_that_is_wrong_is_told_in_a_line(home: Path, case: str) -> None:
    text, words = WRONG[case]
    bad = home.parent / "bad.csv"
    bad.write_text(text)
    found = run("facing", str(home), "--light", str(bad), "--window", "w")
    assert found.status == 2
    assert found.out == ""
    assert words in found.err
    assert "bad.csv" in found.err


def test_a_log_needs_to_know_its_window(home: Path) -> None:
    log = str(home.parent / "log.csv")
    assert run("facing", str(home), "--light", log).status == 2
    wrong = run("facing", str(home), "--light", log, "--window", "v")
    assert wrong.status == 2
    assert wrong.err.startswith(f'{home}: --window: no window is named "v"')
