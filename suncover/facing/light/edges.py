"""When the sun came onto a window and left it, from a light log, day by day.

About the time at which it should, the light is fitted by sky light that changes evenly and, from
some moment on, the beam. How the beam begins hangs on where the sensor lies: `SHAPES`. Which shape
it is shows over all days together; the moment, on each day alone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.daylight import Daylight
from suncover.facade.exposure import observer_of, window_scene
from suncover.facade.frame import window_axes
from suncover.facade.scene import SpotScene, WindowScene
from suncover.facade.yard.matter import with_what_matters
from suncover.facing.around import HALF_DAY, SunAround
from suncover.facing.light.beginnings import SHAPES, Beginning
from suncover.facing.light.fits import LEAST_SIDE, Brightest, Edge, Readings
from suncover.facing.light.pattern import SunnyDays, averaged, solar_days
from suncover.facing.light.places import Place, is_bare
from suncover.site.light_log import LightLog
from suncover.site.model import Need, Site, Window
from suncover.sun.clearsky import clear_sky_dni
from suncover.sun.position import DAY, Observer

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FINEST_S = 120.0  # finer readings are averaged: the sun moves half a degree in this time
WINDOW_S = 5400.0  # before and after the time looked for
LOWEST_SUN = 8.0  # degrees: below, what begins is rather the sun's rise or set
GOOD_FIT = 0.05  # of the beam within the window: what a clear sky leaves unexplained at the most
GAIN_RANGE = (0.6, 1.6)  # of the days' usual beam
# Of a day's brightest light: less is no beam, but what a lit reveal, a frame or a wall opposite
# throws, which comes and goes at other times than the beam. They throw a tenth, if white and near.
LEAST_OF_DAY, TOP = 0.2, 0.98
# Of a day's brightest light, before the beam: the sky and the ground give a third or so, half where
# the sun but glances. More is the sun's own, which only wanes.
MOST_BEFORE = 0.6
MOST_LOOKS = 3000  # at the sun, to see how strong the beam is on each day
GLANCE = 0.2  # cosine of the sun's angle to the glass
SEVERAL = 3
FULL_SHARE = 0.005  # of the readings at the very top: more is a sensor at its limit
ALIKE_MIN = 1.0  # by which shapes that are told as one may have edges apart
LEAST_SHARE, MOST_WAYS = 0.02, 4
LIMITED = 0.25  # of an interval: by how much a sensor at its limit may shift all edges
# Minutes that panes' tint and coats may shift all edges, one standard deviation: glass that absorbs
# a third delays them by up to 1.5, as it takes more of slanting light; clear glass by up to a half.
PANE_MIN = 1.0
# Minutes: a day's light that tells its beginning no better has none, but grows all along. Of made
# logs whose light begins, panes before the sensor and readings a quarter of an hour apart, it is 3.
VAGUE_MIN = 3.5
DISTINCT = 2.0  # how much a day's fit says, where shapes are compared
# Seconds between readings, from which on a mean of all of it is another than a moment's; and by how
# much (log of a day's misfit) means have to fit better to be taken for such. Where light comes at
# once a moment's readings leave open when, and means that fit as well would pretend to know.
MEANS_S, MEANS_BETTER = 600.0, 0.3
SAYING = 6.0  # days that say as much of a shape as any number more: none is quite right on any day


class Way(NamedTuple):
    """How the beam may begin at all edges of a kind: a shape, how likely it is, by how many minutes
    the sun is longer away if it is so, and by how many all may be off.
    """

    shape: str
    share: float
    longer: float
    unsure: float


@dataclass(frozen=True)
class Edges:
    """The edges of a log's clear days, and how the beam begins and ends in it: for each kind
    (comings and leavings, at a glance of the sun to the glass and not) the `ways`, the likeliest
    first, which is that of the edges.
    """

    clear: tuple[Edge, ...]
    ways: tuple[tuple[Way, ...], ...]

    @property
    def worth(self) -> float:
        """How many there are and how well they fit, to compare with others of the same log."""
        return float(sum(np.log(GOOD_FIT / edge.misfit) for edge in self.clear))


def find_edges(
    log: LightLog, site: Site, window: Window, days: SunnyDays, place: Place | None = None
) -> Edges:
    """The edges on sunny days of a log whose clock is right.

    `window` is the window as it may be turned; `place` where the sensor may lie, about the middle
    of what the sun passes over if left out.
    """
    top = float(log.values.max())
    full = np.mean(log.values >= top) > FULL_SHARE
    limit = top if full else np.inf
    asked = _asked(log, site, window, days, place=place, most=limit)
    step = max(log.interval, FINEST_S)
    groups = _kinds(asked)
    # Where a shadow of the window's own comes first, a frame's is none beside it.
    bare = is_bare(site, window)
    shapes = {name: shape for name, shape in SHAPES.items() if bare or not shape.frame}
    # Whether readings are means of their interval or of a moment, logs do not say.
    ways_to_read = (False, True) if step >= MEANS_S else (False,)
    fitted = [_fitted(groups, shapes, step, means=means) for means in ways_to_read]
    worth = [-sum(min(kind.values()) for kind in loss) for _, loss in fitted]
    saying = sum(len(group) / (1.0 + len(group) / SAYING) for group in groups)
    fits = fitted[-1 if worth[-1] > worth[0] + MEANS_BETTER * saying else 0][0]
    clear: list[Edge] = []
    ways = []
    for number, kind in enumerate(fits):
        likely = np.sum([_likely(shapes, loss, number) for _, loss in fitted], axis=0)
        edges, kind_ways = _of_kind(kind, likely, limit, log.interval)
        clear += [replace(edge, kind=number) for edge in edges]
        ways.append(kind_ways)
    # On two days anything may come or go twice alike.
    lasting = [e for e in clear if sum(other.kind == e.kind for other in clear) >= SEVERAL]
    return Edges(tuple(sorted(lasting or clear, key=lambda e: e.time)), tuple(ways))


def _likely(
    shapes: Mapping[str, Beginning], losses: Sequence[Mapping[str, float]], number: int
) -> Floats:
    """How likely each shape is for a kind of edges, that of a `number`, by how badly it fits them
    and those of other kinds.

    The sensor is the same in all kinds, but a shadow's edge may pass in one alone.
    """
    odds = []
    for name, shape in shapes.items():
        alike = [other for other in shapes if shapes[other][:2] == shape[:2]]
        elsewhere = sum(
            min(loss[other] for other in alike) for at, loss in enumerate(losses) if at != number
        )
        odds.append(float(np.log(shape.prior)) - DISTINCT * (losses[number][name] + elsewhere))
    return np.asarray(np.exp(np.array(odds)))


def _fitted(
    groups: Sequence[Sequence[Readings]],
    shapes: Mapping[str, Beginning],
    step: float,
    means: bool,
) -> tuple[list[dict[str, list[Edge | None]]], list[dict[str, float]]]:
    """For each kind and each shape the edges, and how badly it fits."""
    fits = []
    for group in groups:
        fitted = [readings.fitted(shapes, step, means) for readings in group]
        fits.append({shape: [edge_by_shape[shape] for edge_by_shape in fitted] for shape in shapes})
    return fits, [{shape: _misfit(edges) for shape, edges in kind.items()} for kind in fits]


def _kinds(asked: Sequence[Readings]) -> list[list[Readings]]:
    """Comings and leavings, each apart where the sun should stand at a glance to the glass and
    where it should not, if there are several of both.
    """
    groups = []
    for coming in (True, False):
        passages = [readings for readings in asked if readings.coming == coming]
        glance = [readings for readings in passages if readings.glance < GLANCE]
        steep = [
            readings for readings in passages if not any(readings is other for other in glance)
        ]
        parts = [glance, steep] if min(len(glance), len(steep)) >= SEVERAL else [passages]
        groups += [part for part in parts if part]
    return groups


def _of_kind(
    fits: Mapping[str, Sequence[Edge | None]], weight: Floats, limit: float, interval: float
) -> tuple[list[Edge], tuple[Way, ...]]:
    """The clear edges of one kind, and how they may begin.

    `weight` is how likely each shape is, `limit` the value at which the sensor is full.
    """
    shapes = list(fits)
    order = np.argsort(-weight)
    best = shapes[order[0]]
    clear = _clear([edge for edge in fits[best] if edge is not None], np.isfinite(limit))
    if clear and np.median([edge.own_min for edge in clear]) > VAGUE_MIN:
        clear = []
    ways: list[Way] = []
    for at in order.tolist():
        shape, share = shapes[at], float(weight[at] / weight.sum())
        apart = _apart(fits[shape], fits[best], clear)
        near = [
            number
            for number, way in enumerate(ways)
            if abs(way.longer - apart) < ALIKE_MIN
            and SHAPES[way.shape].shadow == SHAPES[shape].shadow
            and SHAPES[way.shape].frame == SHAPES[shape].frame
        ]
        if near:
            ways[near[0]] = _merged(ways[near[0]], share, apart)
        elif share > LEAST_SHARE and len(ways) < MOST_WAYS:
            unsure = PANE_MIN if SHAPES[shape].panes else 0.0
            if np.isfinite(limit):
                # What a sensor at its limit does not show, shapes differ by.
                unsure = float(np.hypot(unsure, LIMITED * interval / 60.0))
            ways.append(Way(shape, share, apart, unsure))
    return clear, tuple(ways)


def _merged(way: Way, share: float, longer: float) -> Way:
    """A way and another with a `share` of its own, which has the sun away for nearly as long."""
    both = way.share + share
    between = np.sqrt(way.share * share) / both * abs(longer - way.longer)
    return way._replace(share=both, unsure=float(np.hypot(way.unsure, between)))


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
    logs = [np.log(1.0 if e is None else min(e.misfit, 1.0)) for e in edges]
    return float(sum(logs)) / (1.0 + len(logs) / SAYING)


def _asked(
    log: LightLog,
    site: Site,
    window: Window,
    days: SunnyDays,
    *,
    place: Place | None,
    most: float,
) -> list[Readings]:
    times, values = averaged(log, FINEST_S)
    observer = observer_of(site.place)
    outward = window_axes(window.azimuth, window.tilt)[2]
    spans = []
    for expected, coming, before, after in _expected(site, window, days, observer, place):
        begin = max(expected - WINDOW_S, expected + 0.7 * (before - expected))
        end = min(expected + WINDOW_S, expected + 0.7 * (after - expected))
        first, last = np.searchsorted(times, [begin, end]).tolist()
        gaps = np.diff(times[first:last])
        if last - first >= 2 * LEAST_SIDE and gaps.max() <= 2.5 * max(log.interval, FINEST_S):
            spans.append((expected, coming, first, last))
    rows = np.concatenate([np.arange(0), *(np.arange(first, last) for *_, first, last in spans)])
    sun = Daylight.at(times[rows], observer)
    beam = clear_sky_dni(times[rows], observer)
    of = np.repeat(np.arange(len(spans)), [last - first for *_, first, last in spans])
    passages = []
    brightest = _brightest(times, values, outward, observer)
    for number, (expected, coming, *_) in enumerate(spans):
        at = np.flatnonzero((of == number) & (sun.elevation > 1.0))
        if len(at) < 2 * LEAST_SIDE:
            continue
        readings = Readings.of(
            expected,
            coming,
            times=times[rows[at]],
            values=values[rows[at]],
            beam=beam[at],
            cosine=outward @ sun.direction[:, at],
            sine=sun.direction[2, at],
            most=most,
            day=brightest(expected),
        )
        if readings is not None:
            passages.append(readings)
    return passages


def _brightest(
    times: Floats, values: Floats, outward: Floats, observer: Observer
) -> Callable[[float], Brightest]:
    """For any time, the brightest light of its day."""
    number = solar_days(times, observer)
    sun = Daylight.at(times[:: len(times) // MOST_LOOKS + 1], observer)
    beam = clear_sky_dni(sun.seconds, observer)
    light = {
        "upright": beam * np.maximum(outward @ sun.direction, 0.0),
        "lying": beam * np.maximum(sun.direction[2], 0.0),
        "even": np.ones_like(beam),
    }
    dark = float(np.quantile(values, 0.02))
    of_sun = solar_days(sun.seconds, observer)

    def brightest(time: float) -> Brightest:
        day = int(solar_days(np.array([time]), observer)[0])
        most = max(float(np.quantile(values[number == day], TOP)) - dark, 1e-12)
        return Brightest(
            dark,
            most,
            {
                way: most / max(float(row[of_sun == day].max(initial=0.0)), 1e-12)
                for way, row in light.items()
            },
        )

    return brightest


def _expected(
    site: Site, window: Window, days: SunnyDays, observer: Observer, place: Place | None
) -> list[tuple[float, bool, float, float]]:
    """When edges should be on sunny days, whether the sun comes, and the edges beside each."""
    if len(days.numbers) == 0:
        return []
    noon = np.asarray((days.numbers + 0.5) * DAY - observer.longitude * 240.0, dtype=np.float64)
    sun = SunAround(observer, noon)
    start, end = int(noon.min() - 2 * HALF_DAY), int(noon.max() + 2 * HALF_DAY)
    scene: WindowScene | SpotScene
    site = with_what_matters(site, window)
    scene = window_scene(site, window, Need(beam=0.0, fraction=0.5), start, end)
    if place is not None:
        scene = SpotScene(scene, np.array(place))
    changes = sun.changes(scene, sun.lit(scene))
    expected = []
    for middle, row in zip(sun.instants.tolist(), changes, strict=True):
        at = [middle - HALF_DAY, *(middle + 60.0 * m for m, _ in row), middle + HALF_DAY]
        expected += [(at[k + 1], coming, at[k], at[k + 2]) for k, (_, coming) in enumerate(row)]
    if not expected:
        return []
    height = Daylight.at(np.array([time for time, *_ in expected]), observer).elevation
    return [edge for edge, up in zip(expected, height.tolist(), strict=True) if up > LOWEST_SUN]


def _clear(edges: list[Edge], limited: bool) -> list[Edge]:
    """Those of one kind under a clear sky and an open shade: well told, with about as much beam as
    is usual.
    """
    kind = [e for e in edges if e.misfit < GOOD_FIT and e.of_day > LEAST_OF_DAY]
    if not limited:
        kind = [e for e in kind if e.before < MOST_BEFORE]
    if not kind:
        return []
    usual = float(np.quantile([e.gain for e in kind], 0.7))
    low, high = (usual * share for share in GAIN_RANGE)
    return [e for e in kind if low <= e.gain <= high]
