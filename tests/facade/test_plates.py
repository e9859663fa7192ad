"""The share of the glass in sun: against polygons drawn by shapely, random rays, and good sense.

Two independent answers: shapely's, from the corners of each plate thrown on the plane of the glass;
and, point by point, a ray caster's, which meets rectangles in space one by one.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from random_windows import (
    on_site,
    points_on,
    random_suns,
    random_window,
    site_of,
    slopes_of,
    within_cone,
)
from raycast import beam_share
from thrown_plates import lit_glass

from suncover.base.errors import RequestError
from suncover.facade.exposure import glass_of
from suncover.facade.plates import (
    Glass,
    Patch,
    fin_plate,
    least_sunlit,
    most_sunlit,
    overhang_plate,
    ray_blocked,
    ray_free,
    sunlit_fraction,
)
from suncover.site.model import Window

seeds = st.integers(0, 2**32 - 1)


def by_polygons(window: Window, p: float, q: float) -> float:
    """Share in sun by plain polygons."""
    return float(lit_glass(window, p, q).area) / (window.width * window.height)


@given(seeds)
def test_share_is_that_of_polygons(seed):
    rng = np.random.default_rng(seed)
    window = random_window(rng)
    slopes = slopes_of(window, random_suns(rng, window, 12))
    ours = sunlit_fraction(slopes.p, slopes.q, glass_of(window))
    theirs = [by_polygons(window, p, q) for p, q in zip(slopes.p, slopes.q, strict=True)]
    # shapely's shares lose digits with the size of what is thrown: up to 1e4 m by slopes of 1e3.
    assert ours == pytest.approx(theirs, abs=1e-9)


@settings(max_examples=25)
@given(seeds)
def test_point_by_point_as_rays(seed):
    """Points on the glass and points in the room behind it."""
    rng = np.random.default_rng(seed)
    window = random_window(rng)
    site, glass = site_of(window), glass_of(window)
    suns = random_suns(rng, window, 40)
    slopes = slopes_of(window, suns)
    for depth in (0.0, float(rng.uniform(0.05, 2.0))):
        (x, y), spread = points_on(rng, window, 1)[0], 3.0 * depth
        point = np.array([x + spread * rng.normal(), y + spread * rng.normal(), -depth])
        free = ray_free(point, slopes.p, slopes.q, glass)
        points = on_site(window, np.tile(point, (suns.shape[1], 1)))
        assert (free == (beam_share(site, window, points, suns, beyond=depth) > 0.0)).all()


@given(seeds, st.floats(0.001, 12.0))
def test_bounds_hold_for_every_direction_of_a_cone(seed, radius):
    """Of the share, and of what is free or blocked for sure, for points of the glass and behind."""
    rng = np.random.default_rng(seed)
    window = random_window(rng)
    glass = glass_of(window)
    suns = random_suns(rng, window, 25)
    slopes, radii = slopes_of(window, suns), np.full(25, radius)
    patch = Patch.around(slopes.p, slopes.q, slopes.cos_incidence, radii)
    known = np.flatnonzero(np.isfinite(patch.p))
    slopes, patch, suns = slopes.take(known), patch.take(known), suns[:, known]
    inside = slopes_of(window, within_cone(rng, suns, radii[known], 60))
    assert inside.in_front.all()
    exact = sunlit_fraction(inside.p, inside.q, glass)
    assert (least_sunlit(slopes.p, slopes.q, glass, patch)[:, None] <= exact + 1e-9).all()
    assert (most_sunlit(slopes.p, slopes.q, glass, patch)[:, None] >= exact - 1e-9).all()
    for depth in (0.0, 0.8):
        point = np.append(points_on(rng, window, 1)[0], -depth)
        free = ray_free(point, slopes.p, slopes.q, glass, patch)
        blocked = ray_blocked(point, slopes.p, slopes.q, glass, patch)
        passed = ray_free(point, inside.p, inside.q, glass)
        assert passed[free].all()
        assert not passed[blocked].any()
        assert not (free & blocked).any()


@pytest.mark.parametrize(("aside", "radius"), [(10.0, 5.0), (30.0, 2.0), (75.0, 10.0)])
def test_patch_of_a_cone_is_as_wide_as_its_rim(aside, radius):
    """Of a sun level with the normal: the rim's slopes, asked at every hundredth of a degree."""
    turn = np.radians(np.arange(0.0, 360.0, 0.01))
    off, rho = np.radians(aside), np.radians(radius)
    # About the normal first, then turned aside.
    x, y, z = np.sin(rho) * np.cos(turn), np.sin(rho) * np.sin(turn), np.cos(rho)
    out = z * np.cos(off) - x * np.sin(off)
    p, q = (x * np.cos(off) + z * np.sin(off)) / out, y / out
    middle, none, cosine = np.tan([off]), np.zeros(1), np.cos([off])
    for pair in ((middle, none), (none, middle)):
        patch = Patch.around(*pair, cosine, np.array([radius]))
        wide, high = (patch.p, patch.q) if pair[0] is middle else (patch.q, patch.p)
        assert wide[0] == pytest.approx(np.abs(p - middle).max(), rel=1e-6)
        assert high[0] == pytest.approx(np.abs(q).max(), rel=1e-6)


