"""`suncover sight`: what it adds to a file of sightings."""

from datetime import datetime, timedelta, timezone

import numpy as np
import pytest
from command_line import ok, refused, run
from raycast import erfa_sun

from suncover.site.sightings import read_sightings

NOW = datetime(2027, 6, 1, 13, 40, 12, 345678, tzinfo=timezone(timedelta(hours=2)))
NIGHT = datetime(2027, 6, 1, 3, 1, tzinfo=timezone(timedelta(hours=-4)))
SITE = ("--site", "home.toml")


@pytest.fixture(autouse=True)
def file(home, monkeypatch):
    """The file of sightings that is written where nothing else is said."""
    monkeypatch.chdir(home.parent)
    monkeypatch.setattr(
        "suncover.cli.sight.now_in", lambda zone: NOW.astimezone(zone or NOW.tzinfo)
    )
    return home.with_name("sightings.csv")


def test_the_time_now_goes_into_a_new_file(file):
    said = run("sight", "study", "off")
    row = "study,2027-06-01T13:40:12+02:00,off\n"
    assert (said.status, said.err) == (0, f"sightings.csv: {row.replace(',', ', ')}")
    assert file.read_text() == f"window,time,seen\n{row}"


def test_further_sightings_come_at_the_end_with_columns_as_they_are_needed(file):
    for args in (
        ("study", "off"),
        ("study", "on", "--at", "09:05", "--minutes", "5"),
        ("study", "patch", "--distance", "180 cm", "--offset=-0.4", "--corner", "left"),
    ):
        ok("sight", *args)
    found = read_sightings(file, ["study"])
    assert [s.seen for s in found] == ["off", "on", "patch"]
    assert found[1].minutes == 5
    assert found[1].time == NOW.replace(hour=9, minute=5, second=0, microsecond=0).timestamp()
    assert (found[2].distance, found[2].offset, found[2].corner) == (1.8, -0.4, "left")


def test_a_spreadsheets_way_of_writing_is_kept(file):
    own = file.with_name("mine.csv")
    own.write_bytes(b"note;window;time;seen\r\nhazy;study;2027-06-01T09:00Z;on")
    ok("sight", "study", "off", "--sightings", own)
    assert own.read_bytes() == (
        b"note;window;time;seen\r\nhazy;study;2027-06-01T09:00Z;on\r\n"
        b";study;2027-06-01T13:40:12+02:00;off\r\n"
    )


def test_a_site_gives_its_own_clocks(file):
    ok("sight", "kitchen", "on", *SITE)
    ok("sight", "study", "off", "--at", "2027-05-30 18:04", *SITE)
    assert file.read_text().splitlines()[1:] == [
        "kitchen,2027-06-01T07:40:12-04:00,on",
        "study,2027-05-30T18:04:00-04:00,off",
    ]
    for seen in ("not-yet-on", "already-off"):  # no sun by night may have been seen
        ok("sight", "kitchen", seen, "--at", NIGHT.isoformat(), *SITE)


BY_NIGHT = "time: at 2027-06-01T03:01:00-04:00 the sun was 27° below the horizon, so it was on no w"
TO_COME = "time: {} is still to come: it is 2027-06-01T13:40:12+02:00 now"
BY_HAND = "What is right can be written into the file by hand"


@pytest.mark.parametrize(
    ("args", "told"),
    [
        ("study of", 'did you mean "off"?'),
        ("study patch", "a patch needs its `distance`"),
        ("study on --at noon", "write it as 13:40"),
        ("study on --at 2027-06-01T13:40:00", "has no offset from UTC"),
        ("study on --distance 1.8", 'go with "patch"'),
        (
            "kitchn on --site home.toml",
            'window: no window is named "kitchn"; did you mean "kitchen"?',
        ),
        (
            "kitchen on --at 2027-11-05T13:01:00+02:00",
            TO_COME.format("2027-11-05T13:01:00+02:00"),
        ),
        ("kitchen on --at 13:45", TO_COME.format("2027-06-01T13:45:00+02:00")),
        (f"kitchen on --at {NIGHT.isoformat()} --site home.toml", BY_NIGHT),
        ("kitchen on --at 2027-06-01_03:01 --site home.toml", BY_NIGHT),  # by the site's clocks
        (
            "study patch --distance 180",
            'distance: it is 180 m; was another unit meant, such as "180 cm" or "180 in"? What is',
        ),
        (
            "study patch --offset=-40 --corner left",
            f'offset: it is -40 m; was another unit meant, such as "-40 cm" or "-40 in"? {BY_HAND}',
        ),
        (
            "study on --minutes 600",
            f"minutes: it is 600 minutes; were seconds meant? That would be 10. {BY_HAND}",
        ),
    ],
)
def test_what_cannot_have_been_seen_is_refused(file, args, told):
    said = refused("sight", *(word.replace("_", " ") for word in args.split()))
    [fault] = said.faults
    assert told in fault
    assert not file.exists()
    # The sun's depth by night is that of the almanac of ERFA.
    up = erfa_sun(np.array([NIGHT.timestamp()]), 36.10, -79.95, 270.0)[2]
    assert round(float(np.degrees(np.arcsin(up[0])))) == -27


def test_all_that_is_wrong_with_a_sighting_is_told_at_once(file):
    said = run("sight", "kitchen", "patch", "--distance", "180", "--at", "23:59", *SITE)
    assert [fault.split(": ")[:2] for fault in said.faults] == [
        ["this sighting", name] for name in ("time", "distance", "time")
    ]
    # Faults of the file have its lines.
    file.write_text("window,time,seen\nstudy,2027-06-01T09:00Z,of\n")
    said = run("sight", "study", "pach")
    assert [fault.split(": ")[0] for fault in said.faults] == ["this sighting", "sightings.csv:2"]


def test_help_never_asks_to_look_at_the_sun():
    assert "Never look at the sun" in run("sight", "--help").out
