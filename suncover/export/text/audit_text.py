"""An audit for a person: what the plan keeps off, lets in and costs, and on which days."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from zoneinfo import ZoneInfo

from suncover.base.clock import clock_text, date_text, local_date
from suncover.base.spell import Spell, total_seconds
from suncover.compare.plan_heat import PlanHeat
from suncover.export.text.compare_advice import range_words
from suncover.export.text.text_table import Column, Style, joined, table, wrapped
from suncover.export.text.words import (
    dates_text,
    hours_text,
    kwh_text,
    listed,
    number,
    share_of,
    weekday_text,
)
from suncover.plan.audit import Audit, ShadeAudit
from suncover.plan.closings.reasons import length_text
from suncover.plan.motor import QuietMove
from suncover.site.model import Site

MOST_DAYS = 10
"""Days shown one by one for each finding; the JSON has them all."""

EMPTY = (
    "The plan has no closings, so it does not say which days it is for. To hold it against the "
    "sun all the same, give --from and --to."
)

OPEN_ENDS = (
    "These days are the plan's own: rows missing before its first or after its last go unnoticed. "
    "Give --from and --to to ask for more."
)

_SUMMARY = (
    Column("shade", most=16),
    Column("closings", right=True),
    Column("asked", right=True),
    Column("covered", right=True),
    Column("for nothing", right=True),
    Column("moves/day", right=True),
    Column("motor/day", right=True),
)


def audit_text(
    site: Site,
    audit: Audit,
    *,
    open_ends: bool = False,
    brief: bool = False,
    heat: PlanHeat | None = None,
    strong: Style = str,
) -> str:
    """The whole text; lines end in a line feed. With `brief`, only what is not as asked.

    `open_ends` says that the plan's own rows gave a day on which the audit begins or ends. `heat`
    is what the plan keeps out in a year of weather.
    """
    lines = [*_head(site, audit, open_ends, strong), *_verdict(site, audit, strong)]
    if not brief:
        lines += _figures(site, audit, strong)
    if heat is not None:
        lines += ["", strong("The heat of it"), *_heat(heat)]
    return joined(lines)


def _heat(heat: PlanHeat) -> Iterator[str]:
    """What the plan does for the heat, beside the rules' plan and shades that stay up."""
    yield from wrapped(
        f"On its {number(heat.days, 'day')}, in the site's year of weather, "
        f"{heat.up_kwh:.0f} kWh of sun would come in with the shades up, {heat.plan_kwh:.0f} kWh "
        f"by this plan, {heat.rules_kwh:.0f} kWh by the site's rules.",
        first="  - ",
    )
    for name, worth in (("This plan", heat.plan), ("The rules", heat.rules)):
        yield from wrapped(
            f"{name}: {range_words(worth.kept_out_kwh)} kWh kept out on days that need cooling, "
            f"{range_words(worth.lost_kwh)} kWh lost on days that need heating; net "
            f"{range_words(worth.net_kwh)} kWh of electricity saved.",
            first="  - ",
        )


def _head(site: Site, audit: Audit, open_ends: bool, strong: Style) -> Iterator[str]:
    yield from (strong(line) for line in wrapped(f"Audit of a plan for {site.place.name}"))
    dates = dates_text(audit.first, audit.last)
    yield f"{dates}, by the clocks of {site.place.zone_name}"
    if open_ends:
        yield from wrapped(OPEN_ENDS)
    yield ""


def _verdict(site: Site, audit: Audit, strong: Style) -> Iterator[str]:
    """What is not as asked, or that all is."""
    zone = site.place.zone
    if audit.broken:
        yield strong("Not as the site file asks")
    else:
        supplies = ", no supply is asked for too much" if site.supplies else ""
        yield from wrapped(
            f"All that the site file asks for is kept: need is covered, quiet is kept{supplies}."
        )
    yield from _faults(audit.shades, zone)
    yield from _overloads(audit, zone)


def _figures(site: Site, audit: Audit, strong: Style) -> Iterator[str]:
    """What the plan comes to, and what is worth a look."""
    zone = site.place.zone
    yield ""
    yield from table(_SUMMARY, [_row(shade) for shade in audit.shades], strong=strong)
    remarks = [line for shade in audit.shades for line in _remarks(shade, zone)]
    if remarks:
        yield ""
        yield strong("Worth a look")
        yield from remarks
    yield ""
    yield from wrapped(
        "Asked: the need that the site's rules keep off. For nothing: daylight with the shade "
        "down and no need of it. Moves and motor: the most on any day."
    )


def _row(shade: ShadeAudit) -> tuple[str, ...]:
    return (
        shade.shade,
        str(shade.closings),
        f"{hours_text(shade.promised)} h",
        share_of(shade.promised - shade.missed, shade.promised),
        f"{hours_text(shade.needless)} h",
        str(max(shade.moves.values(), default=0)),
        length_text(round(max(shade.run_seconds.values(), default=0.0))),
    )


def _item(text: str) -> list[str]:
    return wrapped(text, first="  - ", indent="    ")


def _days(parts: Sequence[Spell], zone: ZoneInfo) -> Mapping[date, list[Spell]]:
    days: dict[date, list[Spell]] = {}
    for part in parts:
        days.setdefault(local_date(part.start, zone), []).append(part)
    return days


