"""A window's axes and the angles of the sun in them."""

from __future__ import annotations

import numpy as np
import pvlib
import pytest
from hypothesis import given
from hypothesis import strategies as st
from raycast import frame_of

from suncover.facade.frame import (
    GRAZING,
    direction,
    incidence_angle,
    profile_angle,
    shadow_slopes,
    window_axes,
)
from suncover.site.model import Window

azimuths = st.floats(0.0, 360.0)
tilts = st.floats(0.0, 180.0)
elevations = st.floats(-90.0, 90.0)


@pytest.mark.parametrize(
    ("tilt", "up", "out"),
    [
        (90.0, [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]),
        (0.0, [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]),
        (30.0, [0.0, np.sqrt(0.75), 0.5], [0.0, -0.5, np.sqrt(0.75)]),
        (120.0, [0.0, -0.5, np.sqrt(0.75)], [0.0, -np.sqrt(0.75), -0.5]),
        (180.0, [0.0, -1.0, 0.0], [0.0, 0.0, -1.0]),
    ],
    ids=["wall", "flat roof window", "on a slope", "leaning out", "facing down"],
)
def test_tilt_turns_glass_that_faces_south_about_its_lower_edge(tilt, up, out):
    """Someone who stands outdoors and looks at it has east on the right."""
    axes = window_axes(180.0, tilt)
    assert axes == pytest.approx(np.array([[1.0, 0.0, 0.0], up, out]), abs=1e-15)


@given(azimuths, tilts)
def test_axes_are_at_right_angles_and_right_handed(azimuth, tilt):
    axes = window_axes(azimuth, tilt)
    assert np.abs(axes @ axes.T - np.eye(3)).max() < 1e-12
    assert np.abs(np.cross(axes[0], axes[1]) - axes[2]).max() < 1e-12
    # The same three, put together in another way by the ray caster.
    _, right, up, out = frame_of(Window(name="w", azimuth=azimuth, tilt=tilt, width=1, height=1))
    assert np.abs(axes - np.stack([right, up, out])).max() < 1e-12


@given(elevations, azimuths, azimuths, tilts)
def test_incidence_angle_as_pvlib(elevation, azimuth, window_azimuth, tilt):
    theirs = pvlib.irradiance.aoi(tilt, window_azimuth, 90.0 - elevation, azimuth)
    # The arc cosine that it uses keeps half its digits near 0 and 180 degrees.
    ours = incidence_angle(elevation, azimuth, window_azimuth, tilt)
    assert ours == pytest.approx(theirs, abs=2e-6)


@given(st.floats(1.0, 89.0), st.floats(-89.0, 89.0), azimuths, st.floats(60.0, 120.0))
def test_profile_angle_as_pvlibs_projected_zenith_angle(elevation, gamma, window_azimuth, tilt):
    """pvlib projects the sun on the plane across a level axis, here along the foot of the window.

    It counts from the zenith towards the side that the window faces; the profile angle counts from
    the normal, which lies `tilt` from the zenith.
    """
    azimuth = window_azimuth + gamma
    from_zenith = pvlib.shading.projected_solar_zenith_angle(
        90.0 - elevation, azimuth, 0.0, window_azimuth - 90.0
    )
    ours = profile_angle(elevation, azimuth, window_azimuth, tilt)
    if abs(tilt - from_zenith) < 89.999:
        assert ours == pytest.approx(tilt - from_zenith, abs=1e-9)


@given(elevations, azimuths, azimuths, tilts)
def test_slopes_lead_back_to_the_sun(elevation, azimuth, window_azimuth, tilt):
    """(p, q, 1) times the cosine of incidence, along the axes, is the direction again."""
    sun, axes = direction([elevation], [azimuth]), window_axes(window_azimuth, tilt)
    slopes = shadow_slopes(sun, axes)
    cosine = np.cos(np.radians(incidence_angle(elevation, azimuth, window_azimuth, tilt)))
    assert slopes.cos_incidence == pytest.approx([cosine], abs=1e-12)
    if slopes.cos_incidence[0] > 1e-9:
        assert axes.T @ slopes.directions == pytest.approx(sun, abs=1e-12)
    if slopes.cos_incidence[0] <= GRAZING:
        assert not slopes.in_front[0]
        assert slopes.p[0] == slopes.q[0] == 0.0
        assert np.isnan(profile_angle(elevation, azimuth, window_azimuth, tilt))


def test_small_angles_of_incidence_keep_their_digits():
    """A millionth of a degree off the normal, and as little short of straight behind."""
    assert incidence_angle(1e-6, 180.0, 180.0, 90.0) == pytest.approx(1e-6, rel=1e-6)
    assert incidence_angle(1e-6, 0.0, 180.0, 90.0) == pytest.approx(180.0 - 1e-6, rel=1e-15)


def test_arrays_of_any_shape():
    elevation, azimuth = np.linspace(0, 80, 6).reshape(2, 3), np.linspace(90, 270, 6).reshape(2, 3)
    angles = incidence_angle(elevation, azimuth, 180.0)
    assert angles.shape == profile_angle(elevation, azimuth, 180.0).shape == (2, 3)
    assert angles[1, 2] == pytest.approx(float(incidence_angle(80.0, 270.0, 180.0)))
    assert direction(elevation, azimuth).shape == (3, 2, 3)
    assert shadow_slopes(direction(elevation, azimuth), window_axes(10.0, 20.0)).p.shape == (2, 3)
    # One elevation all round the compass.
    assert direction(10.0, [0.0, 90.0]).shape == (3, 2)
