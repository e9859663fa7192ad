"""Several windows among obstacles and trees, looked at together: at instants, and over stretches.

At an instant, a look tells whether any of the glass is lit and gives the reason: a spot that is, or
which shadows hide which corners. A reason holds for some time before and after: as long as nothing
comes between the spot and the sun, or as long as each of these corners stays in its shadow. That is
settled for a whole stretch of the sun's path by fixed points of the glass alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suncover.facade.daylight import Daylight
from suncover.facade.frame import GRAZING, in_axes
from suncover.facade.glazed import Glass
from suncover.facade.yard.cones import Path, Stretch
from suncover.facade.yard.cover import FIRST, LAST, Rim
from suncover.facade.yard.looks import Looks, Sun, look
from suncover.facade.yard.outlines import SLIVER
from suncover.facade.yard.sights import Sights, least_along
from suncover.facade.yard.solid_arrays import SolidArrays
from suncover.facade.yard.surroundings import Foliage, Surroundings
from suncover.sun.position import DAY

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Shadows up to which it is quicker to look at all together than at those of like depth.
FEW = 4096
# How far into the lit part of the glass, as a share of what is seen of it, spots are tried: such as
# move along with it, and such as stay.
SOONER = (("first", "last", 0.1),)
LATER = (("first", "last", 0.005), ("first", "first", 0.3), ("last", "last", 0.3))


@dataclass(frozen=True)
class Parts:
    """Parts of the sky or of time, each before one glass: the number of its `owner` (k,), and the
    `solids` (n,), one part after the other, `count` (k,) of each, that may shade it there.
    """

    owner: Ints
    count: Ints
    solids: Ints

    @cached_property
    def first(self) -> Ints:
        """Where the solids of each part begin."""
        return np.asarray(np.cumsum(self.count) - self.count)

    @cached_property
    def with_none(self) -> Ints:
        """The solids, and after them what may be asked for beyond."""
        return np.append(self.solids, np.zeros(self.count.max(initial=0), dtype=np.int64))

    def take(self, index: Ints) -> Parts:
        """Some of them."""
        count = self.count[index]
        step = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
        solids = self.solids[np.repeat(self.first[index], count) + step]
        return Parts(self.owner[index], count, solids)


class Yards:
    """The yards of some windows, by the axes of each, its glass and what stands around it; all of
    one place, for one beam that counts.
    """

    def __init__(self, yards: Sequence[tuple[Floats, Glass, Surroundings]]) -> None:
        self.axes = np.stack([axes for axes, _, _ in yards])
        self._glasses = [glass for _, glass, _ in yards]
        self._around = [around for _, _, around in yards]
        self._arrays = SolidArrays(self._glasses, [around.solids for around in self._around])
        foliages: dict[Any, tuple[int, Foliage]] = {}
        self._foliage = np.full(len(self._arrays.owner) + 1, -1)
        for first, around in zip(self._arrays.first, self._around, strict=False):
            for number, tree in enumerate(around.trees, first + len(around.prisms)):
                leaves = tree.foliage
                key = leaves.leaf, leaves.bare, leaves.spans.tobytes()
                self._foliage[number] = foliages.setdefault(key, (len(foliages), leaves))[0]
        self._leaves = [leaves for _, leaves in foliages.values()]

    @cached_property
    def _sights(self) -> Sights:
        return Sights(self._arrays)

    def parts(self, touched: Sequence[Bools]) -> Parts:
        """Parts of the sky before each window, by which of its solids may shade it there: (s, k)
        each. Plates always may.
        """
        owner, count, solids = [], [], []
        for number, (where, glass) in enumerate(zip(touched, self._glasses, strict=True)):
            plates = np.ones((len(glass.plates), where.shape[1]), dtype=bool)
            every = np.concatenate([where, plates]).T
            owner.append(np.full(len(every), number))
            count.append(every.sum(axis=1))
            solids.append(np.nonzero(every)[1] + self._arrays.first[number])
        return Parts(np.concatenate(owner), np.concatenate(count), np.concatenate(solids))

    def look(self, parts: Parts, part_of: Ints, sun: Daylight, *, reasons: bool = True) -> Looks:
        """What is seen of the glass of the parts `part_of` (m,), each at its instant of `sun`."""
        looks = Looks.none(len(part_of))
        owner = parts.owner[part_of]
        right, up, out = in_axes(sun.direction, self.axes[owner])
        count = parts.count[part_of]
        front = out > GRAZING
        depths = np.flatnonzero(np.bincount(count[front]))
        if len(part_of) * depths.max(initial=0) <= FEW:
            depths = depths[-1:]
        least = -1
        for deep in depths.tolist():
            index = np.flatnonzero((count > least) & (count <= deep) & front)
            least, part = deep, sun.take(index)
            slots = np.arange(deep)[:, None]
            solids = parts.with_none[parts.first[part_of[index]] + slots]
            solids = np.where(slots < count[index], solids, len(self._arrays.owner))
            shares, needed = self._shares(solids, part)
            slopes = right[index] / out[index], up[index] / out[index]
            light = Sun(owner[index], *slopes, needed)
            seen = look(self._arrays, light, solids, shares, reasons=reasons)
            drawn = np.flatnonzero(~seen.known)
            if len(drawn):
                seen.value[drawn], seen.spot[:, drawn] = self._drawn(light, solids, part, drawn)
                seen.inward[:, drawn] = 0.0
            looks.put(index, seen)
        return looks

    def _shares(self, solids: Ints, sun: Daylight) -> tuple[Floats, Floats]:
        """What each of `solids` (d, m) lets through, and the share that counts as sun (m,)."""
        shares, leaves = np.zeros(solids.shape), self._foliage[solids]
        for number, foliage in enumerate(self._leaves):
            deep, index = np.nonzero(leaves == number)
            shares[deep, index] = foliage.share(sun.seconds[index])
        needed = np.full(len(sun.seconds), np.nextafter(0.0, 1.0))
        index = np.flatnonzero((shares > 0.0).any(axis=0))
        if len(index):
            days = np.floor(sun.seconds[index] / DAY).astype(np.int64)
            needed[index] = self._around[0].light.needed_of_enough(days, sun.elevation[index])
        return shares, needed

    def _drawn(self, light: Sun, solids: Ints, sun: Daylight, index: Ints) -> tuple[Floats, Floats]:
        """`Looks.value` of some instants by drawing the shadows, one or minus one; and where that
        is above 0, a `Looks.spot`.
        """
        import shapely

        value, spots = np.empty(len(index)), np.zeros((2, len(index)))
        for number in np.flatnonzero(np.bincount(light.owner[index])):
            of_owner = np.flatnonzero(light.owner[index] == number)
            at, glass, around = index[of_owner], self._glasses[number], self._around[number]
            numbers = solids[:, at] - self._arrays.first[number]
            met = (numbers == np.arange(len(around.solids))[:, None, None]).any(axis=1)
            free = around.lit_outlines(glass, light.p[at], light.q[at], sun.take(at), met).free()
            lit = shapely.area(free) > max(glass.rounding, SLIVER) * glass.area
            value[of_owner] = np.where(lit, 1.0, -1.0)
            spots[:, of_owner[lit]] = shapely.get_coordinates(shapely.point_on_surface(free[lit])).T
        return value, spots

    def holds(
        self, parts: Parts, part_of: Ints, stretch: Stretch, first: Looks, last: Looks
    ) -> Bools:
        """Whether what looks found of the part `part_of` (m,) holds all along a stretch of time in
        it, for the same reason: (m,).

        The `first` and the `last` are looks at its ends, which found the same, or twice the same
        look. The stretches' paths are in the axes of the glass of each.
        """
        path = stretch.path
        held = np.zeros(len(part_of), dtype=bool)
        front = (path.nodes[2] > path.slack).all(axis=0)
        lit = np.flatnonzero(first.lit & last.lit & front)
        for ways in (SOONER, LATER):
            lit = lit[~held[lit]]
            looks = {"first": first.take(lit), "last": last.take(lit)}
            spots = [
                [looks[end].spot + depth * looks[end].inward for end in (start, finish)]
                for start, finish, depth in ways
            ]
            tried = np.tile(lit, len(ways))
            moving = np.concatenate(spots, axis=-1)
            stay = self._stay_lit(parts, part_of[tried], moving, stretch.take(tried))
            np.logical_or.at(held, tried, stay)
        # Where they are hidden by others at the end, perhaps one of both reasons holds all along.
        dark = front & (first.hides[0] != 0) & (last.hides[0] != 0)
        alike = np.ones(len(part_of), dtype=bool)
        for name in ("hides", "corners", "between"):
            alike &= (getattr(first, name) == getattr(last, name)).all(axis=0)
        same, changed = np.flatnonzero(dark & alike), np.flatnonzero(dark & ~alike)
        tried = np.concatenate([same, changed, changed])
        starts = Looks.joined([first.take(same), first.take(changed), last.take(changed)])
        finishes = Looks.joined([last.take(same), first.take(changed), last.take(changed)])
        stay = self._stay_dark(parts, part_of[tried], (starts, finishes), stretch.take(tried))
        np.logical_or.at(held, tried, stay)
        return held

    def _stay_lit(self, parts: Parts, part_of: Ints, spots: Floats, stretch: Stretch) -> Bools:
        """Whether enough sun always comes to spots (2, 2, m) of the glass, that move from the first
        to the last.
        """
        owner, path = parts.owner[part_of], stretch.path
        rooms = np.stack([spots, self._arrays.sizes[:, owner] - spots], axis=1)
        free = np.asarray((self._past_reveal(owner, rooms, path) >= 0.0).all(axis=(0, 1)))
        index = np.flatnonzero(free)
        parts_there = parts.take(part_of[index])
        stretches = np.repeat(index, parts_there.count)
        free_of_it = self._sights.never(
            spots.take(stretches, axis=2), parts_there.solids, path.take(stretches)
        )
        left = np.flatnonzero(~free_of_it)
        share, at = np.ones(len(part_of)), stretches[left]
        least, _ = self._share_bounds(parts_there.solids[left], stretch.begin[at], stretch.end[at])
        np.multiply.at(share, at, least)
        through = np.flatnonzero(free & (share > 0.0) & (share < 1.0))
        _, needed = self._needed_bounds(owner[through], stretch.take(through))
        free[through] = share[through] >= needed
        return np.asarray(free & (share > 0.0))

    def _past_reveal(self, owner: Ints, rooms: Floats, path: Path) -> Floats:
        """How far rays pass the sides of the opening in the wall's face, at the least, from points
        that keep at the first and at the last `rooms` (2, 2, 2, m) to those: left and lower, right
        and upper. (2, 2, m) in metres times the cosine of incidence; below 0 where one does not
        pass.
        """
        reveal = self._arrays.reveals[owner] * np.array([1.0, -1.0])[:, None, None]
        forms = np.stack([np.broadcast_to(reveal, rooms.shape), rooms], axis=1)
        least = [
            least_along(forms[..., axis, :], Path(path.nodes[[axis, 2]], path.slack))
            for axis in (0, 1)
        ]
        return np.stack(least, axis=1)

    def _stay_dark(
        self,
        parts: Parts,
        part_of: Ints,
        looks: tuple[Looks, Looks],
        stretch: Stretch,
    ) -> Bools:
        """Whether the shadows of the looks always hide all of the glass between them."""
        (first, last), owner = looks, parts.owner[part_of]
        points = self._points(owner, *looks, stretch.path)
        # Which points each of the shadows has to hide: its corners, what two share of edges of
        # which each hides one corner or what is between, and what three have in common.
        starts, stops, between = first.corners[FIRST], first.corners[LAST], first.between
        two, three = starts != stops, between >= 0
        shared = np.isfinite(first.shared + last.shared)
        dark = ((shared[0] | ~two) & (shared[1] | ~three)).all(axis=0)
        number = np.arange(3)[:, None, None]
        hidden = np.concatenate(
            [
                first.corners == number,
                two & ((starts == number) | (np.where(three, between, stops) == number)),
                three & ((between == number) | (stops == number)),
                np.broadcast_to(first.hides[2] > 0, (3, 1, len(part_of))),
            ],
            axis=1,
        )
        # Of each shadow the solids that make it.
        bits = np.arange(int(first.hides.max(initial=0)).bit_length())[:, None, None]
        bit, number, at = np.nonzero((first.hides >> bits & 1 > 0) & dark)
        solids = parts.solids[parts.first[part_of[at]] + bit]
        _, most = self._share_bounds(solids, stretch.begin[at], stretch.end[at])
        through = np.ones(hidden[:, 0].shape)
        np.multiply.at(through, (number, at), most)
        through = np.where(first.hides > 0, through, 0.0).max(axis=0)
        veiled = np.flatnonzero(dark & (through > 0.0))
        needed, _ = self._needed_bounds(owner[veiled], stretch.take(veiled))
        dark[veiled] = through[veiled] < needed
        pair, place = np.nonzero(hidden[number, :, at] & dark[at][:, None])
        solids, at = solids[pair], at[pair]
        moving = points.reshape(2, 2, -1).take(place * len(part_of) + at, axis=2)
        stays = self._sights.always(moving, solids, stretch.path.take(at))
        dark[at[~stays]] = False
        return np.asarray(dark)

    def _points(self, owner: Ints, first: Looks, last: Looks, path: Path) -> Floats:
        """The corners of all that is open of each glass along a path, at its beginning and at its
        end, and on its edges what is `shared`; and what is `amid`: (2, 2, 13, m).
        """
        size, reveal = self._arrays.sizes[:, owner], self._arrays.reveals[owner]
        ends = path.nodes[:, [0, -1]] if path.is_parabola else path.nodes[:, [0, 0]]
        lowest = path.nodes[2].min(axis=0) - path.slack
        slopes = (ends[:2] / ends[2]).swapaxes(0, 1)[:, None]
        rooms = -reveal * np.array([1.0, -1.0])[:, None, None] * slopes
        # As far out as no ray comes in that is not past this side of the opening; and where that
        # leaves the glass, the glass's own edge.
        over = -self._past_reveal(owner, -rooms[:, ::-1], path)[::-1]
        rooms = rooms - np.maximum(over, 0.0) / lowest
        rooms = np.where((rooms >= 0.0).all(axis=0), rooms, 0.0)
        low, high = rooms[:, 0], size - rooms[:, 1]
        points = []
        for number, seen in enumerate((first, last)):
            rim = Rim.between(np.minimum(low[number], high[number]), high[number])
            corners = [rim.corner(np.full(len(owner), corner)) for corner in range(4)]
            edges = [
                [level, at] if edge < 2 else [at, level]
                for shared in seen.shared
                for edge, (level, at) in enumerate(zip(rim.levels, shared, strict=True))
            ]
            points.append(np.concatenate([corners, edges, [seen.amid]]).transpose(1, 0, 2))
        return np.stack(points)

    def _share_bounds(self, solids: Ints, begin: Floats, end: Floats) -> tuple[Floats, Floats]:
        """The least and the most that each of `solids` (n,) lets through from `begin` to `end`."""
        least, leaves = np.zeros(len(solids)), self._foliage[solids]
        most = least.copy()
        for number, foliage in enumerate(self._leaves):
            index = np.flatnonzero(leaves == number)
            least[index], most[index] = foliage.bounds(begin[index], end[index])
        return least, most

    def _needed_bounds(self, owner: Ints, stretch: Stretch) -> tuple[Floats, Floats]:
        """The least and the largest share of the beam that counts as sun in each stretch."""
        if not self._leaves:
            least = np.full(len(stretch.begin), np.nextafter(0.0, 1.0))
            return least, least
        (right, up, out), slack = self.axes[owner, :, 2].T, stretch.path.slack
        nodes = stretch.path.nodes
        up = right * nodes[0] + up * nodes[1] + out * nodes[2]
        sines = up.min(axis=0) - slack, up.max(axis=0) + slack
        return self._around[0].light.needed_between(stretch.begin, stretch.end, *sines)
