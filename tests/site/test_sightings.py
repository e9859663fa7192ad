"""Sightings in a CSV and in a site file: what is read, and all that can be wrong with it."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest
from pydantic import ValidationError

from suncover.base.errors import FileFaults
from suncover.site.file.sitefile import site_from_text
from suncover.site.sightings import SEEN, Sighting, sightings_from_text

HEAD = "window,time,seen\n"
MORE = "window,time,seen,minutes,distance,offset,corner\n"


def faults_of(text: str) -> list[str]:
    with pytest.raises(FileFaults) as caught:
        sightings_from_text(text, ["kitchen", "study"], "seen.csv")
    return str(caught.value).splitlines()


def test_rows_are_read_in_their_order_with_their_instants() -> None:
    found = sightings_from_text(
        HEAD + "study,2027-06-01T09:12:40-04:00,on\n\nkitchen,2027-06-02T13:00:00Z,off\n",
        ["kitchen", "study"],
    )
    assert [(s.window, s.seen) for s in found] == [("study", "on"), ("kitchen", "off")]
    assert found[0].time == datetime(2027, 6, 1, 13, 12, 40, tzinfo=UTC).timestamp()


def test_what_a_spreadsheet_writes_is_read_too() -> None:
    text = "Window;Time;Seen;minutes\r\nkitchen;2027-06-01T09:12:40Z;on;2,5\r\n;;;\r\n"
    [found] = sightings_from_text(text, ["kitchen"])
    assert found.minutes == 2.5


def test_other_columns_are_the_readers_own() -> None:
    [found] = sightings_from_text(
        "note,window,time,seen\nhazy,kitchen,2027-06-01T09:12Z,on\n", ["kitchen"]
    )
    assert found.window == "kitchen"


@pytest.mark.parametrize("seen", [word for word in SEEN if word != "patch"])
def test_each_word_for_what_was_seen(seen: str) -> None:
    [found] = sightings_from_text(f"{HEAD}kitchen,2027-06-01T09:12Z,{seen}\n", ["kitchen"])
    assert found.seen == seen


def test_a_patch_has_its_measures_in_metres_or_with_a_unit() -> None:
    row = "kitchen,2027-06-01T09:12Z,patch,,180 cm,-0.4,left\n"
    [found] = sightings_from_text(MORE + row, ["kitchen"])
    assert (found.distance, found.offset, found.corner) == (1.8, -0.4, "left")


def test_a_file_of_nothing_but_its_first_line_holds_none() -> None:
    assert sightings_from_text(HEAD, ["kitchen"]) == ()


@pytest.mark.parametrize(
    ("row", "fault"),
    [
        pytest.param(
            "kichen,2027-06-01T09:12Z,on",
            'window: no window is named "kichen"; did you mean "kitchen"?',
            id="window",
        ),
        pytest.param(
            "kitchen,2027-06-01T09:12,on",
            "time: 2027-06-01T09:12:00 has no offset from UTC; add it, as in "
            "2027-06-01T09:12:40+02:00 (Z if the time is UTC)",
            id="no offset",
        ),
        pytest.param(
            "kitchen,yesterday,on",
            'time: "yesterday" is not a date and time such as 2027-06-01T09:12:40+02:00',
            id="no time",
        ),
        pytest.param(
            "kitchen,2227-06-01T09:12Z,on", "time: the year 2227 is outside 1900 to 2199", id="year"
        ),
        pytest.param(
            "kitchen,2027-06-01T09:12Z,of",
            'seen: "of" is nothing to be seen here; did you mean "off"?',
            id="seen",
        ),
        pytest.param(
            "kitchen,2027-06-01T09:12Z,patch",
            "a patch needs its `distance` from the window, or `offset` and `corner`",
            id="patch of no size",
        ),
        pytest.param(
            "kitchen,,on",
            "time: this is empty; every sighting has window, time and seen",
            id="empty",
        ),
        pytest.param(
            "kitchen,2027-06-01T09:12Z,on,3",
            "this line has 4 cells, the first line names 3 columns",
            id="too long",
        ),
    ],
)
def test_a_wrong_row_is_told_with_its_line_and_the_remedy(row: str, fault: str) -> None:
    assert faults_of(f"{HEAD}kitchen,2027-06-01T09:12Z,on\n{row}\n") == [f"seen.csv:3: {fault}"]


def test_measures_go_with_a_patch_only() -> None:
    rows = "kitchen,2027-06-01T09:12Z,on,,1.8,,\nkitchen,2027-06-01T09:12Z,patch,,,0.4,\n"
    assert faults_of(MORE + rows) == [
        'seen.csv:2: `distance`, `offset` and `corner` go with "patch", not "on"',
        "seen.csv:3: `offset` and `corner` go together: say which far corner it is of",
    ]


def test_all_faults_come_at_once_and_a_hundred_are_enough() -> None:
    told = faults_of(HEAD + "x,y,z\n" * 60)
    assert len(told) == 101
    assert told[-1] == "seen.csv: … and 80 more"


@pytest.mark.parametrize(
    ("head", "fault"),
    [
        ("window,time", "the column `seen` is missing; the first line should be window,time,seen"),
        ("window,time,seen,minute", "unknown column `minute`, did you mean `minutes`?"),
        ("window,time,seen,seen", "the column `seen` stands twice"),
    ],
)
def test_a_wrong_first_line_is_told(head: str, fault: str) -> None:
    assert faults_of(f"{head}\n")[0] == f"seen.csv:1: {fault}"


SITE = """\
[site]
name = "home"
latitude = 47.4
longitude = 8.5

