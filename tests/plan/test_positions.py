"""How far down a shade has to be: by similar triangles, and by rays that must meet its fabric."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from raycast import erfa_sun, frame_of

from suncover.facade.exposure import spot_in_window, sun_on_spot
from suncover.plan.positions import (
    ALLOWANCE_M,
    drop_needed,
    fabric_plane,
    place_at,
    positions_needed,
    stop_for,
)
from suncover.site.model import Need, Place, Shade, Site, Spot, Window

DAY = 86_400
START = 1_767_225_600  # 2026-01-01 00:00 UTC


def window(**keys):
    return Window.model_validate(
        {"name": "w", "azimuth": 180, "width": 1.2, "height": 1.4, "sill": 0.9, **keys}
    )


def shade(**keys):
    return Shade.model_validate({"name": "s", "windows": ["w"], "stops": [50, 100], **keys})


@given(distance=st.floats(0.2, 5), height=st.floats(0, 2), slope=st.floats(0.05, 4))
def test_similar_triangles(distance, height, slope):
    """Upright glass: the sun's ray comes in `distance` times tan Ω above the place."""
    own = window()
    point = place_at(own, distance, height)
    above_sill = height + distance * slope - own.sill
    needed = np.clip(100 * (own.height - above_sill + ALLOWANCE_M) / own.height, 0, 100)
    assert drop_needed(point, np.array([slope]), own.height, 0.0)[0] == pytest.approx(
        needed, abs=1e-9
    )


@pytest.mark.parametrize(
    ("keys", "expected"),
    [
        pytest.param({}, 0.0, id="at the glass"),
        pytest.param({"place": "inside", "standoff": 0.08}, -0.08, id="inside"),
        pytest.param({"place": "between", "standoff": 0.08}, 0.0, id="between the panes"),
        pytest.param({"place": "outside"}, 0.15, id="outside, at the wall's face"),
        pytest.param({"place": "outside", "standoff": 0.3}, 0.3, id="outside, before it"),
    ],
)
def test_where_the_fabric_hangs(keys, expected):
    assert fabric_plane(shade(**keys), window(reveal=0.15)) == pytest.approx(expected)


def test_fabric_farther_in_has_to_come_down_farther():
    """8 cm inside the glass, sun at tan Ω = 1: 8 cm farther down, of 1.4 m."""
    point, slope = place_at(window(), 1.0, 0.75), np.array([1.0])
    near = drop_needed(point, slope, 1.4, 0.0)[0]
    assert drop_needed(point, slope, 1.4, -0.08)[0] - near == pytest.approx(100 * 0.08 / 1.4)


def test_a_place_between_glass_and_fabric_asks_for_all_of_it():
    point = place_at(window(), 0.05, 1.5)
    assert drop_needed(point, np.array([0.5, 2.0]), 1.4, -0.1).tolist() == [100, 100]


@pytest.mark.parametrize(
    ("position", "expected"), [(0, 25), (25, 25), (25.2, 50), (50, 50), (61, 100), (100, 100)]
)
def test_next_stop_down(position, expected):
    assert stop_for(position, (25, 50, 100)) == expected


WINDOWS = [
    {"azimuth": 170},
    {"azimuth": 100, "reveal": 0.2, "overhang": {"depth": 0.5, "gap": 0.1}},
    {"azimuth": 200, "tilt": 45, "sill": 1.2},
    {"azimuth": 250, "tilt": 105},
]


HANGS = [{}, {"standoff": 0.1}, {"place": "outside"}]


@pytest.mark.parametrize(
    ("keys", "hangs"),
    [(keys, HANGS[(n + m) % 3]) for n, keys in enumerate(WINDOWS) for m in (0, 1)],
    ids=lambda keys: ", ".join(f"{key} {value}" for key, value in keys.items()) or "at the glass",
)
def test_rays_meet_the_fabric_and_no_less_would_do(keys, hangs):
    """While a spot is in sun, the ray from it to ERFA's sun is followed to the plane of the fabric,
    in the site's own metres. It must pass above the edge of the shade in its position; and at one
    moment of the spell it passes just there, so that a per cent less would let it in.
    """
    own, hung = window(**keys), shade(**hangs)
    site = Site(place=Place(name="x", latitude=47.0, longitude=8.0), windows=(own,))
    rng = np.random.default_rng(5)
    seen = 0
    while seen < 4:
        spot = Spot(
            name="desk",
            window="w",
            distance=rng.uniform(0.8, 4),
            offset=rng.uniform(-1.5, 1.5),
            height=rng.uniform(0, 1.2),
        )
        start = START + int(rng.integers(0, 360)) * DAY
        spells = sun_on_spot(site, spot, Need(beam=0), start, start + DAY)
        positions = positions_needed(site.place, hung, own, spot_in_window(spot, own), spells)
        assert len(positions) == len(spells)
        for spell, position in zip(spells, positions, strict=True):
            crossing = crossings_of(own, spot, fabric_plane(hung, own), spell)
            edge = own.height * (1 - position / 100)
            if position == 100:
                continue  # fully closed keeps off all sun
            # The suns agree to 0.001 degree: 0.1 mm in 4 m, and some times that at a slant.
            assert (crossing > edge - 0.0005).all()
            if spell.seconds > 60:
                assert crossing.min() < edge + 0.01 * own.height
                seen += 1


def crossings_of(own, spot, plane, spell):
    """How far up the fabric's plane the rays from a spot to the sun cross it, metres."""
    times = np.arange(spell.start + 1.0, spell.end, 5.0)
    suns = erfa_sun(times, 47.0, 8.0)
    origin, right, upward, outward = frame_of(own)
    facing = np.radians(own.azimuth)
    level = np.array([np.sin(facing), np.cos(facing), 0.0])
    place = origin + spot.offset * right - spot.distance * level
    place[2] = own.floor + spot.height
    length = (plane - (place - origin) @ outward) / (outward @ suns)
    return (place - origin) @ upward + length * (upward @ suns)
