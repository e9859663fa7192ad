"""A plan as CSV: one row for each closing, in the order in which they start, then by shade."""

from __future__ import annotations

from collections.abc import Iterable
from zoneinfo import ZoneInfo

from suncover.base.clock import iso_local
from suncover.base.csv_text import minutes_text, table, text_cell
from suncover.plan.closings.shade_plan import Closing, in_time_order

PLAN_COLUMNS = ("shade", "date", "close", "open", "minutes", "sun_minutes", "reason")


def plan_csv(
    closings: Iterable[Closing],
    zone: ZoneInfo,
    *,
    position: bool = False,
    run_seconds: bool = False,
) -> bytes:
    """The file's bytes.

    `position` and `run_seconds` add columns of these names behind the others: per cent closed, and
    the seconds that the motor runs to get there (empty for a shade whose roller is not known).
    """
    columns = [*PLAN_COLUMNS]
    columns += ["position"] if position else []
    columns += ["run_seconds"] if run_seconds else []
    rows = []
    for closing in in_time_order(closings):
        row = [
            text_cell(closing.shade),
            closing.date.isoformat(),
            iso_local(closing.close, zone),
            iso_local(closing.open, zone),
            minutes_text(closing.open - closing.close),
            minutes_text(closing.sun_seconds),
            text_cell(closing.reason),
        ]
        if position:
            row.append(str(closing.position))
        if run_seconds:
            row.append("" if closing.run_seconds is None else f"{closing.run_seconds:g}")
        rows.append(row)
    return table(columns, rows)
