"""When the sun came onto a window and left it, from a light log, day by day.

About the time at which it should, the light is fitted by sky light that changes evenly and, from
some moment on, the beam. How the beam begins hangs on where the sensor lies: `SHAPES`. Which shape
it is shows over all days together; the moment, on each day alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from suncover.facade.daylight import Daylight
from suncover.facade.exposure import observer_of, window_scene
from suncover.facade.frame import window_axes
from suncover.facing.around import HALF_DAY, SunAround
from suncover.facing.light.pattern import SKY_POWER, SunnyDays, averaged
from suncover.site.light_log import LightLog
from suncover.site.model import Need, Site, Window
from suncover.sun.clearsky import clear_sky_dni
from suncover.sun.position import DAY, Observer

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FINEST_S = 120.0  # finer readings are averaged: the sun moves half a degree in this time
WINDOW_S = 5400.0  # before and after the time looked for
REACH_S = 3600.0  # by which it may differ from the time expected
LOWEST_SUN = 8.0  # degrees: below, what begins is rather the sun's rise or set
STEPS = 6  # tried moments in an interval between readings
LEAST_SIDE = 4  # readings on either side
GOOD_FIT = 0.05  # of the beam within the window: what a clear sky leaves unexplained at the most
GAIN_RANGE = (0.6, 1.6)  # of the days' usual beam
SHAPES = ("ramp", "one pane", "two panes", "step")
LYING = ("flat", "even")
"""How the beam begins: with the cosine of its angle, as on a sensor on the glass; the same behind
panes, which let little through at a glance; at once, as where a shadow's edge passes; at once on a
sensor that lies flat on the sill; or at once and as strong at any angle, as one that tells only sun
or no sun has it."""
AT_ONCE = ("step", "flat", "even")
REFRACTION = 1.526  # index of window glass
FULL_SHARE = 0.005  # of the readings at the very top: more is a sensor at its limit
# What is known of shapes beforehand: sensors mostly see the wall's plane.
PRIOR = {"step": 0.3, "flat": 0.3, "even": 0.1}
LIMITED = 0.25  # of an interval: by how much a sensor at its limit may shift all edges
PANE_MIN = 2.0  # minutes: what is not known of panes, their number, tint and coats
DISTINCT = 1.0  # how far the days' fits are independent of each other, where shapes are compared


@dataclass(frozen=True)
class Edge:
    """The sun's coming (or leaving) on a day: unix seconds, with one standard deviation; `gain` is
    the beam's share of the log's value, `misfit` what of it stays unexplained.
    """

    time: float
    sd: float
    coming: bool
    gain: float
    misfit: float


@dataclass(frozen=True)
class _Asked:
    """Readings about an expected edge: times, values, the beam's strength, its cosine on the glass
    and the sine of its height.
    """

    expected: float
    coming: bool
    times: Floats
    values: Floats
    beam: Floats
    cosine: Floats
    sine: Floats


@dataclass(frozen=True)
class Edges:
    """The edges of a log's clear days, and how the beam begins in it.

    `unsure_min` is by how many minutes all edges of a kind may be off, as the shape is not sure.
    """

    found: tuple[Edge, ...]
    shape: str
    unsure_min: float

    @property
    def worth(self) -> float:
        """How many there are and how well they fit, to compare with others of the same log."""
        return float(sum(np.log(GOOD_FIT / edge.misfit) for edge in self.found))


def find_edges(
    log: LightLog,
    site: Site,
    window: Window,
    days: SunnyDays,
    kinds: Sequence[str] = SHAPES,
) -> Edges:
    """The edges on sunny days of a log whose clock is right.

    `window` is the window as it may be turned.
    """
    asked = _asked(log, site, window, days)
    top = float(log.values.max())
    full = np.mean(log.values >= top) > FULL_SHARE
    fits = {
        shape: [_fitted(one, shape, top if full else np.inf, log.interval) for one in asked]
        for shape in kinds
    }
    poor = {shape: _misfit(fits[shape]) for shape in kinds}
    best = min(kinds, key=lambda shape: poor[shape])
    found = tuple(_clear([edge for edge in fits[best] if edge is not None]))
    weight = np.array(
        [
            PRIOR.get(shape, 1.0) * np.exp(-DISTINCT * len(found) * (poor[shape] - poor[best]))
            for shape in kinds
        ]
    )
    weight /= weight.sum()
    apart = np.array([_apart(fits[shape], fits[best], found) for shape in kinds])
    # Where two shapes fit about as well, the truth may be either's.
    shift = float(weight @ apart)
    unsure = float(np.sqrt(weight @ (apart - shift) ** 2))
    if best in PANES:
        unsure = float(np.hypot(unsure, PANE_MIN))
    if full:
        # What a sensor at its limit does not show, shapes differ by.
        unsure = float(np.hypot(unsure, LIMITED * log.interval / 60.0))
    moved = tuple(
        replace(edge, time=edge.time + 60.0 * shift * (1.0 if edge.coming else -1.0))
        for edge in found
    )
    return Edges(moved, best, unsure)


def _apart(fits: Sequence[Edge | None], best: Sequence[Edge | None], kept: Sequence[Edge]) -> float:
    """By how many minutes two shapes have the edges of clear days apart."""
    shifts = [
        (other.time - edge.time) * (1.0 if edge.coming else -1.0) / 60.0
        for other, edge in zip(fits, best, strict=True)
        if other is not None and edge in kept and edge is not None
    ]
    return float(np.median(shifts)) if shifts else 0.0


def _misfit(edges: Sequence[Edge | None]) -> float:
    """How badly a shape fits, over all days; those that hardly fit at all have little say."""
    return float(np.mean([np.log(1.0 if e is None else min(e.misfit, 1.0)) for e in edges] or [0]))


def _asked(log: LightLog, site: Site, window: Window, days: SunnyDays) -> list[_Asked]:
    times, values = averaged(log, FINEST_S)
    observer = observer_of(site.place)
    outward = window_axes(window.azimuth, window.tilt)[2]
    found = []
    for expected, coming, before, after in _expected(site, window, days, observer):
        begin = max(expected - WINDOW_S, expected + 0.7 * (before - expected))
        end = min(expected + WINDOW_S, expected + 0.7 * (after - expected))
        first, last = np.searchsorted(times, [begin, end])
        some = times[first:last]
        if len(some) < 2 * LEAST_SIDE or np.diff(some).max() > 2.5 * max(log.interval, FINEST_S):
            continue
        sun = Daylight.at(some, observer)
        up = sun.elevation > 1.0
        found.append(
            _Asked(
                expected,
                coming,
                some[up],
                values[first:last][up],
                clear_sky_dni(some[up], observer),
                outward @ sun.direction[:, up],
                sun.direction[2, up],
            )
        )
    return found


def _expected(
    site: Site, window: Window, days: SunnyDays, observer: Observer
) -> list[tuple[float, bool, float, float]]:
    """When edges should be on sunny days, whether the sun comes, and the edges beside each."""
    if len(days.numbers) == 0:
        return []
    noon = np.asarray((days.numbers + 0.5) * DAY - observer.longitude * 240.0, dtype=np.float64)
    sun = SunAround(observer, noon)
    start, end = int(noon.min() - 2 * HALF_DAY), int(noon.max() + 2 * HALF_DAY)
    scene = window_scene(site, window, Need(beam=0.0, fraction=0.5), start, end)
    changes = sun.changes(scene, sun.lit(scene))
    found = []
    for middle, row in zip(sun.instants.tolist(), changes, strict=True):
        at = [middle - HALF_DAY, *(middle + 60.0 * m for m, _ in row), middle + HALF_DAY]
        found += [(at[k + 1], coming, at[k], at[k + 2]) for k, (_, coming) in enumerate(row)]
    if not found:
        return []
    height = Daylight.at(np.array([time for time, *_ in found]), observer).elevation
    return [edge for edge, up in zip(found, height.tolist(), strict=True) if up > LOWEST_SUN]


def _fitted(asked: _Asked, shape: str, most: float, interval: float) -> Edge | None:
    """The edge that fits the readings best; None where none does."""
    step = max(interval, FINEST_S)
    sign = 1.0 if asked.coming else -1.0
    # All runs forward in time for a coming, backward for a leaving.
    order = np.argsort(sign * asked.times)
    times, values = asked.times[order], asked.values[order]
    hours = sign * (times - asked.expected) / 3600.0
    beam, cosine, sine = asked.beam[order], asked.cosine[order], asked.sine[order]
    below = values < most
    if not below.all():
        # What lies at the sensor's limit tells no more than that the sun had come.
        cut = int(np.argmin(below))
        times, values, hours = times[:cut], values[:cut], hours[:cut]
        beam, cosine, sine = beam[:cut], cosine[:cut], sine[:cut]
    if len(times) < 2 * LEAST_SIDE - 2:
        return None
    tried = np.arange(-REACH_S, REACH_S + 1.0, step / STEPS) / 3600.0
    tried = tried[(tried > hours[2]) & (tried < hours[-2])]
    if len(tried) < 3 * STEPS:
        return None
    lying = {"flat": beam * sine, "even": np.ones_like(hours)}
    shapes = (
        np.where(hours[None, :] > tried[:, None], lying[shape], 0.0)
        if shape in lying
        else _shapes(shape, hours, beam, cosine, tried)
    )
    plain = np.column_stack([np.ones_like(hours), sine**SKY_POWER])
    basis, _ = np.linalg.qr(plain)
    rest = values - basis @ (basis.T @ values)
    turned = shapes - (shapes @ basis) @ basis.T
    size = (turned * turned).sum(axis=1)
    along = turned @ rest
    gains = np.where(size > 1e-12, along / np.where(size > 1e-12, size, 1.0), 0.0)
    left = rest @ rest - np.where(gains > 0.0, gains * along, 0.0)
    best = int(np.argmin(left))
    if gains[best] <= 0.0 or best in (0, len(tried) - 1):
        return None
    free = max(len(hours) - 4, 1)
    lift = gains[best] * float(shapes[best].max())
    variance = max(left[best] / free, (1e-4 * lift) ** 2)
    chance = np.exp(-0.5 * (left - left[best]) / variance)
    chance /= chance.sum()
    middle = float(chance @ tried)
    sd = float(np.sqrt(chance @ (tried - middle) ** 2))
    return Edge(
        asked.expected + sign * 3600.0 * middle,
        3600.0 * max(sd, step / STEPS / 3600.0),
        asked.coming,
        float(gains[best]),
        float(np.sqrt(variance) / lift),
    )


def _shapes(shape: str, hours: Floats, beam: Floats, cosine: Floats, tried: Floats) -> Floats:
    """The beam's light at `hours` (n,) if it begins at each of `tried` (m,): shape (m, n)."""
    since = hours[None, :] > tried[:, None]
    at = np.interp(tried, hours, cosine)
    rise = np.maximum(cosine[None, :] - at[:, None], 0.0)
    if shape in PANES:
        rise = rise * through_panes(rise, PANES[shape])
    elif shape == "step":
        rise = np.broadcast_to(np.maximum(cosine, 0.02)[None, :], rise.shape)
    return np.where(since, rise * beam, 0.0)


