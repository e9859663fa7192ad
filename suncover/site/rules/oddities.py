"""What a site file may say and no house is likely to have: two windows in one place, and the like.

Nothing here is a fault: each is a sentence for whoever wrote the file to look at.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from suncover.site.kinds.polygons import is_well_inside
from suncover.site.rules.entries import MOST_COMPARED

if TYPE_CHECKING:
    from suncover.site.model import Obstacle, Site, Tree, Window

TILT_OF_EARTH = 23.44  # degrees: the sun is at most so far north or south of the equator
_TOUCHING_M = 0.01
# Letters of other alphabets that look like Latin ones, and digits that look like letters; from
# Unicode's table of confusable characters (UTS #39), as far as names of rooms may have them.
_LOOKS_LIKE = str.maketrans(
    "\u0430\u0435\u043e\u0440\u0441\u0443\u0445\u0456\u0458\u0455\u043a\u043c\u0442\u043d\u0432"
    "\u03bf\u03bd\u03b1\u03c1\u03c4\u03c5\u03b9\u03ba01|",
    "aeopcyxijskmthbovaptuikoll",
)


def odd_notes(site: Site) -> Iterator[str]:
    """A sentence for each oddity of a site."""
    yield from _windows_in_one_place(site.windows)
    for window in site.windows:
        if _hides_the_sun(window.skyline, site.place.latitude):
            yield (
                f'window "{window.name}": its skyline rises above the sun all round and all year, '
                "so it never gets any"
            )
    if len(site.windows) * (len(site.obstacles) + len(site.trees)) <= MOST_COMPARED:
        for window in site.windows:
            yield from (f'window "{window.name}": {note}' for note in _around(site, window))
    if _hides_the_sun(site.place.horizon, site.place.latitude):
        yield "the horizon rises above the sun all round and all year: no window ever gets any"
    yield from _trees(site)
    for glazing in site.glazings:
        if any(after > before for before, after in pairwise(glazing.gains)):
            yield (
                f'glazing "{glazing.name}": it lets in more at some angle than nearer to right '
                "angles; are gains and angles in the same order?"
            )
    for kind, entries in (("supply", site.supplies), ("group", site.groups)):
        for entry in entries:
            if not entry.shades:
                yield f'{kind} "{entry.name}": it has no shades, so it changes nothing'
    best = site.best
    if not any((best.sun, best.daylight, best.move)):
        yield "best: all weights are 0, so that every plan is as good as any other"
    yield from _alike("window", [window.name for window in site.windows])
    yield from _alike("shade", [shade.name for shade in site.shades])
    yield from _alike("spot", [spot.name for spot in site.spots])


def _windows_in_one_place(windows: Sequence[Window]) -> Iterator[str]:
    first: dict[tuple[float, ...], str] = {}
    for window in windows:
        if window.position is not None:
            foot = window.floor + window.sill
            position = tuple(round(value, 1) for value in (*window.position, foot, window.azimuth))
            twin = first.setdefault(position, window.name)
            if twin != window.name:
                yield (
                    f'windows "{twin}" and "{window.name}" are in one place; are position, floor '
                    "and sill right?"
                )


def _around(site: Site, window: Window) -> Iterator[str]:
    if window.position is None:
        return
    foot = window.floor + window.sill
    head = foot + window.height * math.sin(math.radians(window.tilt))
    east, north = window.position
    side = math.radians(window.azimuth)
    half = window.width / 2
    ends = [
        (east + step * half * math.cos(side), north - step * half * math.sin(side))
        for step in (-0.9, 0.0, 0.9)
    ]
    for obstacle in site.obstacles:
        if _cuts(obstacle, ends, foot, head):
            yield f'obstacle "{obstacle.name}" cuts through its glass; is one of them misplaced?'
    for tree in site.trees:
        if _is_in_crown(tree, (east, north, (foot + head) / 2)):
            yield f'it stands in the crown of tree "{tree.name}"; is one of them misplaced?'


def _cuts(
    obstacle: Obstacle, points: Iterable[tuple[float, float]], foot: float, head: float
) -> bool:
    if obstacle.top <= foot + _TOUCHING_M or obstacle.base >= head - _TOUCHING_M:
        return False
    return any(is_well_inside(point, obstacle.footprint, _TOUCHING_M) for point in points)


def _is_in_crown(tree: Tree, point: tuple[float, float, float]) -> bool:
    east, north, up = point
    across = math.hypot(east - tree.trunk[0], north - tree.trunk[1]) / (tree.width / 2)
    middle, half = (tree.bottom + tree.top) / 2, (tree.top - tree.bottom) / 2
    return across**2 + ((up - middle) / half) ** 2 < 1


def _hides_the_sun(skyline: Sequence[tuple[float, float]], latitude: float) -> bool:
    """Whether no point of a skyline is lower than the sun's highest place of the year."""
    highest = 90.0 - max(abs(latitude) - TILT_OF_EARTH, 0.0)
    return bool(skyline) and min(elevation for _, elevation in skyline) >= highest


def _trees(site: Site) -> Iterator[str]:
    option_trees = [option.tree for option in site.options if option.tree is not None]
    for tree in (*site.trees, *option_trees):
        if tree.bare < tree.leaf:
            yield (
                f'tree "{tree.name}": it lets more through in leaf ({tree.leaf:g}) than bare '
                f"({tree.bare:g}); are they swapped?"
            )


def _alike(kind: str, names: Iterable[str]) -> Iterator[str]:
    first: dict[str, str] = {}
    for name in names:
        twin = first.setdefault(_looks(name), name)
        if twin != name:
            yield (
                f'{kind}s "{twin}" and "{name}" have names that look alike; a letter of one may '
                "be of another alphabet"
            )


def _looks(name: str) -> str:
    """What a name looks like: names that come out the same are hard to tell apart."""
    folded = unicodedata.normalize("NFKC", name).casefold().translate(_LOOKS_LIKE)
    return " ".join(folded.replace("rn", "m").split())
