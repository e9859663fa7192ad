"""Sunrise and sunset as almanacs and newspapers print them: the upper edge of the sun's disc on a
level horizon, as the air bends its light.

The sun's middle then stands 50' below the horizon, 16' for its radius and 34' for the air (the
convention of the Astronomical Almanac; from memory). By astral, whose sun is good to about 0.01
degree (J. Meeus, Astronomical Algorithms, chapter 25): seconds in most places, and minutes where
the sun grazes the horizon. Nothing is planned by these: what counts as sun is found by the sun's
position itself.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from suncover.base.spell import Spell

ZENITH = 90.0 + 50.0 / 60.0  # degrees, of the sun's middle without the air


def sunrise_and_sunset(
    latitude: float, longitude: float, day: Spell
) -> tuple[int | None, int | None]:
    """The first sunrise and the last sunset of a day at a place in degrees: unix seconds.

    `day` runs from one local midnight to the next. None where there is no such event in it.
    """
    from astral import Observer, SunDirection
    from astral.sun import time_of_transit

    place = Observer(latitude, longitude, 0.0)
    first = datetime.fromtimestamp(day.start, UTC).date() - timedelta(days=1)
    last = datetime.fromtimestamp(day.end, UTC).date() + timedelta(days=1)
    by_direction: dict[SunDirection, list[int]] = {
        SunDirection.RISING: [],
        SunDirection.SETTING: [],
    }
    # A local day touches two or three days of UTC, to which astral's events belong.
    for number in range((last - first).days + 1):
        for direction, events in by_direction.items():
            date = first + timedelta(days=number)
            try:
                event = time_of_transit(place, date, ZENITH, direction, with_refraction=False)
            except ValueError:  # the sun stays up or down
                continue
            second = round(event.timestamp())
            if day.start <= second < day.end:
                events.append(second)
    rises, sets = by_direction.values()
    return min(rises, default=None), max(sets, default=None)
