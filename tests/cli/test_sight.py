"""`suncover sight`: what it adds to a file of sightings."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from pathlib import Path

import numpy as np
import pytest
from command_line import run, write_home
from raycast import erfa_sun

from suncover.site.sightings import read_sightings

NOW = datetime(2027, 6, 1, 13, 40, 12, 345678, tzinfo=timezone(timedelta(hours=2)))


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(
        "suncover.cli.sight.now_in", lambda zone: NOW.astimezone(zone or NOW.tzinfo)
    )


def test_the_time_now_goes_into_a_new_file(tmp_path: Path) -> None:
    said = run("sight", "study", "off")
    assert said.status == 0
    assert said.err == "sightings.csv: study, 2027-06-01T13:40:12+02:00, off\n"
    assert (tmp_path / "sightings.csv").read_text() == (
        "window,time,seen\nstudy,2027-06-01T13:40:12+02:00,off\n"
    )


def test_further_sightings_come_at_the_end_with_columns_as_they_are_needed(tmp_path: Path) -> None:
    for args in (
        ("study", "off"),
        ("study", "on", "--at", "09:05", "--minutes", "5"),
        ("study", "patch", "--distance", "180 cm", "--offset=-0.4", "--corner", "left"),
    ):
        assert run("sight", *args).status == 0
    found = read_sightings(tmp_path / "sightings.csv", ["study"])
    assert [s.seen for s in found] == ["off", "on", "patch"]
    assert found[1].minutes == 5
    assert found[1].time == NOW.replace(hour=9, minute=5, second=0, microsecond=0).timestamp()
    assert (found[2].distance, found[2].offset, found[2].corner) == (1.8, -0.4, "left")


def test_a_spreadsheets_way_of_writing_is_kept(tmp_path: Path) -> None:
    file = tmp_path / "mine.csv"
    file.write_bytes(b"note;window;time;seen\r\nhazy;study;2027-06-01T09:00Z;on")
    assert run("sight", "study", "off", "--sightings", file).status == 0
    assert file.read_bytes() == (
        b"note;window;time;seen\r\nhazy;study;2027-06-01T09:00Z;on\r\n"
        b";study;2027-06-01T13:40:12+02:00;off\r\n"
    )


def test_a_site_checks_the_name_and_gives_its_own_clocks(tmp_path: Path) -> None:
    home = write_home(tmp_path)
    assert run("sight", "kitchen", "on", "--site", home).status == 0
    text = (tmp_path / "sightings.csv").read_text()
    assert "kitchen,2027-06-01T07:40:12-04:00,on" in text
    wrong = run("sight", "kichen", "on", "--site", home)
    assert wrong.status == 2
    assert 'did you mean "kitchen"?' in wrong.err
    assert (tmp_path / "sightings.csv").read_text() == text


@pytest.mark.parametrize(
    ("args", "part"),
    [
        (("study", "of"), 'did you mean "off"?'),
        (("study", "patch"), "a patch needs its `distance`"),
        (("study", "on", "--at", "noon"), "write it as 13:40"),
        (("study", "on", "--at", "2027-06-01T13:40:00"), "has no offset from UTC"),
        (("study", "on", "--distance", "1.8"), 'go with "patch"'),
    ],
)
def test_what_is_wrong_is_told_and_nothing_is_written(
    tmp_path: Path, args: tuple[str, ...], part: str
) -> None:
    said = run("sight", *args)
    assert said.status == 2
    assert part in said.err
    assert not (tmp_path / "sightings.csv").exists()


HEAD = "this sighting"


@pytest.mark.parametrize(
    ("args", "told"),
    [
        pytest.param(
            ("kitchn", "on", "--site", "home.toml"),
            'window: no window is named "kitchn"; did you mean "kitchen"?',
            id="name",
        ),
        pytest.param(
            ("kitchen", "on", "--at", "2027-11-05T13:01:00+02:00"),
            "time: 2027-11-05T13:01:00+02:00 is still to come: it is 2027-06-01T13:40:12+02:00 now",
            id="later than now",
        ),
        pytest.param(
            ("kitchen", "on", "--at", "13:45"),
            "time: 2027-06-01T13:45:00+02:00 is still to come: it is 2027-06-01T13:40:12+02:00 now",
            id="later today",
        ),
        pytest.param(
            ("kitchen", "on", "--at", "2027-06-01T03:01:00-04:00", "--site", "home.toml"),
            "time: at 2027-06-01T03:01:00-04:00 the sun was 27° below the horizon, so it was on no "
            "window",
            id="by night",
        ),
        pytest.param(
            ("kitchen", "on", "--at", "2027-06-01 03:01", "--site", "home.toml"),
            "time: at 2027-06-01T03:01:00-04:00 the sun was 27° below the horizon, so it was on no "
            "window",
            id="by the site's clocks",
        ),
        pytest.param(
            ("study", "patch", "--distance", "180"),
            'distance: it is 180 m; was another unit meant, such as "180 cm" or "180 in"? '
            "What is right can be written into the file by hand",
            id="far patch",
        ),
        pytest.param(
            ("study", "patch", "--offset=-40", "--corner", "left"),
            'offset: it is -40 m; was another unit meant, such as "-40 cm" or "-40 in"? '
            "What is right can be written into the file by hand",
            id="patch far aside",
        ),
        pytest.param(
            ("study", "on", "--minutes", "600"),
            "minutes: it is 600 minutes; were seconds meant? That would be 10. "
            "What is right can be written into the file by hand",
            id="unsure by hours",
        ),
    ],
)
def test_what_cannot_have_been_seen_is_refused(
    tmp_path: Path, args: tuple[str, ...], told: str
) -> None:
    """The sun's depth by the almanac of ERFA: 26.9 degrees."""
    write_home(tmp_path)
    said = run("sight", *args)
    assert said.status == 2
    assert said.faults == [f"{HEAD}: {told}"]
    assert not (tmp_path / "sightings.csv").exists()


