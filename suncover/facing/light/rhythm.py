"""How far a logger's clock is off, by the light's coming in the morning and leaving at night.

Light from the sky passes one level twice a day, at the same height of the sun. So the middle
between the two is the sun's noon, whatever the unit and wherever the window faces. The level lies
above what lamps give at that hour. A reading tells the light only every so often, so what is known
of each passing are the readings before and after it: the sun's height lay between its heights at
these two. The light from the side of the sun is a little stronger; `SIDED` allows for that.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facing.likelihood import normal_cdf
from suncover.site.light_log import LightLog
from suncover.sun.position import DAY, Observer, sun_position

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# What a brighter side of the sky does to the height of the sun at which light passes a level, in
# degrees; and what is known of a clock without any night to tell it, in minutes. One standard
# deviation each, our own judgement.
SIDED, UNKNOWN_MIN = 0.22, 10.0
WIDEST_MIN = 180.0  # more than a clock is taken to be off
DEEP_NIGHT = -4.0  # degrees, all the time within so many seconds
NIGHT_AROUND = 5400.0
FEWEST_DAYS = 3
MOST_DAYS = 90
# Degrees by which the sky of one day differs from another's, and the chance of a day that has
# nothing to do with the others (a shade, a lamp).
SKIES = np.array([0.1, 0.2, 0.4, 0.8, 1.6])
STRANGE = 0.05
FINE_MIN = 0.25  # minutes between the clock errors that are tried at last
PLATEAU_S = 2400.0  # a light that stays the same for so long at dusk is a lamp's
LAMP_MOST = 0.2  # of the brightest light: what stays the same and is brighter is the sun
RISEN = -0.6  # degrees: from this true height on, with the refraction there, the sun is up
DUSK_S = 5400.0  # seconds from a dim reading on in which it gets as dark as it will be


class ClockError(NamedTuple):
    """Minutes by which a clock is ahead, one standard deviation, and the days that show it."""

    minutes: float
    sd: float
    days: int


def clock_error(log: LightLog, observer: Observer) -> ClockError:
    """How far the log's clock is ahead of the true time."""
    levels = _levels(log, observer)
    if levels is None:
        return ClockError(0.0, UNKNOWN_MIN, 0)
    spans = _passings(log, observer, *levels)
    if len(spans) < FEWEST_DAYS:
        return ClockError(0.0, UNKNOWN_MIN, len(spans))
    spans = spans[:: len(spans) // MOST_DAYS + 1]
    near = float(np.median(_ahead(spans.mean(axis=2), observer)))
    minutes, chance = _odds(spans, observer, near)
    middle = float(chance @ minutes)
    sd = float(np.sqrt(chance @ (minutes - middle) ** 2))
    return ClockError(middle, float(np.hypot(sd, _sided_min(spans, observer, near))), len(spans))


def _levels(log: LightLog, observer: Observer) -> tuple[float, float, float] | None:
    """The lowest level that no lamp reaches by night, how much light is surely more than noise, and
    more than any lamp gives.

    None without nights.
    """
    around = np.arange(-NIGHT_AROUND, NIGHT_AROUND + 1.0, NIGHT_AROUND / 3.0)
    some = np.unique(np.floor(log.times / 600.0)) * 600.0
    height = sun_position(some[:, None] + around, observer).apparent_elevation.max(axis=1)
    deep = np.interp(log.times, some, height) < DEEP_NIGHT
    if np.count_nonzero(deep) * log.interval < 2 * 3600.0:
        return None
    night = log.values[deep]
    dark = float(np.median(night))
    noise = 1.4826 * float(np.median(np.abs(night - dark)))
    lamp = float(np.quantile(night, 0.995))
    bright = float(np.quantile(log.values, 0.995))
    if bright <= lamp:
        return None
    some_light = max(5.0 * noise, 0.004 * (bright - dark), 0.1 * (lamp - dark))
    level = max(dark + 1.5 * (lamp - dark), dark + some_light)
    return level, some_light, max(dark + LAMP_MOST * (bright - dark), lamp)


def _passings(
    log: LightLog, observer: Observer, level: float, some_light: float, lamp_most: float
) -> Floats:
    """The readings before and after the first and the last light of each day: (d, 2, 2), times by
    the logger's clock.

    Only of days whose readings go on from before the one until after the other.
    """
    solar = log.times + observer.longitude * 240.0
    day = np.floor(solar / DAY)
    found = []
    above = log.values > level
    for number in np.unique(day):
        first, last = np.searchsorted(day, [number, number + 1])
        noon = first + int(np.searchsorted(solar[first:last], number * DAY + DAY / 2.0))
        if noon <= first or noon >= last or not above[noon]:
            continue
        before = np.flatnonzero(~above[first:noon])
        after = np.flatnonzero(~above[noon:last])
        if not len(before) or not len(after):
            continue
        low = _dark_row(log, first + int(before[-1]), -1, some_light, lamp_most)
        high = _dark_row(log, noon + int(after[0]), 1, some_light, lamp_most)
        if low is None or high is None or high - low < 4:
            continue
        times = log.times[[low, low + 1, high - 1, high]].reshape(2, 2)
        if np.diff(log.times[low : high + 1]).max() <= 1.5 * log.interval:
            found.append(times)
    return np.array(found).reshape(-1, 2, 2)


def _dark_row(
    log: LightLog, row: int, step: int, some_light: float, lamp_most: float
) -> int | None:
    """The reading, next to a dim one, from which on the sky gives no light; None where lamps leave
    that open. `step` leads into the night.
    """
    away = step * (log.times - log.times[row])
    dark = float(log.values[(away >= 0.0) & (away < DUSK_S)].min())
    long = step * max(4, int(PLATEAU_S / log.interval))
    fits = 0 <= row - long < len(log.values)
    inner = log.values[row - long : row : step] if fits else log.values[:0]
    plateau = float(np.median(inner)) if len(inner) else dark
    lamplike = dark + some_light < plateau <= lamp_most
    if lamplike and np.ptp(inner) < 0.15 * (plateau - dark):
        # A lamp went out just now: the sky's light had gone before, when only the lamp's was left.
        some = max(some_light, 0.1 * (plateau - dark))
        while 1 <= row < len(log.values) - 1 and log.values[row - step] <= plateau + some:
            row -= step
        return row
    # A lamp that burns at dusk makes the night no day: it is dark when only its light is left.
    end = row + step * int(DUSK_S // log.interval)
    for at in range(row, end, step):
        if not 1 <= at < len(log.values) - 1:
            break
        if log.values[at] <= dark + some_light:
            return at
    return None


def _odds(spans: Floats, observer: Observer, near: float) -> tuple[Floats, Floats]:
    """Clock errors in minutes, and how likely each is; `near` is about the right one."""
    reach = float(np.ptp(spans, axis=2).max()) / 60.0 + 4.0
    minutes = near + np.arange(-reach, reach + FINE_MIN / 2.0, FINE_MIN)
    heights, slopes = _heights(spans - 60.0 * near, observer)
    # (d, 2, 2, c): at so small a shift the sun's height goes in a straight line.
    tried = heights[..., None] - slopes[..., None] * (minutes - near)
    low, high = tried.min(axis=2), tried.max(axis=2)
    passed = np.arange(float(heights.min()), float(heights.max()) + 0.05, 0.1)
    log_chance = np.full((len(minutes), len(passed), len(SKIES)), 0.0)
    for below, above in zip(
        low.reshape(-1, len(minutes)), high.reshape(-1, len(minutes)), strict=True
    ):
        for number, spread in enumerate(SKIES):
            within = normal_cdf((above[:, None] - passed) / spread) - normal_cdf(
                (below[:, None] - passed) / spread
            )
            log_chance[:, :, number] += np.log(
                (1.0 - STRANGE) * np.maximum(within, 0.0) + STRANGE * 0.1
            )
    chance = np.exp(log_chance - log_chance.max()).sum(axis=(1, 2))
    return minutes, chance / chance.sum()


def _heights(times: Floats, observer: Observer) -> tuple[Floats, Floats]:
    """The sun's heights in degrees, and by how much they change in a minute."""
    around = sun_position(times[..., None] + np.array([-60.0, 0.0, 60.0]), observer)
    before, here, after = np.moveaxis(around.elevation, -1, 0)
    return here, np.asarray(after - before) / 2.0


def _sided_min(spans: Floats, observer: Observer, near: float) -> float:
    """What the brighter side of the sky may do to the clock error, in minutes."""
    heights, slopes = _heights(spans.mean(axis=2) - 60.0 * near, observer)
    typical = float(np.median(np.abs(slopes)))
    # Where the level is passed with the sun up already, the beam itself may have done it at one end
    # of the day, at once with its rise, and only the sky at the other. That is the most, and taken
    # for three standard deviations (our own judgement): the beam of so low a sun is weak.
    up = max(float(np.median(heights)) - RISEN, 0.0) / 3.0
    return float(np.hypot(SIDED / 2.0, up)) / max(typical, 0.02)


def _ahead(pairs: Floats, observer: Observer) -> Floats:
    """By how many minutes the clock is ahead if the sun is as high at both times of each pair."""
    low = np.full(len(pairs), -WIDEST_MIN)
    high = -low
    for _ in range(20):
        middle = (low + high) / 2.0
        height = sun_position(pairs - 60.0 * middle[:, None], observer).apparent_elevation
        # Taken for later than they are, the morning's sun is too high and the evening's too low.
        more = height[:, 0] > height[:, 1]
        low, high = np.where(more, middle, low), np.where(more, high, middle)
    return np.asarray((low + high) / 2.0)
