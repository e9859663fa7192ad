"""What stands before a window's glass: thin plates at right angles to it, and the reveal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from suncover.base.errors import RequestError

Floats = NDArray[np.float64]

# More plates on one side than this, and inclusion-exclusion over their overlaps would grow out of
# hand.
MOST_PLATES = 8
# Stands for an endless plate's end, in metres: far enough that its shadow's end never meets the
# glass.
ENDLESS = 1e9
# Metres about the glass within which shadows are drawn as polygons.
AROUND = 1000.0


@dataclass(frozen=True)
class Plate:
    """A thin plate at right angles to the glass, in the glass's coordinates, metres.

    `kind` "top" lies in the plane y = `line` from x = `begin` to `end`; "left" and "right" stand in
    the plane x = `line` from y = `begin` to `end`. It reaches from the wall's face to z = `far`.
    """

    kind: Literal["top", "left", "right"]
    line: float
    begin: float
    end: float
    far: float

    @property
    def drawn_ends(self) -> tuple[float, float]:
        """Where it begins and ends for drawing, which has no room for endless plates."""
        return max(self.begin, -AROUND), min(self.end, AROUND)


@dataclass(frozen=True)
class Glass:
    """A window's glass and the plates before it: metres.

    `reveal` is how far the glass stands behind the opening in the wall's face, which has the
    glass's size; the rest of the face is solid.
    """

    width: float
    height: float
    reveal: float = 0.0
    plates: tuple[Plate, ...] = ()

    def __post_init__(self) -> None:
        if not (self.width > 0 and self.height > 0 and self.reveal >= 0):
            raise RequestError("width and height must be above 0 and reveal at least 0 metres")
        for side in ("left", "right"):
            count = sum(plate.kind in ("top", side) for plate in self.plates)
            if count > MOST_PLATES:
                raise RequestError(
                    f"{count} overhangs and {side} fins before one window; "
                    f"at most {MOST_PLATES} can be computed"
                )

    @property
    def area(self) -> float:
        """Area of the glass in m²."""
        return self.width * self.height

    @property
    def rounding(self) -> float:
        """A share of the glass that is rounding, not sun: its area is a sum over sets of plates."""
        return float(1e-15 * 2 ** (1 + len(self.plates)))

    @property
    def corners(self) -> NDArray[np.float64]:
        """Its corners x, y, z in metres: (4, 3)."""
        width, height = self.width, self.height
        return np.array([[0, 0, 0], [width, 0, 0], [width, height, 0], [0, height, 0]], dtype=float)


@dataclass(frozen=True)
class PlateRows:
    """A plate of the same kind before each of m glasses: as `Plate`, arrays (m,)."""

    kind: Literal["top", "left", "right"]
    line: Floats
    begin: Floats
    end: Floats
    far: Floats

    @property
    def drawn_ends(self) -> tuple[Floats, Floats]:
        """Where they begin and end for drawing, which has no room for endless plates."""
        return np.maximum(self.begin, -AROUND), np.minimum(self.end, AROUND)


@dataclass(frozen=True)
class GlassRows:
    """Glasses with plates of the same kinds: as `Glass`, arrays (m,)."""

    width: Floats
    height: Floats
    reveal: Floats
    plates: tuple[PlateRows, ...]

    @classmethod
    def of(cls, glasses: Sequence[Glass]) -> GlassRows:
        """Several glasses, whose plates are of the same kinds in the same order."""
        width, height, reveal = np.array([(at.width, at.height, at.reveal) for at in glasses]).T
        plates = []
        for alike in zip(*(glass.plates for glass in glasses), strict=True):
            sizes = np.array([(plate.line, plate.begin, plate.end, plate.far) for plate in alike])
            plates.append(PlateRows(alike[0].kind, *sizes.T))
        return cls(width, height, reveal, tuple(plates))

    @property
    def area(self) -> Floats:
        """Areas of the glasses in m²."""
        return self.width * self.height

    def take(self, index: NDArray[np.intp]) -> GlassRows:
        """The glasses of an `index`."""
        plates = (
            PlateRows(at.kind, at.line[index], at.begin[index], at.end[index], at.far[index])
            for at in self.plates
        )
        sizes = self.width[index], self.height[index], self.reveal[index]
        return GlassRows(*sizes, tuple(plates))


AnyGlass = Glass | GlassRows
AnyPlate = Plate | PlateRows


def overhang_plate(
    glass: Glass,
    depth: float,
    gap: float = 0.0,
    left: float | None = None,
    right: float | None = None,
) -> Plate:
    """An overhang `depth` deep, `gap` above the glass's top edge, running `left` and `right` past
    its sides.

    Metres; `left` and `right` None: endless.
    """
    begin = -ENDLESS if left is None else -left
    end = ENDLESS if right is None else glass.width + right
    return Plate("top", glass.height + gap, begin, end, glass.reveal + depth)


def fin_plate(
    glass: Glass,
    side: Literal["left", "right"],
    depth: float,
    *,
    gap: float = 0.0,
    above: float | None = None,
    below: float | None = None,
) -> Plate:
    """A fin `depth` deep, `gap` beside the glass's `side` edge, running `above` and `below` past
    its ends.

    Metres; `above` and `below` None: endless. Left is as seen from outdoors.

    Raises
    ------
    RequestError
        When there is no such side.
    """
    if side not in ("left", "right"):
        raise RequestError(f'a fin stands "left" or "right" of the glass, not {side!r}')
    line = -gap if side == "left" else glass.width + gap
    begin = -ENDLESS if below is None else -below
    end = ENDLESS if above is None else glass.height + above
    return Plate(side, line, begin, end, glass.reveal + depth)
