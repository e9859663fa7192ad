"""A window's own axes, and the sun's direction in them.

    v  up the slope of the glass        Seen from outdoors, facing the window:
    ^                                   u points right, v points up the glass,
    |    n  out of the glass            n points out of it, at the viewer.
    |   /
    |  /                                azimuth  of n, clockwise from true north
    | /                                 tilt     between glass and horizontal:
    +---------> u  right                         90 a wall, 0 a flat roof light

A direction with components (du, dv, dn) that has dn > 0 leaves the glass. Its slopes p = du / dn
and q = dv / dn say how far it runs to the right and up the glass for each metre out of it: tan of
the two profile angles. All shadows on the glass depend on the sun through p and q alone.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from suncover.base.indexed import Columns

Floats = NDArray[np.float64]

# A cosine of incidence this small is the sun grazing the glass: it gives none, and its slopes would
# overflow.
GRAZING = 1e-12


class Slopes(NamedTuple):
    """Run of the sun's direction along the glass for each metre out of it; arrays of one shape.

    `p` to the right, `q` up the glass, `cos_incidence` the cosine of the angle of incidence. Where
    the sun is not in front of the glass (`cos_incidence` at most 0), `p` and `q` are 0 and mean
    nothing.
    """

    p: Floats
    q: Floats
    cos_incidence: Floats

    @property
    def in_front(self) -> NDArray[np.bool_]:
        """True where the sun is in front of the glass."""
        return self.cos_incidence > GRAZING

    @property
    def directions(self) -> Floats:
        """Unit vectors to the sun in the window's axes, (3, n); where it is in front."""
        outward = np.ones_like(self.p)
        return np.stack([self.p, self.q, outward]) * self.cos_incidence

    def take(self, keep: NDArray[np.intp]) -> Slopes:
        """Only the instants that `keep` picks."""
        return Slopes._make(array[keep] for array in self)


def window_axes(azimuth: float, tilt: float) -> Floats:
    """Rows u, v, n of a window's axes in east, north, up; shape (3, 3), orthonormal.

    `azimuth` and `tilt` in degrees.
    """
    a, t = np.radians(azimuth), np.radians(tilt)
    sin_a, cos_a, sin_t, cos_t = np.sin(a), np.cos(a), np.sin(t), np.cos(t)
    return np.array(
        [
            [-cos_a, sin_a, 0.0],
            [-cos_t * sin_a, -cos_t * cos_a, sin_t],
            [sin_t * sin_a, sin_t * cos_a, cos_t],
        ]
    )


def direction(elevation: ArrayLike, azimuth: ArrayLike) -> Floats:
    """Unit vectors east, north, up, shape (3, ...), of elevations and azimuths in degrees."""
    e, a = np.radians(np.asarray(elevation, float)), np.radians(np.asarray(azimuth, float))
    return np.stack([np.cos(e) * np.sin(a), np.cos(e) * np.cos(a), np.sin(e) + 0.0 * a])


def shadow_slopes(sun: Floats, axes: Floats) -> Slopes:
    """Slopes of sun directions `sun` (3, ...; east, north, up) on a window with `axes` (3, 3)."""
    right, up, out = (
        axes[row, 0] * sun[0] + axes[row, 1] * sun[1] + axes[row, 2] * sun[2] for row in (0, 1, 2)
    )
    front = out > GRAZING
    run = np.where(front, out, np.inf)
    return Slopes(p=right / run, q=up / run, cos_incidence=out)


def in_axes(directions: Floats, axes: Floats) -> Floats:
    """Directions (3, ..., m) of the site in a window's `axes` (3, 3), or each in those of its own
    (m, 3, 3).
    """
    rows = np.moveaxis(axes, (-2, -1), (0, 1))
    return np.stack([a * directions[0] + b * directions[1] + c * directions[2] for a, b, c in rows])


def incidence_angle(
    elevation: ArrayLike, azimuth: ArrayLike, window_azimuth: float, window_tilt: float = 90.0
) -> Any:
    """Angle of incidence in degrees between the sun and the window's outward normal, 0 to 180.

    `elevation` and `azimuth` of the sun in degrees, any shape; of Series, a Series comes back.
    Above 90 the sun is behind the glass. cos θ = cos Z cos β + sin Z sin β cos(γs − γ), with the
    zenith Z = 90° − elevation and tilt β (Duffie and Beckman, Solar Engineering of Thermal
    Processes, eq. 1.6.3).
    """
    columns = Columns.of(elevation=elevation, azimuth=azimuth)
    normal = window_axes(window_azimuth, window_tilt)[2]
    sun = direction(columns["elevation"], columns["azimuth"])
    across = np.stack(
        [
            normal[1] * sun[2] - normal[2] * sun[1],
            normal[2] * sun[0] - normal[0] * sun[2],
            normal[0] * sun[1] - normal[1] * sun[0],
        ]
    )
    along = normal[0] * sun[0] + normal[1] * sun[1] + normal[2] * sun[2]
    # atan2 keeps its digits near 0 and 180 degrees, where the arc cosine loses half of them.
    angle = np.asarray(np.degrees(np.arctan2(np.sqrt((across**2).sum(axis=0)), along)))
    return columns.series(angle, "incidence_deg")


def profile_angle(
    elevation: ArrayLike, azimuth: ArrayLike, window_azimuth: float, window_tilt: float = 90.0
) -> Any:
    """Profile angle in degrees: the sun's angle out of the plane u-n, seen along the window's
    width.

    For a wall, tan Ω = tan β / cos γ with the sun's altitude β and the surface-solar azimuth γ
    (ASHRAE Handbook, Fundamentals, fenestration chapter). Negative where the sun comes from below
    the plane at right angles to the glass (possible for leaning glass and roof windows); nan where
    it is behind. Of Series, a Series comes back.
    """
    columns = Columns.of(elevation=elevation, azimuth=azimuth)
    sun = direction(columns["elevation"], columns["azimuth"])
    slopes = shadow_slopes(sun, window_axes(window_azimuth, window_tilt))
    angle = np.where(slopes.in_front, np.degrees(np.arctan(slopes.q)), np.nan)
    return columns.series(angle, "profile_angle_deg")
