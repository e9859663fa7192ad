"""Days and months of a weather year, by the site's clock."""

from datetime import UTC, date, datetime
from types import SimpleNamespace
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from suncover.sun.weather.days import cooling_degree_days, days_of

NEW_YORK = ZoneInfo("America/New_York")


def year(start: datetime, hours: int, temperature=None) -> Any:
    """What of a year its days are made of; some hours will do."""
    begin = start.timestamp() + np.arange(hours) * 3600.0
    return SimpleNamespace(start=begin, step=3600.0, temperature=temperature)


def test_rows_belong_to_the_day_and_month_that_the_clock_shows():
    """31 January 23:30 in New York is 1 February 04:30 in UTC."""
    days = days_of(year(datetime(2026, 1, 31, tzinfo=UTC), 72), NEW_YORK)
    assert days.dates == (date(2026, 1, 30), date(2026, 1, 31), date(2026, 2, 1), date(2026, 2, 2))
    assert days.sums(np.ones(72)) == pytest.approx([5, 24, 24, 19])
    assert days.monthly(np.ones(72))[:2] == pytest.approx([29, 43])


def test_days_of_23_and_25_hours():
    spring = days_of(year(datetime(2026, 3, 8, 5, tzinfo=UTC), 47), NEW_YORK)
    autumn = days_of(year(datetime(2026, 11, 1, 4, tzinfo=UTC), 49), NEW_YORK)
    assert spring.sums(np.ones(47)) == pytest.approx([23, 24])
    assert autumn.sums(np.ones(49)) == pytest.approx([25, 24])


def test_the_parts_of_a_day_at_both_ends_of_the_year_are_one_day():
    """A year of UTC rows starts on the evening of 31 December in New York."""
    days = days_of(year(datetime(2026, 1, 1, tzinfo=UTC), 8760), NEW_YORK)
    assert len(days.dates) == 365
    assert days.sums(np.ones(8760)) == pytest.approx(
        [23 if day == date(2026, 3, 8) else 25 if day == date(2026, 11, 1) else 24
         for day in days.dates]
    )  # fmt: skip
    assert days.monthly(np.ones(8760))[11] == 31 * 24


def test_a_days_mean_is_that_of_its_high_and_low():
    temperature = np.array([10.0] * 23 + [30.0])
    days = days_of(year(datetime(2026, 6, 1, 4, tzinfo=UTC), 24, temperature), NEW_YORK)
    assert days.warmth == pytest.approx([20.0])


def test_cooling_degree_days_of_a_day_from_70_to_90_degrees_fahrenheit():
    """Base 65 °F on the mean of high and low: 90/70 °F are 15 (US National Weather Service)."""
    mean = ((90 - 32) / 1.8 + (70 - 32) / 1.8) / 2
    assert cooling_degree_days(np.array([mean])) * 1.8 == pytest.approx(15, abs=1e-3)
    assert cooling_degree_days(np.array([10.0, 5.0])) == 0.0


def test_seasons_pick_their_days():
    days = days_of(year(datetime(2026, 1, 1, 5, tzinfo=UTC), 8760), NEW_YORK)
    assert days.season(((4, 15), (10, 15))).sum() == 184
    assert days.season(None).all()
    assert days.warmth is None
