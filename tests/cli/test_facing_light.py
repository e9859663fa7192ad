"""`suncover facing --light`: a log's table, page and sightings, and what is wrong with a log."""

import re
from datetime import UTC, date, datetime

import numpy as np
import pytest
from command_line import ok, refused, run, write_home
from made_light import Logger, made_log
from made_sightings import made_site, turned
from site_texts import house, window
from svg_reading import parsed, with_class, words

TRUTH = 262.0


@pytest.fixture(scope="module")
def log_text():
    site = made_site(48.0, azimuth=TRUTH)
    logger = Logger(clock_min=9.0, clear=0.7)
    log = made_log(site, logger, np.random.default_rng(6), date(2027, 4, 5), 16)
    rows = [
        f"{datetime.fromtimestamp(time, UTC):%Y-%m-%dT%H:%M:%S},{value:.1f}\n"
        for time, value in zip(log.times, log.values, strict=True)
    ]
    return "time,value\n" + "".join(rows)


@pytest.fixture
def asked(tmp_path, log_text):
    """The command for a site that is 12° off, and the log beside it."""
    (tmp_path / "log.csv").write_text(log_text)
    text = house(window("w", 250), at=(48, 0), timezone="Etc/GMT")
    home = write_home(tmp_path, text)
    return ["facing", home, "--light", tmp_path / "log.csv", "--window", "w"]


def test_table_page_and_sightings_of_a_log(asked, tmp_path):
    sightings, picture = tmp_path / "seen.csv", tmp_path / "log.svg"
    csv = ok(*asked, "--format", "csv", "--sightings", sightings)
    [row] = csv.rows
    assert list(row) == ["window", "azimuth", "azimuth_sd", "sightings"]
    assert row["window"] == "w"
    assert turned(float(row["azimuth"]), TRUTH) < 2.5 * float(row["azimuth_sd"])
    lines = sightings.read_text().splitlines()
    assert lines[0].startswith("window,time,seen")
    assert len(lines) == int(row["sightings"]) + 1
    again = run("facing", asked[1], "--sightings", sightings, "--format", "csv")
    assert turned(float(again.rows[0]["azimuth"]), TRUTH) < 3.0
    page = run(*asked, "--picture", picture)
    drawn = parsed(picture.read_text())
    assert len(with_class(drawn, "rise")) == len(lines)  # and one in the legend
    assert "The light on w" in words(drawn)
    assert "min ahead" in page.out
    assert "of 16 days" in page.out.lower()


def test_in_a_reveal_it_says_where_a_sensor_would_tell_more(asked):
    asked[1].write_text(house(window("w", 250, reveal=0.2), at=(48, 0), timezone="Etc/GMT"))
    page = " ".join(run(*asked).out.split())
    assert "On the wall's face beside the window" in page


def test_too_few_clear_days_exit_with_1_and_write_nothing(asked, tmp_path, log_text):
    asked[3].write_text("\n".join(log_text.splitlines()[:200]) + "\n")
    seen = tmp_path / "seen.csv"
    found = run(*asked, "--format", "csv", "--sightings", seen)
    assert (found.status, found.out) == (1, "")
    assert "at least 3 are needed" in " ".join(found.err.split())
    assert not seen.exists()


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("when,value\n", "the column `time` is missing"),
        ("time,value\nyesterday,3\n", '"yesterday" is not a date and time'),
        ("time,value\n2027-04-05T10:00Z,much\n", '"much" is not a number'),
        (
            "time,value\n2027-04-05T10:00Z,1\n2027-04-05T11:00Z,1\n2027-04-05T12:00Z,1\n",
            "60 minutes apart",
        ),
        ("time,value\n", "there are no readings"),
        ("time,value\n2027-04-05T10:00Z,1\n", "there is one reading"),
        (
            "time,value\n"
            + "".join(f"2027-04-05T10:{m:02}Z,1\n" for m in (0, 5, 12, 17, 24, 29, 36, 41)),
            "57% of them are 5 min apart",
        ),
    ],
)
def test_a_log_that_is_wrong_is_told_in_a_line(asked, text, told):
    asked[3].write_text(text)
    found = refused(*asked)
    assert told in found.err
    assert "log.csv" in found.err


def test_a_log_needs_to_know_its_window(asked):
    assert run(*asked[:4]).status == 2
    wrong = refused(*asked[:5], "v")
    assert wrong.err.startswith(f'{asked[1]}: --window: no window is named "v"')


def test_the_report_shows_the_log_and_what_it_says(asked, tmp_path):
    page, pictures, log = tmp_path / "report.html", tmp_path / "pictures", asked[2:]
    dates = ("--no-heat", "--from", "2027-04-05", "--to", "2027-04-20")
    ok("report", asked[1], "-o", page, "--figures", pictures, *dates, *log)
    text = page.read_text()
    [alt] = re.findall(r'aria-label="(The light on w on 1[67] days[^"]*)"', text)
    # The sun comes round a wall that faces a little south of west about noon.
    assert re.search(r"The sun came between 1[12]:\d\d and 1[123]:\d\d on \d+ days", alt)
    assert "It faces 26" in text
    assert 'href="#light"' in text
    said = words(parsed((pictures / "light-log.svg").read_text()))
    assert "Larkspur Lane, 5 to 20 Apr 2027" in said
    alone = refused("report", asked[1], "-o", page, *log[:2])
    assert "--light and --window go together" in alone.err
