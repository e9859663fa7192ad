"""A home's outer walls from a few measures, or from a map: the text of a new site file."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from suncover.around.geojson import map_of
from suncover.around.walls import own_house
from suncover.base.errors import RequestError
from suncover.site.aspect import Direction
from suncover.site.file.tables import toml_value
from suncover.site.kinds.coordinates import parse_place
from suncover.site.kinds.kind import adapter, in_words
from suncover.site.kinds.values import LengthAboveZero, Name

Json = dict[str, Any]

SIDES = ("front", "right side", "back", "left side")
"""The walls of a rectangle, on to the right as one walks round it and faces it."""
_NUMBER = re.compile(r"[+-]?\d+([.,]\d+)?")
LEAST_WALL_M = 0.2  # of a map: shorter is a kink of the drawing


@dataclass(frozen=True)
class _Wall:
    """A wall as the file gets it; of the first, `azimuth`, of the others by the corner before."""

    name: str
    length: float
    corner: float = 90.0
    written: object = None  # as the file gets its length, where that is not the number


class _Answers:
    """The fields of a new home, and what is wrong with them."""

    def __init__(self, fields: Mapping[str, Any]) -> None:
        self._fields = fields
        self.faults: dict[str, str] = {}

    def read(self, key: str, kind: Any) -> Any:
        """A field as its kind reads it; None where it is wrong, which is noted."""
        text = self._fields.get(key)
        value: Any = text.strip() if isinstance(text, str) else text
        if isinstance(value, str) and _NUMBER.fullmatch(value):
            value = float(value.replace(",", "."))
        try:
            return adapter(kind).validate_python(value)
        except ValidationError as wrong:
            detail = wrong.errors(include_url=False)[0]
            empty = value in (None, "")
            self.faults[key] = "this is empty; fill it in" if empty else in_words(detail, kind)
        return None

    def written(self, key: str, value: float) -> object:
        """A field as the file gets it: as it was typed, if that was in words or with a unit."""
        text = str(self._fields.get(key)).strip()
        return round(value, 4) if _NUMBER.fullmatch(text) else text

    def corner(self) -> int:
        """After which wall a piece is missing, 0 to 3."""
        text = str(self._fields.get("corner"))
        return int(text) if text in ("0", "1", "2", "3") else 0

    def place(self) -> tuple[float, float] | None:
        """Latitude and longitude."""
        text = self._fields.get("place")
        try:
            if not isinstance(text, str) or not text.strip():
                raise ValueError("say where it is, such as 47.38, 8.54 or 30.03 S, 51.22 W")
            return parse_place(text)
        except ValueError as wrong:
            self.faults["place"] = str(wrong)
        return None


def new_home(fields: Mapping[str, Any]) -> Json:
    """The `text` of a new site file with its place and walls, or what is wrong, by field: `faults`.

    Fields: `name`; `place`, coordinates in any form that phones show; `shape`, "rectangle", "L" or
    "map". Of the first two: `front`, the way the front wall faces; `width` and `depth` of the house
    in that view; of an L also `corner`, after which wall a piece is missing (0 the front's right
    end), and its sides `cut_along`, on that wall, and `cut_in`, on the next. Of a map: `map`, the
    text of a GeoJSON file, and `own`, the building's id, if it does not hold the place itself.

    Raises
    ------
    RequestError, FileFaults
        When there is no such shape, or the map is none.
    """
    answers = _Answers(fields)
    name = answers.read("name", Name)
    place = answers.place()
    shape = fields.get("shape")
    if shape == "map":
        walls = list(_mapped(fields, place)) if place is not None else []
    elif shape in ("rectangle", "L"):
        walls = list(_measured(answers, shape == "L"))
    else:
        raise RequestError("`shape` is rectangle, L or map")
    if answers.faults or place is None:
        return {"faults": answers.faults}
    return {"text": _text(name, place, walls)}


def _text(name: str, place: tuple[float, float], walls: list[dict[str, Any]]) -> str:
    site = {"name": name, "latitude": place[0], "longitude": place[1]}
    tables = [("[site]", site), *(("[[wall]]", wall) for wall in walls)]
    return "\n".join(
        "\n".join([head, *(f"{key} = {toml_value(value)}" for key, value in table.items())]) + "\n"
        for head, table in tables
    )


def _measured(answers: _Answers, has_corner: bool) -> Iterator[dict[str, Any]]:
    """The walls of a rectangle, or of one that lacks a piece at a corner."""
    front = answers.read("front", Direction)
    width, depth = (answers.read(key, LengthAboveZero) for key in ("width", "depth"))
    keys = ("cut_along", "cut_in") if has_corner else ()
    cut = [answers.read(key, LengthAboveZero) for key in keys]
    if answers.faults:
        return
    sizes = (("width", width), ("depth", depth)) * 2
    walls = [
        _Wall(side, size, written=answers.written(key, size))
        for side, (key, size) in zip(SIDES, sizes, strict=True)
    ]
    if cut:
        at = answers.corner()
        for key, size, wall in zip(keys, cut, (walls[at], walls[(at + 1) % 4]), strict=True):
            if size >= wall.length:
                answers.faults[key] = f"the {wall.name} is {wall.length:g} m long; say less"
        if answers.faults:
            return
        walls = _with_cut(walls, at, cut[0], cut[1])
    for number, wall in enumerate(walls):
        length = {"name": wall.name, "length": wall.written or round(wall.length, 4)}
        if number == 0:
            yield {**length, "azimuth": answers.written("front", front)}
        else:
            turned = {} if wall.corner == 90.0 else {"corner": wall.corner}
            yield {**length, "after": walls[number - 1].name, **turned}


def _with_cut(walls: list[_Wall], at: int, along: float, into: float) -> list[_Wall]:
    """The walls of a rectangle that lacks a piece at the corner after wall `at`."""
    after = (at + 1) % 4
    first, second = walls[at], walls[after]
    inner = [
        _Wall(f"{second.name}, inner", into),
        _Wall(f"{first.name}, inner", along, 270.0),
    ]
    changed = list(walls)
    changed[at] = _Wall(first.name, first.length - along)
    changed[after] = _Wall(second.name, second.length - into)
    return [*changed[: at + 1], *inner, *changed[at + 1 :]]


def _mapped(fields: Mapping[str, Any], place: tuple[float, float]) -> Iterator[dict[str, Any]]:
    """The walls of the site's own house in a map."""
    text, own_id = fields.get("map"), fields.get("own")
    if not isinstance(text, str):
        raise RequestError("`map` is the text of a GeoJSON file")
    corners = own_house(
        map_of(text, "the map").buildings,
        *place,
        own_id if isinstance(own_id, str) and own_id else None,
    )
    sides = []
    for corner, next_corner in zip(corners, [*corners[1:], corners[0]], strict=True):
        east, north = next_corner[0] - corner[0], next_corner[1] - corner[1]
        length = math.hypot(east, north)
        if length >= LEAST_WALL_M:
            sides.append((corner, length, math.degrees(math.atan2(north, -east)) % 360.0))
    names: dict[str, int] = {}
    before = ""
    for number, (start, length, azimuth) in enumerate(sides):
        word = _POINTS[round(azimuth / 45.0) % 8]
        names[word] = names.get(word, 0) + 1
        name = f"{word} wall" if names[word] == 1 else f"{word} wall {names[word]}"
        wall: dict[str, Any] = {
            "name": name,
            "length": round(length, 2),
            "azimuth": round(azimuth, 1) % 360.0,
        }
        wall |= {"start": [round(v, 2) + 0.0 for v in start]} if number == 0 else {"after": before}
        before = name
        yield wall


_POINTS = (
    "north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west",
)  # fmt: skip
