"""A plan as CSV: one row for each closing, in the order in which they start, then by shade."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from zoneinfo import ZoneInfo

from suncover.base.clock import iso_local
from suncover.base.csv_text import minutes_text, table, text_cell, watts_text
from suncover.plan.closings.shade_plan import Closing, in_time_order

PLAN_COLUMNS = ("shade", "date", "close", "open", "minutes", "sun_minutes", "reason")


def plan_csv(
    closings: Iterable[Closing],
    zone: ZoneInfo,
    *,
    position: bool = False,
    run_seconds: bool = False,
    peaks: Sequence[float] | None = None,
) -> bytes:
    """The file's bytes.

    `position` and `run_seconds` add columns of these names behind the others: per cent closed, and
    the seconds that the motor runs to get there (empty for a shade whose roller is not known).
    `peaks`, one for each of the closings, adds a column `peak`: the greatest power of the sun on
    the whole glass while it lasts, W/m².
    """
    columns = [*PLAN_COLUMNS]
    columns += ["position"] if position else []
    columns += ["run_seconds"] if run_seconds else []
    columns += ["peak"] if peaks is not None else []
    lines = []
    rows_in = list(closings)
    strongest = {} if peaks is None else {id(c): p for c, p in zip(rows_in, peaks, strict=True)}
    for closing in in_time_order(rows_in):
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
        if peaks is not None:
            row.append(watts_text(strongest[id(closing)]))
        lines.append(row)
    return table(columns, lines)
