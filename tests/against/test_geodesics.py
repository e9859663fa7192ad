"""Lines on the ellipsoid, held against a published survey."""

import math

import pytest

from suncover.site.kinds.azimuth import bearing_from_wall, geodesic


def degrees(whole: int, minutes: int, seconds: float) -> float:
    """Degrees of an angle written with minutes and seconds; the sign is that of `whole`."""
    return math.copysign(abs(whole) + minutes / 60 + seconds / 3600, whole)


FLINDERS_PEAK = degrees(-37, 57, 3.72030), degrees(144, 25, 29.52440)
BUNINYONG = degrees(-37, 39, 10.15610), degrees(143, 55, 35.38390)
# Geocentric Datum of Australia Technical Manual (ICSM), chapter 4, Vincenty's formulas on the
# ellipsoid GRS 80, which is WGS 84's within 0.1 mm.
LINE_M, AZIMUTH = 54_972.271, degrees(306, 52, 5.37)
MILLIMETRE, ARCSECOND = 0.001, 1 / 3600


def test_flinders_peak_to_buninyong():
    length, azimuth = geodesic(FLINDERS_PEAK, BUNINYONG)
    assert length == pytest.approx(LINE_M, abs=MILLIMETRE)
    assert azimuth == pytest.approx(AZIMUTH, abs=0.01 * ARCSECOND)


def test_a_wall_faces_to_the_right_of_the_way_along_it():
    # A part of the surveyed line, short enough for a wall: 10 m from Flinders Peak towards
    # Buninyong. A hundred-thousandth of its 55 km, so straight.
    share = 10.0 / LINE_M
    end = tuple(a + share * (b - a) for a, b in zip(FLINDERS_PEAK, BUNINYONG, strict=True))
    wall = bearing_from_wall(FLINDERS_PEAK, (end[0], end[1]))
    # The chord in latitude and longitude leaves the geodesic by up to half the convergence of the
    # meridians, 0.5° of longitude times sin 38°.
    assert wall.azimuth == pytest.approx(
        (AZIMUTH + 90) % 360, abs=0.5 * 0.5 * math.sin(0.663) + 0.1
    )


def test_half_a_metre_at_each_end_of_ten_metres_turns_a_wall_by_five_point_seven_degrees():
    # atan(2 p / L), common practice of surveying short lines.
    start = (47.123456, 8.123456)
    wall = bearing_from_wall(start, (start[0] + 10.0 / 111_180.0, start[1]), 0.5)
    assert wall.most == pytest.approx(5.71, abs=0.02)
    assert 0.0 < wall.sd < wall.most / 2
