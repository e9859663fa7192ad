"""Lines on the ellipsoid, held against published surveys and test sets."""

from __future__ import annotations

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

# C. F. F. Karney, Test set for geodesics (doi:10.5281/zenodo.32156): latitude and longitude of both
# ends, azimuth at the first, length in metres.
KARNEY = [
    (35.60777, -139.44815, -11.17491, -69.95921, 111.098748429560326, 8935244.5604818305),
    (55.52454, 106.05087, 77.03196, 197.18234, 22.020059880982801, 4105086.1713924406),
    (-21.97856, 142.59065, 41.84138, 98.56635, -32.44456876433189, 8394328.894657671),
    (-66.99028, 112.2363, -12.70631, 285.90344, 173.73491240878403, 11150344.2312080241),
    (-68.82867, -74.28391, -50.63005, -8.36685, 93.774347763114881, 3956936.926063544),
]


def test_flinders_peak_to_buninyong():
    length, azimuth = geodesic(FLINDERS_PEAK, BUNINYONG)
    assert length == pytest.approx(LINE_M, abs=MILLIMETRE)
    assert azimuth == pytest.approx(AZIMUTH, abs=0.01 * ARCSECOND)


@pytest.mark.parametrize("line", KARNEY, ids=lambda line: f"{line[0]},{line[1]}")
def test_lines_of_the_published_test_set(line):
    length, azimuth = geodesic((line[0], line[1]), (line[2], line[3]))
    assert length == pytest.approx(line[5], abs=1e-6)
    assert azimuth == pytest.approx(line[4] % 360, abs=1e-9)


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
