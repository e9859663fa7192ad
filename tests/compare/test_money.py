"""From sun kept out to electricity and money: sums by hand, and ranges that hold every case."""

import itertools
import math
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from suncover.compare.money import (
    MODEL_SHARE,
    DayKinds,
    assumptions,
    day_kinds,
    percent,
    span,
    value_of_kwh,
    worth,
)
from suncover.site.model import Money, MonthDay, Need, Place, Site, Window
from suncover.sun.weather.days import YearDays

DATES = tuple(date(2026, 1, 1) + timedelta(days=number) for number in range(365))


def days(warmth=None) -> YearDays:
    day = np.arange(365)
    month = np.array([d.month - 1 for d in DATES])
    return YearDays(DATES, day, month, warmth)


def site(latitude: float = 40.0, need: Need | None = None, **money) -> Site:
    return Site(
        place=Place(name="x", latitude=latitude, longitude=-100),
        need=need or Need(),
        windows=(Window(name="w", azimuth=180, width=1, height=1),),
        money=Money(**money),
    )


def kinds(cooling, heating) -> DayKinds:
    cooling, heating = np.array(cooling), np.array(heating)
    return DayKinds((cooling, cooling), (heating, heating), known=True)


ONE = Money(
    electricity=(0.2, 0.2),
    heating=(0.1, 0.1),
    cop=(4, 4),
    cooling_share=(0.8, 0.8),
    heating_share=(0.5, 0.5),
)
THREE_DAYS = kinds([True, False, False], [False, True, False])


def test_one_case_by_hand():
    """100 kWh kept out on a cooling day: 100 x 0.8 / 4 = 20 kWh, 4 $. 30 kWh lost on a heating day:
    15 kWh of heat, 1.50 $. 50 kWh on a mild day: nothing. Net 2.50 $, a tenth either way.
    """
    found = worth(np.array([100.0, 30.0, 50.0]), THREE_DAYS, ONE, (100.0, 100.0))
    assert found.kept_out_kwh == pytest.approx((90.0, 110.0))
    assert found.lost_kwh == pytest.approx((27.0, 33.0))
    assert found.electricity_kwh == pytest.approx((18.0, 22.0))
    assert found.heat_kwh == pytest.approx((13.5, 16.5))
    assert found.money == pytest.approx((2.25, 2.75))
    assert found.payback == pytest.approx((100 / 2.75, 100 / 2.25))
    # Electricity = heat x share / COP, COP = SEER / 3.412: 4.10 for SEER 14.
    rated = Money(seer=(14, 14), cooling_share=(1, 1))
    found = worth(np.array([410.3, 0.0, 0.0]), THREE_DAYS, rated, (100.0, 100.0))
    assert found.electricity_kwh == pytest.approx((90.0, 110.0), rel=1e-3)
    # Without both prices no money and no payback, so that all amounts of a home are of one kind;
    # a home that is not heated says so.
    assert (found.money, found.payback) == (None, None)
    cold = np.array([100.0, 30.0, 0.0])
    assert worth(cold, THREE_DAYS, Money(electricity=(0.2, 0.2))).money is None
    unheated = worth(cold, THREE_DAYS, Money(electricity=(0.2, 0.2), heating=(0.0, 0.0)))
    assert unheated.money == pytest.approx(tuple(0.2 * kwh for kwh in unheated.electricity_kwh))


SPREAD = Money(
    electricity=(0.1, 0.3),
    heating=(0.05, 0.1),
    cop=(2.5, 4),
    cooling_share=(0.4, 0.9),
    heating_share=(0.3, 0.8),
)


@given(
    st.floats(-500, 500),
    st.floats(-500, 500),
    st.tuples(*[st.floats(0, 1) for _ in range(6)]),
)
def test_a_range_holds_every_single_case(kept, lost, at):
    """Whatever each assumption turns out to be within its range, the result is within its own."""
    spared = np.array([kept, lost, 0.0])
    found = worth(spared, THREE_DAYS, SPREAD)
    names = ("electricity", "heating", "cop", "cooling_share", "heating_share")
    drawn = {}
    for name, share in zip(names, at, strict=False):
        low, high = getattr(SPREAD, name)
        value = low + (high - low) * share
        drawn[name] = value
    off = 1 + MODEL_SHARE * (2 * at[5] - 1)
    electricity = off * kept * drawn["cooling_share"] / drawn["cop"]
    heat = off * lost * drawn["heating_share"]
    money = electricity * drawn["electricity"] - heat * drawn["heating"]
    for value, (low, high) in (
        (electricity, found.electricity_kwh),
        (heat, found.heat_kwh),
        (money, found.money),
    ):
        assert low - 1e-9 <= value <= high + 1e-9


