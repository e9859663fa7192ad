"""The moment to watch next, and what an uncertain azimuth does to the hours."""

from __future__ import annotations

from datetime import UTC, date, datetime

import numpy as np
import pytest
from made_sightings import changes, made_site, watched

from suncover.base.clock import day_bounds
from suncover.facade.exposure import find_exposures
from suncover.facing.effect import azimuth_effect_minutes
from suncover.facing.estimate import estimate_facing
from suncover.facing.walls import study_walls, unseen, walls
from suncover.facing.watch import next_watch
from suncover.site.model import Site
from suncover.site.sightings import Sighting

JUNE = datetime(2027, 6, 7, tzinfo=UTC).timestamp()


def test_the_leaving_tells_more_where_the_coming_is_the_sunrise() -> None:
    site = made_site(47.0, azimuth=90.0)
    found = next_watch(site, unseen(site, ("w",)), ("w",), JUNE)
    assert found is not None
    assert found.seen == "off"
    _, off = changes(site, date(2027, 6, 10))
    assert found.begin < off[-1] < found.end


def test_the_coming_tells_more_in_the_west() -> None:
    site = made_site(47.0, azimuth=270.0)
    found = next_watch(site, unseen(site, ("w",)), ("w",), JUNE)
    assert found is not None
    assert found.seen == "on"


def test_watching_it_brings_at_least_about_what_was_promised() -> None:
    site = made_site(47.0, azimuth=100.0)
    seen = watched(site, np.random.default_rng(11), 4, 2.0, date(2027, 4, 1))
    before = estimate_facing(site, seen, ["w"])
    promised = next_watch(site, before, ("w",), JUNE)
    assert promised is not None
    _, off = changes(site, date(2027, 6, 10))
    more = [*seen, Sighting(window="w", time=round(off[-1]), seen=promised.seen)]
    after = estimate_facing(site, more, ["w"])
    assert promised.sd < before.sd
    assert after.sd < 1.3 * promised.sd


def test_a_flat_roof_light_has_no_moment_worth_watching() -> None:
    # Whichever way it is turned, the sun comes at sunrise and leaves at sunset.
    site = made_site(47.0, azimuth=90.0, tilt=0)
    assert next_watch(site, unseen(site, ("w",)), ("w",), JUNE) is None


def test_an_azimuth_five_degrees_off_shifts_a_wall_by_what_the_sun_turns() -> None:
    # At the equator of the sky's turn, 15° an hour: a wall at a pole would shift by 4 min a degree.
    # At 80° N the sun's azimuth runs within a sixth of that.
    site = made_site(80.0, azimuth=180.0)
    effect = azimuth_effect_minutes(site, site.windows[0], 5.0, 2027)
    june_on, june_off = changes(site, date(2027, 6, 15))
    turned_site = made_site(80.0, azimuth=185.0)
    later_on, later_off = changes(turned_site, date(2027, 6, 15))
    shift = (later_on[0] - june_on[0]) / 60, (later_off[-1] - june_off[-1]) / 60
    assert shift[0] == pytest.approx(20.0, rel=1 / 6)
    assert effect.most == pytest.approx(max(shift), rel=0.25)


def test_sunrise_does_not_shift() -> None:
    site = made_site(47.0, azimuth=90.0)
    effect = azimuth_effect_minutes(site, site.windows[0], 2.0, 2027)
    assert effect.coming < 1.0
    assert 5.0 < effect.leaving < 12.0
    assert effect.most >= effect.leaving


