"""How far a logger's clock is off, by the light's coming in the morning and leaving at night.

Light from the sky passes one level twice a day, at the same height of the sun. So the middle
between the two is the sun's noon, whatever the unit and wherever the window faces. To a window the
side of the sky where the sun is gives more light than the other, so that one that faces west keeps
its light for longer: by `SUNNY_SIDE` that is taken off.
"""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facing.light.twilight import Passings, passings
from suncover.site.light_log import LightLog
from suncover.sun.position import DAY, Observer, sun_position

Floats = NDArray[np.float64]

# By what share an upright plane gets more light than the mean of all round where it faces the sun
# on the horizon, and less where it faces away, with one standard deviation. Computed from the skies
# of ISO 15469:2004 (CIE S 011): 0.31 under its type 7, 0.44 under 12 (clear), 0.59 under 13 (hazy);
# 0 under cloud, of which some days have a little.
SUNNY_SIDE, SUNNY_SIDE_SD = 0.4, 0.15
TENTH_DEG = 3.5  # degrees of the sun's height in which twilight falls to a tenth, about
# Degrees by which the window may face another way than whole days have it; and where an overhang, a
# reveal or a fin shades it and misleads them.
ABOUT_SD, SHADED_SD = 8.0, 25.0
# By how many degrees of the sun's height a level is passed apart at dawn and at dusk, one standard
# deviation: what stands about may make one side a tenth brighter; and above `BEAM_FROM` degrees,
# where the beam may fall on the window at one of the two, by so much more for each degree. Our own
# judgement.
SIDED, BEAM_SIDED, BEAM_FROM = 0.15, 2.0 / 3.0, -0.6
# What is known of a clock without any night to tell it, one standard deviation: as if a quarter of
# them were an hour off, knowing nothing of summer time. Our own judgement.
UNKNOWN_MIN = 30.0
WIDEST_MIN = 180.0  # more than a clock is taken to be off
FEWEST_DAYS = 3
MOST_DAYS = 90
# Degrees by which the sky of one day differs from another's, and the chance of a day that has
# nothing to do with the others (a shade, a lamp).
SKIES = np.array([0.1, 0.2, 0.4, 0.8, 1.6])
STRANGE, STRANGE_DENSITY = 0.05, 0.1
# Minutes between the clock errors that are tried at first, and then to either side of the best.
ABOUT_MIN, REACH_MIN, FINE_MIN = 4.0, 30.0, 0.25
# Between which heights of the sun its light is taken to pass the level, and by how many degrees
# from day to day, about.
TWILIGHT_DEG, ABOUT_DEG = (-9.0, 12.0), 0.7
PASSED_DEG = 0.1  # between the heights at which the level may be passed
# Minutes by which a clock jumps that is set to or from summer time, one way or the other, and by
# which most days' own clocks are apart at the most before and after.
JUMP_MIN, MOST_OF, JUMP_SCATTER_MIN = (48.0, 72.0), 0.75, 8.0


class ClockError(NamedTuple):
    """Minutes by which a clock is ahead, one standard deviation, and the days that show it."""

    minutes: float
    sd: float
    days: int


class ClockJump(NamedTuple):
    """About when, by the logger's clock, it was set ahead by so many minutes (or back)."""

    time: float
    minutes: float


def clock_error(log: LightLog, observer: Observer, outward: Floats) -> ClockError:
    """How far the log's clock is ahead of the true time; `outward` (3,) is about where its window
    faces.
    """
    return clock_by(passings(log, observer), observer, outward)


