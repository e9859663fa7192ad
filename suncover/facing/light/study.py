"""From a light log to the azimuth of its window, the sightings that it is worth, and its clock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from suncover.facade.exposure import observer_of
from suncover.facing.estimate import ENOUGH, Facing, estimate_facing, turn
from suncover.facing.light.edges import AT_ONCE, LYING, SHAPES, STEPS, Edge, Edges, find_edges
from suncover.facing.light.pattern import SunnyDays, solar_days, sunny_days
from suncover.facing.light.rhythm import ClockError, clock_error
from suncover.facing.light.settle import Settled, settled
from suncover.site.light_log import LightLog
from suncover.site.model import Need, Site, Window
from suncover.site.sightings import Sighting
from suncover.sun.position import Observer

ROUNDS = 4
HALF = 0.5
NEAR = 1.5  # degrees: edges looked for from so near are found again as they are
SIDEWAYS = 25.0  # degrees from the first guesses to the next
MOST_OF = 0.8  # of the sunny days with an edge each: enough to look no further
MOST_EDGES, FEW = 40, 12  # edges that are weighed, and while they are still looked for
LEAST_WORTH = 0.5  # of an edge on the average, as `Edges.worth` counts
WIDE, WIDE_MIN = 1.5, 2.5  # scatter of the days: times an edge's own, and minutes
ON_ITS_OWN_MIN = 1.0  # by which an edge is off beside what its fit says


@dataclass(frozen=True)
class LightStudy:
    """What a light log shows of one window.

    `facing` is None, and `too_few` says why, where too few days tell the direction. `clock` is how
    far the logger's clock is ahead. `sightings` are by the true clock. Of `days` in the log, `used`
    have given a sighting; `sunny` were clear for most of the time.
    """

    window: str
    log: LightLog
    facing: Facing | None
    too_few: str | None
    clock: ClockError
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
    clock = clock_error(log, observer)
    right = replace(log, times=log.times - 60.0 * clock.minutes)
    days = sunny_days(right, observer, window)
    # Between the first sun on the glass and sun on half of it: where the sensor lies is not known.
    half = site.model_copy(update={"need": Need(beam=0.0, fraction=HALF)})
    found = _searched(half, window, right, days, clock_sd=clock.sd, kinds=SHAPES)
    if found is None:
        # A sensor flat on the sill: only where nearly every sunny day shows it, lest it be guessed.
        found = _searched(half, window, right, days, clock_sd=clock.sd, kinds=LYING)
        if found is not None and len(found[0].found) < MOST_OF * len(days.numbers):
            found = None
    count = len(days.numbers)
    if found is None:
        study = LightStudy(name, log, None, None, clock, (), days.days, count, 0)
        return replace(study, too_few=_none_agree(study))
    edges, azimuth = found
    sightings = tuple(_sighting(edge, name) for edge in _spread_out(edges.found))
    used = _days_of(sightings, observer)
    study = LightStudy(name, log, None, None, clock, sightings, days.days, count, used)
    about = window.model_copy(update={"azimuth": azimuth})
    half = half.model_copy(update={"windows": (about,)})
    facing = estimate_facing(half, sightings, [name])
    good = [c.sighting for c in facing.checks if c.wrong < 0.5 and c.tells]
    telling = _days_of(good, observer)
    unsure = float(np.hypot(edges.unsure_min, _step_min(edges, log)))
    result = settled(half, good, facing.azimuth, clock.sd, unsure)
    if telling < ENOUGH or result is None:
        return replace(study, too_few=_too_few(study, telling))
    if _disagree(result, log, edges.shape, good):
        return replace(study, too_few=DISAGREE)
    ahead = ClockError(clock.minutes + result.clock, result.clock_sd, clock.days)
    moved = tuple(
        s.model_copy(update={"time": round(s.time - 60.0 * result.clock)}) for s in sightings
    )
    facing = replace(
        facing, azimuth=result.azimuth, sd=result.sd, minutes=result.scatter, others=()
    )
    return replace(study, facing=facing, clock=ahead, sightings=moved)


DISAGREE = (
    "the days disagree on when the sun comes or leaves; what the sensor sees may not be the "
    "sun passing the wall's plane"
)


def _disagree(result: Settled, log: LightLog, shape: str, seen: Sequence[Sighting]) -> bool:
    """Whether the days differ by much more than readings so far apart leave open."""
    own = float(np.hypot(log.interval / 60.0 / STEPS, ON_ITS_OWN_MIN))
    if shape in LYING:
        # The light of one that lies flat has no such corner: each day is as sure as its fit.
        own = max(own, float(np.median([sighting.minutes or 1.0 for sighting in seen])))
    return result.scatter > max(WIDE * own, WIDE_MIN)


def _none_agree(study: LightStudy) -> str:
    if study.sunny < ENOUGH:
        return _too_few(study, 0)
    return (
        f"{study.sunny} of {study.days} days were clear, but show no coming or leaving of the sun "
        "on which they agree"
    )


def _too_few(study: LightStudy, telling: int) -> str:
    left_out = study.days - telling
    return (
        f"{telling} of {study.days} days tell the direction, at least {ENOUGH} are needed; the "
        f"other {left_out} were not clear enough, or had no coming or leaving of the sun that "
        "hangs on the direction"
    )


def _searched(
    site: Site,
    window: Window,
    log: LightLog,
    days: SunnyDays,
    *,
    clock_sd: float,
    kinds: Sequence[str],
) -> tuple[Edges, float] | None:
    """The edges, and about the azimuth, looked for where the azimuth found so far has them.

    Of several beginnings, the one that finds most of them; None where no edge is found.
    """
    best: tuple[float, Edges, float] | None = None
    for start in _starts(window.azimuth, days.azimuth):
        found = _followed(site, window, log, days, clock_sd=clock_sd, start=start, kinds=kinds)
        if found is not None and (best is None or found[0] > best[0]):
            best = found
        if best is not None and len(best[1].found) >= MOST_OF * len(days.numbers):
            break
    return None if best is None else best[1:]


def _followed(
    site: Site,
    window: Window,
    log: LightLog,
    days: SunnyDays,
    *,
    clock_sd: float,
    start: float,
    kinds: Sequence[str],
) -> tuple[float, Edges, float] | None:
    """How good they are, the edges, and the azimuth to which they lead from `start`."""
    azimuth, found = start, None
    unsure: list[float] = []
    for _ in range(ROUNDS):
        turned = window.model_copy(update={"azimuth": azimuth})
        edges = find_edges(log, site, turned, days, kinds)
        about = site.model_copy(update={"windows": (turned,)})
        seen = [_sighting(edge, window.name) for edge in _spread_out(edges.found, FEW)]
        result = settled(about, seen, azimuth, clock_sd, edges.unsure_min)
        if result is None:
            return None  # where it led to, there is nothing
        unsure.append(edges.unsure_min)
        moved = abs(float(turn(np.array(result.azimuth - azimuth))))
        azimuth = result.azimuth
        # Days that fit badly, or that say different things, are days of something else.
        fits = edges.worth >= LEAST_WORTH * len(edges.found) and not _disagree(
            result, log, edges.shape, seen
        )
        found = None
        if fits:
            own = float(np.median([s.minutes or 1.0 for s in seen]))
            agree = len(edges.found) * float(np.log(own / max(result.scatter, 0.5)))
            # Where the shape hangs on the azimuth and turns about, it is as unsure as it ever was.
            edges = replace(edges, unsure_min=max(unsure[1:] or unsure))
            found = edges.worth + agree, edges, azimuth
        if moved < NEAR:
            break
    return found


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
    minutes = float(np.hypot(edge.sd / 60.0, ON_ITS_OWN_MIN))
    return Sighting(
        window=name,
        time=round(edge.time),
        seen="on" if edge.coming else "off",
        minutes=round(minutes, 1),
    )


def _step_min(edges: Edges, log: LightLog) -> float:
    """By how much edges of a kind may be off together, for the readings fall about alike on them.

    The beam that begins at once may have done so at any time between two readings; as the edge
    moves from day to day it passes through many such intervals, or stays within one.
    """
    if edges.shape not in AT_ONCE:
        return 0.0
    step = log.interval / 60.0
    drift = []
    for coming in (True, False):
        at = np.array([(e.time % 86_400.0) / 60.0 for e in edges.found if e.coming == coming])
        if len(at):
            drift.append(float(np.ptp(at)))
    passed = max(drift, default=0.0) / step
    return step / float(np.sqrt(12.0)) / (1.0 + passed)
