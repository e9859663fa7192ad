"""Shadows of projections by the formulas of the ASHRAE Handbook, Fundamentals.

Fenestration chapter, from memory: tan Ω = tan β / cos γ; the shadow below a horizontal projection
is P_H tan Ω deep, that beside a vertical one P_V |tan γ| wide (β altitude, γ the sun's azimuth from
the wall's normal). Cases that follow exactly are held to rounding.
"""

import numpy as np
import pytest
from sun_events import altitude_and_azimuth

from suncover.facade.frame import direction, profile_angle, shadow_slopes, window_axes
from suncover.facade.plates import Glass, fin_plate, overhang_plate, sunlit_fraction

EXACT = 1e-9
WALLS = [0.0, 37.0, 180.0, 251.5]


def sunlit(glass: Glass, altitude: float, gamma: float, wall: float = 180.0) -> float:
    """Share of an upright glass in sun; the sun stands `gamma` degrees clockwise of its normal."""
    sun = direction([altitude], [wall + gamma])
    slopes = shadow_slopes(sun, window_axes(wall, 90.0))
    assert slopes.in_front.all()
    return float(sunlit_fraction(slopes.p, slopes.q, glass)[0])


def with_overhang(glass: Glass, **plate: float) -> Glass:
    return Glass(glass.width, glass.height, glass.reveal, (overhang_plate(glass, **plate),))


def with_fin(glass: Glass, side: str, depth: float) -> Glass:
    return Glass(glass.width, glass.height, 0.0, (fin_plate(glass, side, depth),))


@pytest.mark.parametrize(
    ("latitude", "shadow"), [(30.0, 1.73205), (40.0, 1.19175), (50.0, 0.83910)]
)
@pytest.mark.parametrize("hour", [7.0, 9.5, 12.0, 15.0, 17.9])
def test_at_the_equinox_an_overhang_to_the_south_shades_alike_all_day(latitude, shadow, hour):
    """Declination 0, wall due south: Ω is 90° less the latitude, and the shadow its cotangent."""
    altitude, azimuth = altitude_and_azimuth(latitude, 0.0, 15.0 * (hour - 12.0))
    omega = profile_angle(altitude, azimuth, 180.0)
    assert omega == pytest.approx(90.0 - latitude, abs=EXACT)
    glass = with_overhang(Glass(2.0, 4.0), depth=1.0)
    depth = (1.0 - sunlit(glass, altitude, azimuth - 180.0)) * 4.0
    assert depth == pytest.approx(1.0 / np.tan(np.radians(latitude)), abs=EXACT)
    assert depth == pytest.approx(shadow, abs=0.00001)


@pytest.mark.parametrize("wall", WALLS)
@pytest.mark.parametrize("altitude", [1.0, 30.0, 70.0])
def test_sun_square_to_the_wall(wall, altitude):
    """The profile angle is the altitude, and fins cast nothing."""
    assert profile_angle(altitude, wall, wall) == pytest.approx(altitude, abs=EXACT)
    bare = Glass(1.0, 1.5)
    for side in ("left", "right"):
        assert sunlit(with_fin(bare, side, 3.0), altitude, 0.0, wall) == pytest.approx(1, abs=EXACT)


@pytest.mark.parametrize("gamma", [-75.0, -20.0, 10.0, 60.0])
@pytest.mark.parametrize("altitude", [5.0, 25.0, 40.0])
def test_shadow_below_an_endless_overhang(altitude, gamma):
    omega = np.arctan(np.tan(np.radians(altitude)) / np.cos(np.radians(gamma)))
    shadow = 0.7 * np.tan(omega)
    for gap in (0.0, 0.2):
        glass = with_overhang(Glass(1.3, 9.0), depth=0.7, gap=gap)
        lit = sunlit(glass, altitude, gamma)
        assert lit == pytest.approx(1.0 - max(shadow - gap, 0.0) / 9.0, abs=EXACT)


@pytest.mark.parametrize("gamma", [-60.0, -20.0, 35.0, 70.0])
def test_shadow_beside_an_endless_fin(gamma):
    """Only the fin on the sun's side: seen from outdoors, a sun clockwise of the normal is left."""
    shadow = 0.4 * abs(np.tan(np.radians(gamma)))
    near, far = ("left", "right") if gamma > 0.0 else ("right", "left")
    glass = Glass(3.0, 1.5)
    lit = sunlit(with_fin(glass, near, 0.4), 20.0, gamma)
    assert lit == pytest.approx(1.0 - shadow / 3.0, abs=EXACT)
    assert sunlit(with_fin(glass, far, 0.4), 20.0, gamma) == pytest.approx(1.0, abs=EXACT)


@pytest.mark.parametrize("gamma", [-70.0, -30.0, 30.0, 70.0])
def test_overhang_long_enough_past_the_glass_is_as_good_as_endless(gamma):
    """While the shadow's slanting end, P_H |tan γ| aside at its tip, stays off the glass."""
    altitude, depth = 30.0, 0.8
    glass, reach = Glass(1.2, 2.0), depth * abs(np.tan(np.radians(gamma)))
    endless = sunlit(with_overhang(glass, depth=depth), altitude, gamma)
    enough = with_overhang(glass, depth=depth, left=reach, right=reach)
    assert sunlit(enough, altitude, gamma) == pytest.approx(endless, abs=EXACT)
    short = with_overhang(glass, depth=depth, left=reach / 2, right=reach / 2)
    assert sunlit(short, altitude, gamma) > endless + 0.001
    # Sun from the left: the overhang's left end decides, and its right end is nothing to it.
    sunward, leeward = ("left", "right") if gamma > 0.0 else ("right", "left")
    lop_sided = with_overhang(glass, depth=depth, **{sunward: reach, leeward: 0.0})
    assert sunlit(lop_sided, altitude, gamma) == pytest.approx(endless, abs=EXACT)


@pytest.mark.parametrize("wall", WALLS)
def test_no_beam_from_beside_the_wall_or_behind(wall):
    sun = direction(
        [20.0, 20.0, 20.0, 20.0], [wall + 90.001, wall - 90.001, wall + 135, wall - 180]
    )
    assert not shadow_slopes(sun, window_axes(wall, 90.0)).in_front.any()
    assert np.isnan(profile_angle(20.0, [wall + 90.001, wall + 180.0], wall)).all()
    # Just before that, the profile angle goes to 90°.
    assert profile_angle(20.0, wall + 89.999, wall) == pytest.approx(90.0, abs=0.003)
