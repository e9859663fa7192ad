"""The two inks: a scale whose order is seen without colour, and contrast that can be read."""

from itertools import pairwise

import numpy as np
import pytest

from suncover.report.pictures.ink import (
    DARK,
    LEVELS,
    LIGHT,
    figure_style,
    level_of,
    oklch,
    sun_scale,
)


def linear(colour: str) -> np.ndarray:
    """Linear sRGB of `#rrggbb` (IEC 61966-2-1)."""
    parts = np.array([int(colour[at : at + 2], 16) for at in (1, 3, 5)]) / 255
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


def luminance(colour: str) -> float:
    """Relative luminance (WCAG 2.2)."""
    return float(linear(colour) @ np.array([0.2126, 0.7152, 0.0722]))


def contrast(one: str, other: str) -> float:
    """Contrast ratio (WCAG 2.2, 1.4.3)."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


# Machado, Oliveira and Fernandes, A Physiologically-based Model for Simulation of Color Vision
# Deficiency (IEEE TVCG 15, 2009), severity 1.0; on linear RGB; from memory.
PROTANOPIA = np.array(
    [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ]
)
DEUTERANOPIA = np.array(
    [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ]
)


@pytest.mark.parametrize(
    ("given", "colour"),
    [
        # CSS Color Module Level 4 (W3C), section on Oklch: red, green and white; from memory.
        pytest.param((0.62796, 0.25768, 29.234), "#ff0000", id="red"),
        pytest.param((0.51975, 0.17686, 142.495), "#008000", id="green"),
        pytest.param((1.0, 0.0, 0.0), "#ffffff", id="white"),
        pytest.param((0.0, 0.0, 0.0), "#000000", id="black"),
    ],
)
def test_oklch_gives_the_colours_of_the_css_specification(given, colour):
    assert np.abs(linear(oklch(*given)) - linear(colour)).max() < 0.004  # one step of 256


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize(
    "eye",
    [np.eye(3), PROTANOPIA, DEUTERANOPIA, np.full((3, 3), 1 / 3)],
    ids=["usual", "protanopia", "deuteranopia", "grey print"],
)
def test_every_step_of_sun_is_farther_from_the_paper(dark, eye):
    """In any eye, each level differs from the one before by at least a tenth in luminance."""
    seen = [
        float(np.clip(eye @ linear(colour), 0, 1) @ np.array([0.2126, 0.7152, 0.0722]))
        for colour in sun_scale(dark=dark)
    ]
    if not dark:
        seen.reverse()
    assert all(later / earlier > 1.1 for earlier, later in pairwise(seen))


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("paper", ["paper", "sheet"])
@pytest.mark.parametrize("ink", ["ink", "soft", "sun-ink", "shade-ink"])
def test_words_can_be_read(colours, paper, ink):
    """4.5 to 1 for text (WCAG 2.2, success criterion 1.4.3)."""
    assert contrast(colours[ink], colours[paper]) >= 4.5


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("behind", ["night", "veil", "wash"])
def test_words_on_tinted_ground_can_be_read(colours, behind):
    ground = colours["shade-wash" if behind == "wash" else behind]
    assert contrast(colours["ink"], ground) >= 4.5


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_lines_and_marks_stand_out(colours):
    """3 to 1 for what a picture is about (WCAG 2.2, success criterion 1.4.11)."""
    for ink in ("sun", "shade", "sun-ink", "land", "mark"):
        for ground in ("paper", "sheet"):
            assert contrast(colours[ink], colours[ground]) >= 3.0
    # The two inks lie beside each other.
    assert contrast(colours["sun"], colours["shade"]) >= 3.0
    assert contrast(colours["mark"], colours["night"]) >= 3.0


def test_levels_are_hundreds_of_watts():
    assert [level_of(power) for power in (0.0, 99.9, 100.0, 450.0, 899.0, 1400.0)] == [
        0, 0, 1, 4, 8, LEVELS - 1,
    ]  # fmt: skip


def test_the_style_names_every_colour_that_it_uses():
    asked = set()

    def colour(name: str) -> str:
        asked.add(name)
        return LIGHT[name]

    style = figure_style(colour)
    assert {"sun", "shade", "night", "ink"} <= asked <= set(DARK) == set(LIGHT)
    assert style.count("{") == style.count("}")
