"""From sun kept out to electricity and money, as ranges from the low end to the high.

    sun kept out on cooling days x share that the cooling must carry off / COP  = electricity saved
    sun lost on heating days     x share that the heating need not give         = heat to be bought

Which days those are is decided by each day's mean temperature in the weather year. Where the
weather has no temperatures, the days in the season of `[need]` count as cooling days and all others
as heating days; with no season either, the warm half of the year does (all of it in the tropics).

Every number may be a range, and every result is one: its low end takes each assumption at its least
helpful, its high end at its most. Nothing here pretends to be exact.

All figures are of what an option adds to the windows as they stand today (`options.STANDS`): one
that is the same as what stands gains nothing, and never pays back.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suncover.compare.year import Comparison
from suncover.heat.shade_optics import LEAST_OFF, MOST_OFF
from suncover.site.model import Money, MonthDay, Site
from suncover.site.options import STANDS, Range
from suncover.sun.weather.days import YearDays

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Published models of one and the same plain window differ by 7 % (south) to 18 % (north) in the
# sun on it (ANSI/ASHRAE Standard 140-2020, example results): about a tenth to either side.
MODEL_SHARE = 0.10
# The warm half of the year, for weather without temperatures; common practice, no source.
WARM_NORTH = MonthDay(4, 15), MonthDay(10, 14)
WARM_SOUTH = MonthDay(10, 15), MonthDay(4, 14)
TROPIC = 23.44  # degrees of latitude


@dataclass(frozen=True)
class DayKinds:
    """Which days need cooling and which heating, (days,): at the temperature that makes them the
    fewest and the most.

    `known` says that temperatures decided it, not the season.
    """

    cooling: tuple[Bools, Bools]
    heating: tuple[Bools, Bools]
    known: bool


def day_kinds(site: Site, days: YearDays) -> DayKinds:
    """Cooling and heating days of a weather year at a site."""
    if days.warmth is None:
        season = days.season(_warm_season(site))
        return DayKinds((season, season), (~season, ~season), known=False)
    money = site.money
    narrow, wide = money.cooling_above[1], money.cooling_above[0]
    cold, colder = money.heating_below
    return DayKinds(
        (days.warmth > narrow, days.warmth > wide),
        (days.warmth < cold, days.warmth < colder),
        known=True,
    )


def _warm_season(site: Site) -> tuple[MonthDay, MonthDay] | None:
    """The site's season, or else the warm half of its year; None (all year) in the tropics."""
    if site.need.season is not None:
        return site.need.season
    if abs(site.place.latitude) < TROPIC:
        return None
    return WARM_NORTH if site.place.latitude > 0 else WARM_SOUTH


@dataclass(frozen=True)
class Worth:
    """What an option adds to the windows as they stand, in a year; each a range, kWh or money.

    `kept_out_kwh` sun kept out on cooling days, `lost_kwh` sun lost on heating days (heat through
    the glass, both); `electricity_kwh` saved, `heat_kwh` to be given by the heating instead;
    `net_kwh` what is left of the one after the other, in kWh of electricity, heat counted as a heat
    pump of the cooling's COP would make it. `money` is None where a price is missing, `payback`
    years where money or the option's price is; its ends are infinite where it never pays.
    """

    kept_out_kwh: Range
    lost_kwh: Range
    electricity_kwh: Range
    heat_kwh: Range
    money: Range | None
    payback: Range | None
    net_kwh: Range = (0.0, 0.0)

    @property
    def net(self) -> Range:
        """What counts in the end: money where prices are known, else kWh of electricity."""
        return self.net_kwh if self.money is None else self.money


