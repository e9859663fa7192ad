"""Sunrise and sunset against astral, an independent sun, at many places and on many days.

Its sun is that of J. Meeus, Astronomical Algorithms, chapter 25, "with an accuracy of 0.01 degree",
and its equation of time that of chapter 28.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import astral
import numpy as np
import pytest
from astral.sun import SUN_APPARENT_RADIUS, refraction_at_zenith, sunrise, sunset
from sun_events import geocentric_elevation, height_crossings

from suncover.sun.position import Observer

PLACES = {
    "Utqiagvik": (71.29, -156.79),
    "Tromso": (69.65, 18.96),
    "Reykjavik": (64.15, -21.94),
    "Edinburgh": (55.95, -3.19),
    "Vancouver": (49.28, -123.12),
    "Ulaanbaatar": (47.92, 106.92),
    "Madrid": (40.42, -3.70),
    "Greensboro": (36.07, -79.79),
    "Honolulu": (21.31, -157.86),
    "Bengaluru": (12.97, 77.59),
    "Quito": (-0.18, -78.47),
    "Apia": (-13.83, -171.77),
    "Suva": (-18.14, 178.44),
    "Perth": (-31.95, 115.86),
    "Wellington": (-41.29, 174.78),
    "Ushuaia": (-54.80, -68.30),
    "Rothera": (-67.57, -68.13),
}
# What astral counts as rising and setting: the upper limb, lifted by its own refraction there.
HEIGHT = -(SUN_APPARENT_RADIUS + refraction_at_zenith(90.0 + SUN_APPARENT_RADIUS))
# Degrees that its sun may be off in right ascension and in declination, both together.
DEGREES_OFF = 0.01 * np.sqrt(2.0)
# Seconds that its equation of time may be off besides, and those to which it finds its events.
SECONDS_OFF = 5.0
START = datetime(2026, 1, 1, tzinfo=UTC).timestamp()
DAYS = 365


def astral_events(latitude: float, longitude: float) -> tuple[np.ndarray, np.ndarray]:
    """Its sunrises and sunsets about the days of the year, every third; days without are left out.

    It may give the event of the day before or after, so the day asked for is not looked at.
    """
    observer = astral.Observer(latitude, longitude, 0.0)
    found: tuple[list[float], list[float]] = ([], [])
    for number in range(1, DAYS - 1, 3):
        day = date(2026, 1, 1) + timedelta(days=number)
        for find, events in zip((sunrise, sunset), found, strict=True):
            try:
                events.append(find(observer, day).timestamp())
            except ValueError:
                continue  # the sun does not rise or set, or astral does not find it
    return np.array(found[0]), np.array(found[1])


@pytest.mark.parametrize("name", PLACES)
def test_sun_rises_and_sets_when_astral_says(name):
    latitude, longitude = PLACES[name]
    observer = Observer(latitude, longitude)
    ours = height_crossings(observer, HEIGHT, START - 86400, START + (DAYS + 1) * 86400)
    theirs = astral_events(latitude, longitude)
    for found, all_of_ours in zip(theirs, ours, strict=True):
        # Astral works out the sun of one date in UTC, and goes round the day once: an event within
        # minutes of midnight may come out with the declination of the day before.
        times = found[(found + 600.0) % 86400.0 > 1200.0]
        nearest = all_of_ours[np.abs(times[:, None] - all_of_ours[None, :]).argmin(axis=1)]
        beside = geocentric_elevation(nearest[:, None] + np.array([-1.0, 1.0]), observer)
        rate = np.abs(beside[:, 1] - beside[:, 0]) / 2.0  # degrees a second
        assert (np.abs(times - nearest) < SECONDS_OFF + DEGREES_OFF / rate).all()
        assert len(times) > (100 if abs(latitude) < 66.0 else 60)
