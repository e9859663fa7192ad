"""Light on the glass and what comes through: shading, views, closings, energy kept."""

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from suncover.facade.exposure import glass_of
from suncover.facade.frame import shadow_slopes, window_axes
from suncover.facade.plates import sunlit_fraction
from suncover.heat.gain import Light, closed_share, light_on
from suncover.heat.glass import class_table
from suncover.heat.tally import Tally
from suncover.site.model import Fin, Obstacle, Overhang, Place, Site, Tree, Window
from suncover.sun.position import Observer
from suncover.sun.sky import Sky, sky_of
from suncover.sun.weather.year import LightRows

PLACE = Place(name="x", latitude=36.1, longitude=-79.95, elevation=273)
OBSERVER = Observer(36.1, -79.95, 273)
SOUTH = Window(name="w", azimuth=180, width=1.2, height=1.4)


def sky_over(month: int, hours: int = 24, dni: float = 700.0, dhi: float = 90.0) -> Sky:
    begin = datetime(2026, month, 15, 5, tzinfo=UTC).timestamp()
    start = begin + np.arange(hours) * 3600.0
    light = np.ones(hours)
    weather = LightRows(start, 3600.0, 400.0 * light, dni * light, dhi * light)
    return sky_of(weather, OBSERVER, 0.2)


def site(*windows: Window, **more) -> Site:
    return Site(place=PLACE, windows=windows, **more)


def light_by_slot(of: Site, window: Window, sky: Sky) -> Light:
    """The light with a sum for every slot."""
    count = len(sky.seconds)
    return light_on(of, window, Tally(sky, np.arange(count), count))


def direct(light: Light) -> np.ndarray:
    return light.outside().parts[0]


def diffuse(light: Light) -> np.ndarray:
    return light.outside().parts[1:].sum(axis=0)


def energy(light: Light) -> float:
    return float(light.outside().total.sum())


def test_direct_light_is_the_beam_by_sunlit_share_and_cosine():
    window = SOUTH.model_copy(update={"overhang": Overhang(depth=0.6, gap=0.2, left=0.1, right=0)})
    sky = sky_over(6)
    light = light_by_slot(site(window), window, sky)
    slopes = shadow_slopes(sky.direction, window_axes(180, 90))
    lit = np.where(slopes.in_front, sunlit_fraction(slopes.p, slopes.q, glass_of(window)), 0.0)
    up = sky.direction[2] > 0
    expected = (sky.beam + sky.circumsolar) * slopes.cos_incidence.clip(0) * lit * up
    assert direct(light) == pytest.approx(expected * sky.hours)
    assert 0.0 < lit[slopes.in_front].mean() < 1.0


def test_a_fully_shaded_window_still_gets_its_diffuse_light():
    window = SOUTH.model_copy(update={"skyline": ((0.0, 80.0),)})
    sky = sky_over(3)
    light = light_by_slot(site(window), window, sky)
    assert (direct(light) == 0.0).all()
    open_light = light_by_slot(site(SOUTH), SOUTH, sky)
    assert diffuse(light) == pytest.approx(diffuse(open_light))
    assert energy(light) > 0.0
    assert float(light.inside(class_table("double clear")).total.sum()) > 0.0


PLATES = [
    {"overhang": Overhang(depth=0.5, gap=0.1)},
    {"fins": (Fin(side="left", depth=0.4), Fin(side="right", depth=0.2, gap=0.1))},
    {"reveal": 0.25},
    {"reveal": 0.1, "overhang": Overhang(depth=1.0, left=0.2, right=0.2)},
]


@pytest.mark.parametrize("plates", PLATES, ids=["overhang", "fins", "reveal", "both"])
@pytest.mark.parametrize("azimuth", [0, 95, 180, 260])
@pytest.mark.parametrize("tilt", [60, 90, 100])
def test_nothing_before_the_glass_ever_adds_light(plates, azimuth, tilt):
    bare = SOUTH.model_copy(update={"azimuth": azimuth, "tilt": tilt})
    shaded = bare.model_copy(update=plates)
    sky = sky_over(9)
    before, after = (light_by_slot(site(w), w, sky) for w in (bare, shaded))
    assert (direct(after) <= direct(before) + 1e-9).all()
    assert (diffuse(after) <= diffuse(before) + 1e-9).all()
    assert energy(after) < energy(before)


def test_an_endless_wall_opposite_takes_the_sky_below_its_edge():
    """From a low strip of glass, a wall's edge at elevation E leaves (1 - sin E) / 2 of the sky."""
    window = SOUTH.model_copy(update={"position": (0.0, 0.0), "height": 0.02})
    wall = Obstacle(
        name="wall", footprint=((-900, -11), (900, -11), (900, -10), (-900, -10)), top=5.0
    )
    sky = sky_over(6, dni=0.0)
    none = np.zeros_like(sky.beam)
    even = replace(sky, isotropic=none + 1.0, circumsolar=none, horizon=none, ground=none)
    light = light_by_slot(site(window, obstacles=(wall,)), window, even)
    edge = np.arctan2(5.0 - 0.01, 10.0)
    # The coarse grid that obstacles are integrated on: half a cell of sin w.
    assert diffuse(light) / sky.hours == pytest.approx((1 - np.sin(edge)) / 2, abs=0.5 / 48)


