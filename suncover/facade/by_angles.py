"""The geometry of one window by angles alone, under the names that pvlib gives its arguments.

    solar_zenith, solar_azimuth       of the sun: degrees from straight up; clockwise from north
    surface_tilt, surface_azimuth     of the glass: degrees from the horizontal (90 a wall, above 90
                                      glass that leans out); the way it looks, clockwise from north

All are numbers, arrays, or pandas Series, and fit together as numpy's broadcasting has it. What
comes back has their shape, or a Series' index. No site, no time and no skyline is in it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suncover.base.errors import RequestError
from suncover.base.indexed import Columns
from suncover.facade.frame import Slopes, direction, shadow_slopes, window_axes
from suncover.facade.glazed import Glass, fin_plate, overhang_plate
from suncover.facade.plates import sunlit_fraction
from suncover.site.model import Fin, Overhang

Floats = NDArray[np.float64]


def window_sunlit(
    solar_zenith: Any,
    solar_azimuth: Any,
    surface_tilt: Any,
    surface_azimuth: Any,
    *,
    width: float,
    height: float,
    reveal: float = 0.0,
    overhang: Overhang | None = None,
    fins: Sequence[Fin] = (),
) -> Any:
    """Share of a window's glass in direct sun under its overhang, fins and reveal, 0 to 1.

    Parameters
    ----------
    solar_zenith, solar_azimuth
        Of the sun, degrees; with its `apparent_zenith`, that of the sun that is seen.
    surface_tilt, surface_azimuth
        Of the glass, degrees.
    width, height
        Of the glass, metres; the height along its slope.
    reveal
        Metres that the glass stands behind the wall's face, from which overhang and fins stand out.
    overhang
        As for a `Window`: `Overhang(depth=0.6, gap=0.2)`, endless where it has no ends.
    fins
        As for a `Window`: `[Fin(side="left", depth=0.4)]`, left as seen from outdoors.

    Returns
    -------
    numpy.ndarray or pandas.Series
        The share; 0 where the sun is down (zenith 90° or more) or behind the glass, nan where an
        angle is. It is exact: see `suncover.facade.plates`.

    Raises
    ------
    RequestError
        When sizes or angles cannot be, or the columns do not fit together.
    """
    glass = glass_by_sizes(width, height, reveal, overhang, fins)
    angles = angles_of(solar_zenith, solar_azimuth, surface_tilt, surface_azimuth)
    return angles.series(sunlit_by_angles(angles, glass), "sunlit_fraction")


def window_profile_angle(
    solar_zenith: Any, solar_azimuth: Any, surface_tilt: Any, surface_azimuth: Any
) -> Any:
    """Profile angle in degrees: the sun's angle up from straight out of the glass, as it shows in a
    cut at right angles to the wall.

    It decides how deep the shadow of an overhang falls: `depth` · tan Ω below it on upright glass.
    tan Ω = tan β / cos γ for a wall, with the sun's altitude β and its azimuth γ away from the
    wall's own (ASHRAE Handbook, Fundamentals, fenestration chapter). On a wall it is 90° less
    pvlib's `projected_solar_zenith_angle` about a level axis along the wall.

    Returns
    -------
    numpy.ndarray or pandas.Series
        Degrees, -90 to 90; nan where the sun is behind the glass. The sun may be below the horizon.

    Raises
    ------
    RequestError
        When angles cannot be, or the columns do not fit together.
    """
    angles = angles_of(solar_zenith, solar_azimuth, surface_tilt, surface_azimuth)
    slopes = slopes_by_angles(angles)
    profile = np.where(slopes.in_front, np.degrees(np.arctan(slopes.q)), np.nan)
    return angles.series(profile, "profile_angle_deg")


def glass_by_sizes(
    width: float,
    height: float,
    reveal: float = 0.0,
    overhang: Overhang | None = None,
    fins: Sequence[Fin] = (),
) -> Glass:
    """A window's glass with what stands before it, metres.

    Raises
    ------
    RequestError
        When a size cannot be.
    """
    if overhang is not None and not isinstance(overhang, Overhang):
        raise RequestError("overhang is no Overhang; give one such as Overhang(depth=0.6, gap=0.2)")
    if not all(isinstance(fin, Fin) for fin in fins):
        raise RequestError('fins holds no Fin; give such as [Fin(side="left", depth=0.4)]')
    try:
        bare = Glass(float(width), float(height), float(reveal))
        plates = [
            fin_plate(bare, fin.side, fin.depth, gap=fin.gap, above=fin.above, below=fin.below)
            for fin in fins
        ]
        if overhang is not None:
            sizes = (overhang.depth, overhang.gap, overhang.left, overhang.right)
            plates.insert(0, overhang_plate(bare, *sizes))
        return Glass(bare.width, bare.height, bare.reveal, tuple(plates))
    except (TypeError, ValueError) as wrong:
        raise RequestError(f"the glass cannot be so: {wrong}") from None


def angles_of(
    solar_zenith: Any, solar_azimuth: Any, surface_tilt: Any, surface_azimuth: Any, **further: Any
) -> Columns:
    """The four angles, and `further` columns, as arrays of one shape.

    Raises
    ------
    RequestError
        When zenith or tilt lies outside 0 to 180, or the columns do not fit together.
    """
    angles = Columns.of(
        solar_zenith=solar_zenith,
        solar_azimuth=solar_azimuth,
        surface_tilt=surface_tilt,
        surface_azimuth=surface_azimuth,
        **further,
    )
    for name in ("solar_zenith", "surface_tilt"):
        wrong = (angles[name] < 0.0) | (angles[name] > 180.0)
        if wrong.any():
            angle = angles[name][wrong].flat[0]
            raise RequestError(f"a {name} of {angle:g}° cannot be; it is from 0 to 180 degrees")
    return angles


def slopes_by_angles(angles: Columns) -> Slopes:
    """The sun's slopes on the glass for the angles of `angles_of`, in their shape."""
    sun = direction(90.0 - angles["solar_zenith"], angles["solar_azimuth"])
    facing = np.stack([angles["surface_azimuth"], angles["surface_tilt"]]).reshape(2, -1)
    ways, index = np.unique(facing, axis=1, return_inverse=True)
    if ways.shape[1] == 1:
        return shadow_slopes(sun, window_axes(*ways[:, 0]))
    axes = np.stack([window_axes(*way) for way in ways.T], axis=-1)
    return shadow_slopes(sun, axes[..., index.ravel()].reshape(3, 3, *sun.shape[1:]))


def sunlit_by_angles(angles: Columns, glass: Glass) -> Floats:
    """The share of the glass in sun for the angles of `angles_of`, in their shape."""
    slopes = slopes_by_angles(angles)
    lit = slopes.in_front & (angles["solar_zenith"] < 90.0)
    share = np.where(np.isnan(slopes.cos_incidence), np.nan, 0.0)
    sunlit = sunlit_fraction(slopes.p[lit], slopes.q[lit], glass)
    share[lit] = np.where(sunlit > glass.rounding, sunlit, 0.0)
    return share
