"""The azimuth and the clock together, from edges that a light log shows.

Many days agree to a fraction of a minute, and may all be off by the same few: the clock, how light
begins, and where on the window the sensor lies. So for each place where it may lie, the edges are
told by a straight line in the azimuth, the clock's error, a delay of each kind of edge and its
change over the weeks, each with what is known of it beforehand (linear Bayesian regression with
Student's t for strange days; A. Gelman and others, Bayesian Data Analysis, 3rd edition, chapters 14
and 17). How well a place explains the edges is its weight in what comes out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facing.estimate import GUESS_SD, GUESS_SHARE, Odds, middle, spread, turn
from suncover.facing.light.beginnings import SHAPES
from suncover.facing.light.edges import Edges, Way
from suncover.facing.light.line_fit import LONE, LineFits, fit_lines, log_t
from suncover.facing.light.places import Place, Places, SunAtPlaces, is_bare, moved, places_on
from suncover.site.model import Site, Window

Floats = NDArray[np.float64]

# Minutes, one standard deviation; our own judgement, held by made logs, whose edges are off by half
# a minute where the shape is theirs. How light begins is seen late at a coming and early at a
# leaving, alike; and each kind has its own part, which changes.
LAG_MIN, KIND_MIN, TREND_MIN = 0.4, 0.3, 0.2
ANYWHERE = 60.0  # degrees by which the azimuth may be off, beforehand
# Degrees by which a sensor's face may be turned from the pane's, and leaned: half a millimetre over
# ten centimetres; our judgement. Leaned, it sees a high sun much sooner or later. The sun's width
# adds nothing: light grows as if all came from the middle of its disc, and when that passes a
# shadow's edge, half of the disc has.
ASKEW_SD = 0.3
# Degrees: in a round; for a slope; between places that are looked at from the same azimuth.
ROUNDS, MOST_STEP, SLOPE_STEP, SHARED_STEP = 2, 12.0, 0.5, 2.0
SCAN_TO, SCAN_STEP, SCAN_MIN = 60.0, 6.0, 18.0  # degrees; minutes by which edges are off between
SCAN_EDGES, HOPELESS = 7, 8.0  # that are looked at then; log by which a place is less likely
TELLING = 2.0  # days that tell as much of the place as any number more of them
KEPT, MOST_OF = 100, 0.995  # places that are looked at closely, and the share of all that they hold
# How much less likely a place is whose edge is no shadow's where the light jumps (or the reverse).
JUMPS, GROWS = 0.2, 0.02
GRAZING, STEEP = 0.05, 0.25  # cosine of the sun's angle to the glass
# How likely a sensor lies on the glass, and 1, 3 and 8 cm behind it (`BEHIND_M`).
WITHIN, AT_PANE, IN_FRAME = (0.5, 0.15, 0.2, 0.15), (0.8, 0.12, 0.05, 0.03), (0.1, 0.3, 0.35, 0.25)
OUTDOORS = (0.97, 0.01, 0.01, 0.01)
FAR, FINE, MOST_ODDS = 5.0, 0.1, 1_000  # standard deviations that odds reach, their step, how many
EDGE_M, MOST_WAYS = 0.005, 6
WHOLE_SD, WHOLE_SHARE = 8.0, 0.85  # how far whole days mislead, degrees; how often they tell it


@dataclass(frozen=True)
class Settled:
    """Azimuth in degrees, the clock's error beyond what is corrected in minutes, and one standard
    deviation of each; `scatter` is that of a day, in minutes.

    For each edge (n,): by how many minutes it is `off`, its `slope` in minutes a degree, and the
    chance that it is `wrong`.
    """

    azimuth: float
    sd: float
    odds: Odds
    clock: float
    clock_sd: float
    scatter: float
    off: Floats
    slope: Floats
    wrong: Floats
    place: Place


class _Weighed(NamedTuple):
    """Fits, each of one of the `places` (`of`), taken to face its own of `azimuths` (k,), and of
    one way in which the beam began; how likely each is, and its azimuth and clock.
    """

    places: Places
    azimuths: Floats
    of: NDArray[np.intp]
    fits: LineFits
    share: Floats
    means: Floats

    @property
    def clock(self) -> float:
        """The clock's error in minutes."""
        return float(self.share @ self.means[:, 1])

    @property
    def sds(self) -> Floats:
        """One standard deviation of both, at each place: (k, 2)."""
        return np.sqrt(np.diagonal(self.fits.spread, axis1=1, axis2=2)[:, :2])

    def odds(self, common: float) -> Odds:
        """The odds of all azimuths; `common` degrees all days are off."""
        there, sd = self.means[:, 0], np.hypot(self.sds[:, 0], common)
        low, high = float((there - FAR * sd).min()), float((there + FAR * sd).max())
        count = int(np.clip((high - low) / (FINE * sd.min()), 100, MOST_ODDS))
        tried = np.linspace(low, high, count)
        away = (tried[:, None] - there) / sd
        share = np.exp(-0.5 * away**2) @ (self.share / sd)
        return Odds(tried, share / share.sum())

    @property
    def sd_of_clock(self) -> float:
        """One standard deviation of the clock's error over all places."""
        about = self.sds[:, 1] ** 2 + (self.means[:, 1] - self.clock) ** 2
        return float(np.sqrt(self.share @ about))

    def led_to(self) -> tuple[Floats, NDArray[np.intp]]:
        """The azimuths (k,) to which the edges lead from those at which the places were looked at,
        and the likeliest of the places.
        """
        share = np.bincount(self.of, self.share, minlength=len(self.azimuths))
        there = np.bincount(self.of, self.share * self.means[:, 0], minlength=len(self.azimuths))
        step = there / np.where(share > 0.0, share, 1.0) - self.azimuths
        azimuths = self.azimuths + np.where(share > 0.0, np.clip(step, -MOST_STEP, MOST_STEP), 0.0)
        best = np.argsort(-share)[:KEPT]
        return azimuths, best[: 1 + int(np.searchsorted(np.cumsum(share[best]), MOST_OF))]


