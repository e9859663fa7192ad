"""When a motor may run: never in quiet hours, never against "stay up", never too many at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from suncover.base.spell import Spell
from suncover.keeper.agenda import Agenda, Feed, Motor, next_spell, spell_at
from suncover.keeper.state import FAR, State
from suncover.plan.staircase import Step, step_at

# A planned run may end as quiet hours begin; an order on its way is late by a part of this.
SLACK_S = 1.0


@dataclass(frozen=True, slots=True)
class Window:
    """A run may start now, up to `latest`; or, where `latest` is None, not before `wake`."""

    latest: float | None
    wake: float = FAR
    why: str = ""


def start_window(
    motor: Motor, run: float, now: float, *, down: bool, after: Step | None, late: bool
) -> Window:
    """Whether a run of so many seconds may start, by quiet hours, exceptions and the plan's steps.

    A run that comes `late`, after the step that asked for it, must be over before the plan's next
    step `after`: else it is left to that.
    """
    quiet = spell_at(motor.quiet, now)
    if quiet is not None:
        return Window(None, quiet.end, "quiet hours")
    stay = spell_at(motor.up, now) if down else None
    if stay is not None:
        return Window(None, stay.end, "it has to stay up")
    bounds = [_bound(motor.quiet, now, run, "quiet hours come before its run would be over")]
    if down:
        bounds.append(_bound(motor.up, now, run, "it has to stay up before its run would be over"))
    if late and after is not None:
        next_first = "the plan's next move comes before its run would be over"
        bounds.append((after.at - run, float(after.at), next_first))
    latest, wake, reason = min(bounds)
    if now > latest + SLACK_S:
        return Window(None, wake, reason)
    return Window(max(latest, now))


def _bound(
    spells: Sequence[Spell], now: float, run: float, reason: str
) -> tuple[float, float, str]:
    """The latest start before the next of some spells, when that is over, and what it is."""
    coming = next_spell(spells, now)
    return (FAR, FAR, "") if coming is None else (coming.start - run, float(coming.end), reason)


def run_end(state: State, slug: str, now: float) -> float | None:
    """Until when a shade's motor may be running at the most, by what is known; None if it is not.

    An order counts until it is answered or given up: its motor may have started late.
    """
    shade = state.of(slug)
    if shade.flight is not None:
        return max(shade.flight.deadline, now + 1.0)
    return shade.busy if shade.busy > now else None


def supply_free_at(
    agenda: Agenda, state: State, motor: Motor, run: float, now: float, *, late: bool
) -> float:
    """The instant from which a supply can run one more motor, as far as is known; `now` if so.

    A late run also leaves the supply to the moves that the plan has in its time.
    """
    feed = agenda.feed_of.get(motor.slug)
    if feed is None:
        return now
    neighbours = [slug for slug in feed.slugs if slug != motor.slug]
    ends = [end for slug in neighbours if (end := run_end(state, slug, now)) is not None]
    if len(ends) >= feed.at_once:
        return min(ends)
    since = state.starts.get(feed.name)
    if since is not None and now < since + feed.gap:
        return since + feed.gap
    soon = _planned_soon(agenda, feed, motor, now, run + agenda.answer) if late else []
    if soon and len(ends) + len(soon) >= feed.at_once:
        return max(soon) + 1.0
    return now


def _planned_soon(
    agenda: Agenda, feed: Feed, motor: Motor, now: float, seconds: float
) -> list[int]:
    """The steps that the plan has for the other shades of a supply in the next seconds."""
    instants = []
    for slug in feed.slugs:
        neighbour = agenda.by_slug.get(slug)
        if neighbour is None or slug == motor.slug:
            continue
        first, last = step_at(neighbour.steps, now) + 1, step_at(neighbour.steps, now + seconds) + 1
        instants += [step.at for step in neighbour.steps[first:last]]
    return instants
