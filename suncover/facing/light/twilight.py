"""When twilight passes one level of light in a log, in the morning and in the evening.

Twilight is told from lamps, curtains and shutters by how it grows: by about a third of a power of
ten with each degree of the sun's height, before and after it passes the level. What is switched,
jumps, and then stays. Between two readings its logarithm goes in about a straight line, so that it
is known to a minute or so when it passed, even where they are a quarter of an hour apart.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from suncover.site.light_log import LightLog
from suncover.sun.position import DAY, Observer, sun_position

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.intp]

DEEP_NIGHT = -4.0  # degrees, all the time within so many seconds
NIGHT_AROUND = 5400.0
# Levels that are tried: from the least that is more than noise, a share of the brightest light or
# steps of a sensor that counts in steps, to the most; so many of them to a power of ten.
FAINT, NOISES, QUANTA, MOST, PER_TEN = 0.0003, 5.0, 3.0, 0.1, 5
# Powers of ten by which light grows with a degree of the sun's height: below the horizon, just
# above it, and higher, where a clear sky's comes to a tenth. From memory, level ground has some
# 400 lx as the sun sets, 3 lx at -6 degrees and 0.01 lx at -12 degrees, which is 0.35 and 0.41.
GROWTH, GROWTH_AT = (0.4, 0.25, 0.12), (0.0, 5.0, 10.0)
LEAST_GROWTH, MOST_GROWTH = 0.08, 0.6
ALIKE, UNEVEN = 0.55, 0.15  # of the log's own growth the least; powers of ten it may be off
ABOUT_DEG, ABOUT_S = 2.0, 2 * 3600.0  # before and after the level, in which it has to grow
# Powers of ten of a jump that only a curtain makes, and seconds from the passing within which it
# says that the curtain was shut then: under it the light passes all levels later.
CURTAIN, CURTAIN_S = 0.78, 3 * 3600.0
SUNRISE_DEG, BRIEF_DEG = 6.0, 1.2
# A lamp that burns while the light passes: how long it is looked at in the night before or after,
# from the passing on, and by how much of itself it may differ.
LAMP_S, LAMP_SPREAD, LAMP_FEWEST, LAMP_HEIGHT, LAMP_BELOW = 2700.0, 0.1, 4, 12.0, 3.0
NOISE_MOST = 0.0002  # of full light, where a lamp may be taken for noise
LONGEST_GAP_S = 1800.0  # between the readings about a passing
FEWEST = 6  # readings of half a day
ENOUGH_OF = 0.75  # of the most days that a level has: enough for a lower one to be taken


class Passings(NamedTuple):
    """When the light passed the level: unix seconds `times` (n,), in the `morning` (n,) or in the
    evening, and the number of the `day` (n,), counted from local mean midnight.
    """

    times: Floats
    morning: Bools
    day: NDArray[np.int64]

    @property
    def days(self) -> int:
        """Of how many days there is a passing in the morning or in the evening, the fewer."""
        return int(min(np.count_nonzero(self.morning), np.count_nonzero(~self.morning)))


NONE = Passings(np.zeros(0), np.zeros(0, dtype=np.bool_), np.zeros(0, dtype=np.int64))


def passings(log: LightLog, observer: Observer) -> Passings | None:
    """The passings of the lowest level that about as many days show as any other; None for a log
    without nights.
    """
    night = _night(log, observer)
    if night is None:
        return None
    halves = _halves(log, observer, night)
    full = night.bright - night.dark
    least = max(NOISES * night.noise, FAINT * full, QUANTA * night.quantum)
    if least >= MOST * full:
        return NONE
    count = int(np.log10(MOST * full / least) * PER_TEN) + 1
    tried = [_passings_of(halves, least * 10.0 ** (at / PER_TEN)) for at in range(count)]
    most = max(seen.days for seen in tried)
    return next(seen for seen in tried if seen.days >= ENOUGH_OF * most)


class _Night(NamedTuple):
    """What the sensor reads without light, by how much that may be off, and full light; and the
    least step of a sensor that counts in steps, about 0 for one that does not.
    """

    dark: float
    noise: float
    bright: float
    quantum: float


def _night(log: LightLog, observer: Observer) -> _Night | None:
    around = np.arange(-NIGHT_AROUND, NIGHT_AROUND + 1.0, NIGHT_AROUND / 3.0)
    tens = np.unique(np.floor(log.times / 600.0)) * 600.0
    height = sun_position(tens[:, None] + around, observer).apparent_elevation.max(axis=1)
    deep = np.interp(log.times, tens, height) < DEEP_NIGHT
    if np.count_nonzero(deep) * log.interval < 2 * 3600.0:
        return None
    # The darker half, for a lamp may burn for most of it.
    by_value = np.sort(log.values[deep])
    low = by_value[: max(len(by_value) // 2, 1)]
    dark, bright = float(np.median(low)), float(np.quantile(log.values, 0.995))
    if bright <= dark:
        return None
    # The middle of a half's distances from its own is a third of a bell curve's standard deviation.
    # But where what is below nothing reads nothing, half of it is nothing, and the upper half
    # tells; so may a lamp, which is why that is bounded.
    noise = 3.0 * float(np.median(np.abs(low - dark)))
    upper = (float(np.quantile(by_value, 0.75)) - dark) / 0.674
    noise = max(noise, min(upper, NOISE_MOST * (bright - dark)))
    steps = np.diff(np.unique(np.round(log.values / bright, 6)))
    quantum = float(steps.min(initial=np.inf)) * bright if len(steps) else 0.0
    return _Night(dark, noise, bright, quantum)


@dataclass(frozen=True)
class _Half:
    """Half a day of a log from night to noon: `times` (n,), the `light` beyond the dark's, and the
    sun's `height` by the logger's clock.
    """

    day: int
    morning: bool
    times: Floats
    light: Floats
    height: Floats
    noise: float
    longest: float

    @cached_property
    def log_light(self) -> Floats:
        return np.log10(np.maximum(self.light, 0.5 * self.noise + 1e-12))

    @cached_property
    def steps(self) -> Floats:
        return np.abs(np.diff(self.times))

    @cached_property
    def jumps(self) -> Ints:
        """The readings after which a curtain was opened."""
        usual = np.interp(self.height[:-1], GROWTH_AT, GROWTH) * np.abs(np.diff(self.height))
        rise = np.diff(self.log_light) - usual
        lit = self.light[:-1] > 2.0 * self.noise
        return np.flatnonzero((rise > CURTAIN) & lit & (self.steps <= self.longest))

    def passed(self, level: float, growth: float) -> tuple[float, float] | None:
        """When the light passes the level as twilight does, and by how many powers of ten it grows
        there with a degree; None where it does not. `growth` is the least.
        """
        passes = (self.light[:-1] < level) & (self.light[1:] >= level)
        passes &= (self.steps <= self.longest) & (np.diff(self.height) > 0.0)
        for row in np.flatnonzero(passes).tolist():
            own = self._growth(row, level, growth)
            if own is None or self._under_curtain(row):
                continue
            low, high = self.log_light[row : row + 2].tolist()
            share = float(np.clip((np.log10(level) - low) / max(high - low, 1e-9), 0.0, 1.0))
            begin, end = self.times[row : row + 2].tolist()
            return begin + share * (end - begin), own
        return None

    def _under_curtain(self, row: int) -> bool:
        """Whether a curtain was opened soon after the light had passed a level."""
        later = self.jumps[self.jumps > row]
        soon = np.abs(self.times[later] - self.times[row]) < CURTAIN_S
        # The sun that rises before the window may make as much of a jump of a long interval.
        risen = self.height[later] - self.height[row] > SUNRISE_DEG
        brief = self.height[later + 1] - self.height[later] < BRIEF_DEG
        return bool((soon & (risen | brief)).any())

    def _growth(self, row: int, level: float, least: float) -> float | None:
        """By how many powers of ten the light grows with a degree about the level; None where it
        jumps there, or stays.
        """
        outer, inner = self._beyond(row, -1), self._beyond(row + 1, 1)
        if outer is None or inner is None:
            return None
        tolerance = float(np.log10(1.0 + 2.0 * self.noise / level)) + 0.02
        at = [outer, row, row + 1, inner]
        degrees, rise = np.diff(self.height[at]), np.diff(self.log_light[at])
        grows = rise >= least * degrees - tolerance
        jumps = rise > MOST_GROWTH * degrees + UNEVEN + tolerance
        as_dark_as_ever = self.light[outer] <= 3.0 * self.noise
        if jumps[1] or not grows[2] or not (grows[0] or as_dark_as_ever):
            return None
        return float(np.minimum(rise, MOST_GROWTH * degrees)[1:].sum() / degrees[1:].sum())

    def _beyond(self, row: int, step: int) -> int | None:
        """The next reading by which the sun has gone on by `ABOUT_DEG`."""
        rows = np.arange(row + step, len(self.times) if step > 0 else -1, step)
        on = step * (self.height[rows] - self.height[row]) >= ABOUT_DEG
        near = np.abs(self.times[rows] - self.times[row]) <= ABOUT_S
        reached = np.flatnonzero(on & near)
        return int(rows[reached[0]]) if len(reached) else None

    @cached_property
    def beside_lamp(self) -> _Half | None:
        """The half day without the light of a lamp that burns as the sky's goes; None where none
        does.

        A lamp's light stays, and is what is left at last and all the time until then.
        """
        count = int(LAMP_S / float(np.median(self.steps))) + 1
        if count < LAMP_FEWEST or len(self.light) < count:
            return None
        lasting = sliding_window_view(self.light, count)
        usual, spread = np.median(lasting, axis=1), np.ptp(lasting, axis=1)
        half = count // 2
        grown = np.median(lasting[:, -half:], axis=1) - np.median(lasting[:, :half], axis=1)
        steady = spread <= LAMP_SPREAD * usual + 5.0 * self.noise
        steady &= np.abs(grown) <= 0.3 * LAMP_SPREAD * usual + 0.5 * self.noise
        most = np.maximum.accumulate(self.light[::-1])[::-1][count - 1 :]
        steady &= (self.height[count - 1 :] < LAMP_HEIGHT) & (most > LAMP_BELOW * usual)
        last = np.flatnonzero(steady)
        if len(last) == 0 or usual[last[-1]] < NOISES * self.noise:
            return None
        begin, lamp = int(last[-1]), float(usual[last[-1]])
        light, noise = self.light[begin:] - lamp, max(self.noise, float(spread[begin]) / 3.0)
        unlit = np.flatnonzero(light < -3.0 * noise)
        if len(unlit) and float(self.light[begin + unlit].min()) < NOISES * self.noise:
            return None  # it was dark before the lamp was lit
        end = begin + int(unlit[0]) if len(unlit) else len(self.times)
        rows = slice(begin, end)
        return replace(
            self,
            times=self.times[rows],
            light=self.light[rows] - lamp,
            height=self.height[rows],
            noise=noise,
        )


def _halves(log: LightLog, observer: Observer, night: _Night) -> list[_Half]:
    solar = log.times + observer.longitude * 240.0
    tens = np.unique(np.floor(log.times / 600.0)) * 600.0
    tens = np.append(tens, tens[-1] + 600.0)
    height = np.interp(log.times, tens, sun_position(tens, observer).elevation)
    half = np.floor(solar / (DAY / 2.0)).astype(np.int64)
    bounds = [0, *(np.flatnonzero(np.diff(half)) + 1).tolist(), len(half)]
    noise = max(night.noise, 0.5 * night.quantum)
    longest = max(1.5 * log.interval, LONGEST_GAP_S)
    halves = []
    for begin, end in pairwise(bounds):
        if end - begin < FEWEST:
            continue
        number = int(half[begin])
        morning = number % 2 == 0
        rows = slice(begin, end) if morning else slice(end - 1, begin - 1 if begin else None, -1)
        halves.append(
            _Half(
                number // 2,
                morning,
                log.times[rows],
                log.values[rows] - night.dark,
                height[rows],
                noise,
                longest,
            )
        )
    return halves


def _passings_of(halves: list[_Half], level: float) -> Passings:
    at_first = [_best(half, level, LEAST_GROWTH) for half in halves]
    growths = [passed[1] for passed in at_first if passed is not None]
    if not growths:
        return NONE
    least = ALIKE * float(np.clip(np.median(growths), LEAST_GROWTH, MOST_GROWTH))
    passings_by_half = [(half, _best(half, level, least)) for half in halves]
    known = [(half, passed[0]) for half, passed in passings_by_half if passed is not None]
    return Passings(
        np.array([time for _, time in known], dtype=np.float64),
        np.array([half.morning for half, _ in known], dtype=np.bool_),
        np.array([half.day for half, _ in known], dtype=np.int64),
    )


def _best(half: _Half, level: float, least: float) -> tuple[float, float] | None:
    """When the light passes the level, apart from a lamp's."""
    lit = half.beside_lamp
    if lit is not None:
        return lit.passed(level, least) if level > NOISES * lit.noise else None
    return half.passed(level, least)
