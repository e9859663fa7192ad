"""What a plan comes to, and what its limits cost, for a person."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date

from suncover.base.clock import clock_text, date_text, local_date
from suncover.export.text.text_table import Column, Style, table, wrapped
from suncover.export.text.words import MONTHS, hours_text, number, share_of
from suncover.plan.closings.reasons import length_text
from suncover.plan.summary import PlanSummary, ShadeSummary, Step
from suncover.site.model import Site

MOST_STEPS = 8
# A month is named when its days bring more than the average by this factor.
STANDS_OUT = 1.2
_COLUMNS = (
    Column("shade", most=20),
    Column("needed", right=True),
    Column("covered", right=True),
    Column("uncovered", right=True),
    Column("for nothing", right=True),
    Column("moves", right=True),
    Column("motor", right=True),
)


def summary_lines(site: Site, summary: PlanSummary, strong: Style = str) -> list[str]:
    """What a plan comes to."""
    lines = ["", strong("What it comes to")]
    lines += table(_COLUMNS, [_row(shade) for shade in summary.shades], strong=strong)
    lines += wrapped(
        "For nothing: daylight with the shade down and no need of it. Moves and motor, "
        "how long it runs: the most on any day."
    )
    lines += _kept(site, summary)
    return lines


def _row(shade: ShadeSummary) -> tuple[str, ...]:
    return (
        shade.shade,
        f"{hours_text(shade.needed)} h",
        share_of(shade.covered, shade.needed),
        length_text(shade.uncovered) if shade.uncovered else "0",
        f"{hours_text(shade.needless)} h",
        str(shade.moves),
        length_text(round(shade.run_seconds)),
    )


def _kept(site: Site, summary: PlanSummary) -> Iterator[str]:
    """Whether quiet hours and supplies are kept to; nothing where there are none."""
    zone = site.place.zone
    if any(shade.quiet is not None for shade in site.shades):
        moves = sorted(
            (move.instant, shade.shade) for shade in summary.shades for move in shade.in_quiet
        )
        if moves:
            at, name = moves[0]
            yield from wrapped(
                f"Motors run in quiet hours {number(len(moves), 'time')}, first {name} on "
                f"{date_text(local_date(at, zone))} at {clock_text(at, zone)}."
            )
        else:
            yield "No motor runs in quiet hours."
    if site.supplies:
        if busy := summary.overloads:
            at = min(overload.instant for overload in busy)
            yield from wrapped(
                f"Supplies are asked for more than they can do {number(len(busy), 'time')}, first "
                f"on {date_text(local_date(at, zone))} at {clock_text(at, zone)}."
            )
        else:
            yield "No supply runs more motors at once than it can."


def steps_lines(
    steps: Sequence[Step], dates: tuple[date, date], strong: Style = str
) -> Iterator[str]:
    """What each limit costs within `dates` (both included); those that bring most come first."""
    if not steps:
        return
    yield ""
    yield strong("What one step would bring")
    telling = [step for step in _merged(steps) if step.changes]
    telling.sort(key=_gain, reverse=True)
    for step in telling[:MOST_STEPS]:
        text = f"{step.name}, {step.limit}: {_effect(step, dates)}"
        yield from wrapped(text, first="  - ", indent="    ")
    if len(telling) > MOST_STEPS:
        yield f"  … and {len(telling) - MOST_STEPS} more that bring less"
    elif any(not step.changes for step in steps):
        yield f"  {'Any other' if telling else 'Any'} step would change nothing."


def _merged(steps: Sequence[Step]) -> Iterator[Step]:
    """The steps, with those of a limit that shades share as a single step."""
    together: dict[str, list[Step]] = {}
    for step in steps:
        if step.shared:
            together.setdefault(step.limit, []).append(step)
        else:
            yield step
    for limit, alike in together.items():
        yield Step(
            alike[0].name if len(alike) == 1 else "all shades",
            limit,
            _summed([step.uncovered for step in alike]),
            _summed([step.needless for step in alike]),
            sum(step.moves for step in alike),
        )


def _summed(counts: Sequence[Mapping[date, int]]) -> dict[date, int]:
    months = sorted({month for count in counts for month in count})
    return {month: sum(count.get(month, 0) for count in counts) for month in months}


def _gain(step: Step) -> int:
    return sum(step.uncovered.values()) + sum(step.needless.values())


def _effect(step: Step, dates: tuple[date, date]) -> str:
    parts = [
        text
        for effect, seconds in (
            ("left uncovered", step.uncovered),
            ("closing for nothing", step.needless),
        )
        if (text := _by_month(seconds, effect, dates))
    ]
    if step.moves:
        parts.append(f"{abs(step.moves)} {'more' if step.moves > 0 else 'fewer'} moves")
    return "; ".join(parts)


def _by_month(seconds_by_month: Mapping[date, int], effect: str, dates: tuple[date, date]) -> str:
    """`8 h less left uncovered (12 min a day in May)`; empty where it is under a minute in all."""
    total = sum(seconds_by_month.values())
    if abs(total) < 60:
        return ""
    word = "less" if total > 0 else "more"
    in_all = f"{length_text(abs(total))} {word} {effect}"
    sign = 1 if total > 0 else -1
    month, rate = max(
        (
            (month, sign * seconds / _days(month, dates))
            for month, seconds in _within_dates(seconds_by_month, dates)
        ),
        key=lambda pair: pair[1],
    )
    if len({(day.year, day.month) for day in dates}) == 1 or rate < 60:
        return in_all
    average = abs(total) / ((dates[1] - dates[0]).days + 1)
    month_text = "" if rate < STANDS_OUT * average else f" in {MONTHS[month.month - 1]}"
    return f"{in_all} ({length_text(round(rate))} a day{month_text})"


def _within_dates(
    seconds_by_month: Mapping[date, int], dates: tuple[date, date]
) -> Iterable[tuple[date, int]]:
    """The months of the dates; a closing that reaches across their ends counts with them."""
    first, last = (day.replace(day=1) for day in dates)
    by_month: dict[date, int] = {}
    for month, seconds in seconds_by_month.items():
        within = min(max(month, first), last)
        by_month[within] = by_month.get(within, 0) + seconds
    return by_month.items()


def _days(month: date, dates: tuple[date, date]) -> int:
    """The days of a month that lie within some dates."""
    last = month.replace(day=monthrange(month.year, month.month)[1])
    return (min(last, dates[1]) - max(month, dates[0])).days + 1
