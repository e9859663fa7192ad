"""No two words of a picture are printed over each other, wherever the home is.

Words are measured by the rectangle of their letters, with a letter 0.6 em wide and 0.73 em tall:
about what DejaVu Sans and its like have for figures and capitals (from memory).
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from itertools import combinations
from xml.etree import ElementTree

import pytest
import shapely
from shapely import affinity

from suncover.report.figure import HALF, Figure
from suncover.report.gather import ReportData, gather_report
from suncover.report.labels import Word
from suncover.report.side_cut import HEIGHT, beam_of
from suncover.report.side_view import angle_words, side_view
from suncover.report.sky_view import sky_view
from suncover.report.top_view import top_view
from suncover.site import Window
from suncover.sitefile import site_from_text

EM = 13.0
SITES = {
    "north": (
        63.83,
        20.26,
        "name='lake'\nazimuth=262\nwidth=3.6\nheight=2.3\n[[window.fin]]\nside='left'\ndepth=1.2",
        "name='kitchen'\nazimuth=172\nwidth=1.8\nheight=1.3\nsill=0.9\nreveal=0.12\n"
        "[window.overhang]\ndepth=0.7\ngap=0.35",
    ),
    "south": (
        -31.42,
        -64.18,
        "name='study'\nazimuth=10\nwidth=1.2\nheight=1.2\nsill=0.9\nreveal=0.1\nposition=[3, 0]",
        "name='roof'\nazimuth=10\ntilt=35\nwidth=0.78\nheight=1.18\nsill=1.2\nposition=[0, -2]",
        "name='dormer'\nazimuth=165\ntilt=22\nwidth=0.9\nheight=1\nsill=1.9\nposition=[0, -4]",
    ),
    "equator": (
        -0.22,
        -78.51,
        "name='doors'\nazimuth=92\nwidth=4.2\nheight=2.4\n[window.overhang]\ndepth=2.5\ngap=0.1",
        "name='west'\nazimuth=272\nwidth=1.2\nheight=1.2\nsill=0.9\nposition=[-5, 0]",
        "name='front'\nazimuth=182\ntilt=105\nwidth=2\nheight=2\nsill=0.4",
    ),
}
TREE = "[[tree]]\nname='algarrobo'\ntrunk=[7, 2]\nwidth=6\nbottom=2\ntop=7.5\nleaf=0.2\n"
SPOT = "[[spot]]\nname='chair by {0}'\nwindow='{0}'\ndistance=1.4\nheight=0.5\n"


@cache
def home(name: str) -> ReportData:
    latitude, longitude, *windows = SITES[name]
    text = f"[site]\nname='{name}'\nlatitude={latitude}\nlongitude={longitude}\n"
    text += "".join(f"[[window]]\n{window}\n" for window in windows) + TREE
    text += "".join(SPOT.format(re.search(r"'(\w+)'", window)[1]) for window in windows)  # type: ignore[index]
    first, last = date(2027, 1, 1), date(2027, 12, 31)
    return gather_report(site_from_text(text), first, last, first)


def letters(figure: Figure) -> list[tuple[str, shapely.Polygon]]:
    """Every word of a picture that is seen on a desk, and the rectangle that its letters fill."""
    root = ElementTree.fromstring(f"<svg>{figure.body}</svg>")
    found = []
    for one in root.iter("text"):
        words, style = "".join(one.itertext()), (one.get("class") or "").split()
        if not words or "brief" in style:
            continue
        width = 0.6 * EM * len(words)
        x, y = float(one.get("x") or 0), float(one.get("y") or 0)
        left = x - width / 2 if "m" in style else x - width if "e" in style else x
        box = shapely.box(left, y - 0.73 * EM, left + width, y)
        if turned := re.match(
            r"translate\((\S+) (\S+)\) rotate\((\S+)\)", one.get("transform", "")
        ):
            across, down, angle = map(float, turned.groups())
            box = affinity.rotate(box, angle, origin=(0, 0))
            box = affinity.translate(box, across, down)
        found.append((words, box))
    return found


def over_each_other(figure: Figure) -> list[tuple[str, str]]:
    """Pairs of words whose letters share more than a sliver."""
    return [
        (one, other)
        for (one, box), (other, its) in combinations(letters(figure), 2)
        if box.intersection(its).area > 4.0
    ]


PLACES = [
    (name, number) for name, (_, _, *windows) in SITES.items() for number in range(len(windows))
]


@pytest.mark.parametrize(("name", "number"), PLACES)
def test_words_in_the_sky_and_on_the_floor_keep_apart_on_every_day(name: str, number: int) -> None:
    data = home(name)
    hours = 0
    for day in range(0, 365, 12):
        at = replace(data, at=data.calendar.first + timedelta(days=day))
        for figure in (sky_view(at, number), top_view(at, number)):
            assert over_each_other(figure) == [], (figure.name, at.at)
            hours += sum(words.isdigit() for words, _ in letters(figure))
    assert hours > 100  # they are not left out, either


@pytest.mark.parametrize(("name", "number"), PLACES)
def test_dates_of_the_cut_keep_apart_and_within_the_picture(name: str, number: int) -> None:
    figure = side_view(home(name), number)
    assert over_each_other(figure) == []
    words = letters(figure)
    assert sum(bool(re.match(r"21 \w+ \d\d:\d\d", one)) for one, _ in words) >= 1
    for one, box in words:
        assert shapely.box(0, 0, HALF, HEIGHT).contains(box), one


def test_names_of_the_paths_are_there() -> None:
    for name, number in PLACES:
        words = [one for one, _ in letters(sky_view(home(name), number))]
        assert sum(one in words for one in ("21 Jun", "21 Sep, Mar", "21 Dec")) >= 1
    assert {"21 Jun", "21 Sep, Mar", "21 Dec"} <= {
        one for one, _ in letters(sky_view(home("south"), 1))
    }


@pytest.mark.parametrize(
    ("side", "elevation", "words"),
    [
        (0.0, 71.0, "rays at 71°"),
        # Behind a roof window that slopes by 22°, 71° up: 71° over the house, not 109°.
        (180.0, 71.0, "rays at 71°, over the house"),
        (180.0, 10.0, "sun not in front"),
        (0.0, -1.0, "sun not in front"),
    ],
)
def test_rays_from_behind_a_roof_window_say_so(side: float, elevation: float, words: str) -> None:
    window = Window(name="w", azimuth=165, tilt=22, width=1, height=1, sill=1.9)
    assert angle_words(beam_of(window, side, elevation)) == words


def test_words_hit_each_other_or_not() -> None:
    word = Word(100, 50, "21 Dec", "m")
    assert word.hits(Word(120, 55, "13", "m"))
    assert not word.hits(Word(140, 50, "13", "m"))
    assert not word.hits(Word(100, 66, "13", "m"))
    assert Word(100, 50, "desk").hits(Word(130, 50, "7"))
    assert not Word(100, 50, "desk").hits(Word(132, 50, "7"))
