"""View factors past plates, reveal and surroundings, against closed forms of the textbooks."""

import math

import numpy as np
import pytest

from suncover.facade.glazed import Glass, fin_plate, overhang_plate
from suncover.heat.view_factors import COARSE, glass_views, open_views, views

# The midpoint rule's own error, as the module states it.
FINE_ERROR = 1e-4


def perpendicular(height: float, depth: float, width: float) -> float:
    """From a rectangle (width x height) to one at right angles along its edge (width x depth).

    Howell, Catalog of Radiation Heat Transfer Configuration Factors, C-14.
    """
    w, h = height / width, depth / width
    s = w * w + h * h
    log = math.log((1 + w * w) * (1 + h * h) / (1 + s))
    log += w * w * math.log(w * w * (1 + s) / ((1 + w * w) * s))
    log += h * h * math.log(h * h * (1 + s) / ((1 + h * h) * s))
    arcs = w * math.atan(1 / w) + h * math.atan(1 / h) - math.sqrt(s) * math.atan(1 / math.sqrt(s))
    return (arcs + log / 4) / (math.pi * w)


def opposite(width: float, height: float, apart: float) -> float:
    """From a rectangle to an equal one, parallel and opposite. Howell, C-11."""
    x, y = width / apart, height / apart
    total = 0.5 * math.log((1 + x * x) * (1 + y * y) / (1 + x * x + y * y))
    total += x * math.sqrt(1 + y * y) * math.atan(x / math.sqrt(1 + y * y))
    total += y * math.sqrt(1 + x * x) * math.atan(y / math.sqrt(1 + x * x))
    total -= x * math.atan(x) + y * math.atan(y)
    return 2 * total / (math.pi * x * y)


def with_overhang(
    width: float, height: float, depth: float, gap: float, past: float | None
) -> Glass:
    bare = Glass(width, height)
    return Glass(width, height, 0.0, (overhang_plate(bare, depth, gap, past, past),))


def test_the_textbook_formulas_give_their_published_values():
    """Unit cube: 0.2000 to a neighbour and 0.1998 to the opposite face (Howell, C-14 and C-11)."""
    assert perpendicular(1, 1, 1) == pytest.approx(0.20004, abs=1e-5)
    assert opposite(1, 1, 1) == pytest.approx(0.19982, abs=1e-5)


@pytest.mark.parametrize(
    ("height", "gap", "depth"), [(2.0, 0.5, 1.0), (1.4, 0.0, 0.6), (1.0, 0.25, 2.0)]
)
def test_endless_overhang_agrees_with_crossed_strings(height, gap, depth):
    """Hottel's crossed strings: F = [sqrt((H+g)² + D²) - sqrt(g² + D²)] / (2H)."""
    strings = math.hypot(height + gap, depth) - math.hypot(gap, depth)
    seen = glass_views(with_overhang(1.5, height, depth, gap, None), 180, 90)
    assert seen.sky == pytest.approx(strings / (2 * height), abs=FINE_ERROR)
    assert seen.ground == pytest.approx(0.5, abs=FINE_ERROR)
    assert seen.horizon == 1.0


@pytest.mark.parametrize(
    ("width", "height", "depth"),
    [(1.2, 1.4, 0.6), (3.0, 1.0, 1.0), (0.6, 2.0, 0.3)],
    ids=["square", "wide", "narrow"],
)
def test_overhang_as_wide_as_the_glass_hides_its_own_view_factor(width, height, depth):
    seen = glass_views(with_overhang(width, height, depth, 0.0, 0.0), 200, 90)
    hidden = perpendicular(height, depth, width)
    assert seen.sky == pytest.approx(0.5 - hidden, abs=FINE_ERROR)


# Utzinger and Klein 1979, Solar Energy 23, 369: sky view factors of a receiver under an overhang
# without gap or extension, by width and projection over the height; two decimals (Duffie and
# Beckman, table 14.4.1; from memory).
UTZINGER_KLEIN = {
    1.0: {0.1: 0.46, 0.2: 0.42, 0.3: 0.40, 0.4: 0.37, 0.5: 0.35, 0.75: 0.32, 1.0: 0.30, 2.0: 0.27},
    4.0: {0.1: 0.46, 0.2: 0.41, 0.3: 0.38, 0.4: 0.35, 0.5: 0.32, 0.75: 0.27, 1.0: 0.23, 2.0: 0.16},
}