def test_the_ends_of_a_range_are_reached_by_some_case():
    spared = np.array([100.0, 40.0, 0.0])
    found = worth(spared, THREE_DAYS, SPREAD)
    ends = [getattr(SPREAD, n) for n in ("electricity", "heating", "cop")]
    ends += [SPREAD.cooling_share, SPREAD.heating_share, (0.9, 1.1)]
    cases = [
        off * (100.0 * c / cop * e - 40.0 * h * f)
        for e, f, cop, c, h, off in itertools.product(*ends)
    ]
    assert found.money == pytest.approx((min(cases), max(cases)))


@pytest.mark.parametrize(
    ("spared", "low", "high"),
    [
        ([100.0, 0.0, 0.0], False, False),
        ([100.0, 60.0, 0.0], False, True),
        ([10.0, 300.0, 0.0], True, True),
    ],
    ids=["always pays", "may never", "never"],
)
def test_paybacks_are_infinite_where_a_year_saves_nothing(spared, low, high):
    found = worth(np.array(spared), THREE_DAYS, SPREAD, (500.0, 800.0))
    assert math.isinf(found.payback[0]) is low
    assert math.isinf(found.payback[1]) is high
    assert found.payback[0] <= found.payback[1]


def test_days_are_told_apart_by_their_mean_temperature():
    warmth = np.linspace(0, 30, 365)
    found = day_kinds(site(cooling_above=(18, 22), heating_below=(12, 15)), days(warmth))
    assert found.known
    few, many = (which.sum() for which in found.cooling)
    assert few == (warmth > 22).sum()
    assert many == (warmth > 18).sum()
    assert [which.sum() for which in found.heating] == [(warmth < 12).sum(), (warmth < 15).sum()]


@pytest.mark.parametrize(
    ("latitude", "season", "inside", "outside"),
    [
        (40.0, (MonthDay(5, 1), MonthDay(9, 30)), 120, 100),
        (40.0, None, 180, 20),
        (-35.0, None, 20, 180),
    ],
    ids=["season", "north", "south"],
)
def test_without_temperatures_the_season_or_the_warm_half_decides(
    latitude, season, inside, outside
):
    where = site(latitude, Need(season=season))
    found = day_kinds(where, days())
    assert not found.known
    cooling, heating = found.cooling[0], found.heating[0]
    assert cooling[inside]
    assert not cooling[outside]
    assert (cooling ^ heating).all()
    assert day_kinds(site(10.0), days()).cooling[0].all()  # in the tropics, every day
    assert "no temperatures in the weather" in assumptions(where, found)[0]


def test_every_assumption_is_told():
    where = site(electricity=(0.1, 0.2), heating=(0.06, 0.06), seer=(14, 16), currency="€")
    text = "; ".join(assumptions(where, day_kinds(where, days(np.zeros(365)))))
    for part in (
        "daily mean above 18.3 °C",
        "below 15 °C",
        "50 to 90 % must be cooled away",
        "40 to 80 % saves heating",
        "cooling COP 4.1 to 4.69 (SEER 14 to 16)",
        "electricity €0.1 to 0.2 per kWh",
        "heat €0.06 per kWh",
        "10 % either way",
    ):
        assert part in text
    where = site(electricity=(0.2, 0.2), currency="kr")  # letters stand apart
    assert "electricity kr 0.2 per kWh" in "; ".join(assumptions(where, day_kinds(where, days())))
    assert (span((0.25, 0.25)), percent((0.25, 0.25))) == ("0.25", "25 %")


def test_worth_of_a_kwh_for_choosing_the_best():
    """The middle of the ranges: 0.8 / 4 x 0.2 $, and 0.5 x 0.1 $."""
    cool, heat, unit = value_of_kwh(ONE)
    assert (cool, heat, unit) == (pytest.approx(0.04), pytest.approx(0.05), "$")
    cool, heat, unit = value_of_kwh(Money(cop=(4, 4), cooling_share=(1, 1), heating_share=(1, 1)))
    assert (cool, heat, unit) == (pytest.approx(0.25), pytest.approx(0.25), "kWh of electricity")
