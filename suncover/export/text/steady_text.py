"""What it costs to draw days together, and how many settings are left, for a person."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from suncover.export.text.text_table import Column, Style, table, wrapped
from suncover.plan.closings.reasons import length_text
from suncover.plan.closings.shade_plan import ShadePlan
from suncover.plan.summary import PlanSummary
from suncover.plan.timers.steady import settings_in

_COLUMNS = (
    Column("shade", most=22),
    Column("settings", right=True),
    Column("before", right=True),
    Column("for nothing", right=True),
)


@dataclass(frozen=True)
class Made:
    """Plans of all shades, and what they come to."""

    plans: Sequence[ShadePlan]
    summary: PlanSummary


def steady_lines(
    daily: Made, steady: Made, minutes: int, zone: ZoneInfo, strong: Style = str
) -> Iterator[str]:
    """The price of steady times, against the plan day by day."""
    yield ""
    yield strong(f"Steady times: days in a row that differ by up to {minutes} min, made alike")
    rows = [
        (
            after.shade,
            str(settings_in(after.closings, zone)),
            str(settings_in(before.closings, zone)),
            _more(new.needless - old.needless),
        )
        for before, after, old, new in zip(
            daily.plans, steady.plans, daily.summary.shades, steady.summary.shades, strict=True
        )
    ]
    yield from table(_COLUMNS, rows, strong=strong)
    yield from wrapped(
        "Settings: times that hold for one day, or for several in a row; before, in the plan day "
        "by day. For nothing: what it costs in daylight with the shade down and nothing that asks "
        "for it."
    )


def _more(seconds: int) -> str:
    if abs(seconds) < 60:
        return "nothing more"
    return f"{length_text(abs(seconds))} {'more' if seconds > 0 else 'less'}"