@pytest.mark.parametrize(
    ("width", "depth", "published"),
    [(w, d, value) for w, row in UTZINGER_KLEIN.items() for d, value in row.items()],
)
def test_sky_view_under_finite_overhangs_agrees_with_the_published_table(width, depth, published):
    seen = glass_views(with_overhang(width, 1.0, depth, 0.0, 0.0), 180, 90)
    # Half a unit of the last printed decimal, and as much for its rounding in the source.
    assert seen.sky == pytest.approx(published, abs=0.01)


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_fin_as_tall_as_the_glass_hides_as_much_sky_as_ground(side):
    bare = Glass(1.2, 1.4)
    fin = fin_plate(bare, side, 0.5, above=0.0, below=0.0)
    seen = glass_views(Glass(1.2, 1.4, 0.0, (fin,)), 90, 90)
    hidden = perpendicular(1.2, 0.5, 1.4)
    assert seen.sky == pytest.approx((1 - hidden) / 2, abs=FINE_ERROR)
    assert seen.ground == pytest.approx((1 - hidden) / 2, abs=FINE_ERROR)


def test_endless_fins_on_both_sides_hide_the_horizon_by_crossed_strings():
    """Along the horizon the fins are a plane figure: seen = [sqrt(W² + D²) - D] / W."""
    bare = Glass(1.2, 1.4)
    fins = tuple(fin_plate(bare, side, 0.5) for side in ("left", "right"))
    seen = glass_views(Glass(1.2, 1.4, 0.0, fins), 90, 90)
    assert seen.horizon == pytest.approx((math.hypot(1.2, 0.5) - 0.5) / 1.2, abs=FINE_ERROR)


def test_a_reveal_leaves_what_passes_through_the_opening():
    seen = glass_views(Glass(1.2, 1.4, 0.3), 270, 90)
    through = opposite(1.2, 1.4, 0.3)
    assert seen.sky == pytest.approx(through / 2, abs=2 * FINE_ERROR)
    assert seen.sky + seen.ground == pytest.approx(through, abs=2 * FINE_ERROR)


@pytest.mark.parametrize("tilt", [0, 30, 60, 90, 120, 180])
def test_an_open_window_sees_what_liu_and_jordan_say(tilt):
    """(1 + cos tilt) / 2 of the sky (Duffie and Beckman, section 2.15), found by integration."""
    found = views(lambda slopes, _: np.ones_like(slopes.p), 130, tilt)
    expected = open_views(tilt)
    assert found.sky == pytest.approx((1 + math.cos(math.radians(tilt))) / 2, abs=1e-9)
    assert found.sky == pytest.approx(expected.sky, abs=1e-9)
    assert found.ground == pytest.approx(expected.ground, abs=1e-9)
    assert found.horizon == 1.0


def test_a_wall_opposite_hides_the_sky_up_to_its_edge():
    """From a strip of wall, all above elevation E of an endless edge is (1 - sin E) / 2."""
    edge = math.radians(25)

    def above(slopes, _world):
        return (slopes.q > math.tan(edge)).astype(float)

    found = views(above, 180, 90)
    # A step can be missed by half a cell of sin w.
    assert found.sky == pytest.approx((1 - math.sin(edge)) / 2, abs=0.5 / 160)
    assert found.ground == 0.0


def test_directions_and_slopes_that_a_share_is_asked_for_agree():
    """The world's directions are those of the slopes, all in front, sky up and ground down."""
    asked = []

    def share(slopes, world):
        asked.append(world)
        assert (slopes.cos_incidence > 0).all()
        return np.ones_like(slopes.p)

    views(share, 180, 90, COARSE)
    sky, ground, band = asked
    assert (sky[2] > 0).all()
    assert (ground[2] < 0).all()
    assert np.abs(band[2]).max() < 1e-12
    assert (sky[1] < 0).all()  # a south window looks south
