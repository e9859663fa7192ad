"""Civil twilight against an almanac, by its definition, and where days have none."""

from datetime import UTC, datetime

import numpy as np
import pytest

from suncover.facade.twilight import CIVIL, light_intervals
from suncover.sun.position import Observer, sun_position

ONE_MINUTE = 60.0  # the almanac gives whole ones
DAY = 86400.0


def at(*when):
    return datetime(*when, tzinfo=UTC).timestamp()


def test_almanac_civil_twilight():
    """USNO, Rise/Set/Transit/Twilight for Defiance OH, 2019-11-08 (UT): 11:48 and 22:54."""
    begin = at(2019, 11, 8, 6)
    intervals = light_intervals(Observer(41.281944, -84.362778), begin, begin + DAY)
    assert intervals == pytest.approx(
        np.array([[at(2019, 11, 8, 11, 48), at(2019, 11, 8, 22, 54)]]), abs=ONE_MINUTE
    )


@pytest.mark.parametrize(
    ("latitude", "longitude"), [(69.65, 18.96), (-77.85, 166.67), (59.44, 24.75), (0.0, 0.0)]
)
def test_the_sun_stands_six_degrees_down_at_every_end(latitude, longitude):
    """Civil twilight's definition: the disc's centre 96° from the zenith, without refraction."""
    start = at(2026, 1, 1)
    observer = Observer(latitude, longitude)
    ends = light_intervals(observer, start, start + 365 * DAY).ravel()
    inner = ends[(ends > start) & (ends < start + 365 * DAY)]
    assert len(inner) > 250
    # Ends are good to 0.05 s; the sun's height changes by at most 15 arcseconds a second.
    arcsecond = 1 / 3600
    assert sun_position(inner, observer).elevation == pytest.approx(CIVIL, abs=arcsecond)


def test_no_end_is_missed_and_none_invented():
    """Against the sun's height, read every minute of a year near a polar circle."""
    observer = Observer(65.8, 24.15)
    start = at(2026, 1, 1)
    minutes = start + np.arange(0.0, 365 * DAY, 60.0)
    light = sun_position(minutes, observer).elevation > CIVIL
    intervals = light_intervals(observer, start, start + 365 * DAY)
    index = np.searchsorted(intervals[:, 0], minutes, side="right") - 1
    ours = (index >= 0) & (minutes < intervals[index, 1])
    ends = np.sort(intervals.ravel())
    after = np.searchsorted(ends, minutes)
    beside = np.stack(
        [ends[np.clip(after - 1, 0, None)], ends[np.clip(after, None, len(ends) - 1)]]
    )
    near = np.abs(minutes - beside).min(axis=0) < 0.1
    assert (ours == light)[~near].all()


def test_midsummer_night_in_tromso_has_no_dusk_and_midwinter_a_short_light():
    """Tromsø, 69.65° N: the sun is up all day from 19 May to 25 July; at the winter solstice its
    height at noon is -3.1°, so there is twilight though no sunrise (90° - 69.65° - 23.44°).
    """
    observer = Observer(69.6492, 18.9553)
    june, december = at(2026, 6, 1), at(2026, 12, 21)
    assert light_intervals(observer, june, june + 20 * DAY).tolist() == [[june, june + 20 * DAY]]
    short = light_intervals(observer, december, december + DAY)
    assert len(short) == 1
    # cos H = (sin -6° - sin φ sin δ) / (cos φ cos δ) with δ = -23.44°: 33.5° each side of noon.
    phi, delta = np.radians(69.6492), np.radians(-23.44)
    cosine = (np.sin(np.radians(CIVIL)) - np.sin(phi) * np.sin(delta)) / (
        np.cos(phi) * np.cos(delta)
    )
    expected = 2 * np.degrees(np.arccos(cosine)) * 240.0
    assert short[0, 1] - short[0, 0] == pytest.approx(expected, abs=ONE_MINUTE)


def test_polar_night_is_dark():
    """Ny-Ålesund, 78.92° N: at the solstice the noon sun stands at -12.4°."""
    start = at(2026, 12, 15)
    assert len(light_intervals(Observer(78.92, 11.93), start, start + 10 * DAY)) == 0
