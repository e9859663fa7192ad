"""A rule by which something repeats, by whole days (RFC 5545, 3.3.10)."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

Frequency = Literal["DAILY", "WEEKLY", "MONTHLY", "YEARLY"]


@dataclass(frozen=True)
class Rule:
    """One rule; its lists are empty where the part is left out.

    `weekdays` holds pairs of a number (0 for every such weekday, else the first, second, … or from
    the end with -1, -2, …) and a weekday (0 Monday … 6 Sunday). `until` is the last day that may
    be one; `week_start` the weekday with which weeks begin.
    """

    frequency: Frequency
    interval: int = 1
    count: int | None = None
    until: date | None = None
    months: tuple[int, ...] = ()
    month_days: tuple[int, ...] = ()
    year_days: tuple[int, ...] = ()
    week_numbers: tuple[int, ...] = ()
    weekdays: tuple[tuple[int, int], ...] = ()
    positions: tuple[int, ...] = ()
    week_start: int = 0
