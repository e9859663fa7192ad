"""Lengths and times in another unit than the file's: what is asked about, and what is not.

The bounds are rules of thumb of the project's own; the examples are common slips.
"""

from pathlib import Path

import pytest
from site_texts import WHOLE_SITE, house, table, window

from suncover.site.file.sitefile import load_site, site_from_text
from suncover.site.kinds.kind import limits_of
from suncover.site.kinds.values import Quantity
from suncover.site.model import Site
from suncover.site.notes import site_notes
from suncover.site.rules.sizes import USUAL, size_doubt, size_doubts
from suncover.site.tables import annotation_of, fields_of, models_in

SAMPLES = sorted((Path(__file__).parents[3] / "sample_sites").glob("*.toml"))
ROLLER = {"roller": {"tube": 0.04, "thickness": 0.0005, "drop": 1.6}}
HOUSE = house(
    table("need", for_=["heat", "glare"], glare={"reach": 1.5}),
    window(width=1.2, height=1.4, sill=0.9, reveal=0.1, position=[4.2, -3]),
    "[window.overhang]\ndepth = 0.6\ngap = 0.3\nleft = 0.35\n",
    '[[window.fin]]\nside = "left"\ndepth = 0.4\nabove = 0.45\n',
    window("porch door", 5, 0.9, 2, position=[0, 0]),
    table("canopy", name="porch", windows=["porch door"], height=2.6, depth=1.8),
    table("shade", name="roller", windows=["kitchen"], travel=75, lead=2, standoff=0.08, **ROLLER),
    table("supply", name="box", shades=["roller"], gap=3),
    table("obstacle", name="neighbour", footprint=[[12, -8], [20, -8], [20, 4], [12, 4]], top=6.5),
    table("spot", name="desk", window="kitchen", distance=1.6, height=0.75),
    '[[sighting]]\nwindow = "kitchen"\ntime = 2027-06-01T09:12:40-04:00\n',
    'seen = "patch"\ndistance = 1.81\n',
    table("option", name="awning", overhang={"depth": 1.2}),
)


def doubts(old, new):
    assert HOUSE.count(old) == 1
    return list(size_doubts(site_from_text(HOUSE.replace(old, new))))


def test_a_usual_house_is_asked_nothing():
    for site in (site_from_text(HOUSE), WHOLE_SITE, *map(load_site, SAMPLES)):
        assert list(size_doubts(site)) == []
    assert len(SAMPLES) > 5
    assert size_doubt("shade.travel", 0) is None, "a shade that takes no time is usual"


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ("width = 1.2\n", "width = 120", 'window "kitchen": width'),
        ("sill = 0.9", "sill = 90", 'window "kitchen": sill'),
        ("reveal = 0.1", "reveal = 12", 'window "kitchen": reveal'),
        ("[4.2, -3]", "[420, -300]", 'window "kitchen": position, east'),
        ("depth = 0.6", "depth = 60", 'window "kitchen": overhang.depth'),
        ("gap = 0.3", "gap = 30", 'window "kitchen": overhang.gap'),
        ("left = 0.35", "left = 35", 'window "kitchen": overhang.left'),
        ("depth = 0.4", "depth = 40", 'window "kitchen": fin 1.depth'),
        ("above = 0.45", "above = 45", 'window "kitchen": fin 1.above'),
        ("depth = 1.8", "depth = 180", 'canopy "porch": depth'),
        ("height = 2.6", "height = 260", 'canopy "porch": height'),
        ("standoff = 0.08", "standoff = 8", 'shade "roller": standoff'),
        ("drop = 1.6", "drop = 160", 'shade "roller": roller.drop'),
        (
            "[[12, -8], [20, -8], [20, 4], [12, 4]]",
            "[[1200, -800], [2000, -800], [2000, 400], [1200, 400]]",
            'obstacle "neighbour": footprint, corner 1, east',
        ),
        ("top = 6.5", "top = 650", 'obstacle "neighbour": top'),
        ("distance = 1.6", "distance = 160", 'spot "desk": distance'),
        ("height = 0.75", "height = 75", 'spot "desk": height'),
        ("reach = 1.5", "reach = 150", "[need]: glare.reach"),
        ("distance = 1.81", "distance = 181", "[[sighting]] 1: distance"),
        ("depth = 1.2 }", "depth = 120 }", 'option "awning": overhang.depth'),
    ],
)
def test_another_unit_is_asked_about(old, new, place):
    number = new.strip(" }").rpartition("= ")[2].lstrip("[").partition(",")[0]
    units = f'such as "{number} cm" or "{number} in"?'
    assert doubts(old, new + "\n" * old.endswith("\n")) == [
        f"{place} is {number} m; was another unit meant, {units}"
    ]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (
            "tube = 0.04",
            "tube = 40",
            'roller.tube is 40 m; was another unit meant, such as "40 mm"?',
        ),
        # Given with a unit, and still out of bounds: no number of the file's to repeat.
        ("width = 1.2\n", 'width = "120 ft"\n', "width is 36.576 m; was another unit meant?"),
        ("height = 1.4\n", 'height = "1.4 cm"\n', "height is 0.014 m; was another unit meant?"),
        ("travel = 75", "travel = 3000", "travel is 3000 seconds; is that right?"),
        (
            "travel = 75",
            "travel = 1.25",
            "travel is 1.25 seconds; were minutes meant? That would be 75",
        ),
        ("lead = 2", "lead = 120", "lead is 120 minutes; were seconds meant? That would be 2"),
        ("gap = 3\n", "gap = 900\n", "gap is 900 seconds; is that right?"),
    ],
)
def test_what_else_is_asked(old, new, told):
    assert [doubt.partition(": ")[2] for doubt in doubts(old, new)] == [told]


def test_many_are_counted():
    many = "".join(window(f"w{number}", 5, 100, 1) for number in range(23))
    notes = site_notes(site_from_text(HOUSE.replace("[[canopy]]", f"{many}[[canopy]]")))
    assert sum("unit meant" in note for note in notes) == 20
    assert "… and 3 more lengths or times that are unusual in a house" in notes


def measures(model, table, seen):
    """Every length and every time in seconds or minutes under a model, by table and key."""
    if (model, table) in seen:
        return
    seen.add((model, table))
    for key, field in fields_of(model).items():
        limits = limits_of(annotation_of(field))
        if isinstance(limits, Quantity) and (
            limits.length or limits.unit in ("seconds", "minutes")
        ):
            yield f"{table}.{key}"
        for inner in models_in(field.annotation):
            yield from measures(inner, key, seen)


def test_every_length_and_time_of_the_site_file_has_its_bounds():
    """A new key needs a row of its own."""
    assert set(measures(Site, "", set())) == set(USUAL)