@pytest.mark.parametrize(
    "window",
    [
        pytest.param({"azimuth": 200.0}, id="south"),
        pytest.param({"azimuth": 120.0, "overhang": {"depth": 0.8, "gap": 0.1}}, id="under a roof"),
        pytest.param({"azimuth": 265.0, "reveal": 0.2}, id="west, behind a reveal"),
        # The rising sun is on these before it is strong enough to count, and then not any more.
        pytest.param({"azimuth": 94.0, "skyline": [(0, 0), (75, 0), (76, 9)]}, id="glimmer"),
        pytest.param({"azimuth": 4.0}, id="north"),
    ],
)
def test_the_shift_is_that_of_the_search_for_hours(window: dict[str, object]) -> None:
    """The search brackets each change for itself, and knows nothing of sun that does not count.

    All comings and leavings of a day: in summer the north has sun twice.
    """
    site = made_site(47.0, 8.0, 400.0, **window)
    found = azimuth_effect_minutes(site, site.windows[0], 2.0, 2027)
    first, *turned = (
        _spells_by_search(made_site(47.0, 8.0, 400.0, **{**window, "azimuth": azimuth % 360.0}))
        for azimuth in (float(str(window["azimuth"])) + step for step in (0.0, -2.0, 2.0))
    )
    pairs = [pair for other in turned for pair in zip(first, other, strict=True)]
    assert all(len(mine) == len(then) for mine, then in pairs)
    shifts = np.abs(np.concatenate([then - mine for mine, then in pairs]))
    coming, leaving = shifts.mean(axis=0)
    assert found.coming == pytest.approx(coming, abs=0.05)
    assert found.leaving == pytest.approx(leaving, abs=0.05)
    assert found.most == pytest.approx(shifts.max(), abs=0.05)


def _spells_by_search(site: Site) -> list[np.ndarray]:
    """Comings and leavings on the 15th of each month, minutes: shape (n, 2) each."""
    days = [day_bounds(date(2027, month, 15), site.place.zone) for month in range(1, 13)]
    found = (find_exposures(site, day.start, day.end)["w"] for day in days)
    return [np.array([(s.start, s.end) for s in spells]).reshape(-1, 2) / 60.0 for spells in found]


def _ends_by_search(site: Site) -> np.ndarray:
    """First coming and last leaving on the 15th of each month, minutes: shape (12, 2)."""
    ends = np.full((12, 2), np.nan)
    for month in range(12):
        day = day_bounds(date(2027, month + 1, 15), site.place.zone)
        if spells := find_exposures(site, day.start, day.end)["w"]:
            ends[month] = spells[0].start / 60.0, spells[-1].end / 60.0
    return ends


def test_sun_that_only_one_direction_has_in_the_morning_shifts_no_coming_to_the_evening() -> None:
    # In some weeks of summer, the rising sun gets round to this window if it is turned by 4°.
    site = made_site(60.0, azimuth=340.0)
    first, *turned = (
        _ends_by_search(made_site(60.0, azimuth=azimuth)) for azimuth in (340.0, 336.0, 344.0)
    )
    shifts = np.abs(np.stack(turned) - first)
    assert np.nanmax(shifts) > 360.0
    effect = azimuth_effect_minutes(site, site.windows[0], 4.0, 2027)
    assert 0.0 < effect.coming < 30.0
    assert effect.coming <= effect.most < 60.0


def test_a_window_that_never_sees_the_sun_shifts_nothing() -> None:
    site = made_site(47.0, azimuth=0.0, skyline=[(0.0, 89.0)])
    effect = azimuth_effect_minutes(site, site.windows[0], 5.0, 2027)
    assert (effect.coming, effect.leaving, effect.most) == (0.0, 0.0, 0.0)


def test_windows_of_a_facade_are_one_wall_and_others_stand_alone() -> None:
    site = made_site(47.0, azimuth=100.0)
    [first] = site.windows
    names = ("a", "b", "c", "d")
    facades = ("street", None, "street", None)
    windows = tuple(
        first.model_copy(update={"name": name, "facade": facade})
        for name, facade in zip(names, facades, strict=True)
    )
    several = site.model_copy(update={"windows": windows})
    assert walls(several) == [("a", "c"), ("b",), ("d",)]
    seen = watched(site, np.random.default_rng(12), 4, 2.0, date(2027, 4, 1))
    shared = [s.model_copy(update={"window": name}) for s, name in zip(seen, "acac", strict=True)]
    studies = study_walls(several, shared)
    assert studies[0].facing is not None
    assert len(studies[0].facing.checks) == 4
    assert studies[1].facing is None
    assert studies[1].watch is None
