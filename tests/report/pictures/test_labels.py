"""No two words of a picture are printed over each other, wherever the home is.

Words are measured by the rectangle of their letters, with a letter 0.6 em wide and 0.73 em tall:
about what DejaVu Sans and its like have for figures and capitals (from memory).
"""

import re
from dataclasses import replace
from datetime import timedelta
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely
from report_home import SITES, home_on
from shapely import affinity

from suncover.report.pictures.figure import HALF, Figure
from suncover.report.pictures.labels import Word
from suncover.report.pictures.side_cut import HEIGHT, beam_of
from suncover.report.pictures.side_view import angle_words, side_view
from suncover.report.pictures.sky_view import sky_view
from suncover.report.pictures.top_view import top_view
from suncover.site.model import Window

EM = 13.0


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
    words, boxes = zip(*letters(figure), strict=True)
    left, right = shapely.STRtree(boxes).query(boxes, predicate="intersects")
    area = shapely.area(shapely.intersection(np.take(boxes, left), np.take(boxes, right)))
    return [
        (words[a], words[b])
        for a, b, share in zip(left, right, area, strict=True)
        if a < b and share > 4.0
    ]


PLACES = [(name, number) for name, (_, *windows) in SITES.items() for number in range(len(windows))]


@pytest.mark.parametrize(("name", "number"), PLACES)
def test_words_in_the_sky_and_on_the_floor_keep_apart_through_the_year(name, number):
    data = home_on(name)
    hours = 0
    for day in range(0, 365, 28):
        at = replace(data, at=data.calendar.first + timedelta(days=day))
        for figure in (sky_view(at, number), top_view(at, number)):
            assert over_each_other(figure) == [], (figure.name, at.at)
            hours += sum(words.isdigit() for words, _ in letters(figure))
    assert hours > 40  # they are not left out, either


@pytest.mark.parametrize(("name", "number"), PLACES)
def test_dates_of_the_cut_keep_apart_and_within_the_picture(name, number):
    figure = side_view(home_on(name), number)
    assert over_each_other(figure) == []
    words = letters(figure)
    assert sum(bool(re.match(r"21 \w+ \d\d:\d\d", one)) for one, _ in words) >= 1
    for one, box in words:
        assert shapely.box(0, 0, HALF, HEIGHT).contains(box), one


def test_names_of_the_paths_are_there():
    for name, number in PLACES:
        words = [one for one, _ in letters(sky_view(home_on(name), number))]
        assert sum(one in words for one in ("21 Jun", "21 Sep, Mar", "21 Dec")) >= 1
    assert {"21 Jun", "21 Sep, Mar", "21 Dec"} <= {
        one for one, _ in letters(sky_view(home_on("south"), 1))
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
def test_rays_from_behind_a_roof_window_say_so(side, elevation, words):
    window = Window(name="w", azimuth=165, tilt=22, width=1, height=1, sill=1.9)
    assert angle_words(beam_of(window, side, elevation)) == words


def test_words_hit_each_other_or_not():
    word = Word(100, 50, "21 Dec", "m")
    assert word.hits(Word(120, 55, "13", "m"))
    assert not word.hits(Word(140, 50, "13", "m"))
    assert not word.hits(Word(100, 66, "13", "m"))
    assert Word(100, 50, "desk").hits(Word(130, 50, "7"))
    assert not Word(100, 50, "desk").hits(Word(132, 50, "7"))
