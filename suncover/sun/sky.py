"""The sky over a weather year: where its light comes from, at instants within each hour.

A weather row gives means over its interval, mostly an hour. Within an hour the sun moves by 15
degrees and a shadow may cross a whole window, so each row is cut into short slots, the sun is taken
at the middle of every slot, and the row's light is spread evenly over the slots in which the sun is
up. At sunrise and sunset that is the sunlit part of the hour and no other, and no energy is lost.

The sky's light is split by one of three models, each as in pvlib, into what a shadow treats
differently:

    beam         from the sun's centre
    circumsolar  from about the sun: shaded as the beam is
    isotropic    evenly from the whole dome: reduced by the view factor of the sky
    horizon      from a band along the horizon (it may be negative: a darker horizon)
    ground       global light times albedo, evenly from below: by the view factor of the ground

Perez is the default. It is the model with the smallest error against measurements on tilted planes
in most comparisons (Loutzenhiser et al. 2007, Solar Energy 81, 254-267), and the only one of the
three that comes near the published yearly ranges for sun through walls' windows in Denver. Low sun
on walls is where any of them is least certain.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from suncover.base.errors import RequestError
from suncover.sun.position import DAY, Observer, directions_at
from suncover.sun.weather.year import LightRows

Floats = NDArray[np.float64]
SkyModel = Literal["perez", "haydavies", "isotropic"]

SOLAR_CONSTANT = 1366.1  # W/m2, pvlib's default
# Seconds of a slot at the most: a shadow moves by a fiftieth of its hour's way.
SLOT = 300.0


@dataclass(frozen=True)
class Sky:
    """A year's light by slots, n of them; all light in W/m², means over the row's sunlit part.

    `seconds` (n,) middle of each slot (unix seconds), `length` (n,) its length; `direction` (3, n)
    of the apparent sun, east, north, up; `row` (n,) the weather row; `hours` (n,) for how many
    hours of energy the slot stands. `beam` and `circumsolar` are on a plane square to the sun,
    `isotropic` on the horizontal, `horizon` on a wall, `ground` what the ground sends up.
    """

    seconds: Floats
    length: Floats
    direction: Floats
    row: NDArray[np.intp]
    hours: Floats
    beam: Floats
    circumsolar: Floats
    isotropic: Floats
    horizon: Floats
    ground: Floats


def sky_of(weather: LightRows, observer: Observer, albedo: float, model: SkyModel = "perez") -> Sky:
    """The sky of a weather year at `observer`, over ground of that albedo (0 to 1).

    Raises
    ------
    RequestError
        When there is no such sky model.
    """
    if model not in MODELS:
        raise RequestError(f'no sky model is named "{model}"; there are {", ".join(MODELS)}')
    count = max(1, int(np.ceil(weather.step / SLOT - 1e-9)))
    lit_rows = np.flatnonzero((weather.ghi > 0) | (weather.dni > 0) | (weather.dhi > 0))
    start = weather.start[lit_rows]
    length = weather.step / count
    middle = start[:, None] + (np.arange(count) + 0.5) * length
    direction = directions_at(middle, observer)
    up = direction[2] > 0.0
    sunlit = up.sum(axis=1)
    # A row with light and no sun has only its diffuse light, from one slot in its middle.
    twilight = sunlit == 0
    up[twilight, count // 2] = True
    direction[2][twilight, count // 2] = 0.0
    row = np.broadcast_to(lit_rows[:, None], up.shape)[up]
    hours = np.broadcast_to((weather.step / 3600.0 / np.maximum(sunlit, 1))[:, None], up.shape)[up]
    length_s = np.broadcast_to(np.where(twilight, weather.step, length)[:, None], up.shape)[up]
    dark = np.broadcast_to(twilight[:, None], up.shape)[up]
    picked = np.stack([part[up] for part in direction])
    beam = np.where(dark, 0.0, weather.dni[row])
    diffuse, ghi = weather.dhi[row], weather.ghi[row]
    zenith = np.degrees(np.arccos(np.clip(picked[2], -1.0, 1.0)))
    extra = extraterrestrial(middle[up])
    around, dome, band = MODELS[model](zenith, beam, diffuse, extra)
    return Sky(
        middle[up],
        length_s,
        picked,
        row,
        hours,
        beam,
        np.where(dark, 0.0, around),
        np.where(dark, diffuse, dome),
        np.where(dark, 0.0, band),
        ghi * albedo,
    )


def extraterrestrial(seconds: Floats) -> Floats:
    """Radiation square to the sun outside the air in W/m², at unix seconds.

    Spencer's series (Duffie and Beckman, eq. 1.4.1b), as `pvlib.irradiance.get_extra_radiation`.
    """
    numbers = np.floor(seconds / DAY).astype(np.int64)
    if numbers.size == 0:
        return np.zeros(numbers.shape)
    # Once for each day.
    first = numbers.min()
    days = np.arange(first, numbers.max() + 1).astype("datetime64[D]")
    day = (days - days.astype("datetime64[Y]").astype("datetime64[D]")).astype(np.float64)
    angle = 2.0 * np.pi / 365.0 * day
    ratio = (
        1.00011
        + 0.034221 * np.cos(angle)
        + 0.00128 * np.sin(angle)
        + 0.000719 * np.cos(2 * angle)
        + 7.7e-05 * np.sin(2 * angle)
    )
    return np.asarray((SOLAR_CONSTANT * ratio)[numbers - first])


Split = tuple[Floats, Floats, Floats]
"""Circumsolar light square to the sun, isotropic on the horizontal, horizon's on a wall."""