def worth_of(
    comparison: Comparison,
    kinds: DayKinds,
    option: str,
    window: str | None = None,
    *,
    beside: str = STANDS,
) -> Worth:
    """What an option adds to another, to what stands if that is left out: for the house, or for
    one window (without a payback).

    Raises
    ------
    RequestError
        When there is no such option or window.
    """
    names = [pane.name for pane in comparison.site.windows]
    if window is not None:
        names = [comparison.site.window(window).name]
    cases = sum(
        (spared_by_day(comparison, option, name, beside) for name in names),
        np.zeros((CASES, len(comparison.days.dates))),
    )
    price = None
    if window is None and beside == STANDS and comparison.tells_payback:
        price = comparison.variant(option).price
    return worth(cases[0], kinds, comparison.site.money, price, cases=tuple(cases[1:]))


CASES = 3
"""Cases of what is kept out: as computed, and the least and the most by the method for shades."""


def spared_by_day(comparison: Comparison, option: str, window: str, beside: str = STANDS) -> Floats:
    """kWh that an option keeps out of a window beside another, (cases, days).

    How far the method for shades is off is one unknown number for one cloth on one glass: where
    an option has the very shades that stand, both are off by the same. Other shades may be off the
    other way.
    """
    present, changed = (comparison.daily(name, window) for name in (beside, option))
    same_shades = _shades_on(comparison, beside, window) == _shades_on(comparison, option, window)
    return (present - (changed if same_shades else changed[[0, 2, 1]])) / 1000.0


def _shades_on(comparison: Comparison, option: str, window: str) -> list[object]:
    """The shades that an option moves before a window, by what they do."""
    fitted = comparison.fitted(option, window)
    if fitted.closing == "never":
        return []
    return [
        (shade.name, effect.place, effect.fabric, effect.left) for shade, effect in fitted.effects
    ]


def worth(
    spared: Floats,
    kinds: DayKinds,
    money: Money,
    price: Range | None = None,
    *,
    cases: Sequence[Floats] = (),
) -> Worth:
    """The worth of keeping out `spared` kWh on each day, (days,); it may also be any of `cases`."""
    sums = [
        (
            _ends(float(kwh[day_mask].sum()) for day_mask in kinds.cooling),
            _ends(float(kwh[day_mask].sum()) for day_mask in kinds.heating),
        )
        for kwh in (spared, *cases)
    ]
    return worth_of_sums(sums, money, price)


def worth_of_sums(
    sums: Sequence[tuple[Range, Range]], money: Money, price: Range | None = None
) -> Worth:
    """The worth of kWh kept out on cooling days and on heating days; any of the cases may hold."""
    parts = [_case(kept, lost, money) for kept, lost in sums]
    kept, lost, electricity, heat, net, saved = (
        (min(pair[0] for pair in pairs), max(pair[1] for pair in pairs))
        for pairs in zip(*parts, strict=True)
    )
    priced = money.electricity is not None and money.heating is not None
    worth_a_year = saved if priced else None
    return Worth(kept, lost, electricity, heat, worth_a_year, _payback(price, worth_a_year), net)


def _case(kept: Range, lost: Range, money: Money) -> tuple[Range, ...]:
    """Kept out, lost, electricity, heat, net and money (0 without prices) of one case.

    What the models are off by, they are off by on both kinds of days.
    """
    cop = money.cooling_cop
    inverse = 1.0 / cop[1], 1.0 / cop[0]
    cooling_less, heating_more = (
        _product(kept, money.cooling_share),
        _product(lost, money.heating_share),
    )
    electricity = _product(cooling_less, inverse)
    net = _product((cooling_less[0] - heating_more[1], cooling_less[1] - heating_more[0]), inverse)
    gain = _product(electricity, money.electricity or (0.0, 0.0))
    cost = _product(heating_more, money.heating or (0.0, 0.0))
    saved = gain[0] - cost[1], gain[1] - cost[0]
    return tuple(map(_widened, (kept, lost, electricity, heating_more, net, saved)))


def _ends(numbers: Iterable[float]) -> Range:
    ordered = sorted(numbers)
    return ordered[0], ordered[-1]


def _widened(pair: Range) -> Range:
    """Both ends of an energy, a tenth farther out for the models' own spread."""
    low, high = pair
    # Nothing is nothing, without a sign.
    return low - MODEL_SHARE * abs(low) + 0.0, high + MODEL_SHARE * abs(high) + 0.0


