"""One roof over several windows: as the overhang of each, by the plan and by the sun."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from suncover.base.errors import FileFaults
from suncover.facade.exposure import find_exposures
from suncover.site.file.sitefile import site_from_text
from suncover.site.model import Overhang, Site

DAY = 86_400
START = 1_780_272_000  # 2026-06-01 00:00 UTC


def on_wall(name, along, azimuth=200.0, **keys):
    """A window whose middle is `along` metres to the right of the origin, seen from outdoors."""
    facing = np.radians(azimuth)
    place = [-along * np.cos(facing), along * np.sin(facing)]
    return {
        "name": name,
        "azimuth": azimuth,
        "width": 1.0,
        "height": 1.4,
        "sill": 0.9,
        "position": [float(value) for value in place],
        **keys,
    }


def porch(windows, **canopy):
    return Site.model_validate(
        {
            "site": {"name": "x", "latitude": 36.1, "longitude": -79.95},
            "need": {"beam": 0},
            "window": windows,
            "canopy": [
                {
                    "name": "porch",
                    "windows": [window["name"] for window in windows],
                    "height": 2.7,
                    "depth": 1.8,
                    **canopy,
                }
            ],
        }
    )


def test_the_overhang_of_each_window():
    """Windows of 1 m about 0, 3 and 8 m, a roof 0.5 m past the first and 1 m past the last."""
    windows = [on_wall("a", 0), on_wall("b", 3, floor=0.3), on_wall("c", 8, width=2.0, sill=1.0)]
    site = porch(windows, left=0.5, right=1.0)
    expected = [(0.4, 0.5, 9.5), (0.1, 3.5, 6.5), (0.3, 8.0 - 1.0 + 1.0, 1.0)]
    for window, (gap, left, right) in zip(site.windows, expected, strict=True):
        roof = window.overhang
        assert (roof.depth, roof.gap) == (1.8, pytest.approx(gap))
        assert (roof.left, roof.right) == (pytest.approx(left), pytest.approx(right))


def test_without_ends_it_is_endless_and_needs_no_positions():
    windows = [on_wall(name, 0) for name in "ab"]
    for window in windows:
        del window["position"]
    site = porch(windows)
    assert [w.overhang for w in site.windows] == [Overhang(depth=1.8, gap=0.4)] * 2


def test_over_one_window_its_ends_need_no_position():
    window = on_wall("a", 0)
    del window["position"]
    roof = porch([window], left=0.2, right=-0.1).windows[0].overhang
    assert (roof.left, roof.right) == (0.2, -0.1)


@given(
    alongs=st.lists(st.floats(-10, 10), min_size=2, max_size=4),
    azimuth=st.floats(0, 360),
    left=st.floats(0, 2),
    right=st.floats(0, 2),
)
def test_every_window_sees_the_same_two_ends(alongs, azimuth, left, right):
    windows = [on_wall(f"w{n}", along, azimuth) for n, along in enumerate(alongs)]
    site = porch(windows, left=left, right=right)
    ends = [
        (along - 0.5 - w.overhang.left, along + 0.5 + w.overhang.right)
        for along, w in zip(alongs, site.windows, strict=True)
    ]
    assert np.ptp(ends, axis=0) == pytest.approx(0, abs=1e-9)
    assert ends[0] == pytest.approx((min(alongs) - 0.5 - left, max(alongs) + 0.5 + right))


def test_the_sun_is_that_under_overhangs_written_by_hand():
    windows = [on_wall("a", 0), on_wall("b", 4)]
    site = porch(windows, left=0.5, right=0.5)
    by_hand = Site.model_validate(
        {
            "site": {"name": "x", "latitude": 36.1, "longitude": -79.95},
            "need": {"beam": 0},
            "window": [
                {**windows[0], "overhang": {"depth": 1.8, "gap": 0.4, "left": 0.5, "right": 4.5}},
                {**windows[1], "overhang": {"depth": 1.8, "gap": 0.4, "left": 4.5, "right": 0.5}},
            ],
        }
    )
    ours = find_exposures(site, START, START + 60 * DAY)
    theirs = find_exposures(by_hand, START, START + 60 * DAY)
    for name in "ab":
        assert [(s.start, s.end) for s in ours[name]] == [(s.start, s.end) for s in theirs[name]]


def test_a_site_put_together_twice_is_the_same():
    site = porch([on_wall("a", 0), on_wall("b", 4)], left=0.5, right=0.5)
    again = Site.model_validate(site.model_dump(by_alias=True))
    assert again == site


TEXT = """\
[site]
name = "x"
latitude = 36.1
longitude = -79.95

