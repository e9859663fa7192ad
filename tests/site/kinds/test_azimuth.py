"""Words, compass and wall, as bearings with their uncertainty."""

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


def test_words_name_one_of_sixteen_points():
    forms = {"north": 0, "east-north-east": 67.5, "ENE": 67.5, "East North East": 67.5}
    forms |= {"south_west": 225, "SouthWest": 225, "nnw": 337.5}
    for text, azimuth in forms.items():
        bearing = bearing_from_words(text)
        assert (bearing.azimuth, bearing.most) == (azimuth, 11.25)
        # Evenly spread over ±11.25°: the standard deviation of an even spread is its half over √3.
        assert bearing.sd == pytest.approx(11.25 / 3**0.5, rel=0.01)
    for text in ("", "up", "north-south", "east-east-north", "101"):
        with pytest.raises(ValueError, match=r"is not a direction; .*east-north-east"):
            bearing_from_words(text)


def test_every_azimuth_has_words_that_lead_back_to_within_half_a_step():
    for azimuth in np.arange(0.0, 360.0, 0.5):
        back = bearing_from_words(azimuth_words(azimuth)).azimuth
        assert abs((back - azimuth + 180) % 360 - 180) <= 11.25
    assert len({azimuth_words(step * 22.5) for step in range(16)}) == len(POINTS)


def test_a_compass_is_no_better_known_than_the_compass_itself():
    day = date(2027, 3, 2)
    rough = bearing_from_compass(101.5, day, ZURICH)
    fine = bearing_from_compass(101.5, day, ZURICH, compass_sd=1.0)
    assert 5.0 < rough.sd < 5.2
    assert 1.0 < fine.sd < 1.2
    # Magnetic north lies 3.7° east there (World Magnetic Model 2025).
    assert rough.azimuth == fine.azimuth == pytest.approx(101.5 + 3.7, abs=0.2)
    assert bearing_from_compass(359.0, day, ZURICH).azimuth == pytest.approx(2.7, abs=0.2)


def test_a_wall_walked_eastward_faces_south():
    ends = (47.123456, 8.0), (47.123456, 8.000158)
    assert bearing_from_wall(*ends).azimuth == pytest.approx(180.0, abs=0.001)
    assert bearing_from_wall(*ends[::-1]).azimuth % 360 == pytest.approx(0.0, abs=0.001)


def test_a_walls_uncertainty_is_that_of_two_ends_each_off_by_up_to_the_error():
    # Each end anywhere in a square of ±0.5 m, all alike: simulated plainly on a flat ground.
    rng = np.random.default_rng(2)
    ends = rng.uniform(-0.5, 0.5, (2, 2, 200_000))
    along, across = 10.0 + ends[1, 0] - ends[0, 0], ends[1, 1] - ends[0, 1]
    turned = np.degrees(np.arctan2(across, along))
    wall = bearing_from_wall((47.123456, 8.0), (47.123456 + 10.0 / 111_180.0, 8.0), 0.5)
    assert wall.sd == pytest.approx(turned.std(), rel=0.02)
    assert np.mean(np.abs(turned) <= wall.most) > 0.999
    # The last of four decimals is worth 11 m, so each end may be half of that off.
    assert wall_error((47.1234, 8.1234, 47.1235, 8.123)) == pytest.approx(5.566, abs=0.01)
    assert wall_error((47.1234567, 8.1234567)) == 0.5


def test_walls_that_cannot_be():
    for ends, message in (
        (((47.0, 8.0), (47.0, 8.0)), "the same place"),
        (((47.0, 8.0), (48.0, 8.0)), "111 km apart"),
        (((8.5417, 47.3769), (8.5418, 47.3769)), "from the site"),
    ):
        assert message in wall_fault(*ends, ZURICH)
    assert wall_fault((47.37690, 8.54170), (47.37698, 8.54171), ZURICH) is None
