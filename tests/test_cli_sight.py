"""`suncover sight`: what it adds to a file of sightings."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from command_line import run, write_home

from suncover.sightings import read_sightings

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


def test_help_never_asks_to_look_at_the_sun() -> None:
    said = run("sight", "--help")
    assert "Never look at the sun" in said.out
