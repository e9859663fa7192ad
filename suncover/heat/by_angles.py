"""Light on one window and the gain through it by angles and irradiance alone, under pvlib's names.

    angles, dni, ghi, dhi ──> window_light ──> beam, circumsolar, sky, ground ──> window_gain

What the arguments are called and how they fit together stands in `suncover.facade.by_angles`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suncover.base.errors import RequestError
from suncover.base.indexed import Columns
from suncover.base.instants import seconds_of
from suncover.base.shown import short_repr
from suncover.facade.by_angles import (
    angles_of,
    glass_by_sizes,
    slopes_by_angles,
    sunlit_by_angles,
)
from suncover.facade.glazed import Glass
from suncover.heat.glass import CLASSES, GlassTable, class_table, table_of
from suncover.heat.view_factors import Views, glass_views
from suncover.site.finding import meant
from suncover.site.model import Fin, Glazing, Overhang
from suncover.sun.sky import MODELS, SkyModel, extraterrestrial

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class GlassLight:
    """Light on the outside of a window's glass, averaged over it; arrays of one shape.

    `aoi` is the sun's angle of incidence in degrees, `sunlit` the share of the glass in sun; `beam`
    comes from the sun's disc, `circumsolar` from close about it, `sky` from dome and horizon,
    `ground` from below: W/m². pvlib's `poa_direct` is the `beam` of bare glass, its
    `poa_sky_diffuse` the `circumsolar` and the `sky` together, its `poa_global` the `total`.
    """

    __repr__ = short_repr

    aoi: Floats
    sunlit: Floats
    beam: Floats
    circumsolar: Floats
    sky: Floats
    ground: Floats

    @property
    def total(self) -> Floats:
        """All of it, W/m²."""
        return self.beam + self.circumsolar + self.sky + self.ground


def window_light(
    solar_zenith: Any,
    solar_azimuth: Any,
    surface_tilt: Any,
    surface_azimuth: Any,
    *,
    dni: Any,
    ghi: Any,
    dhi: Any,
    dni_extra: Any = None,
    albedo: Any = 0.2,
    model: SkyModel = "perez",
    width: float = 1.0,
    height: float = 1.0,
    reveal: float = 0.0,
    overhang: Overhang | None = None,
    fins: Sequence[Fin] = (),
) -> Any:
    """Beam, sky and ground on a window's glass under its overhang, fins and reveal, W/m².

    The beam and the light close about the sun come to the share of the glass that the sun lights;
    sky and ground in proportion to how much of them the glass sees past its plates. What stands
    before the glass sends no light back.

    Parameters
    ----------
    solar_zenith, solar_azimuth, surface_tilt, surface_azimuth
        Degrees, as for `window_sunlit`.
    dni, ghi, dhi
        Direct normal, global and diffuse horizontal irradiance, W/m².
    dni_extra
        Irradiance outside the air on a plane square to the sun, W/m². Left out, it is that of the
        days of the columns' index of times; the isotropic model needs none.
    albedo
        Of the ground, 0 to 1.
    model
        "perez" (Perez et al. 1990), "haydavies" or "isotropic", by pvlib's own functions.
    width, height, reveal, overhang, fins
        As for `window_sunlit`; a bare square metre if left out.

    Returns
    -------
    GlassLight or pandas.DataFrame
        The columns of a `GlassLight`, and `total`; a DataFrame where a column has an index.

    Raises
    ------
    RequestError
        When sizes or angles cannot be, columns do not fit together, or `dni_extra` is missing.

    References
    ----------
    Perez et al. 1990, Solar Energy 44 (5), 271-289; Hay and Davies 1980; view factors of open glass
    by Liu and Jordan (Duffie and Beckman, Solar Engineering of Thermal Processes, section 2.15).
    """
    if model not in MODELS:
        raise RequestError(f'no sky model is named "{model}"; there are {", ".join(MODELS)}')
    glass = glass_by_sizes(width, height, reveal, overhang, fins)
    columns = angles_of(
        solar_zenith, solar_azimuth, surface_tilt, surface_azimuth,
        dni=dni, ghi=ghi, dhi=dhi, dni_extra=dni_extra, albedo=albedo,
    )  # fmt: skip
    light = _light(columns, glass, model)
    if columns.index is None:
        return light
    names = [field.name for field in fields(GlassLight)] + ["total"]
    return columns.table({name: getattr(light, name) for name in names})


def _light(columns: Columns, glass: Glass, model: SkyModel) -> GlassLight:
    zenith, cosine = columns["solar_zenith"], slopes_by_angles(columns).cos_incidence
    lit = sunlit_by_angles(columns, glass)
    around, dome, band = _split(columns, model)
    views = _views(columns["surface_tilt"], glass)
    slope = np.sin(np.radians(columns["surface_tilt"]))
    beam = np.where(zenith < 90.0, columns["dni"], 0.0 * columns["dni"])
    front = np.maximum(cosine, 0.0) * lit
    return GlassLight(
        np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))),
        lit,
        beam * front,
        around * front,
        # A dark horizon takes from the dome, but never more than there is.
        np.maximum(dome * views.sky + band * slope * views.horizon, 0.0),
        columns["ghi"] * columns["albedo"] * views.ground,
    )


def _split(columns: Columns, model: SkyModel) -> tuple[Floats, Floats, Floats]:
    """Circumsolar light square to the sun, the dome's on the horizontal, the horizon's on a wall;
    nan where the irradiance is.
    """
    zenith, dni, dhi = columns["solar_zenith"], columns["dni"], columns["dhi"]
    up = np.asarray((zenith < 90.0) & ~np.isnan(dni + dhi))
    parts = [np.array(part) for part in (0.0 * (dni + dhi), dhi, 0.0 * (dni + dhi))]
    extra = _extra(columns, model)[up]
    for part, values in zip(parts, MODELS[model](zenith[up], dni[up], dhi[up], extra), strict=True):
        part[up] = values
    return parts[0], parts[1], parts[2]


def _extra(columns: Columns, model: SkyModel) -> Floats:
    if "dni_extra" in columns.values:
        return columns["dni_extra"]
    if model == "isotropic":
        return np.zeros_like(columns["dni"])
    if getattr(columns.index, "tz", None) is None:
        raise RequestError(
            f'the model "{model}" needs dni_extra, such as pvlib.irradiance.get_extra_radiation '
            "gives, or columns with an index of times in a time zone"
        )
    return extraterrestrial(seconds_of(columns.index))


def _views(tilts: Floats, glass: Glass) -> Views:
    """What the glass sees at each of the tilts, in their shape."""
    distinct_tilts, index = np.unique(tilts, return_inverse=True)
    views = [_views_at(glass, float(tilt)) for tilt in distinct_tilts]
    sky, ground, horizon = (
        np.array([getattr(view, name) for view in views])[index].reshape(tilts.shape)
        for name in ("sky", "ground", "horizon")
    )
    return Views(sky, ground, horizon)  # type: ignore[arg-type]  # arrays, as all that is done with them


@lru_cache(maxsize=256)
def _views_at(glass: Glass, tilt: float) -> Views:
    return glass_views(glass, 180.0, tilt)  # the same whichever way the glass looks


def window_gain(light: Any, glazing: Glazing | GlassTable | str = "double clear") -> Any:
    """What enters the room through the glass, W per m² of glass.

    Light from the sun and close about it enters at its angle of incidence, all other light by the
    glazing's gain for diffuse light, as past an open window. (Deep in a recess sky and ground are
    seen nearer the normal, and a few per cent more of them enters: `light_by_row` counts that.)

    Parameters
    ----------
    light
        What `window_light` gave, or a DataFrame with its columns aoi, beam, circumsolar, sky,
        ground.
    glazing
        A `Glazing`, or the name of a generic kind of glass, such as "double low-e".

    Returns
    -------
    numpy.ndarray or pandas.Series
        Solar gain, W/m².

    Raises
    ------
    RequestError
        When there is no such glass, or columns are missing.
    """
    table = _table(glazing)
    names = ("aoi", "beam", "circumsolar", "sky", "ground")
    missing = [name for name in names if not hasattr(light, name)]
    if missing:
        raise RequestError(f"light has no {missing[0]}; give what window_light gave")
    columns = Columns.of(**{name: getattr(light, name) for name in names})
    cosine = np.cos(np.radians(columns["aoi"]))
    direct = (columns["beam"] + columns["circumsolar"]) * table.gain(cosine)
    gain = direct + (columns["sky"] + columns["ground"]) * table.diffuse
    return columns.series(gain, "gain_w_m2")


def _table(glazing: Glazing | GlassTable | str) -> GlassTable:
    if isinstance(glazing, GlassTable):
        return glazing
    if isinstance(glazing, Glazing):
        return table_of(glazing)
    if glazing in CLASSES:
        return class_table(glazing)
    near = meant(str(glazing), list(CLASSES))
    hint = f'did you mean "{near}"?' if near else f"there are {', '.join(CLASSES)}"
    raise RequestError(f'no kind of glass is named "{glazing}"; {hint}')
