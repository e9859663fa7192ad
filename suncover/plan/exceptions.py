"""Times at which shades stay up or down, whatever the sun does: by date, or by a calendar's event.

An exception changes what is needed, before any rule of the plan: while a shade stays up nothing is
needed of it, nor so close to that time that its motor would have to run in it; while it stays down
all of the time is. Quiet hours, lead and lag then hold as ever, so that a shade which is to be down
from a morning on may close the evening before; but never while it has to stay up (`Motor`). No gap
in which a shade stays up is bridged. Where two exceptions meet, `up` wins over `down`: somebody may
be working at the window.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal
from zoneinfo import ZoneInfo

from suncover.base import clock
from suncover.base.errors import RequestError
from suncover.base.spell import Spell, clip, subtract, union
from suncover.base.textfile import printable
from suncover.plan.closings.reasons import span_text
from suncover.plan.closings.shade_plan import ShadePlan
from suncover.plan.motor import timing_of
from suncover.plan.needs import Want
from suncover.site.calendar.event import MOST_TIMES
from suncover.site.model import Shade, Site


@dataclass(frozen=True, slots=True)
class Happening:
    """Something during which shades stay up or down; all shades where `shades` is None."""

    spell: Spell
    name: str
    do: Literal["up", "down"]
    shades: tuple[str, ...] | None = None

    def touches(self, span: Spell) -> bool:
        """Whether any of it lies in a span of time."""
        return self.spell.start < span.end and self.spell.end > span.start

    def is_for(self, shade: Shade) -> bool:
        """Whether a shade has part in it."""
        return self.shades is None or shade.name in self.shades


def happenings(site: Site, span: Spell) -> tuple[Happening, ...]:
    """All of a site's exceptions that touch a span of time, each whole, in order of time.

    Raises
    ------
    RequestError
        When a calendar has more than can be dealt with in the span.
    """
    touching = []
    for happening in _all(site, span):
        if happening.touches(span):
            touching.append(happening)
        if len(touching) > MOST_TIMES:
            raise RequestError(
                f"calendar events come to more than {MOST_TIMES} times in these dates; choose "
                "rarer words in [[calendar.event]]"
            )
    return tuple(sorted(touching, key=lambda happening: happening.spell))


def _all(site: Site, span: Spell) -> Iterator[Happening]:
    zone = site.place.zone
    for entry in site.exceptions:
        span_of = clock.dates_bounds(*entry.dates, zone)
        yield Happening(span_of, entry.name, entry.do, entry.shades)
    if not any(calendar.events for calendar in site.calendars):
        return
    from suncover.site.calendar.spells import spells_of  # noqa: PLC0415 - few have calendars

    for calendar in site.calendars:
        for event in calendar.events:
            for spell in spells_of(event, span, zone):
                yield Happening(spell, printable(event.name), event.do, event.shades)


def up_spells(happenings: Iterable[Happening]) -> tuple[Spell, ...]:
    """When a shade stays up by what it has part in."""
    return union(happening.spell for happening in happenings if happening.do == "up")


def still_spells(up: Iterable[Spell], shade: Shade) -> tuple[Spell, ...]:
    """When nothing can be needed of a shade, so that its motor is still while it stays up.

    It has to be up when that begins, and starts to close no sooner than when it ends: around it a
    run and the shade's margin, `lag` before and `lead` after, are left free too.
    """
    timing = timing_of(shade)
    before, after = timing.travel + timing.lag, timing.travel + timing.lead
    return union(Spell(spell.start - before, spell.end + after) for spell in up)


def down_wants(happenings: Iterable[Happening], span: Spell) -> Iterator[Want]:
    """The time in a span in which a shade has to be down for each exception, by its name."""
    for happening in happenings:
        if happening.do == "down":
            for part in clip([happening.spell], span.start, span.end):
                yield Want(part, "exception", happening.name)


def wants_after(wants: Iterable[Want], still: Sequence[Spell]) -> tuple[Want, ...]:
    """What is wanted of a shade at other times than those in which nothing can be."""
    remaining = wants
    if still:
        remaining = (
            want._replace(spell=part) for want in wants for part in subtract([want.spell], still)
        )
    return tuple(sorted(remaining, key=_by_time))


def _by_time(want: Want) -> tuple[int, int, str, str]:
    return want.spell.start, want.spell.end, want.need, want.what


def with_reasons(happenings: Sequence[Happening], plan: ShadePlan, zone: ZoneInfo) -> ShadePlan:
    """The plan with the exceptions named in the closings that are there for them."""
    names = _names_in(happenings, plan)
    if not names:
        return plan
    closings = list(plan.closings)
    for number, on in names.items():
        closing = closings[number]
        span = span_text(closing.close, closing.open, closing.date.toordinal(), zone)
        closings[number] = replace(closing, reason=f"{' and '.join(on)}: down {span}")
    return replace(plan, closings=tuple(closings))


def _names_in(happenings: Iterable[Happening], plan: ShadePlan) -> dict[int, dict[str, None]]:
    """What keeps the shade down in each closing, by the closing's number."""
    starts = [closing.close for closing in plan.closings]
    ends = [closing.open for closing in plan.closings]
    names: dict[int, dict[str, None]] = {}
    for happening in happenings:
        if happening.do == "down":
            first = bisect_right(ends, happening.spell.start)
            last = bisect_left(starts, happening.spell.end)
            for number in range(first, last):
                names.setdefault(number, {})[happening.name] = None
    return names
