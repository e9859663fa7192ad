"""How well sightings agree with what was expected: densities held against plain sums."""

from __future__ import annotations

import math

import numpy as np
import pytest

from suncover.facing.likelihood import (
    FACTORS,
    GROSS_MIN,
    GROSS_SHARE,
    GROSS_STATE,
    LOG_FACTOR_PRIOR,
    USUAL_MIN,
    gross_chance,
    log_likelihood,
    normal_cdf,
    parts,
)
from suncover.site.sightings import Seen, Sighting


def sighting(seen: Seen = "on", **more: object) -> Sighting:
    return Sighting.model_validate({"window": "w", "time": 1.8e9, "seen": seen, **more})


def exact_cdf(x: float) -> float:
    return 0.5 * math.erfc(-x / math.sqrt(2))


def test_normal_distribution_is_within_the_error_of_its_formula() -> None:
    # Abramowitz and Stegun 26.2.17 states an error below 7.5e-8.
    x = np.linspace(-9, 9, 2001)
    assert normal_cdf(x) == pytest.approx([exact_cdf(v) for v in x.tolist()], abs=7.5e-8)


@pytest.mark.parametrize("span", [(-4.0, -4.0), (-3.0, -2.9), (1.0, 25.0), (-40.0, 30.0)])
@pytest.mark.parametrize("seen", ["on", "off"])
def test_a_time_is_a_bell_curve_about_an_even_spread(span: tuple[float, float], seen: Seen) -> None:
    cases = np.array([[*span, *span]])
    good, _ = parts(sighting(seen), cases, None)
    places = np.linspace(*span, 4001)
    for factor, found in zip(FACTORS, good[0], strict=True):
        sigma = USUAL_MIN * factor
        summed = np.exp(-0.5 * (places / sigma) ** 2).mean() / (sigma * np.sqrt(2 * np.pi))
        # A narrow spread is taken as a bell curve of the same variance.
        assert found == pytest.approx(summed, rel=0.02, abs=1e-9)


def test_it_is_a_density_over_all_times() -> None:
    at = np.arange(-2000.0, 2000.0, 0.25)
    cases = np.stack([at, at + 12, at, at + 12], axis=1)
    good, gross = parts(sighting(), cases, None)
    assert good.sum(axis=0) * 0.25 == pytest.approx(np.ones(len(FACTORS)), abs=1e-3)
    # Half of the gross errors are off by more than their typical size.
    away = np.maximum(np.abs(at + 6) - 6, 0)
    assert gross[away > GROSS_MIN].sum() * 0.25 < 0.55


def test_how_well_a_time_is_known_sets_its_width() -> None:
    cases = np.array([[10.0, 10.0, 10.0, 10.0]])
    rough, fine = (parts(sighting(minutes=m), cases, None)[0][0] for m in (10.0, 1.0))
    middle = len(FACTORS) // 2
    assert rough[middle] > 1e6 * fine[middle]


def test_what_should_not_be_there_at_all_can_only_be_wrong() -> None:
    cases = np.full((1, 4), np.nan)
    good, gross = parts(sighting(), cases, None)
    assert (good == 0).all()
    assert gross[0] > 0
    assert gross_chance(sighting(), cases) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("span", "chance"), [((-60.0, 60.0), 1.0), ((0.0, 600.0), 0.5), ((30.0, 600.0), 0.0)]
)
def test_a_state_is_certain_inside_its_spell(span: tuple[float, float], chance: float) -> None:
    cases = np.array([[*span, np.nan, np.nan]])
    good, gross = parts(sighting("already-on"), cases, None)
    middle = len(FACTORS) // 2
    assert good[0, middle] == pytest.approx(chance, abs=1e-4)
    assert gross[0] == GROSS_STATE


def test_a_patch_counts_only_what_was_measured() -> None:
    cases = np.array([[1.8, 1.8, -0.4, -0.4], [1.8, 1.8, 0.4, 0.4]])
    deep, _ = parts(sighting("patch", distance=1.8), cases, None)
    assert deep[0] == pytest.approx(deep[1])
    both, _ = parts(sighting("patch", distance=1.8, offset=-0.4, corner="left"), cases, None)
    assert (both[0] > 100 * both[1])[: len(FACTORS) // 2].all()


def test_an_unknown_skyline_excuses_sun_that_came_late_or_left_early() -> None:
    late = np.array([[-40.0, -40.0, -40.0, -40.0]])  # it was expected 40 minutes earlier
    for seen, excused in (("on", True), ("off", False)):
        plain = log_likelihood([sighting(seen)], late[None])
        hidden = log_likelihood([sighting(seen)], late[None], 60.0)
        middle = len(FACTORS) // 2
        assert (hidden > plain + 1)[0, middle] == excused


def test_sightings_multiply_and_the_factor_has_a_prior() -> None:
    cases = np.array([[[2.0, 2.0, 2.0, 2.0]]])
    one, two = (log_likelihood([sighting()] * n, np.repeat(cases, n, 0)) for n in (1, 2))
    assert two == pytest.approx(2 * one)
    assert np.exp(LOG_FACTOR_PRIOR).sum() == pytest.approx(1.0)
    assert 0 < GROSS_SHARE < 0.2