def settled(
    site: Site,
    window: Window,
    edges: Edges,
    azimuth: float,
    *,
    clock_sd: float,
    whole: float | None = None,
    places: Places | None = None,
) -> Settled | None:
    """What edges of one window say together; None if nothing.

    `azimuth` is about the right one, `clock_sd` how well the clock is known in minutes, and `whole`
    what the light of whole days says of the azimuth. `places` are all that there are, if left out.
    """
    if not edges.clear:
        return None
    bare = is_bare(site, window)
    seen = _Seen.of(site, window, edges, clock_sd)
    if bare:
        seen = replace(seen, whole=whole)
    if places is None:
        levels = np.any([_behind(ways) for ways in seen.ways], axis=0)
        places = places_on(window, bare=bare, levels=np.flatnonzero(levels).tolist())
    azimuths, places = _from_where(seen, azimuth, places)
    weighed = _weighed(seen, azimuths, places)
    for _ in range(ROUNDS):
        if weighed is None:
            return None
        azimuths, best = weighed.led_to()
        weighed = _weighed(seen, azimuths[best], weighed.places.take(best))
    if weighed is None:
        return None
    odds = weighed.odds(ASKEW_SD)
    facing = middle(odds)
    first = int(np.argmax(weighed.share))
    at, fits = weighed.of[first], weighed.fits
    place = weighed.places.every[at]
    return Settled(
        azimuth=facing % 360.0,
        sd=spread(odds, facing),
        odds=odds,
        clock=weighed.clock,
        clock_sd=weighed.sd_of_clock,
        scatter=float(fits.scatter[first]),
        off=fits.left[first],
        slope=-_slopes(seen.sun, weighed.azimuths[[at]], [place])[0],
        wrong=1.0 - fits.say[first],
        place=_aside_of(place, fits.guess[first, -3:], window),
    )


def _aside_of(place: Place, step: Floats, window: Window) -> Place:
    """The place a `step` (3,) away, on the glass or behind it."""
    x, y, z = np.array(place) + step
    return Place(
        float(np.clip(x, EDGE_M, window.width - EDGE_M)),
        float(np.clip(y, EDGE_M, window.height - EDGE_M)),
        float(min(z, 0.0)),
    )


def _behind(ways: Sequence[Way]) -> tuple[float, ...]:
    """How likely the sensor lies so far behind the glass as `BEHIND_M` has it, by how light begins.

    A frame's edge lets it begin at once; and through panes it comes only to what is behind them.
    """
    kinds = [SHAPES[way.shape] for way in ways]
    if any(kind.frame or (kind.panes and kind.way == "lying") for kind in kinds):
        return IN_FRAME
    if any(kind.panes for kind in kinds):
        return WITHIN if any(kind.shadow for kind in kinds) else AT_PANE
    return WITHIN if any(kind.shadow and kind.way == "upright" for kind in kinds) else OUTDOORS


