"""Worked examples of section 1.6 of Duffie and Beckman, Solar Engineering of Thermal Processes.

The sun stands where the book's declinations have it. The figure of example 1.6.3 is quoted from
memory and was worked out again from the declination.
"""

import numpy as np
import pytest
from sun_events import altitude_and_azimuth

from suncover.facade.frame import incidence_angle, profile_angle

LATITUDE = 43.0
BOOK = 0.1  # degrees: the book rounds its angles to this


def test_incidence_angle_on_a_slope():
    """Example 1.6.1: 13 Feb (declination -14°), 10:30, slope 45°, facing 15° west of south."""
    altitude, azimuth = altitude_and_azimuth(LATITUDE, -14.0, -22.5)
    angle = incidence_angle(altitude, azimuth, 195.0, 45.0)
    assert np.cos(np.radians(angle)) == pytest.approx(0.817, abs=0.0005)
    # The book rounds 35.2 to whole degrees.
    assert angle == pytest.approx(35.0, abs=0.5)


def test_profile_angle():
    """Example 1.6.3: 16 Mar (declination -2.4°), 16:00, a surface that faces 25° west of south."""
    altitude, azimuth = altitude_and_azimuth(LATITUDE, -2.4, 60.0)
    assert profile_angle(altitude, azimuth, 205.0) == pytest.approx(25.7, abs=BOOK)
