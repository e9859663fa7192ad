"""Is any of the glass in sun? As a handful of smooth conditions, for one overhang and a fin a side.

The overhang's shadow takes y >= y_T within a strip of w, the fin's x >= x_S within another (see
`suncover.facade.plates` for x, y, w). A point of the open glass is in sun if it is

    below the overhang's shadow, or left of its strip, or right of it,    and
    short of the fin's shadow, or above the fin's end, or below it.

Each of the nine combinations is a box cut by a strip, and such a piece is there or not by a few
comparisons of its corners. So "some of the glass is in sun" is an expression of ands and ors of a
dozen conditions f > 0, and each f is of the form c0 + c1 p + c2 q + c3 pq with constants c that
hold while the sun stays in one quarter of the sky before the window (left or right, above or below
the normal plane).

Times n, the cosine of incidence, or n² where there is a term in pq, each f is a form in the
components (u, v, n) of the sun's direction that has its sign and stays smooth where the sun grazes
the glass. Bounds of the forms over a span of time are bounds of what is lit in it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.glazed import ENDLESS, Glass, Plate

Floats = NDArray[np.float64]
Terms = tuple[float, float, float, float]

NEVER: Terms = (-1.0, 0.0, 0.0, 0.0)
ALWAYS: Terms = (1.0, 0.0, 0.0, 0.0)

# An or of ands of conditions, each by its index.
Expression = tuple[tuple[int, ...], ...]


@dataclass(frozen=True)
class Conditions:
    """The conditions f > 0 of one quarter of the sky: `terms` of each, and which of them must hold.

    `terms` multiply 1, p, q, pq, with p counted away from the side that the sun comes from and q as
    it is. An empty group in `expression` always holds. `mixed` tells which conditions have a term
    in pq, and so a form of second degree. With `in_front`, they cannot hold while the sun is behind
    the glass.
    """

    terms: tuple[Terms, ...]
    expression: Expression
    in_front: bool = False

    @cached_property
    def mixed(self) -> tuple[bool, ...]:
        """Which conditions have a term in pq."""
        return tuple(terms[3] != 0.0 for terms in self.terms)

    @property
    def pattern(self) -> tuple[Expression, tuple[bool, ...], bool]:
        """What glasses have in common whose conditions can be worked out together."""
        return self.expression, self.mixed, self.in_front


class ConditionSet(NamedTuple):
    """The conditions of several glasses of one pattern, in one quarter of the sky.

    `terms` (k, 4, g) for g glasses.
    """

    terms: Floats
    expression: Expression
    mixed: tuple[bool, ...]
    in_front: bool

    @classmethod
    def of(cls, of_glasses: Sequence[Conditions]) -> ConditionSet:
        """The conditions of several glasses that share a pattern."""
        terms = np.array([conditions.terms for conditions in of_glasses]).reshape(
            len(of_glasses), -1, 4
        )
        return cls(np.ascontiguousarray(terms.transpose(1, 2, 0)), *of_glasses[0].pattern)


def is_simple(glass: Glass) -> bool:
    """Whether at most one overhang and one fin a side stand before the glass."""
    kinds = [plate.kind for plate in glass.plates]
    return all(kinds.count(kind) <= 1 for kind in kinds)


@dataclass(frozen=True)
class SkyQuarters:
    """The conditions of a glass with simple plates, for each quarter of the sky before it.

    Quarters: 0 sun from the right and above the normal plane, 1 left and above, 2 right and below,
    3 left and below.
    """

    glass: Glass

    @property
    def pattern(self) -> tuple[tuple[Expression, tuple[bool, ...], bool], ...]:
        """What glasses have in common that can be searched together."""
        return tuple(conditions.pattern for conditions in self.conditions)

    @cached_property
    def conditions(self) -> tuple[Conditions, Conditions, Conditions, Conditions]:
        """Conditions by quarter."""
        glass = self.glass
        roof = next((plate for plate in glass.plates if plate.kind == "top"), None)
        right = next((plate for plate in glass.plates if plate.kind == "right"), None)
        left = next((plate for plate in glass.plates if plate.kind == "left"), None)
        mirrored_roof = roof
        if roof is not None:
            mirrored_roof = Plate(
                "top", roof.line, glass.width - roof.end, glass.width - roof.begin, roof.far
            )
        mirrored_left = left
        if left is not None:
            mirrored_left = Plate("right", glass.width - left.line, left.begin, left.end, left.far)
        return (
            _from_above(glass, roof, right),
            _from_above(glass, mirrored_roof, mirrored_left),
            _from_below(glass, right),
            _from_below(glass, mirrored_left),
        )


def _from_above(glass: Glass, roof: Plate | None, fin: Plate | None) -> Conditions:
    """q > 0, p >= 0. The open glass: 0 <= x <= W - r p, 0 <= y <= H - r q."""
    build = _Builder(glass)
    opening = build.all(
        (glass.width, -glass.reveal, 0.0, 0.0), (glass.height, 0.0, -glass.reveal, 0.0)
    )
    pieces: Sequence[Sequence[Terms]] = [()]
    if roof is not None and fin is not None:
        pieces = _past_roof_and_fin(glass, roof, fin)
    elif roof is not None:
        pieces = [(terms,) for terms in _past_roof(glass, roof)]
    elif fin is not None:
        pieces = [(terms,) for terms in _past_fin(glass, fin)]
    return build.either(*(opening + build.all(*piece) for piece in pieces))


def _past_roof(glass: Glass, roof: Plate) -> tuple[Terms, Terms, Terms]:
    """Sun from above below the overhang's shadow, left of its strip, right of it."""
    # w is least at (0, H - r q) and most at (W - r p, 0).
    return (
        (roof.line, 0.0, -roof.far, 0.0),
        _unless_endless(roof.begin, (0.0, glass.height - roof.line, roof.begin, -glass.reveal)),
        _unless_endless(roof.end, (0.0, roof.line, glass.width - roof.end, -glass.reveal)),
    )