def _from_where(seen: _Seen, azimuth: float, places: Places) -> tuple[Floats, Places]:
    """The azimuths (k,) from which to look at each place: where most of the edges are about right.

    They differ by tens of degrees, as the edge of a reveal shades a place beside it much longer
    than one across the glass. Places to which the sun always comes at the same times are one.
    """
    if len(places.every) == 1:
        return np.array([azimuth]), places
    tried = azimuth + np.arange(-SCAN_TO, SCAN_TO + 1.0, SCAN_STEP)
    count = len(seen.coming)
    sample = np.unique(np.linspace(0, count - 1, min(SCAN_EDGES, count)).astype(int))
    late = seen.sun.of(sample).late(np.repeat(tried, len(places.every)), places.every * len(tried))
    late = late.reshape(len(tried), len(places.every), -1)
    alike: dict[bytes, int] = {}
    share = places.share.copy()
    rounded = np.nan_to_num(np.round(late, 1), nan=1e9)
    for at, level in enumerate(places.level.tolist()):
        first = alike.setdefault(rounded[:, at].tobytes() + bytes([level]), at)
        if first != at:
            share[first] += share[at]
    keep = np.array(list(alike.values()), dtype=np.intp)
    well = log_t(np.where(np.isfinite(late), late / SCAN_MIN, LONE)).sum(axis=2)
    best, most = tried[well.argmax(axis=0)], well.max(axis=0)[keep] / (1.0 + len(sample) / TELLING)
    likely = most > most.max() - HOPELESS
    keep = keep[likely]
    return best[keep], replace(places.take(keep), share=share[keep])


def _slopes(sun: SunAtPlaces, azimuths: Floats, places: Sequence[Place]) -> Floats:
    """By how many minutes edges are later than they should be for a degree of azimuth: (k, n)."""
    before, after = (sun.late(azimuths + step, places) for step in (-SLOPE_STEP, SLOPE_STEP))
    return np.asarray((after - before) / (2.0 * SLOPE_STEP))


@dataclass(frozen=True)
class _Seen:
    """The edges (n,) as arrays: whether the sun came, of which of k `kinds` (n, k), and where in
    the log's weeks, from -1 to 1; `own` is how sure one is by itself, in minutes.

    `ways` are all together in which the kinds may have begun; `whole` is what whole days say of the
    azimuth, where nothing but the wall hides the sun from a part of the glass.
    """

    sun: SunAtPlaces
    window: Window
    ways: tuple[tuple[Way, ...], ...]
    coming: NDArray[np.bool_]
    kinds: Floats
    week: Floats
    own: float
    clock_sd: float
    whole: float | None = None

    @classmethod
    def of(cls, site: Site, window: Window, edges: Edges, clock_sd: float) -> _Seen:
        times = np.array([edge.time for edge in edges.clear])
        coming = np.array([edge.coming for edge in edges.clear])
        number = np.array([edge.kind for edge in edges.clear])
        ways = sorted(product(*edges.ways), key=lambda combination: -_share(combination))[
            :MOST_WAYS
        ]
        return cls(
            SunAtPlaces(site, window, times, coming),
            window,
            tuple(ways),
            coming,
            (number[:, None] == np.arange(len(edges.ways))).astype(np.float64),
            (times - times.mean()) / max(float(np.ptp(times)) / 2.0, 1.0),
            float(np.median([edge.own_min for edge in edges.clear])),
            clock_sd,
        )

    def growing(self, ways: Sequence[Way]) -> Floats:
        """1 for edges (n,) at which the light grows as the sun comes round the wall, else 0."""
        shapes = [SHAPES[way.shape] for way in ways]
        grows = [0.0 if shape.shadow or shape.frame else 1.0 for shape in shapes]
        return np.asarray(self.kinds @ np.array(grows))


def _share(ways: Sequence[Way]) -> float:
    return float(np.prod([way.share for way in ways]))