def test_bounds_close_in_on_the_share():
    """A patch that shrinks to a point leaves nothing between them: they are of use."""
    rng = np.random.default_rng(3)
    for _ in range(30):
        window = random_window(rng)
        slopes = slopes_of(window, random_suns(rng, window, 50))
        steep = slopes.cos_incidence > 0.1
        slopes = slopes.take(np.flatnonzero(steep))
        glass, radii = glass_of(window), np.full(steep.sum(), 1e-7)
        patch = Patch.around(slopes.p, slopes.q, slopes.cos_incidence, radii)
        exact = sunlit_fraction(slopes.p, slopes.q, glass)
        assert least_sunlit(slopes.p, slopes.q, glass, patch) == pytest.approx(exact, abs=1e-5)
        assert most_sunlit(slopes.p, slopes.q, glass, patch) == pytest.approx(exact, abs=1e-5)


LONGER = {
    "deeper overhang": ("overhang", "depth"),
    "overhang longer to the left": ("overhang", "left"),
    "overhang longer to the right": ("overhang", "right"),
    "deeper fin": ("fins", "depth"),
    "fin longer above": ("fins", "above"),
    "fin longer below": ("fins", "below"),
    "deeper reveal": ("reveal", ""),
}


def longer(window, plate, key, more):
    """The window with one of its plates longer. A deeper reveal is for bare glass: plates stand
    on the wall's face, and glass set back from them may catch sun that passes under their edge.
    """
    if plate == "reveal":
        return window.model_copy(update={"reveal": window.reveal + more})
    plates = [window.overhang] if plate == "overhang" else list(window.fins)
    if plates and plates[0] and getattr(plates[0], key) is not None:
        plates[0] = plates[0].model_copy(update={key: getattr(plates[0], key) + more})
    return window.model_copy(update={plate: plates[0] if plate == "overhang" else tuple(plates)})


@pytest.mark.parametrize("change", LONGER)
@settings(max_examples=20)
@given(seed=seeds, more=st.floats(0.0, 3.0))
def test_more_shading_never_gives_more_sun(change, seed, more):
    rng = np.random.default_rng(seed)
    window = random_window(rng)
    if change == "deeper reveal":
        window = window.model_copy(update={"overhang": None, "fins": ()})
    slopes = slopes_of(window, random_suns(rng, window, 100))
    before, after = (
        sunlit_fraction(slopes.p, slopes.q, glass_of(each))
        for each in (window, longer(window, *LONGER[change], more))
    )
    assert (after <= before + 1e-12).all()


