"""One roof over several windows: as the overhang of each, by the plan and by the sun."""
# ruff: noqa: E501  (a case to a line)

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from site_texts import faults, house, site_of, table, window

from suncover.facade.exposure import find_exposures
from suncover.site.model import Overhang, Site

DAY = 86_400
START = 1_780_272_000  # 2026-06-01 00:00 UTC
GEOMETRY = table("need", beam=0)


def on_wall(name, along, azimuth=200.0, **keys):
    """Keys of a window whose middle is `along` metres to the right of the origin, from outdoors."""
    facing = np.radians(azimuth)
    place = [float(-along * np.cos(facing)), float(along * np.sin(facing))]
    keys = {"sill": 0.9, "position": place, **keys}
    return {"name": name, "azimuth": azimuth, "width": 1.0, "height": 1.4, **keys}


def porch(windows, **canopy):
    """A site of these windows under one roof."""
    names = [keys["name"] for keys in windows]
    roof = {"name": "porch", "windows": names, "height": 2.7, "depth": 1.8, **canopy}
    return site_of(GEOMETRY, *(window(**keys) for keys in windows), table("canopy", **roof))


def test_the_overhang_of_each_window():
    """Windows of 1 m about 0, 3 and 8 m, a roof 0.5 m past the first and 1 m past the last."""
    windows = [on_wall("a", 0), on_wall("b", 3, floor=0.3), on_wall("c", 8, width=2.0, sill=1.0)]
    site = porch(windows, left=0.5, right=1.0)
    expected = [(0.4, 0.5, 9.5), (0.1, 3.5, 6.5), (0.3, 8.0 - 1.0 + 1.0, 1.0)]
    for made, (gap, left, right) in zip(site.windows, expected, strict=True):
        roof = made.overhang
        assert (roof.depth, roof.gap) == (1.8, pytest.approx(gap))
        assert (roof.left, roof.right) == (pytest.approx(left), pytest.approx(right))
    assert Site.model_validate(site.model_dump(by_alias=True)) == site


def test_positions_are_needed_only_where_several_windows_share_an_end():
    endless = porch([on_wall(name, 0, position=None) for name in "ab"])
    assert [made.overhang for made in endless.windows] == [Overhang(depth=1.8, gap=0.4)] * 2
    roof = porch([on_wall("a", 0, position=None)], left=0.2, right=-0.1).windows[0].overhang
    assert (roof.left, roof.right) == (0.2, -0.1)


@given(
    alongs=st.lists(st.floats(-10, 10), min_size=2, max_size=4),
    azimuth=st.floats(0, 360),
    left=st.floats(0, 2),
    right=st.floats(0, 2),
)
def test_every_window_sees_the_same_two_ends(alongs, azimuth, left, right):
    site = porch(
        [on_wall(f"w{n}", a, azimuth) for n, a in enumerate(alongs)], left=left, right=right
    )
    ends = [
        (along - 0.5 - made.overhang.left, along + 0.5 + made.overhang.right)
        for along, made in zip(alongs, site.windows, strict=True)
    ]
    assert np.ptp(ends, axis=0) == pytest.approx(0, abs=1e-9)
    assert ends[0] == pytest.approx((min(alongs) - 0.5 - left, max(alongs) + 0.5 + right))


def test_the_sun_is_that_under_overhangs_written_by_hand():
    windows = [on_wall("a", 0), on_wall("b", 4)]
    roofs = [{"depth": 1.8, "gap": 0.4, "left": a, "right": b} for a, b in ((0.5, 4.5), (4.5, 0.5))]
    by_hand = site_of(
        GEOMETRY, *(window(**w, overhang=r) for w, r in zip(windows, roofs, strict=True))
    )
    sites = (porch(windows, left=0.5, right=0.5), by_hand)
    ours, theirs = (find_exposures(site, START, START + 60 * DAY) for site in sites)
    for name in "ab":
        assert [(s.start, s.end) for s in ours[name]] == [(s.start, s.end) for s in theirs[name]]


def spoilt(**change):
    """What is said of two windows under a roof, with keys of the second or of the roof changed."""
    roof = {key: change.pop(key) for key in ("windows", "height") if key in change}
    second = {"azimuth": 180, "sill": 0.9, "position": [-3, 0], **change}
    return faults(
        house(
            window("a", 180, 1, 1.4, sill=0.9, position=[0, 0]),
            window("b", width=1, height=1.4, **second),
            table(
                "canopy",
                **{
                    "name": "porch",
                    "windows": ["a", "b"],
                    "height": 2.7,
                    "depth": 1.8,
                    "left": 0.5,
                    **roof,
                },
            ),
        )
    )


@pytest.mark.parametrize(
    ("change", "name", "expected"),
    [
        ({"windows": ["a", "c"]}, 2, 'no window is named "c"'),
        ({"windows": ["a", "a"]}, 2, 'the window "a" is named twice; name it once'),
        ({"tilt": 60}, 2, 'the window "b" has tilt 60; a canopy is level, over upright glass (tilt 90)'),
        ({"azimuth": 90, "position": [0, -2]}, 2, 'the window "b" faces 90° and "a" 180°; a canopy\'s windows are in one wall'),
        ({"position": [-3, -0.4]}, 2,
         'the window "b" stands in a wall whose face is 0.40 m off that of "a"; a canopy\'s windows are in one wall'),
        ({"position": None}, 2, 'the window "b" has no `position`, which left of the canopy need; give it one'),
        ({"height": 2.2}, 1, 'the window "a" has glass up to 2.3 m, above the canopy\'s underside at 2.2 m'),
        ({"overhang": {"depth": 1}}, 2, 'the window "b" has its own [window.overhang]; give it one roof'),
    ],
)  # fmt: skip
def test_fault(change, name, expected):
    assert f'canopy "porch": windows, name {name}: {expected}' in spoilt(**change)[0]


def test_roofs_that_cannot_be():
    twice = [table("canopy", name=n, windows=["a", "b"], height=2.7, depth=1.8) for n in "pq"]
    told = faults(house(window("a", 180, sill=0.9), window("b", 180, sill=0.9), *twice))
    assert [fault.split(": ")[-1] for fault in told] == [
        f'the window "{name}" has a canopy already; give it one' for name in "ab"
    ]
    far = (
        window("a", floor=-100_000),
        table("canopy", name="p", windows=["a"], height=100_000, depth=1),
    )
    assert "more than 100 km below the canopy; check the len" in faults(house(*far))[0]
