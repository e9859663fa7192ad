"""Overhang against shade: a weather year through every window, once for each option.

    site ──> variants ──> light on the glass ──> what glass and shades let in ──> sums
    weather ──> sky ──────────┘                          └── closings from the season's plan, or
                                                             from any other plan

Energies are for the whole glass of a window. No option lets in more than the bare window.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property
from operator import attrgetter
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from suncover.base.errors import RequestError
from suncover.base.shown import html_table, short_repr
from suncover.compare.down import Closed, ShadesDown, geometry_of
from suncover.compare.given import closings_of, in_year
from suncover.compare.options import Fitted, Variant, variants_of
from suncover.facade.exposure import observer_of
from suncover.heat.gain import Flow, Light, closed_share, light_on
from suncover.heat.shade_optics import ShadeEffect
from suncover.heat.tally import Tally
from suncover.plan.closings.shade_plan import Closing, ShadePlan
from suncover.site.finding import Finding
from suncover.site.model import Shade, Site
from suncover.sun.sky import Sky, SkyModel, sky_of
from suncover.sun.weather.days import MONTHS, YearDays, days_of
from suncover.sun.weather.load import weather_at
from suncover.sun.weather.year import WeatherYear

if TYPE_CHECKING:
    import pandas as pd

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Outcome:
    """What one option does for one window over the year.

    `incident` and `admitted` (rows,) are Wh on the outside of the glass and into the room in each
    weather row; `least` and `most` (rows,) the ends of what may be admitted, by how far the method
    for closed shades may be off. `closed_h` are the daylight hours with a shade closed; `daylight`
    the sky and ground light in Wh that comes as far as the glass and past the cloth of a closed
    shade, times what other glass or a film leaves of it; None where that is not known.
    """

    __repr__ = short_repr

    window: str
    option: str
    incident: Floats
    admitted: Floats
    closed_h: float
    daylight: float | None
    least: Floats
    most: Floats


@dataclass(frozen=True)
class Comparison:
    """All options over one weather year; `outcomes` by option, then by window."""

    __repr__ = short_repr

    site: Site
    weather: WeatherYear
    days: YearDays
    variants: tuple[Variant, ...]
    outcomes: dict[str, dict[str, Outcome]]
    model: SkyModel
    year: _Year = field(compare=False)

    def house(self, option: str) -> Floats:
        """Wh into all windows together in each row, (rows,)."""
        return np.asarray(sum(out.admitted for out in self._of(option).values()))

    def outcome(self, option: str, window: str) -> Outcome:
        """What an option does for a window.

        Raises
        ------
        RequestError
            When there is no such option or window; its text names the nearest.
        """
        return self._of(option)[self.site.window(window).name]

    def _of(self, option: str) -> dict[str, Outcome]:
        return self.outcomes[self.variant(option).name]

    def variant(self, option: str) -> Variant:
        """The option of that name.

        Raises
        ------
        RequestError
            When there is none; its text names the nearest.
        """
        for variant in self.variants:
            if variant.name == option:
                return variant
        names = [variant.name for variant in self.variants]
        raise RequestError(Finding((), f'no option is named "{option}"', option, names).sentence)

    def daily(self, option: str, window: str) -> Floats:
        """Wh into a window on each day: as computed, the least and the most, (3, days)."""
        key = (option, window)
        if key not in self.year.daily:
            out = self.outcome(option, window)
            middle = self.days.sums(out.admitted)
            ends = [middle, middle]
            if out.least is not out.admitted:
                ends = [self.days.sums(rows) for rows in (out.least, out.most)]
            self.year.daily[key] = np.stack([middle, *ends])
        return self.year.daily[key]

    def fitted(self, option: str, window: str) -> Fitted:
        """A window as an option has it; raises as `outcome`."""
        name = self.site.window(window).name
        return next(pane for pane in self.variant(option).windows if pane.window.name == name)

    @property
    def tells_payback(self) -> bool:
        """Is the weather good enough to tell when something pays? Not a sky that is always clear,
        and not another climate's.
        """
        return not self.weather.clear and not self.weather.elsewhere

    def with_plan(
        self, name: str, plan: Iterable[ShadePlan] | Iterable[Closing], price: float | None = None
    ) -> Comparison:
        """The comparison with one option more: the windows as they are, and the shades closed by
        any plan: the best, a timer's, one read with `read_plan`, last year's.

        The plan's closings are taken at the same dates and clock times of the weather's year; where
        it has none the shades are up. A plan of more than a year counts with its first year.

        Raises
        ------
        RequestError
            When there is an option of that name, or no shade of a closing's.
        """
        if any(variant.name == name for variant in self.variants):
            raise RequestError(f'there is an option "{name}" already; give the plan another name')
        rows = closings_of(plan)
        names = [shade.name for shade in self.site.all_shades()]
        for shade in {row.shade: None for row in rows}:
            if shade not in names:
                raise RequestError(
                    Finding((), f'no shade is named "{shade}"', shade, names).sentence
                )
        base = self.variant("both")
        cost = None if price is None else (price, price)
        variant = replace(base, name=name, price=cost, closings=in_year(rows, self.days, self.site))
        outcomes = {**self.outcomes, name: self.year.outcomes(variant)}
        return replace(self, variants=(*self.variants, variant), outcomes=outcomes)

    def to_frame(self) -> pd.DataFrame:
        """A row for each window, option and month: `incident_kwh`, `admitted_kwh`."""
        import pandas as pd

        rows = [
            (window.name, variant.name, month + 1, incident, admitted)
            for window in self.site.windows
            for variant in self.variants
            for month, (incident, admitted) in enumerate(
                zip(*self.monthly_kwh(variant.name, window.name), strict=True)
            )
        ]
        return pd.DataFrame(
            rows, columns=["window", "option", "month", "incident_kwh", "admitted_kwh"]
        )

    def monthly_kwh(self, option: str, window: str) -> tuple[Floats, Floats]:
        """kWh on the glass and into the room in each month, (12,) each."""
        out = self.outcome(option, window)
        return self.days.monthly(out.incident) / 1000.0, self.days.monthly(out.admitted) / 1000.0

    def _repr_html_(self) -> str:
        """For notebooks: kWh into the room in the year, window by window and option by option."""
        options = list(self.outcomes)
        rows = [
            (window, *(f"{self.outcomes[o][window].admitted.sum() / 1000:.0f}" for o in options))
            for window in self.outcomes[options[0]]
        ]
        caption = f"{self.site.place.name}: kWh of sun into the room in the year"
        return html_table(caption, ("window", *options), rows, self.weather.source)


def compare_year(
    site: Site, weather: WeatherYear, model: SkyModel = "perez", *, yardsticks: bool = True
) -> Comparison:
    """Every option of a site over a weather year; without the `yardsticks` for the shades' plan,
    which a summary needs, in less time.

    Raises
    ------
    RequestError
        When the weather cannot be that of the site, or there is no such sky model.
    """
    weather = weather_at(weather, site.place)
    year = _Year(site, weather, model)
    variants = variants_of(site, yardsticks=yardsticks)
    outcomes = {variant.name: year.outcomes(variant) for variant in variants}
    return Comparison(site, weather, year.days, variants, outcomes, model, year)


def monthly_heat(
    site: Site, weather: WeatherYear
) -> Iterator[tuple[str, str, tuple[Floats, Floats]]]:
    """Window, option, and what `Comparison.monthly_kwh` gives, for the four standard options and
    those of the site: in less time, as nothing else of a comparison is worked out.
    """
    year = _Year(site, weather_at(weather, site.place), "perez", monthly=True)
    variants = [variant for variant in variants_of(site, yardsticks=False) if not variant.extra]
    energies = {variant.name: year.energies(variant) for variant in variants}
    for window in site.windows:
        for variant in variants:
            incident, admitted = energies[variant.name][window.name]
            yield window.name, variant.name, (incident / 1000.0, admitted / 1000.0)


Leaves = Callable[[ShadeEffect], float]
"""Share of some light that a shade leaves while it is down."""
_LEFT: Leaves = attrgetter("left")
_LEAST: Leaves = attrgetter("least")
_MOST: Leaves = attrgetter("most")
_CLOTH: Leaves = attrgetter("fabric.transmittance")
_NOTHING: Leaves = lambda _: 0.0  # noqa: E731


@dataclass(frozen=True)
class PastShades:
    """What enters through a window's glass and past its shades.

    `slots` (m,) are those in which one of them is down, `down` what share of the glass each of
    them then covers, (m,).
    """

    inside: Flow
    slots: NDArray[np.intp]
    down: tuple[tuple[ShadeEffect, Floats], ...]

    def loss_of(self, leaves: Leaves) -> Floats:
        """What all of them take of light of which each leaves some share, (m,)."""
        left = np.ones(len(self.slots))
        for effect, closed in self.down:
            left *= 1.0 - closed * (1.0 - leaves(effect))
        return 1.0 - left

    @cached_property
    def _energy(self) -> Floats:
        return self.inside.at(self.slots)

    def sums(self, leaves: Leaves) -> Floats:
        """Wh per m² of glass by the tally's bins, (count,)."""
        if not len(self.slots):
            return self.inside.total
        loss = self.inside.light.tally.of(self._energy * self.loss_of(leaves), self.slots)
        return np.maximum(self.inside.total - loss, 0.0)


