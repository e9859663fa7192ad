"""What a closed shade lets through: the simplified method for glazing with a solar-protection
device.

The g-value of glass and shade together follows from the glass's g and U and the fabric's solar
transmittance and reflectance (EN 13363-1, now ISO 52022-1; formulas from memory). The method is for
g from 0.15 to 0.85 and a shade parallel to the glass; it lies 0.02 below to 0.10 above the exact
sum, on the safe side for cooling.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from suncover.heat.glass import GlassTable
from suncover.site.model import Shade

Place = Literal["inside", "outside", "between"]

# Conductances of the standard's simplified method, W/m²K (from memory).
G1_OUTSIDE, G2_OUTSIDE = 5.0, 10.0
G2_INSIDE = 30.0
G3_BETWEEN = 3.0
# The exact g of glass and shade lies by so much from what the method gives (EN 13363-1: the method
# deviates from the exact sum by +0.10 to -0.02).
LEAST_OFF, MOST_OFF = -0.10, 0.02
# The range of g that the method is stated for (EN 13363-1, scope).
LEAST_G, MOST_G = 0.15, 0.85

DEFAULT_PLACE: Place = "inside"
DEFAULT_FABRIC = "light"
# An inside shade that absorbs more than this heats up: caution about the glass behind it.
DARK_ABSORPTANCE = 0.5


@dataclass(frozen=True)
class Fabric:
    """A shade's cloth: solar transmittance and reflectance, 0 to 1."""

    transmittance: float
    reflectance: float

    @property
    def absorptance(self) -> float:
        """What is neither let through nor turned back."""
        return 1.0 - self.transmittance - self.reflectance


# Generic classes by colour, from a published optical sheet of interior roller fabrics (its
# transmittance, reflectance and absorptance: 13/76/11, 5/54/41, 4/37/59 and 0/7/93 per cent).
FABRICS: dict[str, Fabric] = {
    "white": Fabric(0.13, 0.76),
    "light": Fabric(0.05, 0.54),
    "medium": Fabric(0.04, 0.37),
    "dark": Fabric(0.00, 0.07),
}


def total_gain(place: Place, g: float, u: float, fabric: Fabric) -> float:
    """g-value of a glass (g, U in W/m²K) with a closed shade; never above the glass's own."""
    return min(max(_FORMULAS[place](g, u, fabric), 0.0), g)


def _outside(g: float, u: float, fabric: Fabric) -> float:
    tau, alpha = fabric.transmittance, fabric.absorptance
    u_with_cloth = 1.0 / (1.0 / u + 1.0 / G1_OUTSIDE + 1.0 / G2_OUTSIDE)
    return tau * g + alpha * u_with_cloth / G2_OUTSIDE + tau * (1.0 - g) * u_with_cloth / G1_OUTSIDE


def _inside(g: float, u: float, fabric: Fabric) -> float:
    u_with_cloth = 1.0 / (1.0 / u + 1.0 / G2_INSIDE)
    return g * (1.0 - g * fabric.reflectance - fabric.absorptance * u_with_cloth / G2_INSIDE)


def _between(g: float, u: float, fabric: Fabric) -> float:
    u_with_cloth = 1.0 / (1.0 / u + 1.0 / G3_BETWEEN)
    warm = fabric.absorptance + (1.0 - g) * fabric.reflectance
    return g * fabric.transmittance + g * warm * u_with_cloth / G3_BETWEEN


_FORMULAS: dict[Place, Callable[[float, float, Fabric], float]] = {
    "outside": _outside,
    "inside": _inside,
    "between": _between,
}


@dataclass(frozen=True)
class ShadeEffect:
    """A shade on a glass: where it hangs, its fabric, and the share of the glass's gain that it
    leaves while it is closed. `assumed` says that the site file gives neither place nor fabric.
    `least` and `most` are the ends of what it may leave, by the method's own uncertainty.
    """

    place: Place
    fabric: Fabric
    left: float
    assumed: bool = False
    least: float = 0.0
    most: float = 1.0


def effect_of(shade: Shade, glass: GlassTable) -> ShadeEffect:
    """What a shade does on a glass; light cloth inside the room where the site does not say."""
    place: Place = shade.place or DEFAULT_PLACE
    return effect_on(place, fabric_of(shade), glass, assumed=_is_assumed(shade))


def effect_on(
    place: Place, fabric: Fabric, glass: GlassTable, *, assumed: bool = False
) -> ShadeEffect:
    """What a fabric in a place does on a glass."""
    if not (glass.normal > 0.0 and glass.u > 0.0):
        return ShadeEffect(place, fabric, 1.0, assumed, 1.0, 1.0)
    total = total_gain(place, glass.normal, glass.u, fabric)
    left, least, most = (
        min(max(total + off, 0.0), glass.normal) / glass.normal
        for off in (0.0, LEAST_OFF, MOST_OFF)
    )
    return ShadeEffect(place, fabric, left, assumed, least, most)


def fabric_of(shade: Shade) -> Fabric:
    """A shade's cloth: its own values, and its class's (or the default's) for what is left out."""
    generic = FABRICS[shade.fabric or DEFAULT_FABRIC]
    through, turned = shade.transmittance, shade.reflectance
    if through is None:
        through = min(generic.transmittance, 1.0 - (turned or 0.0))
    if turned is None:
        turned = min(generic.reflectance, 1.0 - through)
    return Fabric(through, turned)


def _is_assumed(shade: Shade) -> bool:
    values = (shade.place, shade.fabric, shade.transmittance, shade.reflectance)
    return all(value is None for value in values)


def cautions(effect: ShadeEffect) -> tuple[str, ...]:
    """What to heed about a shade, as sentences; empty where there is nothing."""
    if effect.place == "outside" or effect.fabric.absorptance <= DARK_ABSORPTANCE:
        return ()
    return (
        "Dark cloth close behind glass heats the pane, which may crack: keep 50 mm or more "
        "between them and ask a glazier, above all for wired, tinted or old glass.",
    )