[[window]]
name = "a"
azimuth = 180
width = 1
height = 1.4
sill = 0.9
position = [0, 0]

[[window]]
name = "b"
azimuth = {azimuth}
tilt = {tilt}
width = 1
height = 1.4
sill = 0.9
{position}
{overhang}

[[canopy]]
name = "porch"
windows = {windows}
height = {height}
depth = 1.8
left = 0.5
"""
SOUND = {
    "azimuth": 180,
    "tilt": 90,
    "position": "position = [-3, 0]",
    "overhang": "",
    "windows": '["a", "b"]',
    "height": 2.7,
}


def test_a_sound_file_is_read():
    assert site_from_text(TEXT.format(**SOUND)).windows[1].overhang.left == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("change", "place", "expected"),
    [
        pytest.param(
            {"windows": '["a", "c"]'},
            "windows, name 2",
            'no window is named "c"',
            id="unknown window",
        ),
        pytest.param(
            {"windows": '["a", "a"]'},
            "windows, name 2",
            'the window "a" is named twice; name it once',
            id="twice",
        ),
        pytest.param(
            {"tilt": 60},
            "windows, name 2",
            'the window "b" has tilt 60; a canopy is level, over upright glass (tilt 90)',
            id="sloping",
        ),
        pytest.param(
            {"azimuth": 90, "position": "position = [0, -2]"},
            "windows, name 2",
            'the window "b" faces 90° and "a" 180°; a canopy\'s windows are in one wall',
            id="two walls",
        ),
        pytest.param(
            {"position": "position = [-3, -0.4]"},
            "windows, name 2",
            'the window "b" stands in a wall whose face is 0.40 m off that of "a"; '
            "a canopy's windows are in one wall",
            id="a step in the wall",
        ),
        pytest.param(
            {"position": ""},
            "windows, name 2",
            'the window "b" has no `position`, which left of the canopy need; give it one',
            id="no position",
        ),
        pytest.param(
            {"height": 2.2},
            "windows, name 1",
            'the window "a" has glass up to 2.3 m, above the canopy\'s underside at 2.2 m',
            id="too low",
        ),
        pytest.param(
            {"overhang": "[window.overhang]\ndepth = 1"},
            "windows, name 2",
            'the window "b" has its own [window.overhang]; give it one roof',
            id="two roofs",
        ),
    ],
)
def test_fault(change, place, expected):
    with pytest.raises(FileFaults) as caught:
        site_from_text(TEXT.format(**{**SOUND, **change}))
    first = caught.value.faults[0]
    assert (first.place, first.message.split(", did you")[0]) == (
        f'canopy "porch": {place}',
        expected,
    )


def test_two_canopies_over_one_window():
    text = TEXT.format(**SOUND) + TEXT.format(**SOUND).split("[[canopy]]")[1].join(
        ["\n[[canopy]]", ""]
    )
    with pytest.raises(FileFaults) as caught:
        site_from_text(text.replace('name = "porch"', 'name = "p2"', 1))
    assert [fault.message for fault in caught.value.faults] == [
        'the window "a" has a canopy already; give it one',
        'the window "b" has a canopy already; give it one',
    ]


def test_a_canopy_farther_than_any_house_is_high_is_a_fault():
    with pytest.raises(ValidationError, match="more than 100 km below the canopy; check the len"):
        porch([on_wall("a", 0, floor=-100_000)], height=100_000)
