"""Lengths and times in another unit than the file's: what is asked about, and what is not.

The bounds are rules of thumb of the project's own; the examples are common slips.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Any, get_args, get_origin

import pytest
from pydantic import BaseModel
from site_texts import WHOLE

from suncover.site.file.sitefile import load_site, site_from_text
from suncover.site.kinds.values import Quantity
from suncover.site.model import Site
from suncover.site.notes import site_notes
from suncover.site.rules.sizes import USUAL, size_doubt, size_doubts

SAMPLES = sorted((Path(__file__).parents[3] / "sample_sites").glob("*.toml"))

HOUSE = """\
[site]
name = "Larkspur Lane"
latitude = 36.10
longitude = -79.95

[need]
for = ["heat", "glare"]
[need.glare]
reach = 1.5

[[window]]
name = "kitchen"
azimuth = 95
width = 1.20
height = 1.40
sill = 0.90
reveal = 0.10
position = [4.2, -3]
[window.overhang]
depth = 0.60
gap = 0.30
left = 0.35
[[window.fin]]
side = "left"
depth = 0.40
above = 0.45

[[window]]
name = "porch door"
azimuth = 5
width = 0.9
height = 2
position = [0, 0]

[[canopy]]
name = "porch"
windows = ["porch door"]
height = 2.6
depth = 1.8

[[shade]]
name = "roller"
windows = ["kitchen"]
travel = 75
lead = 2
standoff = 0.08
[shade.roller]
tube = 0.04
thickness = 0.0005
drop = 1.6

[[supply]]
name = "box"
shades = ["roller"]
gap = 3

[[obstacle]]
name = "neighbour"
footprint = [[12, -8], [20, -8], [20, 4], [12, 4]]
top = 6.5

[[spot]]
name = "desk"
window = "kitchen"
distance = 1.6
height = 0.75

[[sighting]]
window = "kitchen"
time = 2027-06-01T09:12:40-04:00
seen = "patch"
distance = 1.81