def tree(leaf, bare, in_leaf=((4, 20), (11, 5))):
    sizes = {"trunk": (0, -5), "width": 6, "bottom": 0.5, "top": 12}
    return Tree(name="maple", leaf=leaf, bare=bare, in_leaf=in_leaf, **sizes)


def test_a_crown_weakens_beam_and_sky_by_its_season():
    window = SOUTH.model_copy(update={"position": (0.0, 0.0)})
    winter, summer = sky_over(2, 24), sky_over(9, 24)
    for sky, share in ((winter, 0.6), (summer, 0.2)):
        free = light_by_slot(site(window), window, sky)
        planted = light_by_slot(site(window, trees=(tree(0.2, 0.6),)), window, sky)
        steady = light_by_slot(site(window, trees=(tree(share, share, None),)), window, sky)
        assert energy(planted) == pytest.approx(energy(steady))
        assert energy(planted) < energy(free)
        covered = direct(planted) < direct(free) - 1e-6
        assert covered.any()
        assert (direct(planted) >= share * direct(free) - 1e-6).all()


def test_gain_follows_the_angle_for_the_beam_and_the_hemisphere_for_the_rest():
    sky = sky_over(6)
    light = light_by_slot(site(SOUTH), SOUTH, sky)
    glass = class_table("double clear")
    outward = window_axes(180, 90)[2] @ sky.direction
    expected = direct(light) * glass.gain(outward) + diffuse(light) * glass.diffuse
    inside = light.inside(glass).total
    assert inside == pytest.approx(expected)
    assert (inside <= light.outside().total * glass.normal + 1e-9).all()


DARKENED = {
    "open": SOUTH,
    "in a recess": SOUTH.model_copy(
        update={"reveal": 0.5, "overhang": Overhang(depth=1.5, gap=0.1, left=1, right=1)}
    ),
    "of the roof": SOUTH.model_copy(update={"tilt": 30, "reveal": 0.2}),
    "under a tree": SOUTH.model_copy(update={"position": (0.0, 0.0)}),
}


@pytest.mark.parametrize("name", DARKENED)
def test_sums_of_the_year_are_those_of_its_slots(name):
    """Dome, horizon and ground by what the window sees of them, slot by slot: a dark horizon takes
    from the dome until there is none of it.
    """
    window, glass = DARKENED[name], class_table("double low-e")
    of = site(window, trees=(tree(0.2, 0.6, ((6, 18), (11, 5))),) if name == "under a tree" else ())
    sky = sky_over(6, 24 * 6)
    slots = np.arange(len(sky.seconds))
    sky = replace(sky, horizon=sky.isotropic * (0.5 - 1.5 * (slots % 7) / 6.0))
    light = light_on(of, window, Tally.by_row(sky, 24 * 6))
    assert len(light.views) == (2 if name == "under a tree" else 1)
    slope = np.sin(np.radians(window.tilt))
    views = [(view.sky, view.horizon, view.ground) for view in light.views]
    dome, band, ground = np.array(views)[light.state].T * [sky.isotropic, sky.horizon, sky.ground]
    band = np.maximum(band * slope, -dome)
    assert (band == -dome).any()
    rows = np.bincount(sky.row, (dome + band + ground) * sky.hours, 24 * 6)
    outside, inside = light.outside(), light.inside(glass)
    assert outside.parts[1:].sum(axis=0) == pytest.approx(rows)
    better = [view.gains(glass.gain, window.tilt) for view in light.views]
    above, below, beside = np.array(better)[light.state].T
    entering = np.maximum(dome * above + band * beside, 0.0) + ground * below
    rows = np.bincount(sky.row, entering * glass.diffuse * sky.hours, 24 * 6)
    assert inside.parts[1:].sum(axis=0) == pytest.approx(rows)
    for flow in (outside, inside):
        assert flow.total == pytest.approx(np.bincount(sky.row, flow.at(slots), 24 * 6))
        assert flow.at(slots[5:9]) == pytest.approx(flow.at(slots)[5:9])


def test_closings_count_by_their_share_of_each_slot():
    sky = sky_over(6)
    start = round(float(sky.seconds[10] - sky.length[10] / 2))
    closed = closed_share(np.array([(start + 150, start + 300), (start + 660, start + 900)]), sky)
    assert closed[9:14] == pytest.approx([0.0, 0.5, 0.0, 0.8, 0.0])
    assert float((closed * sky.length).sum()) == pytest.approx(150 + 240)
    # Closings outside the light count nothing.
    night = int(sky.seconds.min()) - 7200
    assert (closed_share(np.array([(night, night + 3600)]), sky) == 0).all()
    assert (closed_share(np.zeros((0, 2)), sky) == 0).all()
    day = (night, int(sky.seconds.max()) + 7200)
    assert closed_share(np.array([day]), sky) == pytest.approx(1.0)


def test_rows_get_the_energy_of_their_slots():
    sky = sky_over(6)
    slots = np.arange(len(sky.seconds))
    rows = Tally.by_row(sky, 24).of(sky.hours, slots)
    # An hour with sun in all or part of it stands for a whole hour of its mean power.
    assert rows[np.unique(sky.row)] == pytest.approx(1.0)
    assert rows.sum() == pytest.approx(len(np.unique(sky.row)))
