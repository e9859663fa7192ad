"""How much of a glass shadows may give free, and how much they may take, on the sun's way.

On its way, the edge of a shadow moves to one side: towards the shadow, which gives glass free, or
away from it, which takes glass. Which of both it does hangs on the sign of det(e, s, s') for an
edge e in space, where s is the sun's direction and s' how that moves; and with z the depth of a
point of the edge and n that component of s, it sweeps |det(e, s, s')| / n² times the integral of z
over what of the edge, from 0 to 1, throws its shadow on the glass. So over some minutes most
shadows do but one of both, and the beam on the glass only grows, or only falls.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.glazed import AnyGlass, Glass
from suncover.facade.yard.discs import Discs
from suncover.facade.yard.drift import AMID, Edges
from suncover.facade.yard.solids import Crown, Prism
from suncover.facade.yard.swing import Change, Swing

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# In so many arcs is the rim of a crown taken as far as it may lie on the glass.
ARCS = 8


class Shadow(NamedTuple):
    """What a shadow changes along m stretches, and the box that it never leaves: from left to
    right, and up, metres on the glass (4, m).
    """

    change: Change
    box: Floats


def beam_change(
    glass: AnyGlass, swing: Swing, around: Iterable[tuple[NDArray[np.intp], Shadow]] = ()
) -> Change:
    """How the share of a glass in the beam may change, past its reveal, its plates and all `around`
    it: for each of these an index of stretches, and its shadow in them.

    Infinite where the sun may pass behind the glass.
    """
    count = len(swing.loose)
    nowhere = np.array([np.inf, -np.inf, np.inf, -np.inf])[:, None]
    # Of what stands around, each stretch has a few that matter: its first, its second and so on.
    places, counts = list[Floats](), np.zeros(count, dtype=np.intp)
    for index, shadow in around:
        for place in range(int(counts[index].max(initial=-1)) + 1):
            if place == len(places):
                places.append(np.concatenate([np.zeros((5, count)), np.repeat(nowhere, count, 1)]))
            here = counts[index] == place
            places[place][:, index[here]] = np.concatenate(shadow)[:, here]
        counts[index] += 1
    shadows = _plates_shadows(glass, swing)
    shadows += [Shadow(Change(*place[:5]), place[5:]) for place in places]
    reveal = _reveal_change(glass, swing)
    boxes = [_on_glass(shadow.box, glass) for shadow in shadows]
    total = reveal.unless_hidden(_any_meets(_on_glass(-nowhere, glass), boxes))
    for number, (change, _) in enumerate(shadows):
        # Of two shadows, one may hide the edges of the other.
        met = _any_meets(boxes[number], boxes[:number] + boxes[number + 1 :])
        total = total.plus(change.unless_hidden(met))
    return total.times(1.0 / glass.area).or_any(~swing.sway.in_front)


Box = tuple[Floats, Floats]


def _on_glass(box: Floats, glass: AnyGlass) -> Box:
    """What of boxes (4, m) lies on a glass: where it begins and ends, along and up (2, m)."""
    size = np.array([glass.width, glass.height]).reshape(2, -1)
    return np.maximum(box[::2], 0.0), np.minimum(box[1::2], size)


def _any_meets(box: Box, boxes: Sequence[Box]) -> Bools:
    """Whether any of some boxes has any place in common with one."""
    meets = np.zeros(1, dtype=bool)
    for begin, end in boxes:
        meets = meets | (np.maximum(box[0], begin) < np.minimum(box[1], end)).all(axis=0)
    return meets


def _plates_shadows(glass: AnyGlass, swing: Swing) -> list[Shadow]:
    if not glass.plates:
        return []
    begin, lines = _plate_edges(glass)
    sway, count = swing.sway, len(swing.loose)
    below, aside = (
        np.where(low > 0.0, 1.0, np.where(high < 0.0, -1.0, 0.0))
        for low, high in ((sway.q_low, sway.q_high), (sway.p_low, sway.p_high))
    )
    # In the order of these edges, the corners are to the right of an overhang's if the sun is above
    # it, and to the left of a fin's if the sun is to its right.
    sides = np.stack([-below if plate.kind == "top" else aside for plate in glass.plates])
    by_edge, ends = _edges_change(begin, lines, np.repeat(sides, 3, axis=0), glass, swing)
    changes = np.stack(by_edge).reshape(5, -1, 3, count).sum(axis=2)
    boxes = _box(ends.reshape(4, -1, 3, count), axis=1)
    return [Shadow(Change(*changes[:, n]), boxes[:, n]) for n in range(len(glass.plates))]


def _plate_edges(glass: AnyGlass) -> tuple[Floats, Floats]:
    """Where the edges of its plates begin, three of each, and the lines from there to their ends:
    (3, e, 1 or m) each. That at the wall throws no shadow on open glass.
    """
    edges: list[Any] = []
    for plate in glass.plates:
        begin, end = plate.drawn_ends
        far, deep, back = plate.far, plate.far - glass.reveal, begin - end
        along = [(end, 0.0), (end, back), (begin, 0.0)]
        out = [(glass.reveal, deep), (far, 0.0), (far, -deep)]
        level = [(plate.line, 0.0)] * 3
        edges += zip(
            *((along, level, out) if plate.kind == "top" else (level, along, out)), strict=True
        )
    values = np.stack(
        np.broadcast_arrays(*(value for edge in edges for part in edge for value in part))
    )
    begin_and_line = values.reshape(len(edges), 3, 2, -1)
    return begin_and_line[:, :, 0].swapaxes(0, 1), begin_and_line[:, :, 1].swapaxes(0, 1)


def _reveal_change(glass: AnyGlass, swing: Swing) -> Change:
    left, right, low, high = swing.open_glass(glass)
    wide, tall = np.maximum(right - left, 0.0), np.maximum(high - low, 0.0)
    stays_open = (wide > 0.0) & (tall > 0.0)
    change = Change(*np.zeros((5, len(swing.loose))))
    # p' is det / n² of the second axis, q' that of the first, turned round. Farther from 0, each
    # takes more.
    for volume, begin, end, across, size in (
        (swing.turn[1], swing.sway.p_low, swing.sway.p_high, tall, glass.height),
        (-swing.turn[0], swing.sway.q_low, swing.sway.q_high, wide, glass.width),
    ):
        side = np.where(begin >= 0.0, -1.0, np.where(end <= 0.0, 1.0, 0.0))
        most = glass.reveal * size * swing.fastest(volume)
        least = glass.reveal * across * stays_open * swing.slowest(volume)
        change = change.plus(Change.of(side * swing.way(volume), most, least=least))
    return change


def solid_shadow(solid: Prism | Crown, glass: Glass, swing: Swing) -> Shadow:
    """What the shadow of a solid changes on a glass, m²."""
    if isinstance(solid, Crown):
        return _crown_shadow(solid, glass, swing)
    edges = Edges.of(solid)
    begin, lines, sides = (
        edges.begin.T[..., None],
        edges.lines.T[..., None],
        edges.sides(swing.sway),
    )
    by_edge, ends = _edges_change(begin, lines, sides, glass, swing)
    return Shadow(Change(*(part.sum(axis=0) for part in by_edge)), _box(ends, axis=0))


def _box(ends: Floats, axis: int) -> Floats:
    """The boxes about what lies between the least and the most of x and of y (4, ...)."""
    return np.stack([(ends[n].max if n % 2 else ends[n].min)(axis=axis) for n in range(4)])


def _edges_change(
    begin: Floats, lines: Floats, sides: NDArray[Any], glass: AnyGlass, swing: Swing
) -> tuple[Change, Floats]:
    """What each edge (e, m) may give free and take, and where it may lie on the glass: from left to
    right, and up (4, e, m). Edges as `_Depths`, and on which of their sides the shadow lies.
    """
    volumes = (lines * swing.turn[:, None]).sum(axis=0)
    loose = np.sqrt((lines * lines).sum(axis=0)) * swing.loose
    depths = _Depths.of(begin, lines, swing)
    most, least = depths.seen(glass, swing)
    of_outline = sides != AMID
    most = most * swing.fastest(volumes, loose) * of_outline
    least = least * swing.slowest(volumes, loose) * of_outline
    return Change.of(sides * swing.way(volumes, loose), most, least=least), depths.ends


def _crown_shadow(crown: Crown, glass: Glass, swing: Swing) -> Shadow:
    """What a crown's shadow changes: by its rim, in `ARCS` as far as it may lie on the glass.

    The rim slides over the crown as the sun turns, but along its rays, so that the shadow of what
    was the rim strays from its own by no more than the crown's radius times the square of that.
    """
    p, q = swing.middle
    least_cosine, most_cosine = np.sqrt(swing.squares)
    discs, radius = Discs.of(crown, p, q), max(crown.across, crown.upright)
    turned = np.hypot(*swing.half) * most_cosine * radius / min(crown.across, crown.upright)
    slip = radius * turned * (turned / least_cosine + swing.half)
    away = (float(crown.middle[2]) + crown.depth) * swing.half + slip
    first, step = _angles_on(glass, discs, away)
    angles = first + np.arange(ARCS + 1)[:, None] * step
    u, v = np.cos(angles), np.sin(angles)
    # What lies behind the plane of the glass throws no shadow, and what it is cut in does not move.
    z = np.maximum(discs.touching(crown, p, q, (u, v)), 0.0)
    x, y = discs.x + discs.root * u + p * z, discs.y + discs.lean * u + discs.rest * v + q * z
    points = np.stack([x, y, z])
    lines = np.diff(points, axis=1)
    # An arc strays from its chord by its radius times an eighth of the square of its angle; twice
    # that takes in that both are not cut alike.
    astray = slip + np.stack([discs.root, np.hypot(discs.lean, discs.rest)]) * step**2 / 4.0
    depths = _Depths.of(points[:, :-1], lines, swing, astray, radius * turned)
    most, least = depths.seen(glass, swing)
    volumes = np.einsum("cem,cm->em", lines, swing.turn)
    size = np.sqrt((swing.turn**2).sum(axis=0))
    loose = radius * step * (swing.loose + size * (step + turned**2) / 2.0)
    most = most * swing.fastest(volumes, loose)
    least = np.where(
        np.minimum(z[1:], z[:-1]) > radius * turned, least * swing.slowest(volumes, loose), 0.0
    )
    change = Change.of(swing.way(volumes, loose), most, least=least)
    box = np.stack(discs.box) + np.stack([-away[0], away[0], -away[1], away[1]])
    return Shadow(Change(*(part.sum(axis=0) for part in change)), box)


def _angles_on(glass: Glass, discs: Discs, away: Floats) -> tuple[Floats, Floats]:
    """Where the rims of discs may lie on a glass, with so much around it (2, m): the first angle
    (m,), and a step for each of `ARCS`. All round, where the middle is there.
    """
    x = np.stack([-away[0], glass.width + away[0]])
    y = np.stack([-away[1], glass.height + away[1]])
    inside = (discs.x > x[0]) & (discs.x < x[1]) & (discs.y > y[0]) & (discs.y < y[1])
    middle = discs.of_disc(x.mean(axis=0), y.mean(axis=0))
    u, v = discs.of_disc(x[[0, 1, 1, 0]], y[[0, 0, 1, 1]])
    angles = np.arctan2(middle[0] * v - middle[1] * u, middle[0] * u + middle[1] * v)
    first = np.where(inside, -np.pi, angles.min(axis=0))
    last = np.where(inside, np.pi, angles.max(axis=0))
    return np.arctan2(middle[1], middle[0]) + first, (last - first) / ARCS


@dataclass(frozen=True)
class _Depths:
    """Edges, from `begin` (3, e, m or 1) with `lines` to their ends: their shadows from the middle
    of the slopes, which along each stretch are no farther `away` (2, e, m) in x and y, and how much
    `deeper` or less they may lie.
    """

    begin: Floats
    lines: Floats
    shadows: tuple[Floats, Floats]
    away: Floats
    deeper: Floats | float

    @classmethod
    def of(
        cls,
        begin: Floats,
        lines: Floats,
        swing: Swing,
        astray: Floats | None = None,
        deeper: Floats | float = 0.0,
    ) -> _Depths:
        """Those of edges that may lie so far `astray` (2, m) on the glass."""
        middle = swing.middle[:, None]
        shadows = begin[:2] - middle * begin[2], lines[:2] - middle * lines[2]
        # No point moves farther than its depth times half the range of the slopes.
        deepest = np.maximum(begin[2], begin[2] + lines[2]) + deeper
        away = deepest * swing.half[:, None]
        if astray is not None:
            away = away + astray[:, None]
        return cls(begin, lines, shadows, away, deeper)

    @property
    def ends(self) -> Floats:
        """Where each may lie on the glass: from left to right, and up (4, e, m)."""
        at, way = self.shadows
        low, high = np.minimum(at, at + way) - self.away, np.maximum(at, at + way) + self.away
        return np.stack([low[0], high[0], low[1], high[1]])

    def seen(self, glass: AnyGlass, swing: Swing) -> tuple[Floats, Floats]:
        """The integral of the depth over what of each, from 0 to 1, has its shadow on the glass: at
        the most, and at the least, all along each stretch: (e, m).
        """
        may_be, is_seen = (np.zeros(1), np.ones(1)), (np.zeros(1), np.ones(1))
        opening = swing.open_glass(glass)
        for axis, size in enumerate((glass.width, glass.height)):
            line, away = (self.shadows[0][axis], self.shadows[1][axis]), self.away[axis]
            low, high = opening[2 * axis : 2 * axis + 2]
            may_be = _between(may_be, line, -away, size + away)
            is_seen = _between(is_seen, line, low + away, high - away)
        depths = []
        for (first, last), more in ((may_be, self.deeper), (is_seen, -self.deeper)):
            there = last > first
            begin, end = np.where(there, first, 0.0), np.where(there, last, 0.0)
            mean = self.begin[2] + self.lines[2] * (begin + end) / 2.0 + more
            depths.append((end - begin) * np.maximum(mean, 0.0))
        return depths[0], depths[1]


def _between(
    span: tuple[Floats, Floats], line: tuple[Floats, Floats], low: Floats, high: Floats
) -> tuple[Floats, Floats]:
    """What of a span of a line, by where it begins and its way, lies between two levels."""
    at, way = line
    with np.errstate(divide="ignore", invalid="ignore"):
        ends = (low - at) / way, (high - at) / way
    first = np.where(low < high, np.fmin(*ends), np.inf)
    return np.fmax(span[0], first), np.fmin(span[1], np.fmax(*ends))
