"""Reads pictures back: their elements, and the shapes that they are made of."""

import re
from itertools import pairwise
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


def walk(path: str) -> list[list[tuple[float, float]]]:
    """The points of every part of a path of M, L, h, v, l and z."""
    parts: list[list[tuple[float, float]]] = []
    for letter, values in re.findall(r"([MLhvlz])([^MLhvlz]*)", path):
        step = numbers(values)
        if letter == "M":
            parts.append([(step[0], step[1])])
        elif letter == "L":
            parts[-1].append((step[0], step[1]))
        elif letter == "z":
            parts[-1].append(parts[-1][0])
        else:
            x, y = parts[-1][-1]
            across, down = {"h": [*step, 0.0][:2], "v": [0.0, *step], "l": step}[letter]
            parts[-1].append((round(x + across, 1), round(y + down, 1)))
    return parts


def spans_at(path: str, x: float) -> list[tuple[float, float]]:
    """What a shape covers of the upright line at `x`: from where to where, in order."""
    crossings = sorted(
        y1 + (y2 - y1) * (x - x1) / (x2 - x1)
        for part in walk(path)
        for (x1, y1), (x2, y2) in pairwise(part)
        if (x1 > x) != (x2 > x)
    )
    return list(zip(crossings[0::2], crossings[1::2], strict=True))


def numbers(path: str) -> list[float]:
    """All numbers of a path."""
    return [float(value) for value in re.findall(r"-?(?:\d+\.?\d*|\.\d+)", path)]
