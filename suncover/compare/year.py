"""Overhang against shade: a weather year through every window, once for each option.

    site ──> variants ──> light on the glass ──> what glass and shades let in ──> sums
    weather ──> sky ──────────┘                          └── closings from the season's plan

Energies are for the whole glass of a window. No option lets in more than the bare window.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from suncover.base.clock import season_spells
from suncover.base.errors import RequestError
from suncover.base.shown import html_table, short_repr
from suncover.base.spell import Spell, clip, union
from suncover.compare.options import Fitted, Variant, variants_of
from suncover.facade.exposure import observer_of, sun_on_window
from suncover.heat.gain import Incident, closed_share, light_on, per_row
from suncover.plan.closings.shade_plan import ShadePlan
from suncover.plan.needs import Want, needed_spells
from suncover.plan.season import ShadeSun, plans_for, with_exceptions
from suncover.site.model import Need, Shade, Site, Window
from suncover.sun.sky import Sky, SkyModel, sky_of
from suncover.sun.weather.days import YearDays, days_of
from suncover.sun.weather.year import WeatherYear

Floats = NDArray[np.float64]
Closed = dict[float, tuple[Spell, ...]]
"""When a shade is down, by the share of the glass that it then covers."""


@dataclass(frozen=True)
class Outcome:
    """What one option does for one window over the year.

    `incident` and `admitted` (rows,) are Wh on the outside of the glass and into the room in each
    weather row; `closed_h` the daylight hours with a shade closed; `daylight` the sky and ground
    light in Wh that comes as far as the glass and past the cloth of a closed shade, times what
    other glass or a film leaves of it; None where that is not known.
    """

    __repr__ = short_repr

    window: str
    option: str
    incident: Floats
    admitted: Floats
    closed_h: float
    daylight: float | None


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

    def house(self, option: str) -> Floats:
        """Wh into all windows together in each row, (rows,).

        Raises
        ------
        RequestError
            When there is no such option.
        """
        if option not in self.outcomes:
            known = ", ".join(f'"{name}"' for name in self.outcomes)
            raise RequestError(f'no option is named "{option}"; there are {known}')
        return np.asarray(sum(out.admitted for out in self.outcomes[option].values()))

    def _repr_html_(self) -> str:
        """For notebooks: kWh into the room in the year, window by window and option by option."""
        options = list(self.outcomes)
        rows = [
            (window, *(f"{self.outcomes[o][window].admitted.sum() / 1000:.0f}" for o in options))
            for window in self.outcomes[options[0]]
        ]
        caption = f"{self.site.place.name}: kWh of sun into the room in the year"
        return html_table(caption, ("window", *options), rows, self.weather.source)


def compare_year(site: Site, weather: WeatherYear, model: SkyModel = "perez") -> Comparison:
    """Every option of a site over a weather year."""
    year = _Year(site, weather, model)
    variants = variants_of(site)
    outcomes = {variant.name: year.outcomes(variant) for variant in variants}
    return Comparison(site, weather, year.days, variants, outcomes, model)


class _Year:
    """A weather year at a site, with what has been worked out for it and serves again."""

    def __init__(self, site: Site, weather: WeatherYear, model: SkyModel) -> None:
        self._weather = weather
        self._zone = site.place.zone
        self._span = (int(weather.start[0]), int(np.ceil(weather.end)))
        self.days = days_of(weather, self._zone)
        self._sky: Sky = sky_of(weather, observer_of(site.place), site.place.albedo, model)
        self._light: dict[tuple[object, ...], Incident] = {}
        self._sun: dict[tuple[object, ...], tuple[Spell, ...]] = {}

    def outcomes(self, variant: Variant) -> dict[str, Outcome]:
        """What a variant does, by the names of its windows."""
        closings = self._closings(variant)
        return {
            fitted.window.name: self._outcome(variant, fitted, closings)
            for fitted in variant.windows
        }

    def _outcome(self, variant: Variant, fitted: Fitted, closings: dict[str, Closed]) -> Outcome:
        sky, rows = self._sky, len(self._weather.start)
        light = self._light_on(variant.site, fitted.window)
        left, through, shut = (np.ones(len(sky.seconds)) for _ in range(3))
        if fitted.closing != "never":
            for shade, effect in fitted.effects:
                closed = np.zeros(len(sky.seconds))
                for part, spells in closings[shade.name].items():
                    closed += part * closed_share(spells, sky)
                if fitted.closing == "sunny":
                    closed = np.where(sky.beam >= variant.site.need_of(shade).beam, closed, 0.0)
                left *= 1.0 - closed * (1.0 - effect.left)
                through *= 1.0 - closed * (1.0 - effect.fabric.transmittance)
                shut *= 1.0 - closed
        area = fitted.window.width * fitted.window.height
        admitted = light.admitted(fitted.glass) * left
        past = light.diffuse * through * sky.hours
        return Outcome(
            fitted.window.name,
            variant.name,
            per_row(sky, light.total * area, rows),
            per_row(sky, admitted * area, rows),
            float(((1.0 - shut) * sky.length).sum() / 3600.0),
            None if fitted.light is None else float(past.sum() * area * fitted.light),
        )

    def _light_on(self, site: Site, window: Window) -> Incident:
        key = (_geometry(window), site.trees)
        if key not in self._light:
            self._light[key] = light_on(site, window, self._sky)
        return self._light[key]

    def _closings(self, variant: Variant) -> dict[str, Closed]:
        """When each shade is closed, by its name."""
        moved: dict[str, tuple[Shade, list[Fitted]]] = {}
        for fitted in variant.windows:
            if fitted.closing != "never":
                for shade, _ in fitted.effects:
                    moved.setdefault(shade.name, (shade, []))[1].append(fitted)
        closed, suns = dict[str, Closed](), list[ShadeSun]()
        for name, (shade, windows) in moved.items():
            if windows[0].closing == "always":
                first, last = min(self.days.dates), max(self.days.dates)
                season = variant.site.need_of(shade).season
                closed[name] = {1.0: season_spells(season, first, last, self._zone)}
            else:
                suns.append(self._sun_for(variant.site, shade, windows))
        suns = with_exceptions(variant.site, suns, Spell(*self._span))
        plans = zip(suns, plans_for(variant.site, suns), strict=True)
        return closed | {sun.shade.name: _closed_by(plan, sun.shade) for sun, plan in plans}

    def _sun_for(self, site: Site, shade: Shade, windows: Sequence[Fitted]) -> ShadeSun:
        """The sun that a shade is there for over the weather year, and what else it needs."""
        need = site.need_of(shade)
        sun = {fitted.window.name: self._sun_on(site, fitted.window, need) for fitted in windows}
        wants: tuple[Want, ...] | None = None
        if not need.for_heat_alone:
            shared = shade.model_copy(update={"windows": tuple(sun)})
            wants = needed_spells(site, shared, *self._span, sun)
        return ShadeSun(shade, sun, (), wants)

    def _sun_on(self, site: Site, window: Window, need: Need) -> tuple[Spell, ...]:
        """The sun that `need` counts, in its season and a few days beside it."""
        key = (_geometry(window), site.trees, need)
        if key not in self._sun:
            self._sun[key] = union(
                spell
                for span in self._searched(need)
                for spell in sun_on_window(site, window, need, span.start, span.end)
            )
        return self._sun[key]

    def _searched(self, need: Need) -> tuple[Spell, ...]:
        """The season's days with two more at either end, where closings may reach across."""
        first, last = min(self.days.dates), max(self.days.dates)
        season = season_spells(need.season, first, last, self._zone)
        beside = 2 * 86_400
        return clip(
            union(Spell(span.start - beside, span.end + beside) for span in season), *self._span
        )


def _closed_by(plan: ShadePlan, shade: Shade) -> Closed:
    """When a plan has its shade down.

    While it runs it covers half, on the average: it counts as closed from the middle of the one run
    to the middle of the other.
    """
    half = round(shade.travel / 2.0)
    return {
        position / 100.0: union(
            Spell(closing.close + half, closing.open + half)
            for closing in plan.closings
            if closing.position == position
        )
        for position in sorted({closing.position for closing in plan.closings})
    }


def _geometry(window: Window) -> Window:
    """The window without what has no part in its shadows."""
    return window.model_copy(update={"name": "", "glazing": None})
