"""What each sighting should have read, if its window were another one: turned, or roofed.

The sun is on the glass in spells. A sighting is held against the spells of the half day before and
after it. Close to the horizon the beam is so weak that one person calls it sun and another does
not; so a spell has two beginnings and two ends: any sun at all, and sun that counts (the site's
`need`, at least the World Meteorological Organization's 120 W/m²). What lies between is as good as
either.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.base.clock import day_bounds, local_date
from suncover.facade.daylight import Daylight
from suncover.facade.exposure import observer_of, window_scene
from suncover.facing.around import HALF_DAY, Change, SunAround
from suncover.facing.patch import far_edge
from suncover.site.model import Need, Site, Window
from suncover.site.sightings import Sighting

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

HALF_DAY_MIN = HALF_DAY / 60.0
SUNSHINE = 120.0  # W/m²: WMO-No. 8, Guide to Instruments and Methods of Observation


class Spell(NamedTuple):
    """Sun on a window, in minutes from a sighting; infinite where the half day cuts it.

    From `any_begin` to `any_end` there is some sun, from `begin` to `end` enough to count.
    """

    any_begin: float
    begin: float
    end: float
    any_end: float


def counted_need(need: Need) -> Need:
    """What of the sun everybody would call sun."""
    return Need(beam=max(SUNSHINE, need.beam), fraction=need.fraction)


class SightedWindow:
    """A window of a site with its sightings, to be asked what they should have read.

    `sun` is that about the times of all sightings but patches; it is worked out if left out.
    """

    def __init__(
        self,
        site: Site,
        window: Window,
        sightings: Sequence[Sighting],
        sun: SunAround | None = None,
    ) -> None:
        self.site, self.window, self.sightings = site, window, tuple(sightings)
        observer, zone = observer_of(site.place), site.place.zone
        instants = np.array([sighting.time for sighting in sightings])
        # A patch is of one instant: nothing about its day matters.
        timed = [row for row, sighting in enumerate(sightings) if sighting.seen != "patch"]
        self._around = SunAround(observer, instants[timed]) if sun is None else sun
        rows = np.searchsorted(self._around.instants, instants[timed])
        self._row_of = dict(zip(timed, rows.tolist(), strict=True))
        self._sun_now = Daylight.of(instants, observer)
        self._span = int(instants.min() - 2 * HALF_DAY), int(instants.max() + 2 * HALF_DAY)
        days = [day_bounds(local_date(int(time), zone), zone) for time in instants.tolist()]
        self._days = [
            ((day.start - time) / 60.0, (day.end - time) / 60.0)
            for day, time in zip(days, instants.tolist(), strict=True)
        ]
        self._any_sun = Need(beam=0.0, fraction=0.0)
        self._counted = counted_need(site.need)

    def spells(self, window: Window) -> list[list[Spell]]:
        """The spells of sun about each sighting but patches, if the window were `window`."""
        if not self._row_of:
            return []
        start, end = self._span
        scenes = [
            window_scene(self.site, window, need, start, end)
            for need in (self._any_sun, self._counted)
        ]
        sun = self._around
        any_sun = sun.lit(scenes[0])
        counted = sun.lit(scenes[1], among=any_sun)
        edges = [
            sun.changes(scene, grid) for scene, grid in zip(scenes, (any_sun, counted), strict=True)
        ]
        return [
            _spells_of_row(any_sun[row], edges[0][row], edges[1][row])
            for row in range(len(sun.times))
        ]

    def expected(self, window: Window) -> Floats:
        """What each sighting should read: shape (n, 4), nan where nothing is to be seen.

        Two intervals, low and high each. For the beginning or end of sun, in minutes from the
        sighting: the day's first beginning (last end), and the one nearest to the sighting. For
        sun or shade at a time: the nearest spell of it. For a patch, in metres: its distance and
        its corner.
        """
        readings = np.full((len(self.sightings), 4), np.nan)
        spells = self.spells(window)
        for row, (sighting, day) in enumerate(zip(self.sightings, self._days, strict=True)):
            if sighting.seen == "patch":
                far, left, right = far_edge(window, self._sun_now.direction[:, row])
                corner = left if sighting.corner == "left" else right
                readings[row] = far, far, corner, corner
                continue
            about = spells[self._row_of[row]]
            if sighting.seen in ("on", "off"):
                readings[row] = _change(about, sighting.seen == "on", day)
            else:
                readings[row, :2] = _state(about, sighting.seen, day)
        return readings


def _spells_of_row(any_sun: Bools, edges: list[Change], counted: list[Change]) -> list[Spell]:
    """Spells of any sun, with the sun that counts inside each."""
    begins = [at for at, begin in edges if begin]
    ends = [at for at, begin in edges if not begin]
    if any_sun[0]:
        begins.insert(0, -np.inf)
    if any_sun[-1]:
        ends.append(np.inf)
    spells = []
    for first, last in zip(begins, ends, strict=True):
        inside = [(at, begin) for at, begin in counted if first - 0.1 <= at <= last + 0.1]
        rises = [at for at, begin in inside if begin]
        falls = [at for at, begin in inside if not begin]
        begin = rises[0] if rises else last
        end = falls[-1] if falls else first
        if not rises and not falls and first == -np.inf and last == np.inf:
            begin, end = first, last
        if first == -np.inf and falls and (not rises or falls[0] < rises[0]):
            begin = first  # the sun that counts was cut as well
        if last == np.inf and rises and (not falls or rises[-1] > falls[-1]):
            end = last
        spells.append(Spell(first, max(begin, first), min(end, last), last))
    return spells


def _change(
    spells: list[Spell], coming: bool, day: tuple[float, float]
) -> tuple[float, float, float, float]:
    """The day's first coming of the sun (or its last leaving), and the one nearest to now."""
    changes = [
        (spell.any_begin, spell.begin) if coming else (spell.end, spell.any_end)
        for spell in spells
        if np.isfinite(spell.any_begin if coming else spell.any_end)
    ]
    if not changes:
        return (np.nan,) * 4
    changes = [(_bounded(low), _bounded(high)) for low, high in changes]
    of_day = [change for change in changes if day[0] <= change[0 if coming else 1] < day[1]]
    first = (of_day[0] if coming else of_day[-1]) if of_day else (np.nan, np.nan)
    return (*first, *min(changes, key=_distance))


def _state(spells: list[Spell], kind: str, day: tuple[float, float]) -> tuple[float, float]:
    """The nearest spell of sun, or of shade before or after the day's sun; nan without any."""
    if not spells:
        return np.nan, np.nan
    if kind in ("already-on", "still-on"):
        spans = [(spell.any_begin, spell.any_end) for spell in spells]
    elif kind == "already-off":
        nexts = [spell.any_begin for spell in spells[1:]] + [np.inf]
        spans = [
            (spell.end, later)
            for spell, later in zip(spells, nexts, strict=True)
            if day[0] <= spell.any_end
        ]
    else:
        before = [-np.inf] + [spell.any_end for spell in spells[:-1]]
        spans = [
            (earlier, spell.begin)
            for spell, earlier in zip(spells, before, strict=True)
            if spell.any_begin < day[1]
        ]
    if not spans:
        return np.nan, np.nan
    return min(((_bounded(low), _bounded(high)) for low, high in spans), key=_distance)


def _bounded(minutes: float) -> float:
    return float(np.clip(minutes, -HALF_DAY_MIN, HALF_DAY_MIN))


def _distance(span: tuple[float, float]) -> float:
    """Minutes from the sighting to a span; 0 inside it."""
    return max(span[0], -span[1], 0.0)
