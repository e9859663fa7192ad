"""Dates, times, lengths of time and directions as people say them; for texts on a screen."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from suncover.base.clock import date_text
from suncover.site.kinds.azimuth import azimuth_words
from suncover.site.model import MonthDay, Need, Window

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def number(count: int, thing: str, things: str | None = None) -> str:
    """`1 window`, `3 windows`."""
    return f"{count} {thing if count == 1 else things or f'{thing}s'}"


def listed(names: Sequence[str], most: int = 5) -> str:
    """`a`, `a and b`, `a, b and c`, and past `most` names `a, b and 4 more`."""
    shown = list(names)
    if len(shown) > most:
        shown = [*shown[:most], f"{len(shown) - most} more"]
    return " and ".join([", ".join(shown[:-1]), shown[-1]] if shown[1:] else shown)


def hours_text(seconds: int) -> str:
    """Seconds as hours with one decimal: `61.5`."""
    return f"{seconds / 3600:.1f}"


def kwh_text(kwh: float) -> str:
    """An amount of energy: `12 kWh`, `3.4 kWh`, `0.04 kWh`, `under 0.01 kWh`, `0 kWh`."""
    if abs(kwh) >= 10.0:
        return f"{kwh:,.0f} kWh"
    if abs(kwh) >= 0.1:
        return f"{kwh:.1f} kWh"
    if abs(kwh) >= 0.01:
        return f"{kwh:.2f} kWh"
    return "under 0.01 kWh" if kwh else "0 kWh"


def share_of(part: float, whole: float) -> str:
    """A share that is counted, cut to tenths of a per cent: `96.4 %`.

    It is 100 only where nothing is missing, and `-` of nothing.
    """
    # Of 29 in 100, a thousand times the share comes out a little below 290.
    return f"{int(1000 * part / whole + 1e-6) / 10:g} %" if whole else "-"


def percent(share: float | None) -> str:
    """A share that is estimated, in whole per cent: `42 %`; `-` where it is not known.

    It is 100 only where nothing is missing, as in `share_of`.
    """
    if share is None:
        return "-"
    percents = round(share * 100)
    return f"{99 if percents == 100 and share < 1.0 - 1e-9 else percents} %"


def wall_text(seconds: int) -> str:
    """Seconds since 0:00 as a clock shows them, to the minute begun: `09:12`, `24:00`."""
    return f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}"


def weekday_text(day: date) -> str:
    """`Mon 1 Jun`."""
    return f"{WEEKDAYS[day.weekday()]} {date_text(day)}"


def dated(day: date) -> str:
    """`Mon 1 Jun 2026`."""
    return f"{weekday_text(day)} {day.year}"


def long_date(day: date) -> str:
    """`1 Jun 2026`."""
    return f"{date_text(day)} {day.year}"


def dates_text(first: date, last: date) -> str:
    """`1 Jan to 31 Dec 2026`."""
    if first == last:
        return long_date(first)
    if first.year != last.year:
        return f"{long_date(first)} to {long_date(last)}"
    start = str(first.day) if first.month == last.month else date_text(first)
    return f"{start} to {long_date(last)}"


def period_text(label: str) -> str:
    """`2026-06` as `Jun 2026`; `2026` as it is."""
    year, _, month = label.partition("-")
    return f"{MONTHS[int(month) - 1]} {year}" if month else year


def season_text(season: tuple[MonthDay, MonthDay] | None) -> str:
    """`15 Apr to 15 Oct`, or `all year`."""
    if season is None:
        return "all year"
    return " to ".join(date_text(date(2000, *day)) for day in season)


def needs_text(need: Need) -> str:
    """What a shade closes for, and when in the year: `closes for glare and sleep`, `15 Apr …`."""
    if need.for_heat_alone:
        return season_text(need.season)
    named = [
        f"heat ({season_text(need.season)})" if purpose == "heat" else purpose
        for purpose in need.purposes
    ]
    return f"closes for {listed(named)}"


def facing_text(window: Window) -> str:
    """Which way a window faces: `95° (east)`, and how it slopes unless it is upright."""
    if window.tilt == 0:
        return "flat, looking up"
    way = f"{window.azimuth:g}° ({azimuth_words(window.azimuth)})"
    return way if window.tilt == 90 else f"{way}, tilted {window.tilt:g}°"


def beam_text(need: Need) -> str:
    """What counts as sun, however much of the glass it is on."""
    if need.beam:
        return f"Sun counts from {need.beam:g} W/m² of clear-sky beam"
    return "Any sun counts, however low it stands"


def need_text(need: Need) -> str:
    """What counts as sun on a window."""
    if need.power:
        return f"{_lit_text(need)}, while it puts at least {need.power:g} W on each m² of the glass"
    return _lit_text(need)


def _lit_text(need: Need) -> str:
    """What counts as sun on a window, however strong it is on the glass as a whole."""
    if need.fraction and not need.beam:
        share = f"{need.fraction * 100:g} %"
        return f"Sun counts, however low, once it is on more than {share} of the glass"
    if need.fraction:
        return f"{beam_text(need)} on more than {need.fraction * 100:g} % of the glass"
    return beam_text(need)