def clock_by(
    seen: Passings | None, observer: Observer, outward: Floats, about: float = ABOUT_SD
) -> ClockError:
    """How far the clock of a log is ahead, by its `passings`; its window may face another way than
    `outward` by so many degrees, one standard deviation.
    """
    if seen is None or seen.days < FEWEST_DAYS:
        return ClockError(0.0, UNKNOWN_MIN, 0 if seen is None else seen.days)
    thin = np.isin(seen.day, np.unique(seen.day)[:: len(np.unique(seen.day)) // MOST_DAYS + 1])
    seen = Passings(seen.times[thin], seen.morning[thin], seen.day[thin])
    near, days = _about(seen, observer)
    if days < FEWEST_DAYS:
        return ClockError(0.0, UNKNOWN_MIN, days)
    brighter = _brighter(seen.times - 60.0 * near, observer, outward, about)
    minutes, chance = _odds(seen, observer, near, brighter[0])
    middle = float(chance @ minutes)
    sd = float(np.sqrt(chance @ (minutes - middle) ** 2))
    sd = float(np.hypot(sd, _sided_min(seen, observer, near, brighter)))
    return ClockError(middle if sd < UNKNOWN_MIN else 0.0, min(sd, UNKNOWN_MIN), days)


def _about(seen: Passings, observer: Observer) -> tuple[float, int]:
    """About by how many minutes the clock is ahead: where most passings are at one height of the
    sun, as it may be when light is so faint; and how many they are in the morning or in the
    evening, the fewer.
    """
    tried = np.arange(-WIDEST_MIN, WIDEST_MIN + 1.0, ABOUT_MIN)
    heights = sun_position(seen.times[:, None] - 60.0 * tried, observer).elevation
    passed = np.arange(*TWILIGHT_DEG, ABOUT_DEG)
    log = np.zeros((len(tried), len(passed)))
    for row in heights:
        bell = np.exp(-0.5 * ((row[:, None] - passed) / ABOUT_DEG) ** 2)
        log += np.log((1.0 - STRANGE) * bell / (ABOUT_DEG * 2.5) + STRANGE * STRANGE_DENSITY)
    at, height = np.unravel_index(int(np.argmax(log)), log.shape)
    alike = np.abs(heights[:, at] - passed[height]) < 3.0 * ABOUT_DEG
    count = min(np.count_nonzero(alike & part) for part in (seen.morning, ~seen.morning))
    return float(tried[at]), int(count)


def without_jump(
    log: LightLog, observer: Observer, seen: Passings | None
) -> tuple[LightLog, ClockJump | None]:
    """A log with the `passings` seen, all by the clock that more of its days had, if that was set
    anew once.
    """
    if seen is None or seen.days < 2 * FEWEST_DAYS:
        return log, None
    day, ahead = _daily(seen, observer)
    best, jump = np.inf, None
    for first in range(FEWEST_DAYS, len(day) - FEWEST_DAYS + 1):
        before, after = float(np.median(ahead[:first])), float(np.median(ahead[first:]))
        off = np.abs(ahead - np.where(np.arange(len(day)) < first, before, after))
        scatter = max(np.quantile(part, MOST_OF) for part in (off[:first], off[first:]))
        unlike = float(np.minimum(off, JUMP_SCATTER_MIN).sum())
        is_hour = JUMP_MIN[0] <= abs(after - before) <= JUMP_MIN[1]
        if is_hour and scatter < JUMP_SCATTER_MIN and unlike < best:
            night = (day[first - 1] + day[first] + 1.0) / 2.0 * DAY - observer.longitude * 240.0
            best, jump = unlike, ClockJump(float(night), after - before)
    if jump is None:
        return log, None
    later = log.times >= jump.time
    later_has_more = np.count_nonzero(later) > 0.5 * len(later)
    by = np.where(later != later_has_more, 60.0 * jump.minutes * (1 if later_has_more else -1), 0.0)
    times = log.times + by
    order = np.argsort(times, kind="stable")
    times, values = times[order], log.values[order]
    fresh = np.append(True, np.diff(times) > 0.5 * log.interval)
    return replace(log, times=times[fresh], values=values[fresh]), jump


def _daily(seen: Passings, observer: Observer) -> tuple[NDArray[np.int64], Floats]:
    """By how many minutes the clock is ahead as each morning has it with the next evening known, if
    the sun is as high at both: the days, and minutes.
    """
    morning, evening = seen.times[seen.morning], seen.times[~seen.morning]
    of_morning, of_evening = seen.day[seen.morning], seen.day[~seen.morning]
    order = np.argsort(of_evening)
    at = np.clip(np.searchsorted(of_evening[order], of_morning), 0, len(order) - 1)
    pick = order[at]
    # An evening of another day, as if it were of this one.
    shift = (of_evening[pick] - of_morning).astype(np.float64) * DAY
    pairs = np.stack([morning, evening[pick] - shift], axis=1)
    near = np.argsort(of_morning)
    return of_morning[near], _ahead(pairs[near], observer)


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


def _brighter(times: Floats, observer: Observer, outward: Floats, about: float) -> Floats:
    """By how many degrees lower the sun may be for a level at `times` (n,), as the sky's brighter
    side is before the window: as it is taken to be, and if that or the window's direction were one
    standard deviation off, (3, n).
    """
    toward = np.arctan2(outward[0], outward[1])
    away = np.radians(sun_position(times, observer).azimuth) - toward
    level = float(np.hypot(outward[0], outward[1]))
    cases = ((SUNNY_SIDE, 0.0), (SUNNY_SIDE + SUNNY_SIDE_SD, 0.0), (SUNNY_SIDE, about))
    return np.stack(
        [
            TENTH_DEG * np.log10(1.0 + share * level * np.cos(away + np.radians(turn)))
            for share, turn in cases
        ]
    )


def _odds(
    seen: Passings, observer: Observer, near: float, brighter: Floats
) -> tuple[Floats, Floats]:
    """Clock errors in minutes, and how likely each is; `near` is about the right one, `brighter`
    (n,) what is to be added to the sun's heights.
    """
    minutes = near + np.arange(-REACH_MIN, REACH_MIN + FINE_MIN / 2.0, FINE_MIN)
    heights, slopes = _heights(seen.times - 60.0 * near, observer)
    heights = heights + brighter
    # (n, c): at so small a shift the sun's height goes in a straight line.
    tried = heights[:, None] - slopes[:, None] * (minutes - near)
    middle = float(np.median(heights))
    passed = middle + np.arange(-8.0, 8.0, PASSED_DEG)
    log_chance = np.zeros((len(minutes), len(passed), len(SKIES)))
    for row in tried:
        square = (row[:, None] - passed) ** 2
        for number, spread in enumerate(SKIES):
            bell = np.exp(-0.5 * square / spread**2) / (spread * np.sqrt(2.0 * np.pi))
            log_chance[:, :, number] += np.log((1.0 - STRANGE) * bell + STRANGE * STRANGE_DENSITY)
    chance = np.exp(log_chance - log_chance.max()).sum(axis=(1, 2))
    return minutes, chance / chance.sum()


def _heights(times: Floats, observer: Observer) -> tuple[Floats, Floats]:
    """The sun's heights in degrees, and by how much they change in a minute."""
    around = sun_position(times[..., None] + np.array([-60.0, 0.0, 60.0]), observer)
    before, here, after = np.moveaxis(around.elevation, -1, 0)
    return here, np.asarray(after - before) / 2.0


def _sided_min(seen: Passings, observer: Observer, near: float, brighter: Floats) -> float:
    """What the sky's sides may do to the clock error, in minutes."""
    heights, slopes = _heights(seen.times - 60.0 * near, observer)
    typical = float(np.median(np.abs(slopes)))
    above = max(float(np.median(heights)) - BEAM_FROM, 0.0)
    apart = np.array(
        [np.median(row[seen.morning]) - np.median(row[~seen.morning]) for row in brighter]
    )
    sides = np.array([SIDED, BEAM_SIDED * above, *(apart[1:] - apart[0])])
    return float(np.sqrt(sides @ sides)) / 2.0 / max(typical, 0.02)
