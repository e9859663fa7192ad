"""Light on a window's glass and the gain through it under pvlib's argument names.

Reference: `pvlib.irradiance.get_total_irradiance` for bare glass, component by component.
"""

from typing import Any

import numpy as np
import pandas as pd
import pvlib
import pytest

import suncover
from suncover.facade.glazed import Glass, overhang_plate
from suncover.heat.view_factors import glass_views

TIMES = pd.date_range("2027-05-03", periods=300, freq="71min", tz="Africa/Nairobi")
PLACE = pvlib.location.Location(-1.3, 36.8, tz="Africa/Nairobi", altitude=1700)
SUN = PLACE.get_solarposition(TIMES)
SKY = PLACE.get_clearsky(TIMES)
# Half clouded: a sky as measured has more diffuse light and less beam.
LIGHT = pd.DataFrame({"dni": SKY["dni"] * 0.6, "dhi": SKY["dhi"] * 1.8})
LIGHT["ghi"] = LIGHT["dhi"] + LIGHT["dni"] * np.cos(np.radians(SUN["apparent_zenith"])).clip(0)
DAY = SUN["apparent_zenith"] < 87.0
ANGLES = (SUN["apparent_zenith"], SUN["azimuth"])
IRRADIANCE: dict[str, Any] = {name: LIGHT[name] for name in ("dni", "ghi", "dhi")}
ROOF = suncover.Overhang(depth=0.8, gap=0.1)
# W/m²: days of the year by UTC or by the index's own zone, in the radiation outside the air.
CLOSE = 0.05


@pytest.mark.parametrize("model", ["perez", "haydavies", "isotropic"])
@pytest.mark.parametrize(("tilt", "facing"), [(90, 270), (30, 60), (0, 0), (120, 100)])
def test_bare_glass_gets_what_pvlib_says(model, tilt, facing):
    extra = pvlib.irradiance.get_extra_radiation(TIMES)
    ours = suncover.window_light(
        *ANGLES, tilt, facing, **IRRADIANCE, dni_extra=extra, albedo=0.25, model=model
    )
    theirs = pvlib.irradiance.get_total_irradiance(
        tilt, facing, *ANGLES, LIGHT["dni"], LIGHT["ghi"], LIGHT["dhi"], dni_extra=extra,
        albedo=0.25, model=model,
    )  # fmt: skip
    assert ours.index.equals(TIMES)
    diffuse = ours["circumsolar"] + ours["sky"]
    assert np.allclose(ours["beam"][DAY], theirs["poa_direct"][DAY], atol=1e-9)
    assert np.allclose(ours["ground"][DAY], theirs["poa_ground_diffuse"][DAY], atol=1e-9)
    assert np.allclose(diffuse[DAY], theirs["poa_sky_diffuse"][DAY], atol=1e-6)
    assert np.allclose(ours["total"][DAY], theirs["poa_global"][DAY], atol=1e-6)
    assert np.allclose(ours["aoi"], pvlib.irradiance.aoi(tilt, facing, *ANGLES), atol=1e-5)


def test_radiation_outside_the_air_follows_from_the_index():
    extra = pvlib.irradiance.get_extra_radiation(TIMES.tz_convert("UTC"))
    given = suncover.window_light(
        *ANGLES, 90, 180, **IRRADIANCE, dni_extra=pd.Series(extra.to_numpy(), index=TIMES)
    )
    found = suncover.window_light(*ANGLES, 90, 180, **IRRADIANCE)
    assert float((given - found).abs().max().max()) < CLOSE


def test_what_stands_before_the_glass_takes_its_share():
    sizes: dict[str, Any] = {"width": 1.2, "height": 1.5, "overhang": ROOF}
    bare = suncover.window_light(*ANGLES, 90, 60, **IRRADIANCE)
    under = suncover.window_light(*ANGLES, 90, 60, **IRRADIANCE, **sizes)
    share = suncover.window_sunlit(*ANGLES, 90, 60, **sizes)
    assert np.allclose(under["sunlit"], share)
    assert np.allclose(under["beam"], bare["beam"] * share)
    glass = Glass(1.2, 1.5)
    glass = Glass(1.2, 1.5, plates=(overhang_plate(glass, 0.8, 0.1),))
    seen = glass_views(glass, 60.0, 90.0)
    assert np.allclose(under["ground"], bare["ground"] * seen.ground / 0.5)
    assert 0.3 < seen.sky / 0.5 < 0.9
    # Under a roof much of the sky is gone, of the ground hardly any.
    assert (under["sky"][DAY] < bare["sky"][DAY]).all()


def test_the_gain_goes_by_the_glazings_own_table():
    """Linear between its angles; the sky's light by its gain for diffuse light."""
    glazing = suncover.Glazing(
        name="mine", angles=(0, 40, 60, 90), gains=(0.7, 0.66, 0.5, 0.0), diffuse=0.58, u=2.0
    )
    light = suncover.window_light(
        np.array([50.0]), 180.0, 90, 180, dni=700.0, ghi=500.0, dhi=90.0, model="isotropic",
        albedo=0.0,
    )  # fmt: skip
    # Straight in front, the angle of incidence on a wall is the sun's height: 40°.
    wanted = 700.0 * np.cos(np.radians(40.0)) * 0.66 + 45.0 * 0.58
    assert suncover.window_gain(light, glazing) == pytest.approx([wanted])


def test_gains_come_as_the_light_does():
    """Frames in, a Series out, never more than came to the glass; holes stay holes."""
    dni = LIGHT["dni"].copy()
    dni.iloc[10] = np.nan
    light = suncover.window_light(*ANGLES, 90, 300, dni=dni, ghi=LIGHT["ghi"], dhi=LIGHT["dhi"])
    gain = suncover.window_gain(light, "double low-e")
    assert gain.index.equals(TIMES)
    assert gain.name == "gain_w_m2"
    assert gain.isna().sum() == light["total"].isna().sum() == 1
    assert (gain.dropna() <= light["total"].dropna()).all()
    assert gain.max() > 100.0
    plain = {"dni": 800.0, "ghi": 600.0, "dhi": 100.0, "dni_extra": 1370.0}
    found = suncover.window_light(np.array([30.0, 70.0]), 180.0, 90, 180, **plain)
    assert isinstance(found, suncover.GlassLight)
    assert found.total.shape == suncover.window_gain(found).shape == (2,)


def test_what_is_missing_or_unknown_is_told():
    plain: dict[str, Any] = {"dni": 800.0, "ghi": 600.0, "dhi": 100.0}
    with pytest.raises(suncover.RequestError, match="needs dni_extra"):
        suncover.window_light(30, 180, 90, 180, **plain)
    with pytest.raises(suncover.RequestError, match="there are perez"):
        suncover.window_light(30, 180, 90, 180, **plain, model="clear")  # type: ignore[arg-type]
    light = suncover.window_light(30, 180, 90, 180, **plain, model="isotropic")
    with pytest.raises(suncover.RequestError, match='did you mean "double clear"'):
        suncover.window_gain(light, "double cler")
    with pytest.raises(suncover.RequestError, match="no aoi"):
        suncover.window_gain(LIGHT)
