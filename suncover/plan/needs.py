"""When a shade has to be closed, and for which need.

    heat      while sun is on its windows, by the need's beam and fraction, in its season
    glare     while sun is on a spot, or falls farther into the room than a limit
    fading    while sun is on a spot
    sleep     from one clock time to another, on nights in which dawn comes before the end
    privacy   from dusk to a clock time, or to dawn

A shade is closed while any of them asks for it. With heat alone this is the sun on its windows, and
its season is left to the plan, where it goes by the date of a closing. With other needs beside it
each need is cut to its own season here.

Sun is cut at the ends of the time asked for. Nights are not: those that begin within it are whole.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.base.clock import (
    DAY_S,
    dates_between,
    in_season,
    instant_of,
    local_date,
    season_spells,
)
from suncover.base.spell import Spell, intersect, subtract, union
from suncover.facade.exposure import (
    find_exposures,
    observer_of,
    spot_in_window,
    sun_on_spot,
    whole_seconds,
    window_scene,
)
from suncover.facade.search.crossings import lit_intervals
from suncover.facade.twilight import light_intervals
from suncover.plan.motor import FULL
from suncover.site.model import (
    Fading,
    Glare,
    MonthDay,
    Need,
    Privacy,
    Shade,
    Site,
    Sleep,
    Spot,
    Window,
)
from suncover.site.needs import NeedName

Floats = NDArray[np.float64]
Season = tuple[MonthDay, MonthDay]

NOON = time(12)

WantName = Literal[NeedName, "exception"]


class Want(NamedTuple):
    """A spell in which a shade has to be closed.

    `what` names the window (heat; glare by reach), the spot (glare, fading) or the exception that
    has the shade stay down, whatever its needs; it is empty for sleep and privacy. `position` is
    how far down the shade has to be, per cent. `beyond` is the limit of the reach in metres, where
    that is what asks. `dawn` is the instant of dawn that sleep is to be kept from; None where it
    does not get dark.
    """

    spell: Spell
    need: WantName
    what: str = ""
    position: float = FULL
    beyond: float | None = None
    dawn: int | None = None


def needed_spells(
    site: Site,
    shade: Shade,
    start: int,
    end: int,
    exposures: Mapping[str, Sequence[Spell]] | None = None,
) -> tuple[Want, ...]:
    """When `shade` has to be closed from `start` to `end` (unix seconds), in order of time.

    `exposures` is the sun on its windows by its own need, by window name; worked out if left out.
    """
    need = site.need_of(shade)
    wants: list[Want] = []
    if "heat" in need.purposes:
        wants += _for_heat(site, shade, need, Spell(start, end), exposures)
    rooms = _Rooms(site, shade, need, Spell(start, end))
    if "glare" in need.purposes:
        wants += rooms.glare(need.glare or Glare())
    if "fading" in need.purposes:
        wants += rooms.fading(need.fading or Fading())
    light = _light(site, start, end) if {"sleep", "privacy"} & set(need.purposes) else ()
    if "sleep" in need.purposes and need.sleep is not None:
        wants += _for_sleep(site, need.sleep, Spell(start, end), light)
    if "privacy" in need.purposes:
        wants += _for_privacy(site, need.privacy or Privacy(), Spell(start, end), light)
    return tuple(sorted(wants, key=lambda want: (want.spell, want.need, want.what)))


def for_heat(exposures: Mapping[str, Sequence[Spell]]) -> tuple[Want, ...]:
    """What a shade is asked for that is there for the sun on its windows alone, by window name."""
    return tuple(Want(spell, "heat", name) for name in exposures for spell in exposures[name])


def _for_heat(
    site: Site,
    shade: Shade,
    need: Need,
    span: Spell,
    exposures: Mapping[str, Sequence[Spell]] | None,
) -> Iterator[Want]:
    if exposures is None:
        windows = [site.window(name) for name in shade.windows]
        exposures = find_exposures(site, span.start, span.end, need, windows)
    for name in shade.windows:
        spells = exposures[name]
        if not need.for_heat_alone:
            spells = _of_season(spells, need.season, site, span)
        yield from (Want(spell, "heat", name) for spell in spells)


def _of_season(
    spells: Sequence[Spell], season: Season | None, site: Site, span: Spell
) -> Sequence[Spell]:
    """The parts of the spells that lie on the season's dates."""
    if season is None:
        return spells
    zone = site.place.zone
    first, last = local_date(span.start, zone), local_date(span.end, zone)
    return intersect(spells, season_spells(season, first, last, zone))


