"""Zones against the table of principal places in the IANA time zone database."""

import importlib.resources
import re
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from suncover.site.kinds.zones import (
    is_plainly_at,
    nautical_zone,
    place_doubt,
    variants,
    zone_at,
    zone_doubt,
    zone_fault,
    zones_at,
)

DAYS = (datetime(2026, 1, 15, tzinfo=UTC), datetime(2026, 7, 15, tzinfo=UTC))


def offsets(zone):
    return [day.astimezone(ZoneInfo(zone)).utcoffset() for day in DAYS]


def degrees(text):
    """ISO 6709 ±DDMM, ±DDDMM, ±DDMMSS or ±DDDMMSS in degrees."""
    digits = text[1:]
    whole = 2 if len(digits) in (4, 6) else 3
    minutes, seconds = digits[whole : whole + 2], digits[whole + 2 :]
    value = int(digits[:whole]) + int(minutes) / 60 + int(seconds or 0) / 3600
    return -value if text[0] == "-" else value


def principal_places():
    """Rows of zone.tab: https://data.iana.org/time-zones/tzdb/zone.tab, from the tzdata package."""
    table = importlib.resources.files("tzdata").joinpath("zoneinfo/zone.tab")
    for line in table.read_text(encoding="utf-8").splitlines():
        if not line.startswith("#"):
            _, place, zone, *_ = line.split("\t")
            latitude, longitude = re.findall(r"[+-]\d+", place)
            yield zone, degrees(latitude), degrees(longitude)


def test_principal_place_of_every_zone_keeps_that_zones_clocks():
    places = list(principal_places())
    assert len(places) > 400
    for zone, *place in places:
        assert offsets(zone) in [offsets(found) for found in zones_at(*place)], (zone, place)


def test_every_place_has_a_zone_and_land_in_dispute_several():
    for latitude in (-90, 0, 90):
        for longitude in (-180, -179.999, 0, 180):
            assert zone_fault(zone_at(latitude, longitude)) is None
    assert set(zones_at(43.8, 87.6)) == {"Asia/Shanghai", "Asia/Urumqi"}


@pytest.mark.parametrize(
    ("longitude", "zone"),
    [(0, "Etc/GMT"), (-45, "Etc/GMT+3"), (30, "Etc/GMT-2"), (180, "Etc/GMT-12")],
)
def test_zones_at_sea_are_whole_hours_with_the_sign_reversed(longitude, zone):
    assert nautical_zone(longitude) == zone
    ahead = DAYS[0].astimezone(ZoneInfo(zone)).utcoffset()
    assert ahead.total_seconds() == longitude / 15 * 3600


@pytest.mark.parametrize(
    ("name", "near"),
    [
        ("America/NewYork", "America/New_York"),
        ("america/new_york", "America/New_York"),
        ("New York", "America/New_York"),
        ("Zürich", "Europe/Zurich"),
        ("Berlin", "Europe/Berlin"),
    ],
)
def test_a_wrong_name_is_told_the_nearest(name, near):
    assert zone_fault(name) == f'"{name}" is not the name of a time zone; did you mean "{near}"?'


def test_names_of_the_database_are_zones_and_what_is_like_none_is_told_an_example():
    for name in ("UTC", "Europe/Berlin", "America/Indiana/Knox", "Etc/GMT+3"):
        assert zone_fault(name) is None
    example = 'is not the name of a time zone; write one such as "Europe/Berlin"'
    strange = ["Europe", "localtime", "Factory", "right/UTC", "../etc/passwd", "GMT+1", "a\0b"]
    assert all(zone_fault(name).endswith(example) for name in (*strange, "x" * 5000))


def test_no_slip_that_the_map_tells_of_is_passed_over_without_it():
    """A sign too many or too few, or the two numbers swapped, in the place of a zone's city."""
    told = 0
    for zone, *place in principal_places():
        assert is_plainly_at(*place, zone), zone
        for slip in variants(*place):
            if slip != tuple(place) and (place_doubt(*slip) or zone_doubt(*slip, zone)):
                told += 1
                assert not is_plainly_at(*slip, zone), (zone, slip)
    assert told > 2000


@pytest.mark.parametrize(
    ("place", "zone", "plainly"),
    [
        pytest.param((36.1, -79.95), "America/New_York", True, id="Greensboro"),
        pytest.param((36.1, -79.95), "America/Chicago", False, id="the zone beside"),
        pytest.param((36.16, -86.78), "America/New_York", False, id="Nashville, the zone beside"),
        pytest.param((38.72, -40.0), "Atlantic/Azores", False, id="far out at sea"),
        pytest.param((36.1, -79.95), "US/Eastern", False, id="an old name"),
    ],
)
def test_a_place_is_plainly_where_its_clocks_are(place, zone, plainly):
    assert is_plainly_at(*place, zone) is plainly
