"""Glasses whose conditions have one pattern, to be searched together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, reduce

import numpy as np
from numpy.typing import NDArray

from suncover.facade.conditions import ConditionSet, SkyQuarters

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class SkyForms:
    """The conditions of a `ConditionSet` as forms in the sun's direction, east, north and up.

    Those of first degree come first, then those of second degree. Three of the first are not of the
    set: the `front` of the glass (that the sun is before it at all), and the two `sides` of the
    quarter of the sky. All are scaled so that they change no faster than a component of the
    direction, or a product of two.

    `linear` (k, g, 3) multiply the components, `products` (m, g, 6) their products in the order of
    `SunGrid.components`. Glass is lit where all forms of some group in `groups` are above 0.
    """

    linear: Floats
    products: Floats
    groups: tuple[tuple[int, ...], ...]
    sides: tuple[int, int]

    @cached_property
    def degrees(self) -> Ints:
        """0 for each form of first degree, 1 for those of second."""
        return np.repeat([0, 1], [len(self.linear), len(self.products)])

    @cached_property
    def needed(self) -> tuple[int, ...]:
        """The forms that some group asks for, in order."""
        return tuple(sorted({form for group in self.groups for form in group}))

    def lit(self, holds: Mapping[int, Bools] | Bools, shape: tuple[int, ...]) -> Bools:
        """Whether glass is lit where each needed form holds or not, of one `shape`, anywhere in the
        quarter.
        """
        lit = np.zeros(shape, dtype=bool)
        for group in self.groups:
            all_hold = np.ones(shape, dtype=bool)
            for form in group:
                np.logical_and(all_hold, holds[form], out=all_hold)
            np.logical_or(lit, all_hold, out=lit)
        return lit

    def that_matter(self, low: Singles, high: Singles) -> Bools:
        """Which forms the answer hangs on where they lie between `low` and `high`: (k, m) each.

        Those of unknown sign, in groups of which no form is known to fail.
        """
        unknown, fails = (low <= 0.0) & (high > 0.0), high <= 0.0
        matter = np.zeros(low.shape, dtype=bool)
        for group in self.groups:
            members = [*group, *self.sides]
            possible = ~reduce(np.logical_or, [fails[form] for form in members])
            for form in members:
                matter[form] |= possible & unknown[form]
        return matter

    def lit_in_quarter(self, holds: Bools) -> Bools:
        """Whether glass is lit by this quarter where each form holds or not, (k, ...)."""
        inside: Bools = holds[self.sides[0]] & holds[self.sides[1]]
        return np.logical_and(inside, self.lit(holds, inside.shape))

    def at(self, form: Ints, owner: Ints, directions: Floats) -> Floats:
        """Each form `form` (n,) of the glass `owner` (n,) at directions (3, n): (n,)."""
        values = np.empty(len(form))
        first = len(self.linear)
        low, high = np.flatnonzero(form < first), np.flatnonzero(form >= first)
        factors = self.linear[form[low], owner[low]]
        values[low] = np.einsum("nc,cn->n", factors, directions[:, low])
        if len(high):
            factors = self.products[form[high] - first, owner[high]]
            values[high] = np.einsum("nc,cn->n", factors, products_of(directions[:, high]))
        return values


def products_of(directions: Floats) -> Floats:
    """The products of the components of directions (3, ...), as `SkyForms.products` takes them:
    (6, ...).
    """
    east, north, up = directions
    return np.stack([east * east, north * north, up * up, east * north, east * up, north * up])


@dataclass(frozen=True)
class Panes:
    """Glasses with axes (g, 3, 3) and their conditions by quarter of the sky."""

    axes: Floats
    quarters: tuple[ConditionSet, ...]

    @classmethod
    def of(cls, axes: Sequence[Floats], skies: Sequence[SkyQuarters]) -> Panes:
        """Glasses with `axes` and conditions `skies`, all of one `SkyQuarters.pattern`."""
        quarters = tuple(
            ConditionSet.of([sky.conditions[number] for sky in skies]) for number in range(4)
        )
        return cls(np.stack(axes), quarters)

    @cached_property
    def forms(self) -> tuple[SkyForms, ...]:
        """The conditions of each quarter in the sun's direction."""
        return tuple(self._forms(number) for number in range(4))

    def _forms(self, number: int) -> SkyForms:
        conditions = self.quarters[number]
        right, up, out = (self.axes[:, axis] for axis in (0, 1, 2))
        right = right * mirror(number)
        linear, products = [out, right, up if number < 2 else -up], list[Floats]()
        first, last = {}, {}
        for index, mixed in enumerate(conditions.mixed):
            terms = conditions.terms[index]
            if mixed:
                last[index] = len(products)
                terms = terms / _steepest(terms)
                pairs = zip(terms, ((out, out), (right, out), (up, out), (right, up)), strict=True)
                products.append(sum(c[:, None] * _product(*pair) for c, pair in pairs))
            else:
                first[index] = len(linear)
                terms = terms[:3] / np.linalg.norm(terms[:3], axis=0)
                axes = zip(terms, (out, right, up), strict=True)
                linear.append(sum(c[:, None] * axis for c, axis in axes))
        form = first | {index: len(linear) + place for index, place in last.items()}
        front = () if conditions.in_front else (0,)
        groups = conditions.expression if () not in conditions.expression else ((),)
        return SkyForms(
            np.stack(linear),
            np.stack(products) if products else np.zeros((0, len(self.axes), 6)),
            tuple((*front, *(form[index] for index in group)) for group in groups),
            (1, 2),
        )


def _steepest(terms: Floats) -> Floats:
    """The greatest eigenvalue, by size, of the forms with `terms` (4, g), twice: (g,).

    That of a symmetric matrix with nothing on its diagonal has a closed form. What stands there
    (the first term) adds its size at the most.
    """
    diagonal, *off_diagonal = terms
    x, y, z = (term / 2.0 for term in off_diagonal)
    third = (x * x + y * y + z * z) / 3.0
    turn = np.arccos(np.clip(np.abs(x * y * z) / np.maximum(third, 1e-300) ** 1.5, 0.0, 1.0))
    return np.asarray(4.0 * np.sqrt(third) * np.cos(turn / 3.0) + 2.0 * np.abs(diagonal))


def _product(first: Floats, second: Floats) -> Floats:
    """The product of two components, each along vectors (g, 3), in the sun's products: (g, 6)."""
    a, b = first.T, second.T
    return np.stack(
        [
            a[0] * b[0],
            a[1] * b[1],
            a[2] * b[2],
            a[0] * b[1] + a[1] * b[0],
            a[0] * b[2] + a[2] * b[0],
            a[1] * b[2] + a[2] * b[1],
        ],
        axis=1,
    )


def mirror(number: int) -> float:
    """What turns u so that the sun of quarter `number` comes from the right."""
    return -1.0 if number % 2 else 1.0
