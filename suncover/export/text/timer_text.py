"""What one setting per period costs against the daily plan, for a person."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from suncover.export.text.text_table import Column, Style, joined, table, wrapped
from suncover.export.text.words import hours_text
from suncover.plan.timers.dial import Every
from suncover.plan.timers.settings import TimerPlan

_COLUMNS = (
    Column("shade", most=22),
    Column("settings", right=True),
    Column("down", right=True),
    Column("longer by", right=True),
    Column("", right=True),
    Column("more moves", right=True),
)


def timer_text(timers: Sequence[TimerPlan], every: Every, *, strong: Style = str) -> str:
    """The price of each shade's settings, lines ending in a line feed."""
    return joined(_lines(timers, every, strong))


def _lines(timers: Sequence[TimerPlan], every: Every, strong: Style) -> Iterator[str]:
    yield ""
    yield strong(f"What one setting a {every} costs against the daily plan")
    yield from table(_COLUMNS, [_row(timer) for timer in timers])
    yield from wrapped("Down: how long the shade is down in all, the sun on its windows or not.")


def _row(timer: TimerPlan) -> tuple[str, ...]:
    down = sum(row.open - row.close for row in timer.rows)
    before = down - timer.extra_seconds
    share = f"{100 * timer.extra_seconds / before:+.0f} %" if before else ""
    return (
        timer.shade,
        str(len(timer.settings)),
        f"{hours_text(down)} h",
        f"{hours_text(timer.extra_seconds)} h",
        share,
        f"{timer.extra_moves:+d}",
    )
