"""Houses whose truth is known: does the fit find it, and as often as it says?

The sightings come from `made_sightings.py`, with a sun that the package does not use. Noise, gross
errors and the houses are random, drawn the same way each time.
"""

from __future__ import annotations

from datetime import date, timedelta
from functools import cache

import numpy as np
import pytest
from made_sightings import changes, guessed, made_site, turned, watched

from suncover.facing.estimate import Facing, estimate_facing
from suncover.site.model import Site
from suncover.site.sightings import Sighting

FEW, MANY = 10, 105  # houses in each of the groups below
GROUPS = {"north": (0.0, 62.0), "south": (-60.0, 0.0)}


def random_house(random: np.random.Generator, latitudes: tuple[float, float]) -> Site:
    """A window anywhere on some wall, one in three under a roof, one in three before hills."""
    extras: dict[str, object] = {"reveal": float(random.choice([0.0, 0.05, 0.15]))}
    if random.random() < 1 / 3:
        extras["overhang"] = {"depth": random.uniform(0.3, 1.2), "gap": random.uniform(0.0, 0.5)}
    if random.random() < 1 / 3:
        extras["skyline"] = [(a, float(random.uniform(0, 12))) for a in range(0, 360, 45)]
    return made_site(
        random.uniform(*latitudes),
        random.uniform(-170, 170),
        random.uniform(0, 1500),
        azimuth=random.uniform(0, 360),
        **extras,
    )


def random_case(seed: int, latitudes: tuple[float, float]) -> tuple[float, Facing] | None:
    """How far off a fit is, and the fit; None where the sun hardly comes."""
    random = np.random.default_rng(seed)
    site = random_house(random, latitudes)
    truth = site.windows[0].azimuth
    first = date(2027, 1, 1) + timedelta(days=int(random.integers(0, 365)))
    # Whoever watches may call it sun at once or only when it is worth the name.
    least = float(random.choice([0.0, 2.0]))
    sightings = watched(
        site,
        random,
        int(random.integers(5, 11)),
        random.uniform(1.5, 5.0),
        first,
        least_elevation=least,
    )
    if len(sightings) < 5:
        return None
    guess = guessed(site, azimuth=(truth + random.normal(0, 25)) % 360)
    found = estimate_facing(guess, sightings, ["w"])
    return turned(found.azimuth, truth), found


# Of a bell curve: the mean of how far off a draw is in standard deviations, at most 3 counted; and
# the scatter of one draw about that.
MEAN_AWAY, SCATTER_AWAY = 0.797, 0.60


def notices(stretch: float, away: np.ndarray) -> bool:
    """Whether so many draws would give away a stated uncertainty that is `stretch` times as much.

    Beyond three standard errors of the mean.
    """
    mean = float(np.minimum(away / stretch, 3.0).mean())
    return abs(mean - MEAN_AWAY) > 3.0 * SCATTER_AWAY / float(np.sqrt(len(away)))


@pytest.mark.parametrize("houses", [FEW, pytest.param(MANY, marks=pytest.mark.slow)])
def test_truth_lies_within_the_stated_uncertainty_as_often_as_stated(houses: int) -> None:
    drawn = [
        random_case(1000 * number + house, latitudes)
        for number, latitudes in enumerate(GROUPS.values())
        for house in range(houses)
    ]
    cases = [case for case in drawn if case is not None]
    assert len(cases) > 0.8 * len(drawn)
    away = np.array([off / found.sd for off, found in cases])
    assert not notices(1.0, away)
    # Were the uncertainty stated too large, or too small, these very houses would show it.
    assert notices(2.5, away)
    assert notices(1 / 2.5, away)
    if houses == FEW:
        return
    assert notices(1.3, away)
    assert notices(1 / 1.3, away)
    for times, share in ((1.0, 0.683), (2.0, 0.954)):
        error = 3.0 * float(np.sqrt(share * (1 - share) / len(away)))
        assert np.mean(away <= times) == pytest.approx(share, abs=error)
    # Noise of 3 min is 0.75° where the sun goes 15° an hour; several sightings share it.
    relied_on = [(off, found) for off, found in cases if not found.doubt]
    assert len(relied_on) > 0.6 * len(cases)
    assert np.median([off for off, _ in relied_on]) < 0.75
    assert np.mean([off < 2.0 for off, _ in relied_on]) > 0.9


