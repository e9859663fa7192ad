"""What a window's glass lets in, by the angle at which light meets it.

A `GlassTable` is a solar heat gain coefficient (g-value) by angle, one for diffuse light, and a
U-value. It comes from the person's own table, from a generic class (computed from its panes by
`suncover.glass_optics`), or from the person's own g-value with the class's angular shape.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from suncover.heat.glass_optics import Pane, heat_gain, hemispherical, u_value
from suncover.site.model import Glazing, Site, Window

Floats = NDArray[np.float64]

_STEP = 2.0  # degrees between the angles of a class's table


@dataclass(frozen=True)
class GlassClass:
    """A generic kind of glazing: panes from outside in, and the conductances of its gaps, W/m²K.

    `light` is its visible transmittance at right angles.
    """

    panes: tuple[Pane, ...]
    gaps: tuple[float, ...]
    light: float
    about: str


# Extinctions of clear float glass lie between 0.004 (white) and 0.03 per mm (greenish; Duffie and
# Beckman, section 5.2). 3 mm panes of 0.03 and air gaps of 5.7 W/m²K (12 mm, EN 673) give the
# handbook's clear glasses by angle (ASHRAE Handbook, Fundamentals, table of SHGC; from memory).
_CLEAR = Pane(3.0, 0.03)
# A soft coating of emissivity about 0.05: solar transmittance and reflectances of one pane that
# give the handbook's low-e double glass within 0.02 (from memory).
_LOW_E = Pane(3.0, 0.03, coating=(0.60, 0.22, 0.17))
_LOW_E_SUN = Pane(6.0, 0.03, coating=(0.36, 0.30, 0.40))
# Bronze or grey body tint, 6 mm, solar transmittance 0.48 (ASHRAE Handbook; from memory).
_TINTED = Pane(6.0, 0.108)
_AIR, _ARGON = 5.7, 1.5

# Visible transmittances at the centre of glass (ASHRAE Handbook, Fundamentals, fenestration; from
# memory). Tinted: bronze; grey glass lets through somewhat less light, green more.
CLASSES: dict[str, GlassClass] = {
    "single clear": GlassClass((_CLEAR,), (), 0.90, "one pane, 3 mm"),
    "double clear": GlassClass((_CLEAR, _CLEAR), (_AIR,), 0.81, "two clear panes, air between"),
    "double low-e": GlassClass(
        (_CLEAR, _LOW_E), (_ARGON,), 0.76, "two panes, a coating that keeps warmth in"
    ),
    "double sun low-e": GlassClass(
        (_LOW_E_SUN, _CLEAR), (_ARGON,), 0.70, "two panes, a coating that keeps sun and warmth out"
    ),
    "double tinted": GlassClass(
        (_TINTED, _CLEAR), (_AIR,), 0.47, "a tinted pane before a clear one"
    ),
    "triple clear": GlassClass((_CLEAR, _CLEAR, _CLEAR), (_AIR, _AIR), 0.74, "three clear panes"),
    "triple low-e": GlassClass(
        (_CLEAR, _CLEAR, _LOW_E), (_AIR, _ARGON), 0.68, "three panes, one coated"
    ),
}
DEFAULT_CLASS = "double clear"


@dataclass(frozen=True)
class GlassTable:
    """Solar heat gain coefficients of a glazing.

    `gains` at `angles` of incidence (degrees, 0 to 90), linear between; `diffuse` for light from
    everywhere; `u` in W/m²K; `light` the visible transmittance at right angles, None where it is
    not known. `assumed` says that the site file does not give this glass.
    """

    name: str
    angles: tuple[float, ...]
    gains: tuple[float, ...]
    diffuse: float
    u: float
    light: float | None = None
    assumed: bool = False

    @property
    def normal(self) -> float:
        """Gain at right angles to the glass."""
        return self.gains[0]

    def gain(self, cos_incidence: ArrayLike) -> Floats:
        """Gain for light at angles of incidence given by their cosines; 0 from behind."""
        cosine = np.asarray(cos_incidence, dtype=np.float64)
        angle = np.degrees(np.arccos(np.clip(cosine, 0.0, 1.0)))
        return np.where(cosine > 0.0, np.interp(angle, self.angles, self.gains), 0.0)

    def scaled(self, share: float) -> GlassTable:
        """The same glass with a film or the like that leaves `share` of its gain. What that leaves
        of the light is not known.
        """
        gains = tuple(gain * share for gain in self.gains)
        return replace(self, gains=gains, diffuse=self.diffuse * share, light=None)


@cache
def class_table(name: str) -> GlassTable:
    """The table of a generic class, computed from its panes; KeyError if there is none."""
    kind = CLASSES[name]
    angles = np.arange(0.0, 90.0 + _STEP / 2, _STEP)
    gains = heat_gain(kind.panes, kind.gaps, angles)
    return GlassTable(
        name,
        tuple(float(angle) for angle in angles),
        tuple(float(gain) for gain in gains),
        hemispherical(angles, gains),
        u_value(kind.panes, kind.gaps),
        kind.light,
    )


def table_of(glazing: Glazing) -> GlassTable:
    """The table of a `[[glazing]]`: its own, or its kind's, scaled to its g-value if given."""
    if glazing.kind is None:
        assert glazing.diffuse is not None  # the model asks for a table where there is no kind
        assert glazing.u is not None
        columns = (glazing.angles, glazing.gains, glazing.diffuse, glazing.u, glazing.light)
        return GlassTable(glazing.name, *columns)
    table = class_table(glazing.kind)
    if glazing.g is not None:
        table = table.scaled(glazing.g / table.normal)
    u = table.u if glazing.u is None else glazing.u
    light = table.light if glazing.light is None else glazing.light
    return replace(table, name=glazing.name, u=u, light=light)


def glass_table(site: Site, name: str) -> GlassTable:
    """The site's `[[glazing]]` of that name, or else the generic class; KeyError if neither is."""
    for glazing in site.glazings:
        if glazing.name == name:
            return table_of(glazing)
    return class_table(name)


def table_for(site: Site, window: Window) -> GlassTable:
    """The glass of a window; clear double glazing, marked as assumed, if the site does not say."""
    if window.glazing is not None:
        return glass_table(site, window.glazing)
    return replace(class_table(DEFAULT_CLASS), assumed=True)
