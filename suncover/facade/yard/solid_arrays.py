"""The solids before several windows as arrays, to be looked at together whichever window is asked.

The solids of one window after another have one number each: its prisms, its crowns, then the plates
of its glass.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from suncover.facade.glazed import Glass, Plate
from suncover.facade.yard.chords import Chord, Crowns, crown_chords, edge_chords
from suncover.facade.yard.edges import EdgeTable, Outline
from suncover.facade.yard.solids import Crown, Prism

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

# Numbers of edges for which there are arrays: solids with fewer repeat their last one.
EDGES = (4, 12, 24, 48, 96)
# The sides of the glass on which plates stand, and from where the sun shines on it past them.
SIDES = ("top", "right", "left")
# Stands for the table of what shades nothing.
NONE = -9
# Directions looked at together: what fits in a processor's cache is done several times as fast.
AT_ONCE = 1024


class SolidArrays:
    """What stands before each of some glasses: its solids, then its plates.

    `owner` (s,) is the glass of each. `table` (s,) which of the `tables` of solids with flat sides
    it is in, or -1 - i for the i-th of two sets of `crowns`, those that are whole and those that
    the plane of the glass cuts; and `place` (s,) where in it. `plate` (s,) is the place among the
    `plates`, -1 for what is none.
    """

    def __init__(self, glasses: Sequence[Glass], solids: Sequence[Sequence[Prism | Crown]]) -> None:
        self.glasses = tuple(glasses)
        self.sizes = np.array([(glass.width, glass.height) for glass in glasses]).reshape(-1, 2).T
        self.reveals = np.array([glass.reveal for glass in glasses])
        self.plates = [plate for glass in glasses for plate in glass.plates]
        counts = [len(own) + len(glass.plates) for glass, own in zip(glasses, solids, strict=True)]
        self.first = np.cumsum([0, *counts])
        self.owner = np.repeat(np.arange(len(counts)), counts)
        self.plate = np.full(len(self.owner), -1)
        every: list[Prism | Crown] = []
        for glass, own in zip(glasses, solids, strict=True):
            every += own
            plates = range(len(every), len(every) + len(glass.plates))
            self.plate[plates] = np.arange(len(plates)) + self.plate.max(initial=-1) + 1
            every += map(flat, glass.plates)
        self._arrange(every)

    def _arrange(self, solids: Sequence[Prism | Crown]) -> None:
        kinds: dict[int, list[int]] = {-1: [], -2: []}
        for number, solid in enumerate(solids):
            if isinstance(solid, Crown):
                kinds[-1 if solid.is_whole else -2].append(number)
            else:
                edges = len(solid.all_edges)
                kinds.setdefault(next((most for most in EDGES if edges <= most), edges), [])
                kinds[next((most for most in EDGES if edges <= most), edges)].append(number)
        # One more stands for none.
        self.table, self.place = (np.full(len(solids) + 1, value) for value in (NONE, 0))
        self.tables: list[EdgeTable] = []
        crowns: list[Crowns] = []
        for kind, numbers in kinds.items():
            self.place[numbers] = np.arange(len(numbers))
            self.table[numbers] = kind if kind < 0 else len(self.tables)
            own = [solids[number] for number in numbers]
            if kind < 0:
                of_kind = [solid for solid in own if isinstance(solid, Crown)]
                crowns.append(Crowns.of(of_kind, is_whole=kind == -1))
            else:
                self.tables.append(
                    EdgeTable.of([solid for solid in own if isinstance(solid, Prism)])
                )
        self.crowns = tuple(crowns)

    @cached_property
    def kinds(self) -> tuple[int, ...]:
        """All numbers that there are in `table`."""
        return tuple(sorted(set(self.table[:-1].tolist())))

    @cached_property
    def plate_sides(self) -> Ints:
        """Of each plate the place of its kind in `SIDES`."""
        return np.array([SIDES.index(plate.kind) for plate in self.plates], dtype=np.int64)

    @cached_property
    def plate_places(self) -> Floats:
        """Of each plate its line, where it begins and ends, and how far it reaches: (4, k)."""
        places = [(plate.line, plate.begin, plate.end, plate.far) for plate in self.plates]
        return np.array(places).reshape(-1, 4).T

    @cached_property
    def _needs_sun_from(self) -> Ints:
        """0 for what always shades; else, for plates, 1 and the place of its kind in `SIDES`."""
        return np.append(np.append(0, self.plate_sides + 1)[self.plate + 1], 0)

    @cached_property
    def outlines(self) -> tuple[Outline, ...]:
        """Of each of the tables, from the solids' own glasses."""
        outlines = []
        for number, table in enumerate(self.tables):
            owner = self.owner[np.flatnonzero(self.table == number)]
            outlines.append(Outline.of(table, self.sizes[:, owner]))
        return tuple(outlines)

    def chords(self, solids: Ints, p: Floats, q: Floats, levels: Floats) -> tuple[Floats, Floats]:
        """Where the shadows of `solids` (d, m) begin and end on lines at `levels` (4, m), of x for
        the first two, of y for the others: (d, 4, m) each; for a sun of slopes p and q (m,).
        """
        deep, width = solids.shape
        flat, instant = solids.ravel(), np.tile(np.arange(width), deep)
        toward = np.stack([np.ones_like(p), q, p, -p])
        shades = toward.take(self._needs_sun_from[flat] * width + instant) > 0.0
        table = np.where(shades, self.table[flat], NONE)
        # One kind after the other, and back.
        order = np.argsort(table, kind="stable")
        place, instant, table = self.place[flat[order]], instant[order], table[order]
        begin, end = np.full((4, deep * width), np.inf), np.full((4, deep * width), -np.inf)
        for kind in self.kinds:
            first, last = np.searchsorted(table, [kind, kind + 1])
            for start in range(first, last, AT_ONCE):
                part = slice(start, min(start + AT_ONCE, last))
                at = instant[part]
                sun = p[at], q[at], levels.take(at, axis=1)
                begin[:, part], end[:, part] = self._chords(kind, place[part], *sun)
        back, shape = np.empty_like(order), (4, deep, width)
        back[order] = np.arange(len(order))
        begin, end = (
            ends.take(back, axis=1).reshape(shape).swapaxes(0, 1) for ends in (begin, end)
        )
        return begin, end

    def _chords(self, kind: int, place: Ints, p: Floats, q: Floats, levels: Floats) -> Chord:
        if kind < 0:
            return crown_chords(self.crowns[-1 - kind].take(place), p, q, levels)
        return self._flat_chords(kind, place, p, q, levels)

    def _flat_chords(self, kind: int, place: Ints, p: Floats, q: Floats, levels: Floats) -> Chord:
        outline = self.outlines[kind]
        mixed = np.flatnonzero(outline.mixed[place])
        begin, end = outline.lines.take(place).chords(p, q, levels)
        if len(mixed):
            ends = self.tables[kind].take(place[mixed]).ends
            chords = edge_chords(ends, p[mixed], q[mixed], levels[:, mixed])
            begin[:, mixed], end[:, mixed] = chords
        return begin, end


def flat(plate: Plate) -> Prism:
    """A plate as a solid without thickness, from its outer edge in.

    It may go on behind the face of the wall, where its shadow misses the open glass: so that does
    not end just on the glass's edge.
    """
    begin, end = plate.drawn_ends
    ends = [(begin, -1.0), (end, -1.0), (end, plate.far), (begin, plate.far)]
    if plate.kind == "top":
        corners = [(along, plate.line, z) for along, z in ends]
    else:
        corners = [(plate.line, along, z) for along, z in ends]
    return Prism(np.array(corners), np.array([[0, 1], [1, 2], [2, 3], [3, 0]]))
