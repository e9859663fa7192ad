"""One coming or leaving of the sun in a light log: the beginning of the beam that fits it best.

The light about it is fitted by that of sky and ground, which grows evenly as the sun rises and
comes before the window, and, from some moment on, the beam; each moment leaves a part of the
readings unexplained, which says how likely it is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facing.light.beginnings import Beams, Beginning
from suncover.facing.light.pattern import SKY_POWER
from suncover.facing.light.rhythm import SUNNY_SIDE

Floats = NDArray[np.float64]

REACH_S = 3600.0  # by which an edge may differ from the time expected
STEPS = 6  # tried moments in an interval between readings
FINER, MOST_NEAR = 10, 0.98  # times; where so much of the odds lies beside the best of them
LEAST_SIDE = 4  # readings on either side
MEAN_OF = (np.arange(5) - 2.0) / 5.0  # moments of which a mean of an interval is taken
AT_LIMIT, AT_ONCE = 2, 0.5  # readings at a sensor's limit; share of it before which it is a jump
ON_ITS_OWN_MIN = 1.0  # by which an edge is off beside what its fit says
# By what share the light before an upright plane, without the beam, is stronger where the sun is
# straight before it than where it is square to it. Under a clear sky half of that light is the
# sky's, whose side toward the sun is brighter; the other half, the ground's, has no sides.
SIDED = SUNNY_SIDE / 2.0


@dataclass(frozen=True)
class Edge:
    """The sun's coming (or leaving) on a day: unix seconds, with one standard deviation; `gain` is
    the beam's share of the log's value, `misfit` what of it stays unexplained, `kind` its place
    among the kinds of edges. Of the day's brightest light, so strong a beam would make `of_day`,
    and the light without it is `before`.
    """

    time: float
    sd: float
    coming: bool
    gain: float
    misfit: float
    kind: int = 0
    of_day: float = 1.0
    before: float = 0.0

    @property
    def own_min(self) -> float:
        """How sure it is on its own, in minutes: by its fit, and what no fit tells."""
        return float(np.hypot(self.sd / 60.0, ON_ITS_OWN_MIN))


class Brightest(NamedTuple):
    """A day's brightest light beyond what is `dark`, and the beam's share of the log's value if it
    were all of that, by the way in which the sensor stands.
    """

    dark: float
    light: float
    gain: Mapping[str, float]


@dataclass(frozen=True)
class Readings:
    """Readings (n,) about an expected edge, from before the sun to in it: `hours` after the edge
    (of a leaving, before it), the beam's strength and its cosine on the glass.

    `sine` is that of the sun's height, `basis` (n, 2) spans sky light, `rest` is what that leaves
    of the readings, `glance` the cosine at the edge. `light` (n,) are the readings as shares of the
    day's brightest, which is `day`.
    """

    expected: float
    coming: bool
    hours: Floats
    beam: Floats
    cosine: Floats
    sine: Floats
    basis: Floats
    rest: Floats
    glance: float
    light: Floats
    day: Brightest

    @classmethod
    def of(
        cls,
        expected: float,
        coming: bool,
        *,
        times: Floats,
        values: Floats,
        beam: Floats,
        cosine: Floats,
        sine: Floats,
        most: float,
        day: Brightest,
    ) -> Readings | None:
        """Those at ascending `times`, up to the sensor's limit `most`; None if they are too few."""
        glance = float(np.interp(expected, times, cosine))
        ahead = slice(None) if coming else slice(None, None, -1)
        hours = (1.0 if coming else -1.0) * (times[ahead] - expected) / 3600.0
        values, beam, cosine, sine = (series[ahead] for series in (values, beam, cosine, sine))
        below = values < most
        if not below.all():
            # What lies at the limit tells no more than that the sun had come. If it came at once,
            # the first of it stays: else there would be nothing of the beam.
            cut = int(np.argmin(below))
            if cut > 0 and values[cut - 1] < AT_ONCE * most:
                cut += AT_LIMIT
            hours, values, beam = hours[:cut], values[:cut], beam[:cut]
            cosine, sine = cosine[:cut], sine[:cut]
        if len(hours) < 2 * LEAST_SIDE - 2:
            return None
        sky = sine**SKY_POWER * (1.0 + SIDED * cosine)
        basis, _ = np.linalg.qr(np.column_stack([np.ones_like(hours), sky]))
        rest = values - basis @ (basis.T @ values)
        light = (values - day.dark) / day.light
        return cls(expected, coming, hours, beam, cosine, sine, basis, rest, glance, light, day)

    def fitted(
        self, shapes: Mapping[str, Beginning], step: float, means: bool
    ) -> dict[str, Edge | None]:
        """For each way in which the beam may begin the edge that fits best; None where none does.

        `step` is the time between readings in seconds. Each is the mean of so long, or of a moment.
        """
        tried = np.arange(-REACH_S, REACH_S + 1.0, step / STEPS) / 3600.0
        tried = tried[(tried > self.hours[2]) & (tried < self.hours[-2])]
        if len(tried) < 3 * STEPS:
            return dict.fromkeys(shapes)
        around = np.asarray(step / 3600.0 * MEAN_OF if means else np.zeros(1), dtype=np.float64)
        beams = self._beams(tried, around)
        return {name: self._fitted(shape, beams, around) for name, shape in shapes.items()}

    def _beams(self, tried: Floats, around: Floats) -> Beams:
        """The beam at the readings and `around` each (k,), in hours: (n k)."""
        hours = (self.hours[:, None] + around).ravel()
        if len(around) == 1:
            return Beams(tried, hours, self.beam, self.cosine, self.sine)
        beam, cosine, sine = (
            _extended(hours, self.hours, series) for series in (self.beam, self.cosine, self.sine)
        )
        return Beams(tried, hours, beam, cosine, sine)

    def _fitted(self, shape: Beginning, beams: Beams, around: Floats) -> Edge | None:
        tried = beams.tried
        left, gains, most_light = self._unexplained(shape, beams)
        best = int(np.argmin(left))
        if gains[best] <= 0.0 or best in (0, len(tried) - 1):
            return None
        count, fine = len(self.hours), tried[1] - tried[0]
        chance, variance = _chances(left, count, gains[best] * most_light[best])
        # A beam that grows tells its beginning far more closely than the first moments tried.
        if chance[np.abs(tried - tried[best]) < 1.5 * fine].sum() > MOST_NEAR:
            tried = tried[best] + fine * np.arange(-1.5, 1.6, 1.0 / FINER)
            left, gains, most_light = self._unexplained(shape, self._beams(tried, around))
            best = int(np.argmin(left))
            chance, variance = _chances(left, count, gains[best] * most_light[best])
        middle = float(chance @ tried)
        return Edge(
            self.expected + (3600.0 if self.coming else -3600.0) * middle,
            3600.0 * float(np.sqrt(chance @ (tried - middle) ** 2)),
            self.coming,
            float(gains[best]),
            float(np.sqrt(variance) / (gains[best] * most_light[best])),
            of_day=float(gains[best]) / self.day.gain[shape.way],
            before=float(np.median(self.light[self.hours <= middle][-LEAST_SIDE:])),
        )

    def _unexplained(self, shape: Beginning, beams: Beams) -> tuple[Floats, Floats, Floats]:
        """What is left of the readings, the beam's share and its most, for each moment tried."""
        shapes = beams.lights(shape)
        shapes = shapes.reshape(len(shapes), len(self.hours), -1).mean(axis=2)
        turned = shapes - (shapes @ self.basis) @ self.basis.T
        size = (turned * turned).sum(axis=1)
        along = turned @ self.rest
        gains = np.where(size > 1e-12, along / np.where(size > 1e-12, size, 1.0), 0.0)
        left = self.rest @ self.rest - np.where(gains > 0.0, gains * along, 0.0)
        return left, gains, shapes.max(axis=1)


def _extended(hours: Floats, at: Floats, series: Floats) -> Floats:
    """A `series` known `at` ascending hours, in straight lines, also beyond the first and last."""
    row = np.clip(np.searchsorted(at, hours) - 1, 0, len(at) - 2)
    share = (hours - at[row]) / (at[row + 1] - at[row])
    return np.asarray(series[row] + share * (series[row + 1] - series[row]))


def _chances(left: Floats, count: int, lift: float) -> tuple[Floats, float]:
    """How likely each of some beginnings is by what it leaves of `count` readings, and the variance
    of a reading; `lift` is what the beam adds.
    """
    variance = max(float(left.min()) / max(count - 4, 1), (1e-4 * lift) ** 2)
    chance = np.exp(-0.5 * (left - left.min()) / variance)
    return chance / chance.sum(), variance