def _past_fin(glass: Glass, fin: Plate) -> tuple[Terms, Terms, Terms]:
    """Sun from above short of the fin's shadow, above the fin's end, below it."""
    return (
        (fin.line, -fin.far, 0.0, 0.0),
        _unless_endless(fin.end, (0.0, glass.height - fin.end, fin.line, -glass.reveal)),
        _unless_endless(fin.begin, (0.0, fin.begin, glass.width - fin.line, -glass.reveal)),
    )


def _past_roof_and_fin(glass: Glass, roof: Plate, fin: Plate) -> Sequence[Sequence[Terms]]:
    """Sun from above past both: what each of the nine combinations needs."""
    below_roof, left_of_roof, right_of_roof = _past_roof(glass, roof)
    before_fin, above_fin, below_fin = _past_fin(glass, fin)
    # The lit piece above the fin's end, where the roof's shadow cuts it at y_T.
    above_fin_at_roof = _unless_endless(fin.end, (0.0, roof.line - fin.end, fin.line, -roof.far))
    # The lit piece right of the roof's strip, where the fin's shadow cuts it at x_S.
    right_before_fin = _unless_endless(roof.end, (0.0, roof.line, fin.line - roof.end, -fin.far))
    # Strips of w between the two shadows' strips.
    between = (0.0, fin.begin - roof.line, roof.begin - fin.line, 0.0)
    beyond = (0.0, roof.line - fin.end, fin.line - roof.end, 0.0)
    return (
        (below_roof, before_fin),
        (below_roof, above_fin, above_fin_at_roof),
        (below_roof, below_fin),
        (left_of_roof, before_fin),
        (left_of_roof, above_fin),
        (left_of_roof, below_fin, between),
        (right_of_roof, before_fin, right_before_fin),
        (right_of_roof, above_fin, beyond),
        (right_of_roof, below_fin),
    )


def _from_below(glass: Glass, fin: Plate | None) -> Conditions:
    """q <= 0, p >= 0: no overhang counts. The open glass: 0 <= x <= W - r p, -r q <= y <= H."""
    width, height, r = glass.width, glass.height, glass.reveal
    build = _Builder(glass)
    opening = build.all((width, -r, 0.0, 0.0), (height, 0.0, r, 0.0))
    if fin is None:
        return build.either(opening)
    # w is least at (W - r p, H) and most at (0, -r q).
    above = _unless_endless(fin.end, (0.0, height - fin.end, fin.line - width, r))
    below = _unless_endless(fin.begin, (0.0, fin.begin, -fin.line, r))
    return build.either(
        opening + build.all((fin.line, -fin.far, 0.0, 0.0)),
        opening + build.all(above),
        opening + build.all(below),
    )


def _unless_endless(end: float, terms: Terms) -> Terms:
    """An endless plate has no end for the sun to pass."""
    return NEVER if abs(end) >= ENDLESS / 2 else terms


class _Builder:
    """Numbers conditions, each once; drops those that always hold, and groups that never can."""

    def __init__(self, glass: Glass) -> None:
        self._numbers: dict[Terms, int] = {NEVER: 0}
        # Through a reveal the open width, W - r p with p at least 0, is gone before the sun grazes.
        self._in_front = glass.reveal > 0.0

    def all(self, *terms: Terms) -> tuple[int, ...]:
        numbers = []
        for term in terms:
            if term[1] == term[2] == term[3] == 0.0:
                if term[0] > 0.0:
                    continue
                numbers.append(0)
            else:
                numbers.append(self._numbers.setdefault(term, len(self._numbers)))
        return tuple(numbers)

    def either(self, *groups: Sequence[int]) -> Conditions:
        possible = [group for group in groups if 0 not in group]
        used = sorted({index for group in possible for index in group})
        terms = list(self._numbers)
        place = {index: number for number, index in enumerate(used)}
        renamed = tuple(tuple(place[index] for index in group) for group in possible)
        return Conditions(tuple(terms[index] for index in used), renamed, self._in_front)
