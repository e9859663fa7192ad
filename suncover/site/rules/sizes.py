"""What lengths and times a house has, to find those that were given in another unit.

The bounds are rules of thumb of our own, wide on purpose: what lies outside is no fault, but
whoever wrote it is asked.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from pydantic import BaseModel

from suncover.site.finding import Path, place_of

# Units that a length may have been meant in, the likely ones first; metres each.
_LIKELY = {"cm": 0.01, "in": 0.0254}
_UNLIKELY = {"mm": 0.001, "ft": 0.3048}


class Usual(NamedTuple):
    """From `low` to `high` is usual, in metres, or `per` says in what.

    `or_none` means that 0 is usual as well.
    """

    low: float
    high: float
    per: str = "m"
    or_none: bool = False

    def holds(self, value: float) -> bool:
        """Whether a value is within the bounds."""
        return self.low <= value <= self.high or (self.or_none and value == 0)


_ALONG = Usual(-20, 20)  # how far something runs past the glass

USUAL: Mapping[str, Usual] = {
    "site.elevation": Usual(-450, 5200),  # the shores of the Dead Sea, the highest towns
    "wall.length": Usual(0.2, 100),
    "wall.start": Usual(-300, 300),
    "window.width": Usual(0.1, 20),
    "window.height": Usual(0.1, 20),
    "window.sill": Usual(0, 10),
    "window.reveal": Usual(0, 1.5),
    "window.position": Usual(-100, 100),
    "window.floor": Usual(-20, 150),
    "overhang.depth": Usual(0.02, 8),
    "overhang.gap": Usual(0, 5),
    "overhang.left": _ALONG,
    "overhang.right": _ALONG,
    "fin.depth": Usual(0.02, 15),
    "fin.gap": Usual(0, 15),
    "fin.above": Usual(-20, 30),
    "fin.below": Usual(-20, 30),
    "canopy.height": Usual(-5, 150),
    "canopy.depth": Usual(0.1, 15),
    "canopy.left": Usual(-50, 50),
    "canopy.right": Usual(-50, 50),
    "roller.tube": Usual(0.01, 0.2),
    "roller.thickness": Usual(0.0001, 0.01),
    "roller.drop": Usual(0.2, 10),
    "roller.spare": Usual(0, 3),
    "obstacle.footprint": Usual(-1000, 1000),
    "obstacle.base": Usual(-100, 200),
    "obstacle.top": Usual(-100, 400),
    "tree.trunk": Usual(-300, 300),
    "tree.width": Usual(0.3, 40),
    "tree.bottom": Usual(-50, 50),
    "tree.top": Usual(-50, 120),
    "spot.distance": Usual(0, 20),
    "spot.offset": _ALONG,
    "spot.height": Usual(0, 5),
    "glare.reach": Usual(0.05, 20),
    "glare.height": Usual(0, 5),
    "sighting.distance": Usual(0, 20),
    "sighting.offset": _ALONG,
    "sighting.minutes": Usual(0, 120, "minutes"),
    "shade.standoff": Usual(0, 0.5),
    "shade.travel": Usual(3, 300, "seconds", or_none=True),
    "shade.travel_up": Usual(3, 300, "seconds"),
    "shade.overrun": Usual(0, 60, "seconds"),
    "shade.lead": Usual(0, 60, "minutes"),
    "shade.lag": Usual(0, 60, "minutes"),
    "shade.merge": Usual(0, 240, "minutes"),
    "shade.shortest": Usual(0, 120, "minutes"),
    "keeper.stale": Usual(5, 600, "seconds"),
    "keeper.answer": Usual(1, 300, "seconds"),
    "supply.gap": Usual(0, 300, "seconds"),
    "best.move": Usual(0, 120, "minutes"),
}
"""By the last table and the key of the site file: `overhang.depth`."""


def size_doubt(key: str, value: float) -> str | None:
    """What to ask about a length or time of `USUAL`, such as `is 180 m; was …?`; None if nothing.

    `value` is in the key's own unit: metres, seconds or minutes.
    """
    usual = USUAL[key]
    if usual.holds(value):
        return None
    if usual.per == "m":
        return f"is {value:g} m; was another unit meant{_such_as(usual, value)}?"
    other_unit, factor = ("minutes", 60.0) if usual.per == "seconds" else ("seconds", 1 / 60.0)
    is_so = f"is {value:g} {usual.per}"
    if usual.holds(value * factor):
        return f"{is_so}; were {other_unit} meant? That would be {value * factor:.3g}"
    return f"{is_so}; is that right?"


def _such_as(usual: Usual, value: float) -> str:
    """`, such as "12 cm" or "12 in"`: the same number in units that would make it usual."""
    if value != round(value, 2):
        return ""  # nobody typed that: it was given with a unit already
    for units in (_LIKELY, _UNLIKELY):
        fitting = [
            f'"{value:g} {unit}"' for unit, metres in units.items() if usual.holds(value * metres)
        ]
        if fitting:
            return f", such as {' or '.join(fitting)}"
    return ""


def size_doubts(site: BaseModel) -> Iterator[str]:
    """What to ask about the lengths and times of a site, in its order: sentences for people.

    Of a list, such as a footprint, only the first number that is out of bounds is reported.
    """
    under_roofs = {name for canopy in getattr(site, "canopies", ()) for name in canopy.windows}
    names: dict[Path, str] = {}
    for path, key, value in _sizes(site, (), under_roofs, names):
        for number_path, number in _numbers(path, value):
            if doubt := size_doubt(key, number):
                yield f"{place_of(number_path, names)} {doubt}"
                break


def _sizes(
    table: BaseModel, path: Path, under_roofs: set[str], names: dict[Path, str]
) -> Iterator[tuple[Path, str, Any]]:
    """Each value of a table and those in it that `USUAL` knows, with its path and its key there."""
    last = next((part for part in reversed(path) if isinstance(part, str)), "")
    for field, about in type(table).model_fields.items():
        value = getattr(table, field)
        key = about.alias or field
        if isinstance(value, BaseModel):
            # A canopy is each of its windows' overhang, and has its own place in the file.
            if key != "overhang" or getattr(table, "name", None) not in under_roofs:
                yield from _sizes(value, (*path, key), under_roofs, names)
        elif isinstance(value, tuple) and value and isinstance(value[0], BaseModel):
            for index, entry in enumerate(value):
                inside = (*path, key, index)
                if (name := getattr(entry, "name", None)) is not None:
                    names[inside] = name
                yield from _sizes(entry, inside, under_roofs, names)
        elif (usual_key := f"{last}.{key}") in USUAL and value is not None:
            yield (*path, key), usual_key, value


def _numbers(path: Path, value: Any) -> Iterator[tuple[Path, float]]:
    """The numbers of a value: itself, or the members of its lists."""
    if isinstance(value, tuple):
        for index, part in enumerate(value):
            yield from _numbers((*path, index), part)
    else:
        yield path, value