@dataclass
class _Rooms:
    """The rooms behind a shade's windows; each spot's sun is worked out once."""

    site: Site
    shade: Shade
    need: Need
    span: Spell

    def __post_init__(self) -> None:
        self._known: dict[str, list[Want]] = {}

    def glare(self, glare: Glare) -> Iterator[Want]:
        """Sun on spots, and sun that falls too far in."""
        yield from self._on_spots("glare", glare.spots, glare.season)
        if glare.reach is not None:
            for name in self.shade.windows:
                yield from self._beyond(self.site.window(name), glare, glare.reach)

    def fading(self, fading: Fading) -> Iterator[Want]:
        """Sun on spots."""
        yield from self._on_spots("fading", fading.spots, fading.season)

    def _on_spots(
        self, need: NeedName, names: Sequence[str] | None, season: Season | None
    ) -> Iterator[Want]:
        for spot in spots_behind(self.site, self.shade, names):
            if spot.name not in self._known:
                spells = sun_on_spot(self.site, spot, self.need, self.span.start, self.span.end)
                point = spot_in_window(spot, self.site.window(spot.window))
                self._known[spot.name] = self._wants(spot.window, spells, point)
            for want in self._known[spot.name]:
                for part in _of_season([want.spell], season, self.site, self.span):
                    yield Want(part, need, spot.name, want.position)

    def _beyond(self, window: Window, glare: Glare, reach: float) -> Iterator[Want]:
        from suncover.facade.reach import Level, ReachScene  # noqa: PLC0415 - few have a limit
        from suncover.plan.positions import place_at  # noqa: PLC0415

        span, site = self.span, self.site
        need = self.need.model_copy(update={"fraction": 0.0})
        scene = window_scene(site, window, need, span.start, span.end)
        beyond = ReachScene(scene, Level(window.sill, glare.height), reach)
        spells = whole_seconds(lit_intervals(beyond, observer_of(site.place), span.start, span.end))
        # Sun on the line at that distance is as far up the glass as any that it must not pass.
        point = place_at(window, reach, glare.height)
        for want in self._wants(window.name, spells, point):
            for part in _of_season([want.spell], glare.season, site, span):
                yield Want(part, "glare", window.name, want.position, beyond=reach)

    def _wants(self, window: str, spells: Sequence[Spell], point: Floats) -> list[Want]:
        """The spells with the position that they ask for; fully closed where there is no other."""
        if self.shade.stops == (FULL,):
            return [Want(spell, "glare") for spell in spells]

        from suncover.plan.positions import positions_needed  # noqa: PLC0415 - few have stops

        positions = positions_needed(
            self.site.place, self.shade, self.site.window(window), point, spells
        )
        return [
            Want(spell, "glare", position=position)
            for spell, position in zip(spells, positions, strict=True)
        ]


def spots_behind(site: Site, shade: Shade, names: Sequence[str] | None = None) -> tuple[Spot, ...]:
    """The spots behind a shade's windows: those of these names, or all of them."""
    return tuple(
        spot
        for spot in site.spots
        if spot.window in shade.windows and (names is None or spot.name in names)
    )


def _light(site: Site, start: int, end: int) -> tuple[Spell, ...]:
    """When it is light out of doors, from two days before `start` to two days after `end`."""
    observer = observer_of(site.place)
    return whole_seconds(light_intervals(observer, start - 2 * DAY_S, end + 2 * DAY_S))


def _dates(site: Site, span: Spell) -> list[date]:
    """The local dates that a span touches."""
    zone = site.place.zone
    return dates_between(local_date(span.start, zone), local_date(span.end, zone))


def _for_sleep(site: Site, sleep: Sleep, span: Spell, light: Sequence[Spell]) -> Iterator[Want]:
    begin, end = sleep.dark
    overnight = timedelta(days=0 if begin < end else 1)
    zone = site.place.zone
    for day in _dates(site, span):
        night = Spell(instant_of(day, begin, zone), instant_of(day + overnight, end, zone))
        # Where clocks jump over all of it, there is nothing to keep dark.
        within = span.start <= night.start < span.end and night.seconds > 0
        if not within or not in_season(day, sleep.season):
            continue
        dawns = [spell.start for spell in light if night.start < spell.start < night.end]
        always = any(s.start <= night.start and night.end <= s.end for s in light)
        if dawns or always:
            yield Want(night, "sleep", dawn=dawns[0] if dawns else None)


def _for_privacy(
    site: Site, privacy: Privacy, span: Spell, light: Sequence[Spell]
) -> Iterator[Want]:
    for part in subtract(union(_evenings(site, privacy, span)), light):
        yield Want(part, "privacy")


def _evenings(site: Site, privacy: Privacy, span: Spell) -> Iterator[Spell]:
    """From noon of each date of the season to the end of its privacy, or to the next noon."""
    zone, next_day = site.place.zone, timedelta(days=1)
    until = privacy.until or NOON
    same_day = privacy.until is not None and privacy.until > NOON
    for day in _dates(site, span):
        noon = instant_of(day, NOON, zone)
        if span.start <= noon < span.end and in_season(day, privacy.season):
            yield Spell(noon, instant_of(day if same_day else day + next_day, until, zone))
