"""Overhang against shade: a weather year through every window, once for each option.

    site ──> variants ──> light on the glass ──> what glass and shades let in ──> sums
    weather ──> sky ──────────┘                          └── closings from the season's plan, or
                                                             from any other plan

Energies are for the whole glass of a window. No option lets in more than the bare window.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from suncover.base.errors import RequestError
from suncover.base.shown import html_table, short_repr
from suncover.compare.down import Closed, ShadesDown, geometry_of
from suncover.compare.given import closings_of, in_year
from suncover.compare.options import Fitted, Variant, variants_of
from suncover.facade.exposure import observer_of
from suncover.heat.gain import Incident, closed_share, light_on, per_row
from suncover.heat.shade_optics import ShadeEffect
from suncover.plan.closings.shade_plan import Closing, ShadePlan
from suncover.site.finding import Finding
from suncover.site.model import Shade, Site, Window
from suncover.sun.sky import Sky, SkyModel, sky_of
from suncover.sun.weather.days import YearDays, days_of
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
    year = _Year(site, weather_at(weather, site.place), "perez")
    variants = [variant for variant in variants_of(site, yardsticks=False) if not variant.extra]
    energies = {variant.name: year.energies(variant) for variant in variants}
    for window in site.windows:
        for variant in variants:
            on_glass, inside = energies[variant.name][window.name]
            kwh = year.days.monthly(on_glass) / 1000.0, year.days.monthly(inside) / 1000.0
            yield window.name, variant.name, kwh


class _Year:
    """A weather year at a site, with what has been worked out for it and serves again."""

    def __init__(self, site: Site, weather: WeatherYear, model: SkyModel) -> None:
        self._weather = weather
        self._zone = site.place.zone
        self.days = days_of(weather, self._zone)
        self.sky: Sky = sky_of(weather, observer_of(site.place), site.place.albedo, model)
        self._light: dict[Hashable, Incident] = {}
        self._inside: dict[Hashable, Floats] = {}
        self._outside: dict[Hashable, Floats] = {}
        self.daily: dict[tuple[str, str], Floats] = {}
        self._shades = ShadesDown(self.days, self._zone)

    def __getstate__(self) -> dict[str, object]:
        """Without what can be worked out again."""
        return {**vars(self), "_light": {}, "_inside": {}, "_outside": {}, "daily": {}}

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
            window, light = fitted.window, self.light_on(variant.site, fitted.window)
            left = np.ones(len(self.sky.seconds))
            for effect, closed in self._closed_in(variant, fitted, closings):
                left = left * (1.0 - closed * (1.0 - effect.left))
            area = window.width * window.height
            inside = self._admitted(variant.site, fitted, light) * area
            admitted = per_row(self.sky, inside * left, len(self._weather.start))
            result[window.name] = self._incident(variant.site, window, light), admitted
        return result

    def _closed_in(
        self, variant: Variant, fitted: Fitted, closings: dict[str, Closed]
    ) -> Iterator[tuple[ShadeEffect, Floats]]:
        """The shades that close a window in a variant, and what each covers in each slot, (n,)."""
        if fitted.closing != "never":
            for shade, effect in fitted.effects:
                yield effect, self._down(variant, shade, fitted, closings[shade.name])

    def _outcome(self, variant: Variant, fitted: Fitted, closings: dict[str, Closed]) -> Outcome:
        sky, rows = self.sky, len(self._weather.start)
        light = self.light_on(variant.site, fitted.window)
        through, uncovered = np.ones(len(sky.seconds)), np.ones(len(sky.seconds))
        left = [uncovered] * 3  # as computed, and by the ends of the method's uncertainty
        for effect, closed in self._closed_in(variant, fitted, closings):
            ends = (effect.left, effect.least, effect.most)
            left = [
                share * (1.0 - closed * (1.0 - end)) for share, end in zip(left, ends, strict=True)
            ]
            through = through * (1.0 - closed * (1.0 - effect.fabric.transmittance))
            uncovered = uncovered * (1.0 - closed)
        area = fitted.window.width * fitted.window.height
        inside = self._admitted(variant.site, fitted, light) * area
        admitted = per_row(sky, inside * left[0], rows)
        lowest, highest = admitted, admitted
        if fitted.closing != "never":
            lowest, highest = (per_row(sky, inside * end, rows) for end in left[1:])
        past = light.diffuse * through * sky.hours
        return Outcome(
            fitted.window.name,
            variant.name,
            self._incident(variant.site, fitted.window, light),
            admitted,
            float(((1.0 - uncovered) * sky.length).sum() / 3600.0),
            None if fitted.light is None else float(past.sum() * area * fitted.light),
            lowest,
            highest,
        )

    def _down(self, variant: Variant, shade: Shade, fitted: Fitted, closed: Closed) -> Floats:
        """Share of the glass that a shade covers in each slot, (n,)."""
        down = np.zeros(len(self.sky.seconds))
        for part, spells in closed.items():
            down += part * closed_share(spells, self.sky)
        if fitted.closing == "sunny":
            return np.where(self.sky.beam >= variant.site.need_of(shade).beam, down, 0.0)
        return down

    def light_on(self, site: Site, window: Window) -> Incident:
        """The light on a window in each slot of the sky."""
        key = (geometry_of(window), site.trees)
        if key not in self._light:
            self._light[key] = light_on(site, window, self.sky)
        return self._light[key]

    def _incident(self, site: Site, window: Window, light: Incident) -> Floats:
        """Wh on the outside of a window in each row."""
        key = (geometry_of(window), site.trees)
        if key not in self._outside:
            area = window.width * window.height
            rows = len(self._weather.start)
            self._outside[key] = per_row(self.sky, light.total * area, rows)
        return self._outside[key]

    def _admitted(self, site: Site, fitted: Fitted, light: Incident) -> Floats:
        """W per m² of glass into the room in each slot, its shades up."""
        key = (geometry_of(fitted.window), site.trees, fitted.glass)
        if key not in self._inside:
            self._inside[key] = light.admitted(fitted.glass)
        return self._inside[key]