[[window]]
name = "kitchen"
azimuth = 95
width = 1
height = 1

[[sighting]]
window = "kitchen"
time = 2027-06-01T09:12:40+02:00
seen = "on"
"""


def test_a_site_file_holds_them_too() -> None:
    [found] = site_from_text(SITE).sightings
    assert found.time == datetime(2027, 6, 1, 7, 12, 40, tzinfo=UTC).timestamp()


def test_faults_of_sightings_in_a_site_file_are_told_with_the_others() -> None:
    wrong = SITE.replace("+02:00", "").replace('window = "kitchen"', 'window = "kitchn"')
    with pytest.raises(FileFaults) as caught:
        site_from_text(wrong, "home.toml")
    assert str(caught.value).splitlines() == [
        'home.toml:13:10: [[sighting]] 1: window: no window is named "kitchn", did you mean '
        '"kitchen"?',
        "home.toml:14:8: [[sighting]] 1: time: 2027-06-01T09:12:40 has no offset from UTC; end it "
        "with +02:00, as the site's clocks are then, or with Z if it is UTC",
    ]


def test_the_offset_to_add_is_the_sites_own_on_that_day() -> None:
    text = f"{HEAD}kitchen,2027-01-09 09:12,on\nkitchen,2027-07-09 09:12,on\n"
    with pytest.raises(FileFaults) as caught:
        sightings_from_text(text, ["kitchen"], "seen.csv", ZoneInfo("America/New_York"))
    ending = (
        "has no offset from UTC; end it with {}, as the site's clocks are then, or with Z if it is "
        "UTC"
    )
    assert str(caught.value).splitlines() == [
        f"seen.csv:2: time: 2027-01-09T09:12:00 {ending.format('-05:00')}",
        f"seen.csv:3: time: 2027-07-09T09:12:00 {ending.format('-04:00')}",
    ]


@pytest.mark.parametrize("unit", ["s", "ms", "ns"])
def test_a_time_of_numpy_or_pandas_is_the_same_instant(unit: str) -> None:
    """numpy's is UTC by definition, pandas' has its zone."""
    stamp = pd.Timestamp("2027-06-01T07:12:40", tz="UTC").tz_convert("Europe/Rome")
    forms = (stamp, np.datetime64("2027-06-01T07:12:40").astype(f"datetime64[{unit}]"))
    for form in forms:
        assert Sighting(window="w", time=form, seen="on").time == stamp.timestamp()
    with pytest.raises(ValidationError, match="1900 to 2199"):
        Sighting(window="w", time=np.datetime64("1850-01-01", unit), seen="on")
