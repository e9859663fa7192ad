"""Dates on which shades stay up or down, whatever the sun does.

An exception changes what is needed, before any rule of the plan: on dates on which a shade stays up
nothing is needed of it, on those on which it stays down all of every day is. Quiet hours, lead and
lag then hold as ever, so that a shade which is to be down from a morning on may close the evening
before. Where two exceptions meet, `up` wins over `down`: somebody may be working at the window.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from suncover import clock
from suncover.needs import Want
from suncover.plan import ShadePlan
from suncover.plan_reasons import span_text
from suncover.site import DatedException, Shade, Site
from suncover.spell import Spell, clip, intersect, subtract, union


def exceptions_for(site: Site, shade: Shade) -> tuple[DatedException, ...]:
    """The exceptions that a shade has part in."""
    return tuple(one for one in site.exceptions if one.shades is None or shade.name in one.shades)


def down_spells(site: Site, shade: Shade, span: Spell) -> tuple[Spell, ...]:
    """When a shade stays down by an exception, within a span of time."""
    down = clip(_spells(site, exceptions_for(site, shade), "down"), span.start, span.end)
    return subtract(union(down), up_spells(site, shade))


def up_spells(site: Site, shade: Shade) -> tuple[Spell, ...]:
    """When a shade stays up by an exception."""
    return union(_spells(site, exceptions_for(site, shade), "up"))


def _spells(site: Site, exceptions: Iterable[DatedException], do: str) -> Iterator[Spell]:
    for one in exceptions:
        if one.do == do:
            yield clock.dates_bounds(*one.dates, site.place.zone)


def needed_after(
    spells: Sequence[Spell], up: Sequence[Spell], down: Sequence[Spell] = ()
) -> tuple[Spell, ...]:
    """What is needed once the exceptions are taken into account."""
    return union([*subtract(union(spells), up), *down])


def wants_after(
    wants: Iterable[Want], up: Sequence[Spell], down: Sequence[Spell]
) -> tuple[Want, ...]:
    """The same for spells with what they are for; being down counts as heat, all the way."""
    kept = [replace(want, spell=part) for want in wants for part in subtract([want.spell], up)]
    kept += [Want(spell, "heat") for spell in down]
    return tuple(sorted(kept, key=lambda want: (want.spell, want.need, want.what)))


def with_reasons(site: Site, shade: Shade, plan: ShadePlan) -> ShadePlan:
    """The plan with the exceptions named in the closings that are there for them."""
    zone = site.place.zone
    down = [one for one in exceptions_for(site, shade) if one.do == "down"]
    if not down:
        return plan
    closings = []
    for closing in plan.closings:
        held = Spell(closing.close, closing.open)
        names = [
            one.name for one in down if intersect([clock.dates_bounds(*one.dates, zone)], [held])
        ]
        if names:
            ordinal = closing.date.toordinal()
            span = span_text(closing.close, closing.open, ordinal, zone)
            closings.append(replace(closing, reason=f"{' and '.join(names)}: down {span}"))
        else:
            closings.append(closing)
    return replace(plan, closings=tuple(closings))
