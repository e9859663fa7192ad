"""From a light log to the azimuth of its window, the sightings that it is worth, and its clock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np

from suncover.facade.exposure import observer_of, window_scene
from suncover.facade.frame import window_axes
from suncover.facade.scene import SpotScene
from suncover.facing.around import HALF_DAY
from suncover.facing.estimate import ENOUGH, Check, Facing, turn
from suncover.facing.light.beginnings import SHAPES
from suncover.facing.light.edges import Edges, Way, find_edges
from suncover.facing.light.fits import ON_ITS_OWN_MIN, STEPS, Edge
from suncover.facing.light.pattern import SunnyDays, averaged, solar_days, sunny_days, whole_days
from suncover.facing.light.places import Place, is_bare, one_place
from suncover.facing.light.rhythm import (
    ABOUT_SD,
    SHADED_SD,
    ClockError,
    ClockJump,
    clock_by,
    without_jump,
)
from suncover.facing.light.settle import Settled, settled
from suncover.facing.light.twilight import Passings, passings
from suncover.site.light_log import LightLog
from suncover.site.model import Need, Site, Window
from suncover.site.sightings import Sighting
from suncover.sun.position import Observer

ROUNDS, WEIGHED = (
    6,
    2,
)  # in which edges are looked for from where they led, and how many are weighed
FIRM = 2.0  # standard deviations
NEAR = 1.5  # degrees: edges looked for from so near are found again as they are
SIDEWAYS = 25.0  # degrees from the first guesses to the next
# Seconds between the readings by which beginnings are looked for, and the share of the edges that
# are there by all readings.
SEARCH_S, STILL = 300.0, 0.7
MOST_OF = 0.6  # of the sunny days with an edge each: enough to look no further
MOST_EDGES, FEW = 40, 12  # edges that are weighed, and while they are still looked for
SAME_S, LEAST_SCATTER = 60.0, 0.5  # by which edges are the same; minutes: what is as good as none
LEAST_WORTH = 0.5  # of an edge on the average, as `Edges.worth` counts
UNTOLD, UNTOLD_FAR = 0.6, 0.1  # share of the days' variance that may be left unexplained
FEW_SHARE = 0.5  # of the sunny days: what fewer say has to agree closely
LEAST_SHARE, BETTER = 0.25, 0.7  # of the sunny days; by how much (log) they must speak for it
FAR_OFF, FAR_SHARE = 25.0, 0.6  # degrees; of the sunny days that must tell so far a direction
WIDE, WIDE_MIN = 1.5, 2.5  # scatter of the days: times an edge's own, and minutes


@dataclass(frozen=True)
class LightStudy:
    """What a light log shows of one window.

    `facing` is None, and `too_few` says why, where too few days tell the direction. `clock` is how
    far the logger's clock is ahead; where it was set anew once, at `jump`, the `log` has all times
    by the clock that more of its days had. `sightings` are by the true clock. Of `days` in the log,
    `used` have given a sighting; `sunny` were clear for most of the time.
    """

    window: str
    log: LightLog
    facing: Facing | None
    too_few: str | None
    clock: ClockError
    jump: ClockJump | None
    sightings: tuple[Sighting, ...]
    days: int
    sunny: int
    used: int


def study_light(site: Site, name: str, log: LightLog) -> LightStudy:
    """What the log of a sensor on the window `name` shows.

    Raises
    ------
    RequestError
        When no window has that name.
    """
    window = site.window(name)
    observer = observer_of(site.place)
    seen = passings(log, observer)
    log, jump = without_jump(log, observer, seen)
    seen = seen if jump is None else passings(log, observer)
    about = ABOUT_SD if is_bare(site, window) else SHADED_SD
    clock, right, days = _by_day_and_night(window, observer, log, seen, about)
    beginning = _Search(site, window, _coarser(right), days, clock.sd).best()
    count = len(days.numbers)
    if beginning is None:
        study = LightStudy(name, log, None, None, clock, jump, (), days.days, count, 0)
        return replace(study, too_few=_none_agree(study))
    edges, azimuth = _closely(beginning, site, window, right, days)
    edges = replace(edges, clear=tuple(_spread_out(edges.clear)))
    edges = replace(edges, ways=_with_steps(edges, log))
    sightings = tuple(_sighting(edge, name) for edge in edges.clear)
    used = _days_of(sightings, observer)
    study = LightStudy(name, log, None, None, clock, jump, sightings, days.days, count, used)
    result = settled(site, window, edges, azimuth, clock_sd=clock.sd, whole=days.azimuth)
    if result is None:
        return replace(study, too_few=_too_few(study, 0))
    moved = tuple(
        s.model_copy(update={"time": round(s.time - 60.0 * result.clock)}) for s in sightings
    )
    checks = tuple(
        Check(*row)
        for row in zip(
            moved, result.off.tolist(), result.slope.tolist(), result.wrong.tolist(), strict=True
        )
    )
    good = [check.sighting for check in checks if check.wrong < 0.5 and check.tells]
    telling = _days_of(good, observer)
    if telling < ENOUGH:
        return replace(study, too_few=_too_few(study, telling))
    few_agree = used < FEW_SHARE * count and result.scatter > WIDE_MIN
    if few_agree or _disagree(result, log, edges):
        return replace(study, too_few=DISAGREE)
    if _of_another_wall(site, window, right, days, result=result, used=used):
        return replace(study, too_few=ELSEWHERE)
    ahead = ClockError(clock.minutes + result.clock, result.clock_sd, clock.days)
    facing = Facing((name,), result.azimuth, result.sd, result.scatter, checks, result.odds)
    return replace(study, facing=facing, clock=ahead, sightings=moved)


def _by_day_and_night(
    window: Window, observer: Observer, log: LightLog, seen: Passings | None, about: float
) -> tuple[ClockError, LightLog, SunnyDays]:
    """The clock's error, the log by the true time, and its sunny days.

    The clock hangs a little on where the window faces, and that is seen by a clock that is right.
    """
    clock = clock_by(seen, observer, window_axes(window.azimuth, window.tilt)[2], about)
    right = replace(log, times=log.times - 60.0 * clock.minutes)
    days = sunny_days(right, observer, window)
    if days.azimuth is None:
        return clock, right, days
    clock = clock_by(seen, observer, window_axes(days.azimuth, window.tilt)[2], about)
    return clock, replace(log, times=log.times - 60.0 * clock.minutes), days


DISAGREE = (
    "the days disagree on when the sun comes or leaves; what the sensor sees may not be the "
    "sun passing the wall's plane"
)


ELSEWHERE = (
    "the light of whole days is not what a window would get that faces where the sun's coming and "
    "leaving would have it"
)


def _of_another_wall(
    site: Site, window: Window, log: LightLog, days: SunnyDays, *, result: Settled, used: int
) -> bool:
    """Whether whole days speak against what their edges say.

    They do where the beam hardly tells the days' light; and the more is asked of them, the farther
    the azimuth is from where the file has the window.
    """
    turned = window.model_copy(update={"azimuth": result.azimuth})
    margin = 2 * HALF_DAY
    start, end = log.times[0] - margin, log.times[-1] + margin
    scene = SpotScene(
        window_scene(site, turned, Need(beam=0.0, fraction=0.0), start, end), np.array(result.place)
    )
    outward = window_axes(turned.azimuth, turned.tilt)[2]
    observer = observer_of(site.place)
    left = whole_days(log, observer, days.numbers, outward, scene.lit)
    if used < LEAST_SHARE * len(days.numbers) or left.min() > np.log(UNTOLD):
        return True
    if abs(float(turn(np.array(result.azimuth - window.azimuth)))) <= FAR_OFF:
        return False
    there = window_axes(window.azimuth, window.tilt)[2]
    filed = whole_days(log, observer, days.numbers, there, lambda sun: np.ones(len(sun.seconds)))
    # Sky light alone, until a shade is closed, looks like the sun's on a sensor that lies.
    upright = left[0]
    if used < FAR_SHARE * len(days.numbers) or upright > np.log(UNTOLD_FAR):
        return True
    return bool(upright > filed.min() - BETTER)


def _disagree(result: Settled, log: LightLog, edges: Edges) -> bool:
    """Whether the days differ by much more than readings so far apart leave open."""
    least = float(np.hypot(log.interval / 60.0 / STEPS, ON_ITS_OWN_MIN))
    return result.scatter > max(WIDE * max(least, _own_min(edges)), WIDE_MIN)


def _own_min(edges: Edges) -> float:
    """How sure each day's edge is by its own fit, usually, in minutes."""
    return float(np.median([edge.own_min for edge in edges.clear]))