_Fault = tuple[str, tuple[str, ...]]
"""What is wrong with a shade in a sentence, and on which days in lines."""


def _faults(shades: Sequence[ShadeAudit], zone: ZoneInfo) -> Iterator[str]:
    """What is wrong with each shade; shades with the same faults share the lines."""
    alike: dict[_Fault, list[str]] = {}
    for shade in shades:
        for fault in (_uncovered(shade, zone), _not_up(shade, zone), _quiet(shade, zone)):
            if fault is not None:
                alike.setdefault(fault, []).append(shade.shade)
    for (sentence, days), names in alike.items():
        yield from _item(f"{listed(names)}: {'each ' if len(names) > 1 else ''}{sentence}")
        yield from days


def _uncovered(shade: ShadeAudit, zone: ZoneInfo) -> _Fault | None:
    if not shade.uncovered:
        return None
    days = _days(shade.uncovered, zone)
    sentence = (
        f"{length_text(shade.missed)} uncovered on {number(len(days), 'day')}, up to "
        f"{kwh_text(shade.missed_kwh)} of sun on the glass"
    )
    return sentence, tuple(_by_day(days, zone))


def _not_up(shade: ShadeAudit, zone: ZoneInfo) -> _Fault | None:
    if not shade.not_up:
        return None
    days = _days(shade.not_up, zone)
    sentence = (
        f"down, or on its way, for {length_text(total_seconds(shade.not_up))} on "
        f"{number(len(days), 'day')} while it is to stay up"
    )
    return sentence, tuple(_by_day(days, zone))


def _by_day(days: Mapping[date, Sequence[Spell]], zone: ZoneInfo) -> Iterator[str]:
    texts: dict[date, str] = {}
    for day, parts in days.items():
        spans = ", ".join(
            f"{clock_text(part.start, zone)}–{clock_text(part.end, zone)}" for part in parts
        )
        texts[day] = f"{length_text(sum(part.seconds for part in parts))} ({spans})"
    yield from _alike(texts)


def _alike(texts: Mapping[date, str]) -> Iterator[str]:
    """A line for each day's text; days in a row with the same text share a line."""
    runs: list[tuple[date, date, str]] = []
    for day, text in texts.items():
        if runs and runs[-1][2] == text and (day - runs[-1][1]).days == 1:
            runs[-1] = runs[-1][0], day, text
        else:
            runs.append((day, day, text))
    for first, last, text in runs[:MOST_DAYS]:
        line = f"{weekday_text(first)}: {text}"
        if last != first:
            days = f"{weekday_text(first)} to {weekday_text(last)}"
            line = f"{days}: {text}, each of {(last - first).days + 1} days"
        yield from wrapped(line, first="      ")
    yield from _more(sum((last - first).days + 1 for first, last, _ in runs[MOST_DAYS:]))


def _quiet(shade: ShadeAudit, zone: ZoneInfo) -> _Fault | None:
    moves = shade.in_quiet
    if not moves:
        return None
    texts: dict[date, str] = {}
    for move in moves:
        day, text = local_date(move.instant, zone), _move(move, zone)
        texts[day] = f"{texts[day]}, {text}" if day in texts else text
    return f"{number(len(moves), 'move')} in quiet hours", tuple(_alike(texts))


def _move(move: QuietMove, zone: ZoneInfo) -> str:
    verb = "closes" if move.what == "close" else "opens"
    return f"{verb} at {clock_text(move.instant, zone)}"


def _more(count: int) -> Iterator[str]:
    if count:
        yield f"      … and {number(count, 'more day')}"


def _overloads(audit: Audit, zone: ZoneInfo) -> Iterator[str]:
    for name in dict.fromkeys(overload.supply for overload in audit.overloads):
        at = [overload.instant for overload in audit.overloads if overload.supply == name]
        time_text = f"{date_text(local_date(at[0], zone))}, {clock_text(at[0], zone)}"
        yield from _item(
            f"supply {name}: more motors at once than it can run, or too soon after each other, "
            f"{number(len(at), 'time')}, first on {time_text}"
        )


def _remarks(shade: ShadeAudit, zone: ZoneInfo) -> Iterator[str]:
    if shade.over_limit:
        first = min(shade.over_limit)
        yield from _item(
            f"{shade.shade}: more moves than its limit on {number(len(shade.over_limit), 'day')}, "
            f"first on {date_text(first)} ({shade.over_limit[first]} moves)"
        )
    if shade.clashes:
        at = shade.clashes[0]
        time_text = f"{date_text(local_date(at, zone))}, {clock_text(at, zone)}"
        yield from _item(
            f"{shade.shade}: ordered to close before it has opened, "
            f"{number(len(shade.clashes), 'time')}, first on {time_text}"
        )
    extra = shade.needless - shade.own_needless
    if abs(extra) >= 60:
        way = "longer" if extra > 0 else "less long"
        yield from _item(
            f"{shade.shade}: down for nothing {length_text(abs(extra))} {way} in daylight than "
            "in a plan made anew by the site's rules"
        )
    if shade.let_in:
        yield from _item(
            f"{shade.shade}: {length_text(shade.let_in)} of need are left uncovered by the site's "
            "own rules; no plan is blamed for that"
        )