# R. Perez and others, Modeling daylight availability and irradiance components from direct and
# global irradiance, Solar Energy 44 (1990), 271-289, table 6: F11 F12 F13 F21 F22 F23 by clearness.
_CLEARNESS = (1.065, 1.23, 1.5, 1.95, 2.8, 4.5, 6.2)
_BRIGHTNESS = np.array(
    [
        [-0.008, 0.588, -0.062, -0.060, 0.072, -0.022],
        [0.130, 0.683, -0.151, -0.019, 0.066, -0.029],
        [0.330, 0.487, -0.221, 0.055, -0.064, -0.026],
        [0.568, 0.187, -0.295, 0.109, -0.152, -0.014],
        [0.873, -0.392, -0.362, 0.226, -0.462, 0.001],
        [1.132, -1.237, -0.412, 0.288, -0.823, 0.056],
        [1.060, -1.600, -0.359, 0.264, -1.127, 0.131],
        [0.678, -0.327, -0.250, 0.156, -1.377, 0.251],
    ]
)


def _perez(zenith: Floats, beam: Floats, diffuse: Floats, extra: Floats) -> Split:
    """Perez et al. 1990, as `pvlib.irradiance.perez` has it with its default coefficients.

    The circumsolar part as on the plane square to the sun, where it is whole; the horizon's as on
    the wall that faces the sun. pvlib shows nothing of a sky whose parts add up to less than
    nothing on a plane; so here, each on its own.
    """
    radians = np.radians(zenith)
    cosine, sine = np.cos(radians), np.sin(radians)
    low = np.minimum(zenith, 90.0)
    airmass = 1.0 / (np.cos(np.radians(low)) + 0.50572 * (96.07995 - low) ** -1.6364)
    with np.errstate(divide="ignore", invalid="ignore"):
        clearness = ((diffuse + beam) / diffuse + 1.041 * radians**3) / (1.0 + 1.041 * radians**3)
    terms = _BRIGHTNESS[np.digitize(np.nan_to_num(clearness, posinf=1e9), _CLEARNESS)]
    brightness = diffuse * airmass / extra
    of_sun = terms[:, 0] + terms[:, 1] * brightness + terms[:, 2] * radians
    of_horizon = terms[:, 3] + terms[:, 4] * brightness + terms[:, 5] * radians
    dome = 1.0 - np.maximum(of_sun, 0.0)
    around = np.maximum(of_sun, 0.0) / np.maximum(cosine, np.cos(np.radians(85.0)))
    facing = dome * (1.0 + cosine) / 2.0 + around + of_horizon * sine > 0.0
    wall = dome / 2.0 + around * sine + of_horizon > 0.0
    return (
        np.where(facing, diffuse * around, 0.0),
        np.where(facing, diffuse * dome, 0.0),
        np.where(wall, diffuse * of_horizon, 0.0),
    )


def _haydavies(zenith: Floats, beam: Floats, diffuse: Floats, extra: Floats) -> Split:
    """Hay and Davies 1980, as `pvlib.irradiance.haydavies` has it; square to the sun."""
    zero = np.zeros_like(zenith)
    share = beam / extra
    around = diffuse * share / np.maximum(np.cos(np.radians(zenith)), 0.01745)
    return np.maximum(around, 0.0), np.maximum(diffuse * (1.0 - share), 0.0), zero


def _isotropic(zenith: Floats, _beam: Floats, diffuse: Floats, _extra: Floats) -> Split:
    """All diffuse light evenly from the dome (Liu and Jordan)."""
    zero = np.zeros_like(zenith)
    return zero, diffuse, zero


MODELS: dict[SkyModel, Callable[[Floats, Floats, Floats, Floats], Split]] = {
    "perez": _perez,
    "haydavies": _haydavies,
    "isotropic": _isotropic,
}
