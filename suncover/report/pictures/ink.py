"""Two inks on paper: ochre is sun, blue is a closed shade, grey is night. The same everywhere.

The scale for the strength of the sun runs through lightness alone: on light paper from straw to
dark umber, on dark paper the other way round, so that "more" is always farther from the paper. It
is worked out here in OKLCH, the cylindrical form of B. Ottosson's Oklab colour space (2020,
bottosson.github.io/posts/oklab), whose lightness is even to the eye. Lightness falls or rises with
every step, so that the order is seen without colour too: by the colour-blind and in a grey print.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

import numpy as np
from numpy.typing import NDArray

LEVEL_W = 100.0
"""W/m² of each level of the scale."""
LEVELS = 9
"""The last level holds all that is stronger."""

# (lightness, chroma, hue in degrees) of the weakest and the strongest sun.
_LIGHT_ENDS = ((0.94, 0.055, 98.0), (0.37, 0.085, 42.0))
_DARK_ENDS = ((0.40, 0.060, 55.0), (0.95, 0.105, 100.0))
_BULGE = 0.075  # chroma that the middle of the scale has more than its ends


def oklch(lightness: float, chroma: float, hue: float) -> str:
    """An OKLCH colour as `#rrggbb`, clipped to what a screen shows.

    The matrices are those of Ottosson's definition of Oklab.
    """
    angle = np.radians(hue)
    lab = np.array([lightness, chroma * np.cos(angle), chroma * np.sin(angle)])
    to_cone = np.array(
        [
            [1.0, 0.3963377774, 0.2158037573],
            [1.0, -0.1055613458, -0.0638541728],
            [1.0, -0.0894841775, -1.2914855480],
        ]
    )
    to_rgb = np.array(
        [
            [4.0767416621, -3.3077115913, 0.2309699292],
            [-1.2684380046, 2.6097574011, -0.3413193965],
            [-0.0041960863, -0.7034186147, 1.7076147010],
        ]
    )
    linear = np.clip(to_rgb @ (to_cone @ lab) ** 3, 0.0, 1.0)
    # IEC 61966-2-1, the transfer curve of sRGB.
    curved = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    red, green, blue = np.rint(curved * 255).astype(int)
    return f"#{red:02x}{green:02x}{blue:02x}"


def sun_scale(*, dark: bool = False) -> tuple[str, ...]:
    """The colours of the levels of sun, weakest first."""
    weak, strong = np.array(_DARK_ENDS if dark else _LIGHT_ENDS)
    colours = []
    for share in np.linspace(0.0, 1.0, LEVELS):
        lightness, chroma, hue = weak + share * (strong - weak)
        bulge = _BULGE * 4.0 * share * (1.0 - share)
        colours.append(oklch(float(lightness), float(chroma + bulge), float(hue)))
    return tuple(colours)


def _inks(colours: Mapping[str, str], *, dark: bool) -> dict[str, str]:
    scale = {f"sun-{level}": colour for level, colour in enumerate(sun_scale(dark=dark))}
    return {**colours, **scale}


LIGHT = _inks(
    {
        "paper": "#fcfaf5",
        "sheet": "#ffffff",
        "ink": "#23272b",
        "soft": "#5b6168",
        "line": "#d8d4ca",
        "night": "#e3e5ea",
        "land": "#868d96",
        "veil": "#c9cdd6",
        "sun": "#bd8013",
        "sun-ink": "#8a5200",
        "shade": "#14426f",
        "shade-ink": "#1f5f99",
        "shade-wash": "#d4e3f2",
        "mark": "#23272b",
    },
    dark=False,
)
"""Colours on light paper, by name."""

DARK = _inks(
    {
        "paper": "#171a1e",
        "sheet": "#1e2227",
        "ink": "#ebe8e1",
        "soft": "#a9afb6",
        "line": "#3a4047",
        "night": "#0e1013",
        "land": "#6a727c",
        "veil": "#3b4450",
        "sun": "#ffca6e",
        "sun-ink": "#f0c27a",
        "shade": "#3d79b8",
        "shade-ink": "#86bdf0",
        "shade-wash": "#21405e",
        "mark": "#ffffff",
    },
    dark=True,
)
"""Colours on dark paper, by name."""


def level_of(power: float) -> int:
    """The level of a power on the glass, W/m²."""
    return int(min(max(power // LEVEL_W, 0), LEVELS - 1))


def levels_of(power: NDArray[np.float64]) -> NDArray[np.int64]:
    """The levels of many powers."""
    return np.clip(power // LEVEL_W, 0, LEVELS - 1).astype(np.int64)


def variables(colours: Mapping[str, str]) -> str:
    """Colours as declarations of CSS variables."""
    return "".join(f"--{name}:{colour};" for name, colour in colours.items())


# The reader's own plain typeface; no font is loaded.
_STYLE = """
.t{font:13px system-ui,-apple-system,'Segoe UI',Roboto,'Helvetica Neue',Arial,sans-serif;
fill:var(--ink)}
.q{fill:var(--soft)}
.b{font-weight:600}
.small{font-size:12px}
.m{text-anchor:middle}
.e{text-anchor:end}
.halo{paint-order:stroke;stroke:var(--sheet);stroke-width:3px}
.brief,.later{display:none}
.sun-edge{stroke:var(--sun-ink);stroke-width:1}
.outline-of{stroke:var(--sun-ink);stroke-width:.6}
.outline{stroke:var(--sun-ink);stroke-width:1;fill:none}
.ground{fill:var(--sheet)}
.grid{stroke:var(--line);stroke-width:1;fill:none}
.axis{stroke:var(--soft);stroke-width:1;fill:none}
.night{fill:var(--night)}
.rise{stroke:var(--soft);stroke-width:1;fill:none}
.line{fill:none}
.land{fill:var(--land)}
.veil{fill:var(--veil)}
.veil.one{fill-opacity:.25}
/* On the one below it: half of the whole, three quarters. */
.veil.two{fill-opacity:.3333}
.veil.three{fill-opacity:.5}
.leaf{fill:var(--land);fill-opacity:.6}
.wall{fill:var(--land);stroke:var(--ink);stroke-width:1}
.plate{fill:var(--ink)}
.dash{stroke:var(--ink);stroke-width:1;stroke-dasharray:4 3;fill:none}
.glass{stroke:var(--shade);stroke-width:2.5;fill:none}
.floor{stroke:var(--ink);stroke-width:1.5;fill:none}
.sun{fill:var(--sun)}
.sunline{stroke:var(--sun-ink);stroke-width:1.6;fill:none}
.ray{stroke:var(--sun-ink);stroke-width:1;fill:none}
.faint{stroke:var(--sun-ink);stroke-width:1;stroke-dasharray:2 4;fill:none}
.beam{fill:var(--sun);fill-opacity:.38}
.patch{fill-opacity:.3;stroke:var(--sun-ink)}
.now{stroke:var(--sun-ink);stroke-width:2}
.dot{fill:var(--sun);stroke:var(--sun-ink);stroke-width:1.2}
.ring{fill:var(--sheet);stroke:var(--sun-ink);stroke-width:1.2}
.sunt{fill:var(--sun-ink)}
.shade{fill:var(--shade)}
.wash{fill:var(--shade-wash)}
.edge{stroke:var(--shade);stroke-width:1.4}
.thick{stroke-width:2.6}
.doubt{fill:var(--sun-ink);fill-opacity:.4}
.range{fill:var(--sun);fill-opacity:.22}
.zero{stroke:var(--ink);stroke-width:1.4;fill:none}
.knob{fill:var(--sheet);stroke:var(--ink);stroke-width:2}
.stripe{stroke:var(--shade);stroke-width:1.3;fill:none}
.shadet{fill:var(--shade-ink)}
.mark{stroke:var(--mark);stroke-width:1.6;fill:none}
.spot{stroke:var(--ink);stroke-width:1.6;fill:var(--sheet)}
.spot.lit{fill:var(--sun)}
"""


def figure_style(colour: Callable[[str], str]) -> str:
    """The style sheet of the pictures; `colour` gives a named colour's value."""
    levels = "".join(f".f{level}{{fill:var(--sun-{level})}}" for level in range(LEVELS))
    rules = "".join(line for line in _STYLE.splitlines() if not line.startswith("/*"))
    return re.sub(r"var\(--([\w-]+)\)", lambda name: colour(name[1]), levels + rules)
