"""Days with closings beside days without, from made rooms whose answer is known."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from suncover.base.errors import FileFaults
from suncover.compare.indoors import Indoors, _student, indoors
from suncover.site.temperature_log import TemperatureLog, temperature_from_text

ZONE = ZoneInfo("UTC")
FIRST = date(2027, 6, 1)


def made(
    seed: int, days: int, effect: float, *, by_warmth: bool = False
) -> tuple[TemperatureLog, TemperatureLog, set[date]]:
    """A room that follows the outdoors, noise that lasts for days, and shades closed by lot, or on
    all warm days.
    """
    random = np.random.default_rng(seed)
    warm = 22.0 + np.convolve(random.normal(0, 2, days + 4), np.ones(4) / 2, "valid")[:days]
    shut = warm > np.median(warm) if by_warmth else random.random(days) < 0.5
    rest = np.convolve(random.normal(0, 0.3, days + 1), [1.0, 0.5], "valid")[:days]
    mean = 10.0 + 0.5 * warm + 0.2 * np.append(warm[0], warm[:-1]) + rest + effect * shut
    start = datetime.combine(FIRST, datetime.min.time(), UTC).timestamp()
    times = start + np.arange(days * 48) * 1800.0
    swing = np.sin((np.arange(days * 48) / 48.0 - 0.4) * 2 * np.pi)
    inside = TemperatureLog(times, np.repeat(mean, 48) + 2.0 * swing, 1800.0)
    outside = TemperatureLog(times, np.repeat(warm, 48) + 6.0 * swing, 1800.0)
    closed = {FIRST + timedelta(days=int(number)) for number in np.flatnonzero(shut)}
    return inside, outside, closed


def told(*case: object, **change: bool) -> Indoors:
    inside, outside, closed = made(*case, **change)  # type: ignore[arg-type]
    return indoors(inside, outside, closed, ZONE)


def test_a_room_that_closings_cool_is_told_so():
    result = told(1, 60, -1.5)
    assert result.is_told
    assert result.low < -1.5 < result.high < 0.0


def test_the_interval_holds_the_truth_as_often_as_it_says_and_claims_little_where_none_is():
    none = [told(seed, 40, 0.0) for seed in range(100)]
    claims = np.mean([result.is_told for result in none])
    # 5 % of houses, and three standard errors of a share among so many.
    assert claims <= 0.05 + 3.0 * np.sqrt(0.05 * 0.95 / len(none))
    assert claims > 0.0


def test_closings_on_all_warm_days_are_not_taken_for_the_warmth():
    results = [told(seed, 60, -1.0, by_warmth=True) for seed in range(20)]
    inside, _outside, closed = made(3, 60, -1.0, by_warmth=True)
    means = inside.values.reshape(60, 48).mean(axis=1)
    shut = np.array([FIRST + timedelta(days=n) in closed for n in range(60)])
    assert means[shut].mean() > means[~shut].mean()  # at a first look, closings make it warmer
    assert all(r.effect is not None and r.effect < 0.0 for r in results)


@pytest.mark.parametrize(
    ("case", "why"),
    [
        pytest.param((1, 60, -1.5), "not known", id="no outdoors"),
        pytest.param((1, 8, -1.5), "5 of either kind", id="a week"),
    ],
)
def test_no_claim_where_it_cannot_be_told(case, why):
    inside, outside, closed = made(*case)
    result = indoors(inside, None if "known" in why else outside, closed, ZONE)
    assert result.effect is None
    assert why in (result.why_not or "")
    assert not result.is_told


def test_hours_above_the_limit_are_counted_by_kind_of_day():
    inside, outside, closed = made(1, 30, 0.0)
    result = indoors(inside, outside, closed, ZONE, limit=24.0)
    total = sum(result.above(closed=kind)[1] for kind in (True, False))
    assert total == pytest.approx(float(np.sum(inside.values > 24.0)) * 1800.0)
    assert sum(result.above(closed=kind)[0] for kind in (True, False)) == 30


def test_a_day_with_half_its_readings_is_left_out():
    inside, outside, closed = made(1, 30, 0.0)
    kept = np.ones(len(inside.times), dtype=bool)
    kept[96:120] = False
    result = indoors(
        TemperatureLog(inside.times[kept], inside.values[kept], 1800.0), outside, closed, ZONE
    )
    assert (len(result.days), result.left_out) == (29, 1)


@pytest.mark.parametrize(("free", "value"), [(5, 2.571), (10, 2.228), (30, 2.042), (60, 2.000)])
def test_student_is_as_tabled(free, value):
    """M. Abramowitz and I. Stegun, Handbook of Mathematical Functions, 1964, table 26.10."""
    assert _student(free) == pytest.approx(value, abs=0.004)


def test_fahrenheit_is_refused():
    text = "time,value\n2027-06-01T09:00:00Z,75\n2027-06-01T10:00:00Z,77\n"
    with pytest.raises(FileFaults, match="temperatures in °C"):
        temperature_from_text(text, ZONE)
