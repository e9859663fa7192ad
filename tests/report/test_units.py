"""Lengths in metres, or in feet and inches."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suncover.report.units import length, length_text, units_of


@pytest.mark.parametrize(
    ("metres", "text"),
    [
        # One inch is 25.4 mm, a foot twelve of them.
        pytest.param(0.0254, "1 in", id="one inch"),
        pytest.param(0.3048, "1 ft", id="one foot"),
        pytest.param(1.2192, "4 ft", id="four feet"),
        pytest.param(1.27, "4 ft 2 in", id="fifty inches"),
        pytest.param(1.2827, "4 ft 2½ in", id="a half inch"),
        pytest.param(0.0127, "½ in", id="half an inch alone"),
        pytest.param(0.3175, "1 ft ½ in", id="a foot and half an inch"),
        pytest.param(0.0, "0 in", id="nothing"),
        pytest.param(-0.1524, "−6 in", id="negative"),
        pytest.param(0.3047, "1 ft", id="rounds up to the foot"),
    ],
)
def test_feet_and_inches(metres, text):
    assert length_text(metres, "feet") == text


def test_metres():
    assert length_text(1.2192, "metric") == "1.22 m"
    assert length_text(-0.5, "metric") == "−0.50 m"


@given(st.floats(0.0, 50.0))
def test_feet_and_inches_add_up_to_the_length(metres):
    """Read back, the text is right to a quarter of an inch."""
    text = length_text(metres, "feet")
    found = re.fullmatch(r"(?:(\d+) ft)?(?: ?(\d*)(½?) in)?", text)
    assert found is not None, text
    feet, inches, half = (found[1] or "0", found[2] or "0", 0.5 if found[3] else 0.0)
    assert int(inches) < 12
    total = (int(feet) * 12 + int(inches) + half) * 0.0254
    assert abs(total - metres) <= 0.0254 / 4 + 1e-12


def test_a_length_carries_its_metres():
    assert length(0.3048, "feet") == '<span data-m="0.3048">1 ft</span>'


@pytest.mark.parametrize(
    ("source", "units"),
    [
        pytest.param('width = "4 ft 2 in"', "feet", id="feet and inches"),
        pytest.param('width="48in"', "feet", id="inches"),
        pytest.param('width = "120 cm"', "metric", id="centimetres"),
        pytest.param("width = 1.2", "metric", id="metres"),
        pytest.param('name = "inside"', "metric", id="a word that begins with in"),
        pytest.param('width = "5\' 6\\""', "feet", id="marks"),
        pytest.param('longitude = "176° 33\' W"\nwidth = 1.4', "metric", id="minutes of arc"),
        pytest.param(None, "metric", id="no file"),
    ],
)
def test_units_follow_the_site_file(source, units):
    assert units_of(source) == units


@pytest.mark.parametrize(
    ("lengths", "units"),
    [
        ('width = 1.2\nheight = "4 ft 2 in"\nsill = 0.9\n', "metric"),
        ('width = "120 cm"\nheight = "4 ft"\nreveal = "80 mm"\n', "metric"),
        ('width = "4 ft"\nheight = "50 in"\nsill = 0.9\n', "feet"),
        ('width = "4 ft"\nheight = 1.2\n', "feet"),
    ],
)
def test_most_of_the_lengths_decide(lengths, units):
    assert units_of(lengths) == units
