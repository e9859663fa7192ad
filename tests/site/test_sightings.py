"""Sightings in a CSV and in a site file: what is read, and all that can be wrong with it."""
# ruff: noqa: E501  (a case to a line)

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest
from pydantic import ValidationError
from site_texts import faults, house, window

from suncover.base.errors import FileFaults
from suncover.site.file.sitefile import site_from_text
from suncover.site.sightings import SEEN, Sighting, sightings_from_text

HEAD = "window,time,seen\n"
MORE = "window,time,seen,minutes,distance,offset,corner\n"
ROW = "kitchen,2027-06-01T09:12Z,"


def read(text):
    return sightings_from_text(text, ["kitchen", "study"])


def faults_of(text, zone=None):
    with pytest.raises(FileFaults) as caught:
        sightings_from_text(text, ["kitchen", "study"], "seen.csv", zone)
    return str(caught.value).splitlines()


def test_rows_are_read_in_their_order_with_their_instants():
    found = read(f"{HEAD}study,2027-06-01T09:12:40-04:00,on\n\nkitchen,2027-06-02T13:00:00Z,off\n")
    assert [(s.window, s.seen) for s in found] == [("study", "on"), ("kitchen", "off")]
    assert found[0].time == datetime(2027, 6, 1, 13, 12, 40, tzinfo=UTC).timestamp()
    assert read(HEAD) == ()


def test_what_a_spreadsheet_writes_is_read_too():
    [found] = read("Window;Time;Seen;minutes\r\nkitchen;2027-06-01T09:12:40Z;on;2,5\r\n;;;\r\n")
    assert found.minutes == 2.5
    [found] = read(f"note,{HEAD}hazy,{ROW}on\n")  # a column of the reader's own
    assert found.window == "kitchen"


def test_each_word_for_what_was_seen():
    for seen in (word for word in SEEN if word != "patch"):
        assert [found.seen for found in read(f"{HEAD}{ROW}{seen}\n")] == [seen]
    [found] = read(f"{MORE}{ROW}patch,,180 cm,-0.4,left\n")
    assert (found.distance, found.offset, found.corner) == (1.8, -0.4, "left")


@pytest.mark.parametrize(
    ("row", "fault"),
    [
        ("kichen,2027-06-01T09:12Z,on", 'window: no window is named "kichen"; did you mean "kitchen"?'),
        ("kitchen,2027-06-01T09:12,on",
         "time: 2027-06-01T09:12:00 has no offset from UTC; add it, as in 2027-06-01T09:12:40+02:00 (Z if the time is UTC)"),
        ("kitchen,yesterday,on", 'time: "yesterday" is not a date and time such as 2027-06-01T09:12:40+02:00'),
        ("kitchen,2227-06-01T09:12Z,on", "time: the year 2227 is outside 1900 to 2199"),
        (f"{ROW}of", 'seen: "of" is nothing to be seen here; did you mean "off"?'),
        (f"{ROW}patch", "a patch needs its `distance` from the window, or `offset` and `corner`"),
        ("kitchen,,on", "time: this is empty; every sighting has window, time and seen"),
        (f"{ROW}on,3", "this line has 4 cells, the first line names 3 columns"),
    ],
)  # fmt: skip
def test_a_wrong_row_is_told_with_its_line_and_the_remedy(row, fault):
    assert faults_of(f"{HEAD}{ROW}on\n{row}\n") == [f"seen.csv:3: {fault}"]


def test_measures_go_with_a_patch_only():
    assert faults_of(f"{MORE}{ROW}on,,1.8,,\n{ROW}patch,,,0.4,\n") == [
        'seen.csv:2: `distance`, `offset` and `corner` go with "patch", not "on"',
        "seen.csv:3: `offset` and `corner` go together: say which far corner it is of",
    ]


def test_all_faults_come_at_once_and_a_hundred_are_enough():
    told = faults_of(HEAD + "x,y,z\n" * 60)
    assert (len(told), told[-1]) == (101, "seen.csv: … and 80 more")


@pytest.mark.parametrize(
    ("head", "fault"),
    [
        ("window,time", "the column `seen` is missing; the first line should be window,time,seen"),
        ("window,time,seen,minute", "unknown column `minute`, did you mean `minutes`?"),
        ("window,time,seen,seen", "the column `seen` stands twice"),
    ],
)
def test_a_wrong_first_line_is_told(head, fault):
    assert faults_of(f"{head}\n")[0] == f"seen.csv:1: {fault}"


ENDING = (
    "has no offset from UTC; end it with {}, as the site's clocks are then, or with Z if it is UTC"
)


def test_a_site_file_holds_them_too():
    time = "2027-06-01T09:12:40"
    text = house(window(), at=(47.4, 8.5)) + "\n[[sighting]]\n"
    text += f'window = "kitchen"\ntime = {time}+02:00\nseen = "on"\n'
    [found] = site_from_text(text).sightings
    assert found.time == datetime(2027, 6, 1, 7, 12, 40, tzinfo=UTC).timestamp()
    assert faults(
        text.replace("+02:00", "").replace('window = "kitchen"', 'window = "kitchn"')
    ) == [
        '13:10: [[sighting]] 1: window: no window is named "kitchn", did you mean "kitchen"?',
        f"14:8: [[sighting]] 1: time: {time} {ENDING.format('+02:00')}",
    ]


def test_the_offset_to_add_is_the_sites_own_on_that_day():
    text = f"{HEAD}kitchen,2027-01-09 09:12,on\nkitchen,2027-07-09 09:12,on\n"
    assert faults_of(text, ZoneInfo("America/New_York")) == [
        f"seen.csv:2: time: 2027-01-09T09:12:00 {ENDING.format('-05:00')}",
        f"seen.csv:3: time: 2027-07-09T09:12:00 {ENDING.format('-04:00')}",
    ]


@pytest.mark.parametrize("unit", ["s", "ms", "ns"])
def test_a_time_of_numpy_or_pandas_is_the_same_instant(unit):
    """numpy's is UTC by definition, pandas' has its zone."""
    stamp = pd.Timestamp("2027-06-01T07:12:40", tz="UTC").tz_convert("Europe/Rome")
    for form in (stamp, np.datetime64("2027-06-01T07:12:40").astype(f"datetime64[{unit}]")):
        assert Sighting(window="w", time=form, seen="on").time == stamp.timestamp()
    with pytest.raises(ValidationError, match="1900 to 2199"):
        Sighting(window="w", time=np.datetime64("1850-01-01", unit), seen="on")
