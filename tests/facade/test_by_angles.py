"""Sunlit share and profile angle under pvlib's argument names.

References: pvlib's own shading functions where they say the same; closed forms of handbooks where
pvlib has none; the scenes of a whole site, which go by instants.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pvlib
import pytest

import suncover

TIMES = pd.date_range("2027-03-01", periods=400, freq="97min", tz="Europe/Madrid")
PLACE = pvlib.location.Location(40.4, -3.7, tz="Europe/Madrid", altitude=650)
SUN = PLACE.get_solarposition(TIMES)
UP = SUN["apparent_zenith"] < 90.0
ROOF = suncover.Overhang(depth=0.7, gap=0.2)
SIZES: dict[str, Any] = {"width": 1.2, "height": 1.5}


def test_two_lines_from_a_pvlib_script():
    solpos = PLACE.get_solarposition(TIMES)
    share = suncover.window_sunlit(
        solpos.apparent_zenith, solpos.azimuth, 90, 180, width=1.2, height=1.5, overhang=ROOF
    )
    assert share.index.equals(TIMES)
    assert share.name == "sunlit_fraction"
    assert 0.0 <= share.min() < 0.2
    assert share.max() == 1.0


@pytest.mark.parametrize("tilt", [20.0, 60.0, 110.0, 150.0, np.linspace(0, 180, 400)])
def test_behind_the_glass_is_where_pvlibs_angle_of_incidence_says(tilt):
    """Surfaces may turn, as trackers do."""
    facing = np.linspace(0, 360, 400) if np.ndim(tilt) else 140
    share = suncover.window_sunlit(SUN["apparent_zenith"], SUN["azimuth"], tilt, facing, **SIZES)
    aoi = pvlib.irradiance.aoi(tilt, facing, SUN["apparent_zenith"], SUN["azimuth"])
    assert np.array_equal(share > 0, (aoi < 90.0) & UP)
    assert set(share.unique()) == {0.0, 1.0}


def test_slats_of_a_shutter_mask_as_pvlibs_rows_do():
    """Glass at the foot of an endless wall-to-wall row: pvlib's `shaded_fraction1d` of level rows.

    A row of level slats seen from the side is an array of flat collectors: one overhang above glass
    as high as the gap leaves the share unshaded that the next slat does on a collector. pvlib's
    rows are turned by 90° about the horizontal axis here: the collector stands upright, facing the
    sun, and its front row is as far off as the overhang is deep.
    """
    zenith, azimuth = np.linspace(40.0, 89.0, 20), np.full(20, 180.0)
    # Masking angle of the foot of upright rows of height h, pitch d: atan(h / d), by pvlib from the
    # ground coverage ratio h/d. An overhang at the top edge whose depth is d shades the whole glass
    # of height h from the profile angle on whose complement it is.
    height, depth = 0.8, 1.1
    masking = pvlib.shading.masking_angle(surface_tilt=90, gcr=height / depth, slant_height=0)
    share = suncover.window_sunlit(
        zenith, azimuth, 90, 180, width=2.0, height=height,
        overhang=suncover.Overhang(depth=depth),
    )  # fmt: skip
    assert np.array_equal(share <= 1e-12, 90.0 - zenith >= masking)


def test_the_same_as_a_scene_by_instants():
    window = suncover.Window(
        name="w", azimuth=205, tilt=75, reveal=0.1, overhang=ROOF,
        fins=(suncover.Fin(side="right", depth=0.3, gap=0.1, above=0.2),), **SIZES,
    )  # fmt: skip
    home = suncover.Site(
        place=suncover.Place(name="x", latitude=40.4, longitude=-3.7, elevation=650),
        windows=(window,),
    )
    scene = suncover.window_scene(home, window, home.need, TIMES[0], TIMES[-1])
    observer = suncover.observer_of(home.place)
    by_time = scene.sunlit_share(suncover.Daylight.at(TIMES, observer))
    sun = suncover.sun_position(TIMES, observer)
    by_angle = suncover.window_sunlit(
        sun["apparent_zenith"], sun["azimuth"], 75, 205,
        reveal=0.1, overhang=ROOF, fins=window.fins, **SIZES,
    )  # fmt: skip
    assert np.allclose(by_time, by_angle, atol=1e-9)
    assert by_angle.between(0.01, 0.99).any()


def test_angles_of_series_are_series():
    """As pvlib's own `aoi` is; the two functions by elevation agree with it and with each other."""
    height, azimuth = SUN["apparent_elevation"], SUN["azimuth"]
    incidence = suncover.incidence_angle(height, azimuth, 140, 70)
    theirs = pvlib.irradiance.aoi(70, 140, SUN["apparent_zenith"], azimuth)
    assert incidence.index.equals(TIMES)
    assert np.allclose(incidence, theirs, atol=1e-5)
    profile = suncover.profile_angle(height, azimuth, 140, 70)
    by_zenith = suncover.window_profile_angle(SUN["apparent_zenith"], azimuth, 70, 140)
    assert np.allclose(profile, by_zenith, equal_nan=True, atol=1e-9)
    assert profile.index.equals(TIMES)


def test_numbers_arrays_and_holes():
    assert suncover.window_sunlit(50, 180, 90, 180, **SIZES) == 1.0
    assert suncover.window_sunlit(90, 180, 90, 180, **SIZES) == 0.0
    # All in shadow is nothing at all, and no rounding of it.
    deep = suncover.Overhang(depth=0.6, gap=0.2)
    high = suncover.window_sunlit(np.linspace(5, 18, 50), 180, 90, 180, overhang=deep, **SIZES)
    assert not high.any()
    grid = suncover.window_sunlit(np.full((3, 1), 50.0), np.full((1, 4), 180.0), 90, 180, **SIZES)
    assert grid.shape == (3, 4)
    assert np.isnan(suncover.window_sunlit([np.nan, 50], 180, 90, 180, **SIZES)).tolist() == [
        True, False,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"solar_zenith": "high"}, "solar_zenith is str"),
        ({"solar_zenith": SUN}, "give one column"),
        ({"solar_zenith": 200.0}, "solar_zenith of 200"),
        ({"surface_tilt": -5.0}, "surface_tilt of -5"),
        ({"solar_azimuth": SUN["azimuth"].iloc[1:]}, "another index"),
        ({"solar_azimuth": np.zeros(3)}, "fit together"),
        ({"width": 0.0}, "above 0"),
        ({"width": None}, "cannot be so"),
        ({"reveal": -0.1}, "at least 0"),
        ({"overhang": 0.6}, "Overhang\\(depth"),
        ({"fins": ["left"]}, "Fin\\(side"),
    ],
)
def test_what_cannot_be_is_refused(changed, said):
    given = {
        "solar_zenith": SUN["apparent_zenith"], "solar_azimuth": SUN["azimuth"],
        "surface_tilt": 90, "surface_azimuth": 180, **SIZES,
    }  # fmt: skip
    with pytest.raises(suncover.RequestError, match=said):
        suncover.window_sunlit(**{**given, **changed})