def _none_agree(study: LightStudy) -> str:
    if np.ptp(study.log.values) == 0.0:
        return f"all readings are {study.log.values[0]:g}, by day and by night"
    if study.sunny < ENOUGH:
        return _too_few(study, 0)
    return (
        f"{study.sunny} of {study.days} days were clear, but show no coming or leaving of the sun "
        "on which they agree"
    )


def _too_few(study: LightStudy, telling: int) -> str:
    left_out = study.days - telling
    said = f"{telling} of {study.days} days tell the direction, at least {ENOUGH} are needed"
    if left_out == 0:
        return said
    return (
        f"{said}; the other {left_out} were not clear enough, or had no coming or leaving of the "
        "sun that hangs on the direction"
    )


class _Beginning(NamedTuple):
    """How good edges are, the edges, and from which azimuth and place they are looked for."""

    worth: float
    edges: Edges
    azimuth: float
    place: Place | None


def _coarser(log: LightLog) -> LightLog:
    """The log with readings so far apart that many beginnings are soon tried."""
    times, values = averaged(log, SEARCH_S)
    return LightLog(times, values, log.interval * max(1, int(SEARCH_S // log.interval)))


def _closely(
    beginning: _Beginning, site: Site, window: Window, log: LightLog, days: SunnyDays
) -> tuple[Edges, float]:
    """The edges by all readings of the log, and about the azimuth."""
    if log.interval * 2 > SEARCH_S:
        return beginning.edges, beginning.azimuth
    turned = window.model_copy(update={"azimuth": beginning.azimuth % 360.0})
    edges = find_edges(log, site, turned, days, beginning.place)
    enough = len(edges.clear) >= STILL * len(beginning.edges.clear)
    return (edges if enough else beginning.edges), beginning.azimuth


@dataclass(frozen=True)
class _Search:
    """The edges of a log, looked for where the azimuth found so far has them."""

    site: Site
    window: Window
    log: LightLog
    days: SunnyDays
    clock_sd: float

    def best(self) -> _Beginning | None:
        """Of several beginnings, what finds most of them; None where no edge is found."""
        best: _Beginning | None = None
        for place in _first_places(self.site, self.window):
            for start in _starts(self.window.azimuth, self.days.azimuth):
                followed = self._followed(start, place, -np.inf if best is None else best.worth)
                best = best if followed is None else followed
                if best is not None and len(best.edges.clear) >= MOST_OF * len(self.days.numbers):
                    return best
        return best

    def _followed(self, start: float, place: Place | None, least: float) -> _Beginning | None:
        """The edges, and the azimuth to which they lead from `start`; None where they are worth no
        more than `least`.
        """
        seen = self._led_from(start, place)
        for edges, about in sorted(seen, key=lambda candidate: -candidate[0].worth)[:WEIGHED]:
            few = replace(edges, clear=tuple(_spread_out(edges.clear, FEW)))
            if _worth(edges, few, LEAST_SCATTER) <= least:
                continue
            result = self._settled(few, about)
            if result is None or _disagree(result, self.log, few):
                continue  # the days say different things
            moved = abs(float(turn(np.array(result.azimuth - about))))
            if moved > max(NEAR, FIRM * result.sd):
                continue  # from where they lead to, others would be found
            worth = _worth(edges, few, max(result.scatter, LEAST_SCATTER))
            return _Beginning(worth, edges, result.azimuth, place) if worth > least else None
        return None

    def _led_from(self, start: float, place: Place | None) -> list[tuple[Edges, float]]:
        """Edges that fit, found from `start` on, and the azimuths about which they are found."""
        azimuth, window = start, self.window
        middle = Place(window.width / 2.0, window.height / 2.0, 0.0) if place is None else place
        seen: list[tuple[Edges, float]] = []
        for _ in range(ROUNDS):
            turned = window.model_copy(update={"azimuth": azimuth})
            edges = find_edges(self.log, self.site, turned, self.days, place)
            # Days that fit badly are days of something else.
            if edges.clear and edges.worth >= LEAST_WORTH * len(edges.clear):
                seen.append((edges, azimuth))
            few = replace(edges, clear=tuple(_spread_out(edges.clear, FEW)))
            result = settled(
                self.site, window, few, azimuth, clock_sd=self.clock_sd, places=one_place(middle)
            )
            if result is None:
                break  # where it led to, there is nothing
            moved = abs(float(turn(np.array(result.azimuth - azimuth))))
            azimuth = result.azimuth
            if moved < NEAR:
                break
        return seen

    def _settled(self, edges: Edges, about: float) -> Settled | None:
        """What edges say at all places; the same ones are found again and again."""
        name = tuple(round(edge.time / SAME_S) for edge in edges.clear)
        if name not in self._known:
            self._known[name] = settled(
                self.site,
                self.window,
                edges,
                about,
                clock_sd=self.clock_sd,
                whole=self.days.azimuth,
            )
        return self._known[name]

    @cached_property
    def _known(self) -> dict[tuple[int, ...], Settled | None]:
        return {}


def _worth(edges: Edges, few: Edges, scatter: float) -> float:
    """How good edges are of which a `few` agree to `scatter` minutes."""
    return edges.worth + len(edges.clear) * float(np.log(_own_min(few) / scatter))


def _first_places(site: Site, window: Window) -> list[Place | None]:
    """Places of the sensor from which edges are looked for."""
    if is_bare(site, window):
        return [None]
    width, height = window.width, window.height
    shares = ((0.5, 0.03), (0.2, 0.03), (0.8, 0.03), (0.5, 0.6), (0.2, 0.6), (0.8, 0.6))
    return [None, *(Place(x * width, y * height, 0.0) for x, y in shares)]


def _starts(guess: float, pattern: float | None) -> list[float]:
    """Azimuths from which to look, none near another."""
    starts: list[float] = []
    for step in (0.0, -SIDEWAYS, SIDEWAYS):
        for middle in (pattern, guess):
            if middle is None:
                continue
            azimuth = (middle + step) % 360.0
            if all(abs(float(turn(np.array(azimuth - old)))) > SIDEWAYS / 2.0 for old in starts):
                starts.append(azimuth)
    return starts


def _spread_out(edges: Sequence[Edge], most: int = MOST_EDGES) -> list[Edge]:
    """At most so many edges, from all over the log."""
    if len(edges) <= most:
        return list(edges)
    return [edges[at] for at in np.unique(np.linspace(0, len(edges) - 1, most).astype(int))]


def _days_of(sightings: Sequence[Sighting], observer: Observer) -> int:
    return len(set(solar_days(np.array([s.time for s in sightings]), observer).tolist()))


def _sighting(edge: Edge, name: str) -> Sighting:
    return Sighting(
        window=name,
        time=round(edge.time),
        seen="on" if edge.coming else "off",
        minutes=round(edge.own_min, 1),
    )


def _with_steps(edges: Edges, log: LightLog) -> tuple[tuple[Way, ...], ...]:
    """The ways of all kinds, as unsure as how the readings fall on the edges makes them.

    The beam that begins at once may have done so at any time between two readings; as the edge
    moves from day to day it passes through many such intervals, or stays within one.
    """
    step = log.interval / 60.0
    unsure_ways = []
    for kind, ways in enumerate(edges.ways):
        at = np.array([(e.time % 86_400.0) / 60.0 for e in edges.clear if e.kind == kind])
        own = step / float(np.sqrt(12.0)) / (1.0 + float(np.ptp(at)) / step) if len(at) else 0.0
        unsure_ways.append(
            tuple(
                way._replace(unsure=float(np.hypot(way.unsure, own)))
                if SHAPES[way.shape].shadow
                else way
                for way in ways
            )
        )
    return tuple(unsure_ways)
