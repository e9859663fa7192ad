"""Did a plan work? When a light log shows the sun on a window, and whether the shade was up then.

    log ──> its clock set right ──> readings that show the beam ──> spells of sun ──┐
    plan's rows ──> when the shade is down ─────────────────────────────────────────┴──> day by day

A reading shows the sun where the sun can be on the glass, and the light is more than the sky alone
ever gives in this log at that height of the sun, by what a beam of `SUNSHINE` would add.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from suncover.base.clock import a_date, dates_bounds, local_date
from suncover.base.errors import RequestError
from suncover.base.spell import Spell, clip, intersect, subtract, total_seconds, union
from suncover.facade.daylight import Daylight
from suncover.facade.exposure import observer_of, sun_on_window, window_scene
from suncover.facade.frame import window_axes
from suncover.facing.light.pattern import SKY_POWER
from suncover.facing.light.rhythm import ClockError, clock_error
from suncover.heat.beam_heat import window_beam_kwh
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.replay import down_at
from suncover.site.light_log import LightLog
from suncover.site.model import Need, Site, Window
from suncover.sun.clearsky import clear_sky_dni

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

SUNSHINE = (
    120.0  # W/m2, the least direct beam that counts as sunshine (WMO-No. 8, part I, chapter 8)
)
SKY_MOST = 0.95  # share of the readings without sun that the sky's own light is taken from
BRIGHT = 0.9  # of the readings with sun: so strong is the beam on a clear day
LOWEST_SUN = 3.0  # degrees: below, it is too dim to tell
LEAST_SKY, LEAST_SUN = 12, 12  # readings of each that are needed
CERTAIN = 2.0  # standard deviations: a clock that is less off is left as it is
HIDDEN = 0.5  # of the sun of other days: a sensor that sees less on days with closings is shaded
ANY = 1.0  # per cent of the way down from which on a shade is not up


@dataclass(frozen=True)
class SeenDay:
    """A day of a log: how long the sun could be on the glass while there are readings, and how long
    it was seen there, in seconds, with the shade up and with it down by the plan; and the clear-sky
    beam on the glass in `sun_up`, in kWh. Sun that is seen only as near to a move as half a reading
    and two standard deviations of the clock is not counted as seen with the shade up.
    """

    date: date
    possible: int
    sun_up: int
    sun_down: int
    up_kwh: float
    closings: int


@dataclass(frozen=True)
class SeenSun:
    """What a light log says of a plan for the shades of `window`.

    `days` are those of the plan with readings; `outside` is how many days of the log are not of the
    plan's. `why_not` says why the log tells nothing; `days` is empty then.
    """

    window: str
    shades: tuple[str, ...]
    days: tuple[SeenDay, ...]
    outside: int
    clock: ClockError
    moved_min: float
    why_not: str | None = None

    @property
    def sun_up(self) -> int:
        """Seconds of sun seen with the shade up."""
        return sum(day.sun_up for day in self.days)

    @property
    def sun_down(self) -> int:
        """Seconds of sun seen while the plan has the shade down."""
        return sum(day.sun_down for day in self.days)

    @property
    def up_kwh(self) -> float:
        """Clear-sky beam on the glass in `sun_up`, kWh."""
        return sum(day.up_kwh for day in self.days)

    def sun_by_day(self) -> dict[date, float] | None:
        """Seconds of sun seen on each day; None where a closed shade hides it from the sensor,
        which then sees less of it on days with closings for another reason than the weather.
        """
        shares = []
        for closed in (True, False):
            days = [day for day in self.days if bool(day.closings) == closed]
            possible = sum(day.possible for day in days)
            shares.append(sum(day.sun_up + day.sun_down for day in days) / max(possible, 1))
        if shares[0] < HIDDEN * shares[1] or not self.days:
            return None
        return {day.date: float(day.sun_up + day.sun_down) for day in self.days}


def seen_sun(
    site: Site,
    closings: Sequence[Closing],
    name: str,
    log: LightLog,
    dates: tuple[date | None, date | None] = (None, None),
) -> SeenSun:
    """When the sun was on the window `name` by a light log, beside what a plan had its shades do.

    `dates` are the first and the last day; one left out is the plan's own: that of its first
    closing, or of its last. The logger's clock
    is set right where the nights of the log show it to be off.

    Raises
    ------
    RequestError
        When there is no such window, or the dates run backwards or are not given for a plan without
        closings.
    """
    window = site.window(name)
    shades = [shade for shade in site.all_shades() if name in shade.windows]
    first, last = _dates(closings, *dates)
    observer = observer_of(site.place)
    clock = clock_error(log, observer, window_axes(window.azimuth, window.tilt)[2])
    moved = clock.minutes if abs(clock.minutes) > CERTAIN * clock.sd else 0.0
    right = replace(log, times=log.times - 60.0 * moved)
    names = tuple(shade.name for shade in shades)
    zone = site.place.zone
    logged_days = sorted(
        {local_date(int(time), zone) for time in right.times[:: _hourly(log)].tolist()}
    )
    within = [day for day in logged_days if first <= day <= last]
    result = SeenSun(name, names, (), len(logged_days) - len(within), clock, moved)
    if not within:
        return replace(result, why_not="none of its days are of the plan's")
    start, end = int(right.times[0]), int(right.times[-1]) + 1
    possible = sun_on_window(site, window, Need(beam=0.0, fraction=0.0), start - 900, end + 900)
    sunny_readings = _shows_sun(site, window, right, possible)
    if isinstance(sunny_readings, str):
        return replace(result, why_not=sunny_readings)
    half = log.interval / 2.0
    read = union(Spell(round(t - half), round(t + half)) for t in right.times.tolist())
    sun = union(
        Spell(round(t - half), round(t + half)) for t in right.times[sunny_readings].tolist()
    )
    sun, could = intersect(sun, possible), intersect(read, possible)
    of_shade = defaultdict(list)
    for closing in closings:
        of_shade[closing.shade].append(closing)
    down = union(s for shade in shades for s in down_at(of_shade[shade.name], shade)(ANY))
    starts = [closing.date for key in names for closing in of_shade[key]]
    # So near to a move, the log does not tell on which side of it the sun was.
    near = round(half + 60.0 * CERTAIN * clock.sd)
    moves = union(Spell(at - near, at + near) for s in down for at in (s.start, s.end))
    days = []
    for day in within:
        span = dates_bounds(day, day, zone)
        sun_today = clip(sun, span.start, span.end)
        up = [spell for spell in subtract(sun_today, down) if subtract([spell], moves)]
        days.append(
            SeenDay(
                day,
                total_seconds(clip(could, span.start, span.end)),
                total_seconds(up),
                total_seconds(intersect(sun_today, down)),
                window_beam_kwh(site, window, up),
                starts.count(day),
            )
        )
    return replace(result, days=tuple(days))


def _hourly(log: LightLog) -> int:
    return max(1, int(3600 // log.interval))


def _dates(closings: Sequence[Closing], first: date | None, last: date | None) -> tuple[date, date]:
    if not closings and (first is None or last is None):
        raise RequestError("the plan has no closings to take its days from; give --from and --to")
    first = min(closing.date for closing in closings) if first is None else a_date(first)
    last = max(closing.date for closing in closings) if last is None else a_date(last)
    if last < first:
        raise RequestError(f"the days run backwards: from {first} to {last}")
    return first, last


def _shows_sun(site: Site, window: Window, log: LightLog, possible: Sequence[Spell]) -> Bools | str:
    """Whether each reading shows the sun on the glass; or why the log does not tell."""
    observer = observer_of(site.place)
    sun = Daylight.at(log.times, observer)
    scene = window_scene(site, window, site.need, int(log.times[0]), int(log.times[-1]) + 1)
    cosine = np.maximum(window_axes(window.azimuth, window.tilt)[2] @ sun.direction, 0.0)
    inside = _within(log.times, possible)
    lit = np.where(inside, cosine, 0.0) * scene.sunlit_share(sun)
    up = sun.elevation > LOWEST_SUN
    sky = np.maximum(sun.direction[2], 0.0) ** SKY_POWER
    dark = float(np.quantile(log.values, 0.02))
    light = log.values - dark
    without = up & (lit <= 0.0)
    beam = lit * clear_sky_dni(log.times, observer)
    strong = up & (beam > 0.3 * beam.max(initial=0.0)) & (beam > 0.0)
    if np.count_nonzero(strong) < LEAST_SUN:
        return "the sun is hardly on the window on its days"
    if np.count_nonzero(without) < LEAST_SKY:
        return "it has no daylight without sun on the window to compare with"
    brightest_sky = float(np.quantile(light[without] / sky[without], SKY_MOST))
    usual = float(np.median(light[without] / sky[without]))
    gain = float(np.quantile((light[strong] - usual * sky[strong]) / beam[strong], BRIGHT))
    # On a log without one clear hour, the brightest light is the sky's as well.
    if gain <= 0.0 or float(np.quantile(light[strong] / sky[strong], BRIGHT)) <= brightest_sky:
        return "its light is never brighter than a sky without sun gives"
    return np.asarray(up & (lit > 0.0) & (light > brightest_sky * sky + gain * SUNSHINE * lit))


def _within(times: Floats, spells: Sequence[Spell]) -> Bools:
    edges = np.array([edge for spell in spells for edge in (spell.start, spell.end)])
    return np.asarray(np.searchsorted(edges, times, side="right") % 2 == 1)


def dates_with_closings(closings: Sequence[Closing], shades: Sequence[str]) -> frozenset[date]:
    """The dates on which one of these shades is down for some time by a plan."""
    dates = set()
    for closing in closings:
        if closing.shade in shades:
            end = closing.date + timedelta(days=max(closing.open - closing.close, 0) // 86_400)
            day = closing.date
            while day <= end:
                dates.add(day)
                day += timedelta(days=1)
    return frozenset(dates)