PANES = {"one pane": 1, "two panes": 2}


def through_panes(cosine: Floats, panes: int) -> Floats:
    """Share of the beam that `panes` clear panes let through, by the cosine of its incidence.

    Fresnel's formulas and reflections between the faces, without what the glass absorbs (J. Duffie
    and W. Beckman, Solar Engineering of Thermal Processes, 4th edition, 2013, section 5.1).
    """
    outside = np.clip(cosine, 1e-6, 1.0)
    inside = np.sqrt(1.0 - (1.0 - outside**2) / REFRACTION**2)
    across = (outside - REFRACTION * inside) / (outside + REFRACTION * inside)
    along = (REFRACTION * outside - inside) / (REFRACTION * outside + inside)
    faces = 2 * panes - 1
    return np.asarray(sum((1.0 - r**2) / (1.0 + faces * r**2) for r in (across, along)) / 2.0)


def _clear(edges: list[Edge]) -> list[Edge]:
    """Those of a clear sky and an open shade: well told, with about as much beam as is usual."""
    kept = []
    for coming in (True, False):
        kind = [e for e in edges if e.coming == coming and e.misfit < GOOD_FIT]
        if not kind:
            continue
        usual = float(np.quantile([e.gain for e in kind], 0.7))
        low, high = (usual * share for share in GAIN_RANGE)
        kept += [e for e in kind if low <= e.gain <= high]
    return sorted(kept, key=lambda edge: edge.time)