[[option]]
name = "awning"
overhang = { depth = 1.2 }
"""


def doubts(old: str, new: str) -> list[str]:
    assert HOUSE.count(old) == 1
    return list(size_doubts(site_from_text(HOUSE.replace(old, new))))


def test_a_usual_house_is_asked_nothing() -> None:
    assert list(size_doubts(site_from_text(HOUSE))) == []
    assert list(size_doubts(site_from_text(WHOLE))) == []


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_the_samples_are_asked_nothing(path: Path) -> None:
    assert list(size_doubts(load_site(path))) == []


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (
            "width = 1.20",
            "width = 120",
            'window "kitchen": width is 120 m; {}"120 cm" or "120 in"?',
        ),
        ("sill = 0.90", "sill = 90", 'window "kitchen": sill is 90 m; {}"90 cm" or "90 in"?'),
        ("reveal = 0.10", "reveal = 12", 'window "kitchen": reveal is 12 m; {}"12 cm" or "12 in"?'),
        (
            "position = [4.2, -3]",
            "position = [420, -300]",
            'window "kitchen": position, east is 420 m; {}"420 cm" or "420 in"?',
        ),
        (
            "depth = 0.60",
            "depth = 60",
            'window "kitchen": overhang.depth is 60 m; {}"60 cm" or "60 in"?',
        ),
        ("gap = 0.30", "gap = 30", 'window "kitchen": overhang.gap is 30 m; {}"30 cm" or "30 in"?'),
        (
            "left = 0.35",
            "left = 35",
            'window "kitchen": overhang.left is 35 m; {}"35 cm" or "35 in"?',
        ),
        (
            "depth = 0.40",
            "depth = 40",
            'window "kitchen": fin 1.depth is 40 m; {}"40 cm" or "40 in"?',
        ),
        (
            "above = 0.45",
            "above = 45",
            'window "kitchen": fin 1.above is 45 m; {}"45 cm" or "45 in"?',
        ),
        ("depth = 1.8", "depth = 180", 'canopy "porch": depth is 180 m; {}"180 cm" or "180 in"?'),
        (
            "height = 2.6",
            "height = 260",
            'canopy "porch": height is 260 m; {}"260 cm" or "260 in"?',
        ),
        ("standoff = 0.08", "standoff = 8", 'shade "roller": standoff is 8 m; {}"8 cm" or "8 in"?'),
        ("tube = 0.04", "tube = 40", 'shade "roller": roller.tube is 40 m; {}"40 mm"?'),
        (
            "drop = 1.6",
            "drop = 160",
            'shade "roller": roller.drop is 160 m; {}"160 cm" or "160 in"?',
        ),
        (
            "[[12, -8], [20, -8], [20, 4], [12, 4]]",
            "[[1200, -800], [2000, -800], [2000, 400], [1200, 400]]",
            'obstacle "neighbour": footprint, corner 1, east is 1200 m; {}"1200 cm" or "1200 in"?',
        ),
        ("top = 6.5", "top = 650", 'obstacle "neighbour": top is 650 m; {}"650 cm" or "650 in"?'),
        (
            "distance = 1.6",
            "distance = 160",
            'spot "desk": distance is 160 m; {}"160 cm" or "160 in"?',
        ),
        ("height = 0.75", "height = 75", 'spot "desk": height is 75 m; {}"75 cm" or "75 in"?'),
        ("reach = 1.5", "reach = 150", '[need]: glare.reach is 150 m; {}"150 cm" or "150 in"?'),
        (
            "distance = 1.81",
            "distance = 181",
            '[[sighting]] 1: distance is 181 m; {}"181 cm" or "181 in"?',
        ),
        (
            "depth = 1.2 }",
            "depth = 120 }",
            'option "awning": overhang.depth is 120 m; {}"120 cm" or "120 in"?',
        ),
        # Given with a unit, and still out of bounds: no number of the file's to repeat.
        (
            "width = 1.20",
            'width = "120 ft"',
            'window "kitchen": width is 36.576 m; was another unit meant?',
        ),
        (
            "height = 1.40",
            'height = "1.4 cm"',
            'window "kitchen": height is 0.014 m; was another unit meant?',
        ),
        ("travel = 75", "travel = 3000", 'shade "roller": travel is 3000 seconds; is that right?'),
        (
            "travel = 75",
            "travel = 1.25",
            'shade "roller": travel is 1.25 seconds; were minutes meant? That would be 75',
        ),
        (
            "lead = 2",
            "lead = 120",
            'shade "roller": lead is 120 minutes; were seconds meant? That would be 2',
        ),
        ("gap = 3\n", "gap = 900\n", 'supply "box": gap is 900 seconds; is that right?'),
    ],
)
def test_another_unit_is_asked_about(old: str, new: str, told: str) -> None:
    assert doubts(old, new) == [told.format("was another unit meant, such as ")]


def test_a_shade_that_takes_no_time_is_usual() -> None:
    assert size_doubt("shade.travel", 0) is None


def test_many_are_counted() -> None:
    window = '[[window]]\nname = "w{}"\nazimuth = 5\nwidth = 100\nheight = 1\n'
    text = HOUSE.replace("[[canopy]]", "".join(map(window.format, range(23))) + "[[canopy]]")
    notes = [note for note in site_notes(site_from_text(text)) if "unit meant" in note]
    assert len(notes) == 20
    assert "… and 3 more lengths or times that are unusual in a house" in site_notes(
        site_from_text(text)
    )


def _measures(model: type[BaseModel], table: str, seen: set[Any]) -> Iterator[str]:
    """Every length and every time in seconds or minutes under a model, by table and key."""
    if (model, table) in seen:
        return
    seen.add((model, table))
    for name, field in model.model_fields.items():
        key = field.alias or name
        parts = [field.annotation, *field.metadata]
        while parts:
            part = parts.pop()
            if isinstance(part, Quantity):
                if part.length or part.unit in ("seconds", "minutes"):
                    yield f"{table}.{key}"
            elif isinstance(part, type) and issubclass(part, BaseModel):
                yield from _measures(part, key, seen)
            elif get_origin(part) is Annotated:
                parts += [get_args(part)[0], *part.__metadata__]
            else:
                parts += get_args(part)


def test_every_length_and_time_of_the_site_file_has_its_bounds() -> None:
    """A new key needs a row of its own."""
    assert set(_measures(Site, "", set())) == set(USUAL)