def _product(*ranges: Range) -> Range:
    """The least and the greatest product of numbers out of the ranges."""
    low, high = ranges[0]
    for first, last in ranges[1:]:
        corners = (low * first, low * last, high * first, high * last)
        low, high = min(corners), max(corners)
    return low, high


def _payback(price: Range | None, saved: Range | None) -> Range | None:
    """Years from the luckiest to the unluckiest case; infinite where a year saves nothing. None
    where a price is missing, or nothing has to be paid.
    """
    if price is None or saved is None:
        return None
    if price[1] <= 0.0 and saved != (0.0, 0.0):
        return None  # nothing is paid, so that nothing is paid back
    quick = price[0] / saved[1] if saved[1] > 0.0 else math.inf
    slow = price[1] / saved[0] if saved[0] > 0.0 else math.inf
    return quick, slow


def value_of_kwh(money: Money) -> tuple[float, float, str]:
    """What one kWh of sun is worth when kept out on a cooling day, and when let in on a heating
    day, and in what unit: money, or kWh of electricity and heat where prices are missing.

    At the middle of every range; for choosing the best of many, not for telling what it brings.
    """
    cool = _middle(money.cooling_share) / _middle(money.cooling_cop)
    heat = _middle(money.heating_share)
    if money.electricity is None or money.heating is None:
        # Without prices a kWh of heat counts like one of electricity through the same COP, as a
        # heat pump would have it.
        return cool, heat / _middle(money.cooling_cop), "kWh of electricity"
    return cool * _middle(money.electricity), heat * _middle(money.heating), money.currency


def _middle(pair: Range) -> float:
    return (pair[0] + pair[1]) / 2.0


def assumptions(site: Site, kinds: DayKinds) -> tuple[str, ...]:
    """Every assumption behind the worth, as short sentences."""
    money = site.money
    if kinds.known:
        days = (
            f"cooling days: daily mean above {span(money.cooling_above)} °C; "
            f"heating days: below {span(money.heating_below)} °C"
        )
    elif site.need.season is not None:
        days = (
            "no temperatures in the weather: the season counts as cooling days, the rest as heating"
        )
    else:
        warm = _warm_season(site)
        days = "no temperatures in the weather: all days count as cooling days"
        if warm is not None:
            days = (
                f"no temperatures in the weather: the days from {warm[0]} to {warm[1]} count as "
                "cooling days, the rest as heating"
            )
    share = (
        f"of the sun let in, {percent(money.cooling_share)} must be cooled away on cooling days, "
        f"{percent(money.heating_share)} saves heating on heating days"
    )
    cop = f"cooling COP {span(money.cooling_cop)}"
    if money.seer is not None:
        cop += f" (SEER {span(money.seer)})"
    prices = []
    for carrier, price in (("electricity", money.electricity), ("heat", money.heating)):
        if price is not None:
            # Letters stand apart from the number, signs at it: kr 1.2, $0.12.
            space = " " if money.currency[-1].isalpha() else ""
            prices.append(f"{carrier} {money.currency}{space}{span(price)} per kWh")
    models = (
        f"sun and sky models: {MODEL_SHARE * 100:.0f} % either way; a closed shade leaves up to "
        f"{-LEAST_OFF:g} of g less, or {MOST_OFF:g} more, than its method says"
    )
    return (days, share, ", ".join([cop, *prices]), models)


def span(pair: Range, digits: int = 3) -> str:
    """A range as a person reads it: `3-4.1`, or one number where both ends are the same."""
    low, high = (f"{number:.{digits}g}" for number in pair)
    return low if low == high else f"{low} to {high}"


def percent(pair: Range) -> str:
    """A range of shares: `50-90 %`."""
    low, high = round(pair[0] * 100), round(pair[1] * 100)
    return f"{low} %" if low == high else f"{low} to {high} %"