class _Year:
    """A weather year at a site, with what has been worked out for it and serves again.

    Its sums are for the weather's rows, or with `monthly` for the months.
    """

    def __init__(
        self, site: Site, weather: WeatherYear, model: SkyModel, *, monthly: bool = False
    ) -> None:
        self._zone = site.place.zone
        self.days = days_of(weather, self._zone)
        self.sky: Sky = sky_of(weather, observer_of(site.place), site.place.albedo, model)
        self._tally = Tally.by_row(self.sky, len(weather.start))
        if monthly:
            self._tally = Tally(self.sky, self.days.month[self.sky.row], MONTHS)
        self._light: dict[Hashable, Light] = {}
        self._flows: dict[Hashable, Flow] = {}
        self.daily: dict[tuple[str, str], Floats] = {}
        self._shades = ShadesDown(self.days, self._zone)

    def __getstate__(self) -> dict[str, object]:
        """Without what can be worked out again."""
        tally = Tally(self.sky, self._tally.bin, self._tally.count)
        return {**vars(self), "_tally": tally, "_light": {}, "_flows": {}, "daily": {}}

    def outcomes(self, variant: Variant) -> dict[str, Outcome]:
        """What a variant does, by the names of its windows."""
        closings = self._shades.closed(variant)
        return {
            fitted.window.name: self._outcome(variant, fitted, closings)
            for fitted in variant.windows
        }

    def energies(self, variant: Variant) -> dict[str, tuple[Floats, Floats]]:
        """What is `incident` and `admitted` of the variant's outcomes, without the rest."""
        closings = self._shades.closed(variant)
        result = {}
        for fitted in variant.windows:
            area = fitted.window.width * fitted.window.height
            outside, inside = self._flows_of(variant.site, fitted)
            admitted = self._past_shades(variant, fitted, closings, inside).sums(_LEFT)
            result[fitted.window.name] = outside.total * area, admitted * area
        return result

    def _outcome(self, variant: Variant, fitted: Fitted, closings: dict[str, Closed]) -> Outcome:
        area = fitted.window.width * fitted.window.height
        outside, inside = self._flows_of(variant.site, fitted)
        past = self._past_shades(variant, fitted, closings, inside)
        admitted = past.sums(_LEFT) * area
        least, most = admitted, admitted
        if fitted.closing != "never":
            least, most = (past.sums(end) * area for end in (_LEAST, _MOST))
        down = float((past.loss_of(_NOTHING) * self.sky.length[past.slots]).sum() / 3600.0)
        light = float(outside.parts[1:].sum())
        light -= float((past.loss_of(_CLOTH) * outside.spread_at(past.slots)).sum())
        return Outcome(
            fitted.window.name,
            variant.name,
            outside.total * area,
            admitted,
            down,
            None if fitted.light is None else light * area * fitted.light,
            least,
            most,
        )

    def _past_shades(
        self, variant: Variant, fitted: Fitted, closings: dict[str, Closed], inside: Flow
    ) -> PastShades:
        """What enters a window past its shades while they keep to their closings."""
        effects = fitted.effects if fitted.closing != "never" else ()
        down = [self._down(variant, shade, fitted, closings[shade.name]) for shade, _ in effects]
        slots = np.flatnonzero(np.any(down, axis=0)) if down else np.zeros(0, dtype=np.intp)
        return PastShades(
            inside,
            slots,
            tuple((effect, part[slots]) for (_, effect), part in zip(effects, down, strict=True)),
        )

    def _down(self, variant: Variant, shade: Shade, fitted: Fitted, closed: Closed) -> Floats:
        """Share of the glass that a shade covers in each slot, (n,)."""
        down = np.zeros(len(self.sky.seconds))
        for part, spells in closed.items():
            down += part * closed_share(spells, self.sky)
        if fitted.closing == "sunny":
            return np.where(self.sky.beam >= variant.site.need_of(shade).beam, down, 0.0)
        return down

    def _flows_of(self, site: Site, fitted: Fitted) -> tuple[Flow, Flow]:
        """The light on a window, and what of it enters through its glass, its shades up."""
        key = (geometry_of(fitted.window), site.trees)
        if key not in self._light:
            self._light[key] = light_on(site, fitted.window, self._tally)
            self._flows[key, None] = self._light[key].outside()
        if (key, fitted.glass) not in self._flows:
            self._flows[key, fitted.glass] = self._light[key].inside(fitted.glass)
        return self._flows[key, None], self._flows[key, fitted.glass]