def test_the_depth_of_the_sun_by_night_is_erfas() -> None:
    night = datetime(2027, 6, 1, 3, 1, tzinfo=timezone(timedelta(hours=-4)))
    up = erfa_sun(np.array([night.timestamp()]), 36.10, -79.95, 270.0)[2]
    assert round(float(np.degrees(np.arcsin(up[0])))) == -27


def test_all_that_is_wrong_with_a_sighting_is_told_at_once(tmp_path: Path) -> None:
    write_home(tmp_path)
    said = run(
        "sight", "kitchen", "patch", "--distance", "180", "--at", "23:59", "--site", "home.toml"
    )
    assert [fault.split(": ")[1] for fault in said.faults] == ["time", "distance", "time"]


@pytest.mark.parametrize("seen", ["not-yet-on", "already-off"])
def test_no_sun_by_night_may_have_been_seen(tmp_path: Path, seen: str) -> None:
    home = write_home(tmp_path)
    night = "2027-06-01T03:01:00-04:00"
    assert run("sight", "kitchen", seen, "--at", night, "--site", home).status == 0


def test_faults_of_the_file_have_its_lines_and_those_of_the_sighting_none(tmp_path: Path) -> None:
    file = tmp_path / "sightings.csv"
    file.write_text("window,time,seen\nstudy,2027-06-01T09:00Z,of\n")
    said = run("sight", "study", "pach")
    assert [fault.split(": ")[0] for fault in said.faults] == ["this sighting", "sightings.csv:2"]


def test_help_never_asks_to_look_at_the_sun() -> None:
    said = run("sight", "--help")
    assert "Never look at the sun" in said.out


def test_the_sites_clocks_say_what_a_time_without_offset_is(tmp_path: Path) -> None:
    write_home(tmp_path)
    seen = ("study", "off", "--at", "2027-05-30 18:04", "--site", "home.toml")
    assert run("sight", *seen).status == 0
    assert (
        (tmp_path / "sightings.csv").read_text().endswith("study,2027-05-30T18:04:00-04:00,off\n")
    )
