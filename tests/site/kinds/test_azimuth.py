"""Words, compass and wall, as bearings with their uncertainty."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from suncover.site.kinds.azimuth import (
    POINTS,
    azimuth_words,
    bearing_from_compass,
    bearing_from_wall,
    bearing_from_words,
    wall_error,
    wall_fault,
)

ZURICH = (47.3769, 8.5417)


@pytest.mark.parametrize(
    ("text", "azimuth"),
    [
        ("north", 0.0),
        ("east-north-east", 67.5),
        ("ENE", 67.5),
        ("East North East", 67.5),
        ("south_west", 225.0),
        ("SouthWest", 225.0),
        ("nnw", 337.5),
    ],
)
def test_words_name_one_of_sixteen_points(text: str, azimuth: float) -> None:
    bearing = bearing_from_words(text)
    assert bearing.azimuth == azimuth
    assert bearing.most == 11.25
    # Evenly spread over ±11.25°: the standard deviation of an even spread is its half over √3.
    assert bearing.sd == pytest.approx(
        np.random.default_rng(1).uniform(-11.25, 11.25, 10**6).std(), rel=0.01
    )


@pytest.mark.parametrize("text", ["", "up", "north-south", "east-east-north", "101"])
def test_other_words_are_refused_with_an_example(text: str) -> None:
    with pytest.raises(ValueError, match=r"is not a direction; .*east-north-east"):
        bearing_from_words(text)


def test_every_azimuth_has_words_that_lead_back_to_within_half_a_step() -> None:
    for azimuth in np.arange(0.0, 360.0, 0.5):
        back = bearing_from_words(azimuth_words(azimuth)).azimuth
        assert abs((back - azimuth + 180) % 360 - 180) <= 11.25
    assert len({azimuth_words(step * 22.5) for step in range(16)}) == len(POINTS)


def test_a_compass_is_no_better_known_than_the_compass_itself() -> None:
    rough = bearing_from_compass(101.5, date(2027, 3, 2), ZURICH)
    fine = bearing_from_compass(101.5, date(2027, 3, 2), ZURICH, compass_sd=1.0)
    assert 5.0 < rough.sd < 5.2
    assert 1.0 < fine.sd < 1.2
    assert rough.azimuth == fine.azimuth == pytest.approx(101.5 + 3.7, abs=0.2)


def test_a_bearing_past_north_comes_round() -> None:
    assert bearing_from_compass(359.0, date(2027, 3, 2), ZURICH).azimuth == pytest.approx(
        2.7, abs=0.2
    )


def test_a_wall_walked_eastward_faces_south() -> None:
    wall = bearing_from_wall((47.123456, 8.0), (47.123456, 8.000158))
    assert wall.azimuth == pytest.approx(180.0, abs=0.001)
    back = bearing_from_wall((47.123456, 8.000158), (47.123456, 8.0))
    assert back.azimuth % 360 == pytest.approx(0.0, abs=0.001)


def test_a_walls_uncertainty_is_that_of_two_ends_each_off_by_up_to_the_error() -> None:
    # Each end anywhere in a square of ±0.5 m, all alike: simulated plainly on a flat ground.
    rng = np.random.default_rng(2)
    ends = rng.uniform(-0.5, 0.5, (2, 2, 200_000))
    along, across = 10.0 + ends[1, 0] - ends[0, 0], ends[1, 1] - ends[0, 1]
    turned = np.degrees(np.arctan2(across, along))
    wall = bearing_from_wall((47.123456, 8.0), (47.123456 + 10.0 / 111_180.0, 8.0), 0.5)
    assert wall.sd == pytest.approx(turned.std(), rel=0.02)
    assert np.mean(np.abs(turned) <= wall.most) > 0.999


def test_few_decimals_leave_a_wall_uncertain() -> None:
    # The last of four decimals is worth 11 m, so each end may be half of that off.
    assert wall_error((47.1234, 8.1234, 47.1235, 8.123)) == pytest.approx(5.566, abs=0.01)
    assert wall_error((47.1234567, 8.1234567)) == 0.5


@pytest.mark.parametrize(
    ("first", "second", "message"),
    [
        pytest.param((47.0, 8.0), (47.0, 8.0), "the same place", id="no length"),
        pytest.param((47.0, 8.0), (48.0, 8.0), "111 km apart", id="not a wall"),
        pytest.param((8.5417, 47.3769), (8.5418, 47.3769), "from the site", id="swapped"),
    ],
)
def test_walls_that_cannot_be(
    first: tuple[float, float], second: tuple[float, float], message: str
) -> None:
    assert message in (wall_fault(first, second, ZURICH) or "")


def test_a_wall_of_the_site_is_right() -> None:
    assert wall_fault((47.37690, 8.54170), (47.37698, 8.54171), ZURICH) is None
