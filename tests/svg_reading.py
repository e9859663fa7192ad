"""Reads pictures back: their elements, and the strokes and boxes that they are made of."""

from __future__ import annotations

import re
from xml.etree import ElementTree

SVG = "{http://www.w3.org/2000/svg}"


def parsed(svg: str) -> ElementTree.Element:
    """The root of a picture that stands alone; fails where it is not well-formed XML."""
    return ElementTree.fromstring(svg)


def with_class(root: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    """The elements of a class."""
    return [one for one in root.iter() if name in (one.get("class") or "").split()]


def words(root: ElementTree.Element) -> list[str]:
    """Every text in a picture, in order."""
    return ["".join(one.itertext()) for one in root.iter(f"{SVG}text")]


def strokes(path: str) -> list[tuple[int, int, int]]:
    """The column strokes of a carpet: day, first and last minute, from steps `m…v…`."""
    found = []
    day = minute = 0
    for across, up, length in re.findall(r"m(-?\d+) ?(-?\d+)v(\d+)", path):
        day, minute = day + int(across), minute + int(up)
        found.append((day, minute, minute + int(length)))
        minute += int(length)
    assert "M0 0" + "".join(re.findall(r"m-?\d+ ?-?\d+v\d+", path)) == path
    return found


def numbers(path: str) -> list[float]:
    """All numbers of a path."""
    return [float(value) for value in re.findall(r"-?(?:\d+\.?\d*|\.\d+)", path)]
