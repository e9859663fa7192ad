"""The sky over a weather year: where its light comes from, at instants within each hour.

A weather row gives means over its interval, mostly an hour. Within an hour the sun moves by 15
degrees and a shadow may cross a whole window, so each row is cut into short slots, the sun is taken
at the middle of every slot, and the row's light is spread evenly over the slots in which the sun is
up. At sunrise and sunset that is the sunlit part of the hour and no other, and no energy is lost.

The sky's light is split by one of pvlib's models into what a shadow treats differently:

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
    days = np.floor(seconds / DAY).astype("datetime64[D]")
    day = (days - days.astype("datetime64[Y]").astype("datetime64[D]")).astype(np.float64)
    angle = 2.0 * np.pi / 365.0 * day
    ratio = (
        1.00011
        + 0.034221 * np.cos(angle)
        + 0.00128 * np.sin(angle)
        + 0.000719 * np.cos(2 * angle)
        + 7.7e-05 * np.sin(2 * angle)
    )
    return np.asarray(SOLAR_CONSTANT * ratio)


Split = tuple[Floats, Floats, Floats]
"""Circumsolar light square to the sun, isotropic on the horizontal, horizon's on a wall."""


def _perez(zenith: Floats, beam: Floats, diffuse: Floats, extra: Floats) -> Split:
    """Perez et al. 1990 with pvlib's default coefficients, asked on two planes that face the sun.

    On the plane square to it the circumsolar part is whole; on the wall, the horizon's is.
    """
    from pvlib import atmosphere, irradiance

    airmass = atmosphere.get_relative_airmass(np.minimum(zenith, 90.0))

    def parts(tilt: Floats) -> dict[str, Floats]:
        with np.errstate(divide="ignore", invalid="ignore"):
            found = irradiance.perez(
                tilt, np.zeros_like(zenith), diffuse, beam, extra, zenith,
                np.zeros_like(zenith), airmass, return_components=True,
            )  # fmt: skip
        return {key: np.nan_to_num(np.asarray(value)) for key, value in found.items()}

    facing, wall = parts(zenith), parts(np.full_like(zenith, 90.0))
    dome = facing["poa_isotropic"] * 2.0 / (1.0 + np.cos(np.radians(zenith)))
    return facing["poa_circumsolar"], dome, wall["poa_horizon"]


def _haydavies(zenith: Floats, beam: Floats, diffuse: Floats, extra: Floats) -> Split:
    """Hay and Davies 1980, by pvlib, on the plane square to the sun."""
    from pvlib import irradiance

    zero = np.zeros_like(zenith)
    found = irradiance.haydavies(
        zenith, zero, diffuse, beam, extra, zenith, zero, return_components=True
    )
    dome = found["poa_isotropic"] * 2.0 / (1.0 + np.cos(np.radians(zenith)))
    return np.asarray(found["poa_circumsolar"]), np.asarray(dome), zero


def _isotropic(zenith: Floats, _beam: Floats, diffuse: Floats, _extra: Floats) -> Split:
    """All diffuse light evenly from the dome (Liu and Jordan)."""
    zero = np.zeros_like(zenith)
    return zero, diffuse, zero


MODELS: dict[SkyModel, Callable[[Floats, Floats, Floats, Floats], Split]] = {
    "perez": _perez,
    "haydavies": _haydavies,
    "isotropic": _isotropic,
}
