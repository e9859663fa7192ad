"""How far a logger's clock is off, by the light's coming in the morning and leaving at night.

Light from the sky passes one level twice a day, at the same height of the sun. So the middle
between the two is the sun's noon, whatever the unit and wherever the window faces. The level lies
above what lamps give at that hour. A reading tells the light only every so often, so what is known
of each passing are the readings before and after it: the sun's height lay between its heights at
these two. To a window the side of the sky where the sun is gives more light than the other, so that
one that faces west keeps its light for longer: by `SUNNY_SIDE` that is taken off.
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

# By what share an upright plane gets more light than the mean of all round where it faces the sun
# on the horizon, and less where it faces away, with one standard deviation. Computed from the skies
# of ISO 15469:2004 (CIE S 011): 0.31 under its type 7, 0.44 under 12 (clear), 0.59 under 13 (hazy);
# 0 under cloud, of which some days have a little.
SUNNY_SIDE, SUNNY_SIDE_SD = 0.4, 0.15
TENTH_DEG = 3.5  # degrees of the sun's height in which twilight falls to a tenth, about
ABOUT_SD = 8.0  # degrees by which the window may face another way
# By how many degrees of the sun's height a level is passed apart at dawn and at dusk, one standard
# deviation: what stands about may make one side a tenth brighter; and above `BEAM_FROM` degrees,
# where the beam may fall on the window at one of the two, by so much more for each degree. Our own
# judgement.
SIDED, BEAM_SIDED, BEAM_FROM = 0.15, 2.0 / 3.0, -0.6
# What is known of a clock without any night to tell it, one standard deviation: as if a quarter of
# them were an hour off, knowing nothing of summer time. Our own judgement.
UNKNOWN_MIN = 30.0
# The least light that is looked for, as a share of full light's and of a lamp's: before sunrise.
FAINT, FAINT_BY_LAMP = 0.0005, 0.02
# Steps of a sensor that counts in steps; times these, a lamp that is lost in them; times such a
# lamp, what drowns it; and by how much that makes the sides of the day less sure to be alike.
QUANTA, FAINT_LAMP, DROWNED, LOPSIDED = 2.0, 1.6, 4.0, 2.0
NOISE_MOST = 0.0008  # of full light, where a lamp may be taken for noise
WIDEST_MIN = 180.0  # more than a clock is taken to be off
DEEP_NIGHT = -4.0  # degrees, all the time within so many seconds
NIGHT_AROUND = 5400.0
FEWEST_DAYS = 3
MOST_DAYS = 90
# Degrees by which the sky of one day differs from another's, and the chance of a day that has
# nothing to do with the others (a shade, a lamp).
SKIES = np.array([0.1, 0.2, 0.4, 0.8, 1.6])
STRANGE = 0.05
SIDES_MIN = 12.0  # more than the sky's sides set a clock apart
FINE_MIN = 0.25  # minutes between the clock errors that are tried at last
PLATEAU_S = 2400.0  # a light that stays the same for so long at dusk is a lamp's
LAMP_MOST = 0.2  # of the brightest light: what stays the same and is brighter is the sun
PLATEAU = 0.1  # by what share of itself a lamp's light changes at the most
DUSK_S = 10800.0  # seconds from a light reading on in which it gets as dark as it will be
LAMP_S = 6 * 3600.0  # that a lamp may burn after dusk
SETTLED_S = 2400.0  # of them, at the end, in which it is
LONGEST_GAP_S = 1800.0  # between the readings about a passing


class ClockError(NamedTuple):
    """Minutes by which a clock is ahead, one standard deviation, and the days that show it."""

    minutes: float
    sd: float
    days: int


def clock_error(log: LightLog, observer: Observer, outward: Floats) -> ClockError:
    """How far the log's clock is ahead of the true time; `outward` (3,) is about where its window
    faces.
    """
    levels = _levels(log, observer)
    if levels is None:
        return ClockError(0.0, UNKNOWN_MIN, 0)
    spans = _passings(log, observer, levels)
    if len(spans) < FEWEST_DAYS:
        return ClockError(0.0, UNKNOWN_MIN, len(spans))
    spans = spans[:: len(spans) // MOST_DAYS + 1]
    near = float(np.median(_ahead(spans.mean(axis=2), observer)))
    brighter = _brighter(spans.mean(axis=2) - 60.0 * near, observer, outward)
    minutes, chance = _odds(spans, observer, near, brighter[0])
    middle = float(chance @ minutes)
    sd = float(np.sqrt(chance @ (minutes - middle) ** 2))
    sided = _sided_min(spans, observer, near, brighter) * (LOPSIDED if levels.drowned else 1.0)
    sd = float(np.hypot(sd, sided))
    return ClockError(middle if sd < UNKNOWN_MIN else 0.0, min(sd, UNKNOWN_MIN), len(spans))


def _brighter(times: Floats, observer: Observer, outward: Floats) -> Floats:
    """By how many degrees lower the sun may be for a level at `times` (d, 2), as the sky's brighter
    side is before the window: as it is taken to be, and if that or the window's direction were one
    standard deviation off, (3, d, 2).
    """
    toward = np.arctan2(outward[0], outward[1])
    away = np.radians(sun_position(times, observer).azimuth) - toward
    level = float(np.hypot(outward[0], outward[1]))
    cases = ((SUNNY_SIDE, 0.0), (SUNNY_SIDE + SUNNY_SIDE_SD, 0.0), (SUNNY_SIDE, ABOUT_SD))
    return np.stack(
        [
            TENTH_DEG * np.log10(1.0 + share * level * np.cos(away + np.radians(turn)))
            for share, turn in cases
        ]
    )


class Levels(NamedTuple):
    """The lowest light that no lamp reaches by night, how much is surely more than noise, the
    night's own, and more than any lamp gives; and whether a faint lamp is drowned.
    """

    bright: float
    above_noise: float
    night: float
    lamp_most: float
    drowned: bool


def _levels(log: LightLog, observer: Observer) -> Levels | None:
    """The levels of a log; None without nights."""
    around = np.arange(-NIGHT_AROUND, NIGHT_AROUND + 1.0, NIGHT_AROUND / 3.0)
    tens = np.unique(np.floor(log.times / 600.0)) * 600.0
    height = sun_position(tens[:, None] + around, observer).apparent_elevation.max(axis=1)
    deep = np.interp(log.times, tens, height) < DEEP_NIGHT
    if np.count_nonzero(deep) * log.interval < 2 * 3600.0:
        return None
    night = log.values[deep]
    # The darker half, for a lamp may burn for most of it. The middle of a half's distances from its
    # own is a third of a bell curve's standard deviation.
    low = np.sort(night)[: max(len(night) // 2, 1)]
    dark = float(np.median(low))
    noise = 3.0 * float(np.median(np.abs(low - dark)))
    lamp = float(np.quantile(night, 0.995))
    bright = float(np.quantile(log.values, 0.995))
    if bright <= lamp:
        return None
    # Noise of one side only shows in the whole night; so may a lamp, which is why it is bounded.
    whole = 1.4826 * float(np.median(np.abs(night - np.median(night))))
    # Where what is below nothing reads nothing, half of it is nothing: the upper half tells.
    upper = (float(np.quantile(night, 0.75)) - dark) / 0.674
    noise = max(noise, min(max(whole, upper), NOISE_MOST * (bright - dark)))
    counted = QUANTA * _quantum(log.values, bright)
    some_light = max(
        5.0 * noise,
        FAINT * (bright - dark),
        FAINT_BY_LAMP * (lamp - dark),
        counted,
    )
    drowned = lamp - dark < FAINT_LAMP * counted
    if drowned:
        some_light = max(some_light, DROWNED * (lamp - dark))  # not to be told from the dark
    level = dark + (1.0 + PLATEAU) * (lamp - dark) + some_light
    lamp_most = max(dark + LAMP_MOST * (bright - dark), lamp)
    return Levels(level, some_light, dark, lamp_most, drowned)


def _quantum(values: Floats, bright: float) -> float:
    """The least step of a sensor that counts in steps: about 0 for one that does not."""
    steps = np.diff(np.unique(np.round(values / bright, 6)))
    return float(steps.min(initial=np.inf)) * bright if len(steps) else 0.0


def _passings(log: LightLog, observer: Observer, levels: Levels) -> Floats:
    """The readings before and after the first and the last light of each day: (d, 2, 2), times by
    the logger's clock.

    Only of days whose readings go on about both.
    """
    solar = log.times + observer.longitude * 240.0
    day = np.floor(solar / DAY)
    passings = []
    above = log.values > levels.bright
    for number in np.unique(day):
        first, last = np.searchsorted(day, [number, number + 1])
        noon = first + int(np.searchsorted(solar[first:last], number * DAY + DAY / 2.0))
        morning = np.flatnonzero(above[first:noon])
        evening = np.flatnonzero(above[noon:last])
        if not len(morning) or not len(evening):
            continue
        low = _dark_row(log, first + int(morning[0]), -1, levels)
        high = _dark_row(log, noon + int(evening[-1]), 1, levels)
        if low is None or high is None:
            continue
        times = log.times[[low, low + 1, high - 1, high]].reshape(2, 2)
        if np.ptp(times, axis=1).max() <= max(1.5 * log.interval, LONGEST_GAP_S):
            passings.append(times)
    return np.array(passings).reshape(-1, 2, 2)


def _dark_row(log: LightLog, row: int, step: int, levels: Levels) -> int | None:
    """The reading beyond a light one from which on the sky gives no light; None where the log does
    not tell. `step` leads into the night.
    """
    _, some_light, night, lamp_most, _ = levels
    away = step * (log.times - log.times[row])
    # The light reading may be a lamp's, and day have ended long before.
    dusk = np.flatnonzero((away > -LAMP_S) & (away <= DUSK_S))[::step]
    black = np.flatnonzero((log.values[dusk] <= night + some_light) & (away[dusk] > 0.0))
    if len(black):
        # What is lit after that is a lamp that was switched on when the sky's light had gone.
        dark, dusk = night, dusk[: int(black[-1]) + 1]
    else:
        # A lamp that burns at dusk makes the night no day: it is dark when only its light is left.
        # So the way leads from the night back to where there is more light.
        late = log.values[dusk[away[dusk] > DUSK_S - SETTLED_S]]
        if len(late) < 2 or np.ptp(late) > max(2.0 * some_light, PLATEAU * float(late.max())):
            return None
        dark = float(np.median(late))
    light = np.flatnonzero(log.values[dusk] > dark + some_light)
    last = int(light[-1]) if len(light) else -1
    if last >= len(dusk) - 1:
        return None  # it grows darker still, or a lamp was switched on just now
    long = max(4, int(PLATEAU_S / log.interval))
    inner = log.values[dusk[max(last + 1 - long, 0) : last + 1]]
    if len(inner) == long:
        plateau = float(np.median(inner))
        if plateau <= lamp_most and np.ptp(inner) < PLATEAU * (plateau - dark):
            # A lamp went out just now: the sky's light had gone before, when only its was left.
            late_light = inner[long // 2 :]
            flicker = float(np.median(np.abs(late_light - np.median(late_light))))
            plateau = float(np.median(late_light))
            least_light = max(some_light, 5.0 * 1.4826 * flicker)
            light = np.flatnonzero(log.values[dusk[: last + 1]] > plateau + least_light)
            last = int(light[-1]) if len(light) else -1
    return int(dusk[last + 1])


def _odds(
    spans: Floats, observer: Observer, near: float, brighter: Floats
) -> tuple[Floats, Floats]:
    """Clock errors in minutes, and how likely each is; `near` is about the right one, `brighter`
    (d, 2) what is to be added to the sun's heights.
    """
    reach = float(np.ptp(spans, axis=2).max()) / 60.0 + SIDES_MIN
    minutes = near + np.arange(-reach, reach + FINE_MIN / 2.0, FINE_MIN)
    heights, slopes = _heights(spans - 60.0 * near, observer)
    heights = heights + brighter[..., None]
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


def _sided_min(spans: Floats, observer: Observer, near: float, brighter: Floats) -> float:
    """What the sky's sides may do to the clock error, in minutes."""
    heights, slopes = _heights(spans.mean(axis=2) - 60.0 * near, observer)
    typical = float(np.median(np.abs(slopes)))
    above = max(float(np.median(heights)) - BEAM_FROM, 0.0)
    apart = np.median(brighter[..., 0] - brighter[..., 1], axis=1)
    sides = np.array([SIDED, BEAM_SIDED * above, *(apart[1:] - apart[0])])
    return float(np.sqrt(sides @ sides)) / 2.0 / max(typical, 0.02)


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