@given(seeds)
def test_left_and_right_are_alike(seed):
    """The same window in a mirror, under the sun in the mirror."""
    rng = np.random.default_rng(seed)
    window = random_window(rng)
    slopes = slopes_of(window, random_suns(rng, window, 50))
    roof = window.overhang
    mirrored = window.model_copy(
        update={
            "overhang": roof and roof.model_copy(update={"left": roof.right, "right": roof.left}),
            "fins": tuple(
                fin.model_copy(update={"side": "right" if fin.side == "left" else "left"})
                for fin in window.fins
            ),
        }
    )
    ours = sunlit_fraction(slopes.p, slopes.q, glass_of(window))
    assert sunlit_fraction(-slopes.p, slopes.q, glass_of(mirrored)) == pytest.approx(
        ours, abs=1e-12
    )


@pytest.mark.parametrize("p", [0.0, 1e-15, 0.5, -3.0, 1e6, -1e12])
@pytest.mark.parametrize("q", [0.0, -1e-15, 0.4, -2.0, 1e6, 1e12, -1e9])
def test_grazing_and_square_sun_leave_a_share_between_0_and_1(p, q):
    """Sun all along the glass, or exactly in the plane of a plate: no warning, no nonsense."""
    bare = Glass(1.2, 1.4, 0.1)
    plates = (
        overhang_plate(bare, 0.6, 0.25, 0.3, 0.3),
        fin_plate(bare, "left", 0.4),
        fin_plate(bare, "right", 0.4, gap=0.1, above=0.5, below=0.0),
    )
    share = sunlit_fraction(p, q, Glass(1.2, 1.4, 0.1, plates))
    assert 0.0 <= share <= 1.0
    if max(abs(p), abs(q)) > 100.0:
        assert share < 1e-9  # a reveal of 10 cm hides all of it
    flush = Glass(1.2, 1.4, 0.0, (overhang_plate(Glass(1.2, 1.4), 0.6),))
    if q > 100.0:
        assert sunlit_fraction(p, q, flush) < 1e-12
    elif q <= 0.0:
        assert sunlit_fraction(p, q, flush) == 1.0


def test_shares_by_hand():
    """Sun at 45° from the upper right; a glass of 2 m by 1 m."""
    bare = Glass(2.0, 1.0)
    # An endless roof of 0.25 m throws 0.25 m of shadow.
    assert sunlit_fraction(1.0, 1.0, Glass(2.0, 1.0, 0.0, (overhang_plate(bare, 0.25),))) == 0.75
    # One that ends with the glass: its shadow slants in from the right edge, a triangle less.
    ends = overhang_plate(bare, 0.25, 0.0, 0.0, 0.0)
    lit = 1.0 - (2.0 * 0.25 - 0.25**2 / 2.0) / 2.0
    assert sunlit_fraction(1.0, 1.0, Glass(2.0, 1.0, 0.0, (ends,))) == pytest.approx(lit)
    # A reveal of 0.5 m leaves 1.5 m by 0.5 m.
    assert sunlit_fraction(1.0, 1.0, Glass(2.0, 1.0, 0.5)) == pytest.approx(0.75 / 2.0)
    # Sun from the left does not meet a fin on the right.
    fin = fin_plate(bare, "right", 0.5)
    assert sunlit_fraction(1.0, 0.0, Glass(2.0, 1.0, 0.0, (fin,))) == pytest.approx(0.75)
    assert sunlit_fraction(-1.0, 0.0, Glass(2.0, 1.0, 0.0, (fin,))) == 1.0
    # Two fins of one side count once where they overlap.
    both = (fin, fin_plate(bare, "right", 1.0, below=-0.5))
    assert sunlit_fraction(1.0, 0.0, Glass(2.0, 1.0, 0.0, both)) == pytest.approx(1.25 / 2.0)
    # Shapes are kept and broadcast; glass without a size is refused.
    assert sunlit_fraction([], [], bare).shape == (0,)
    assert sunlit_fraction(np.zeros((4, 1)), np.zeros(5), bare).shape == (4, 5)
    for size in ((0.0, 1.0, 0.0), (1.0, -1.0, 0.0), (1.0, 1.0, -0.1)):
        with pytest.raises(RequestError, match="width and height must be above 0"):
            Glass(*size)