def _weighed(seen: _Seen, azimuths: Floats, places: Places) -> _Weighed | None:
    """What each place makes of the edges, if the window faces about its own of `azimuths` (k,);
    None where none of them should show any.
    """
    if len(azimuths) > 1:
        azimuths = np.round(azimuths / SHARED_STEP) * SHARED_STEP  # so that many share one
    late, slopes = seen.sun.late(azimuths, places.every), _slopes(seen.sun, azimuths, places.every)
    known = np.isfinite(late) & np.isfinite(slopes)
    seeing = np.flatnonzero(known.any(axis=1))
    if len(seeing) == 0:
        return None
    places, azimuths = places.take(seeing), azimuths[seeing]
    late, slopes, known = late[seeing], slopes[seeing], known[seeing]
    tempered = 1.0 / (1.0 + len(seen.coming) / TELLING)
    sign = np.where(seen.coming, 1.0, -1.0)
    aside = _aside(seen, azimuths, places.every, late)
    leaned = -slopes * seen.sun.leaned(azimuths)
    alike = [sign, *seen.kinds.T, *(seen.kinds * seen.week[:, None]).T]
    shared = np.column_stack([np.ones(len(sign)), *alike])
    cases = [
        (at, ways, level)
        for at in range(len(places.every))
        for ways in seen.ways
        if (level := _behind(ways)[places.level[at]]) > 0.0
    ]
    if not cases:
        return None
    of = np.array([at for at, *_ in cases])
    model = np.concatenate(
        [
            -slopes[of][..., None],
            np.broadcast_to(shared, (len(of), *shared.shape)),
            (leaned[of] * np.array([seen.growing(ways) for _, ways, _ in cases]))[..., None],
            -aside[of].swapaxes(1, 2),
        ],
        axis=2,
    )
    sds, longer = [], []
    for at, ways, _ in cases:
        unsure = np.array([way.unsure for way in ways])
        # A delay that is not known changes with how fast the sun comes round: much with a high sun.
        parts, trends = np.hypot(KIND_MIN, unsure), np.hypot(TREND_MIN, unsure)
        about = np.maximum([places.across, places.up[at], places.behind[at]], 1e-6)
        sds.append([ANYWHERE, seen.clock_sd, LAG_MIN, *parts, *trends, ASKEW_SD, *about])
        longer.append(sign * (seen.kinds @ [way.longer for way in ways]))
    fits = fit_lines(model, late[of] + longer, known[of], 1.0 / np.square(sds), seen.own)
    log = tempered * fits.weight
    for row, (at, ways, level) in enumerate(cases):
        there = float(azimuths[at] + fits.guess[row, 0])
        log[row] += (
            float(np.log(places.share[at] * level * _share(ways)))
            + _as_it_began(seen, ways, there, known[at])
            + _as_known(seen, ways, there)
        )
    share = np.exp(log - log.max())
    means = np.column_stack([azimuths[of] + fits.guess[:, 0], fits.guess[:, 1]])
    return _Weighed(places, azimuths, of, fits, share / share.sum(), means)


def _as_known(seen: _Seen, ways: Sequence[Way], azimuth: float) -> float:
    """Log of how likely an azimuth is by the file, and by whole days on a sensor that stands."""
    log = _about(azimuth, seen.window.azimuth, GUESS_SD, GUESS_SHARE)
    if seen.whole is not None and all(SHAPES[way.shape].way == "upright" for way in ways):
        return log + _about(azimuth, seen.whole, WHOLE_SD, WHOLE_SHARE)
    return log - float(np.log(360.0))


def _about(azimuth: float, there: float, sd: float, share: float) -> float:
    """Log of the density of a bell curve about `there` that has a `share` of all directions."""
    away = float(turn(np.array(azimuth - there)))
    bell = np.exp(-0.5 * (away / sd) ** 2) / (sd * np.sqrt(2.0 * np.pi))
    return float(np.log(share * bell + (1.0 - share) / 360.0))


def _aside(seen: _Seen, azimuths: Floats, places: Sequence[Place], late: Floats) -> Floats:
    """By how much edges get later than they should be for a metre right, up and outward:
    (k, 3, n).
    """
    steps = [
        (at, axis, *moved(place, seen.window, axis))
        for at, place in enumerate(places)
        for axis in range(3)
        if axis < 2 or place.z != 0.0
    ]
    later = seen.sun.late(azimuths[[at for at, *_ in steps]], [place for *_, place, _ in steps])
    aside = np.zeros((len(places), 3, late.shape[1]))
    for (at, axis, _, step), row in zip(steps, later, strict=True):
        change = (row - late[at]) / step
        aside[at, axis] = np.where(np.isfinite(change), np.clip(change, -2e3, 2e3), 0.0)
    return aside


def _as_it_began(
    seen: _Seen, ways: Sequence[Way], azimuth: float, known: NDArray[np.bool_]
) -> float:
    """Log of how likely the shapes of the edges are, by how the sun stood to the glass then."""
    cosine, log = seen.sun.cosine(azimuth), 0.0
    for kind, way in enumerate(ways):
        of_kind = known & (seen.kinds[:, kind] > 0.0)
        if not of_kind.any():
            continue
        angle = float(np.median(cosine[of_kind]))
        if SHAPES[way.shape].shadow and angle < GRAZING:
            log += float(np.log(JUMPS))
        elif not SHAPES[way.shape].shadow and angle > STEEP:
            log += float(np.log(GROWS))
    return log
