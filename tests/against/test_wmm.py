"""Magnetic declination, held against the test values published with the World Magnetic Model."""

from datetime import date

import pytest

from suncover.site.kinds.azimuth import bearing_from_compass, declination_at

# NOAA/NCEI and BGS, The US/UK World Magnetic Model for 2025-2030, table of test values: year,
# height in km, latitude, longitude, declination. The table gives two decimals, and its heights are
# above the ellipsoid.
WMM2025 = [
    (date(2025, 1, 1), 0, 80, 0, 1.28),
    (date(2025, 1, 1), 0, 0, 120, -0.16),
    (date(2025, 1, 1), 0, -80, -120, 68.78),
    (date(2025, 1, 1), 65, 43, 93, 0.50),
    (date(2025, 1, 1), 51, -33, 109, -5.49),
    (date(2027, 7, 2), 0, 80, 0, 2.59),
    (date(2027, 7, 2), 0, 0, 120, -0.24),
    (date(2027, 1, 1), 67, -47, -32, -13.52),
]
ROUNDING = 0.005  # of the table's two decimals
HALF_A_DAY = 0.002  # degrees: 2027.5 is noon of 2 July, and the field drifts by less in 12 hours


@pytest.mark.parametrize(
    ("day", "height_km", "latitude", "longitude", "declination"),
    WMM2025,
    ids=str,
)
def test_declination_is_that_of_the_published_table(
    day, height_km, latitude, longitude, declination
):
    found = declination_at(latitude, longitude, height_km * 1000.0, day)
    assert found.degrees == pytest.approx(declination, abs=ROUNDING + HALF_A_DAY)
    assert found.warnings == ()


def test_true_bearing_is_magnetic_plus_declination_with_east_positive():
    # The published declination at 80° S 120° W is 68.78° east: magnetic 10° is true 78.78°.
    bearing = bearing_from_compass(10.0, date(2025, 1, 1), (-80.0, -120.0))
    assert bearing.azimuth == pytest.approx(78.78, abs=ROUNDING)


def test_the_model_of_the_day_of_the_reading_is_used():
    # Same report for 2020-2025 (WMM2020, from memory): at 80° N 0° E on 2020.0 it is -1.28°.
    found = declination_at(80.0, 0.0, 0.0, date(2020, 1, 1))
    assert found.degrees == pytest.approx(-1.28, abs=ROUNDING)


@pytest.mark.parametrize("day", [date(2009, 6, 1), date(2030, 6, 1), date(2045, 1, 1)])
def test_outside_the_models_years_there_is_a_warning_and_more_doubt(day):
    inside = declination_at(47.0, 8.0, 400.0, date(2027, 1, 1))
    found = declination_at(47.0, 8.0, 400.0, day)
    assert found.sd > inside.sd
    [warning] = found.warnings
    assert str(day) in warning
    assert "may be off" in warning


def test_near_a_magnetic_pole_a_compass_is_not_to_be_trusted():
    # The caution zone of WMM2025 (horizontal field under 6000 nT) takes in 85° N, 150° E.
    found = declination_at(85.0, 150.0, 0.0, date(2027, 1, 1))
    assert any("magnetic pole" in warning for warning in found.warnings)
    assert found.sd > 1.0