@cache
def ten_sightings(latitude: float) -> tuple[Site, list[Sighting], Site, Facing]:
    """A house, ten sightings of it, what it is taken for, and what they come to."""
    site = made_site(latitude, azimuth=112.0 if latitude > 0 else 68.0, reveal=0.1)
    good = watched(site, np.random.default_rng(5), 10, 2.0, date(2027, 3, 1))
    guess = guessed(site, azimuth=(site.windows[0].azimuth + 20) % 360)
    return site, good, guess, estimate_facing(guess, good, ["w"])


@pytest.mark.parametrize("latitude", [52.0, -34.0])
@pytest.mark.parametrize("blunder_min", [-180.0, -45.0, 30.0, 150.0])
def test_one_gross_error_among_ten_does_no_harm(latitude: float, blunder_min: float) -> None:
    site, good, guess, clean = ten_sightings(latitude)
    telling = next(number for number, seen in enumerate(good) if seen.seen == "off")
    bad = good[telling].model_copy(update={"time": good[telling].time + 60 * blunder_min})
    spoilt = [*good[:telling], bad, *good[telling + 1 :]]
    found = estimate_facing(guess, spoilt, ["w"])
    assert turned(found.azimuth, clean.azimuth) < clean.sd
    assert turned(found.azimuth, site.windows[0].azimuth) < 3 * found.sd
    checks = {check.sighting: check for check in found.checks}
    assert checks[bad].wrong > 0.8
    assert checks[bad].off == pytest.approx(blunder_min, abs=10)
    assert sum(check.wrong > 0.5 for check in found.checks) == 1


def test_a_single_sighting_is_said_to_be_too_few() -> None:
    site = made_site(47.0, azimuth=140.0)
    random = np.random.default_rng(7)
    [only] = [s for s in watched(site, random, 6, 2.0, date(2027, 4, 1)) if s.seen == "off"][:1]
    found = estimate_facing(guessed(site, azimuth=120.0), [only], ["w"])
    assert "too few" in (found.doubt or "")
    # It may be wrong altogether, in one of twelve cases: two standard deviations must reach that.
    assert found.sd > 3.0


def test_sunrises_alone_tell_next_to_nothing() -> None:
    # An east window gets the sun as soon as it is up, whether it faces 60° or 120°.
    site = made_site(47.0, azimuth=90.0)
    random = np.random.default_rng(8)
    rises = [s for s in watched(site, random, 16, 2.0, date(2027, 4, 1)) if s.seen == "on"]
    assert len(rises) >= 5
    found = estimate_facing(guessed(site, azimuth=75.0), rises, ["w"])
    assert found.sd > 15.0
    assert "too few" in (found.doubt or "")
    assert turned(found.azimuth, 90.0) < 2 * found.sd


def test_windows_of_one_wall_help_each_other() -> None:
    site = made_site(47.0, azimuth=140.0)
    other = site.windows[0].model_copy(update={"name": "v"})
    both = site.model_copy(update={"windows": (site.windows[0], other)})
    random = np.random.default_rng(9)
    seen = watched(site, random, 12, 3.0, date(2027, 4, 1))
    shared = [
        sighting.model_copy(update={"window": "v"}) if number % 2 else sighting
        for number, sighting in enumerate(seen)
    ]
    alone = estimate_facing(both, [s for s in shared if s.window == "w"], ["w"])
    together = estimate_facing(both, shared, ["w", "v"])
    assert together.sd < alone.sd
    assert len(together.checks) == len(seen)


def test_a_sighting_that_stands_twice_counts_once() -> None:
    site = made_site(47.0, azimuth=140.0)
    seen = watched(site, np.random.default_rng(10), 5, 2.0, date(2027, 4, 1))
    once, twice = (estimate_facing(site, part, ["w"]) for part in (seen, seen + seen))
    assert once.azimuth == twice.azimuth
    assert once.sd == twice.sd
    assert len(twice.checks) == 5


def test_times_by_which_it_had_come_or_gone_narrow_a_cloudy_day() -> None:
    site = made_site(47.0, azimuth=200.0)
    on, off = changes(site, date(2027, 4, 1))
    one_sided = [
        Sighting(window="w", time=on[0] - 600, seen="not-yet-on"),
        Sighting(window="w", time=on[0] + 600, seen="already-on"),
        Sighting(window="w", time=off[-1] - 600, seen="still-on"),
        Sighting(window="w", time=off[-1] + 600, seen="already-off"),
    ]
    found = estimate_facing(guessed(site, azimuth=180.0), one_sided, ["w"])
    assert turned(found.azimuth, 200.0) < 2 * found.sd
    # Twenty minutes either time are five degrees; a slip in one of them is not ruled out.
    near = np.array([turned(azimuth, 200.0) < 8.0 for azimuth in found.odds.azimuth])
    assert found.odds.share[near].sum() > 0.8
