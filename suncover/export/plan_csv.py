"""A plan as CSV: one row for each closing, in the order in which they start, then by shade."""

from __future__ import annotations

from collections.abc import Iterable
from zoneinfo import ZoneInfo

from suncover.clock import iso_local
from suncover.export.csv_text import minutes_text, table, text_cell
from suncover.plan import Closing, in_time_order

PLAN_COLUMNS = ("shade", "date", "close", "open", "minutes", "sun_minutes", "reason")


def plan_csv(closings: Iterable[Closing], zone: ZoneInfo, *, position: bool = False) -> bytes:
    """The file's bytes; `position` adds a last column of that name, per cent closed."""
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
        rows.append([*row, str(closing.position)] if position else row)
    return table((*PLAN_COLUMNS, "position") if position else PLAN_COLUMNS, rows)
