"""A timer's settings on a card: for the person who sets a dial by hand, one page for each shade."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date, timedelta

from suncover.base.clock import DAY_S
from suncover.base.csv_text import table as csv_table
from suncover.base.csv_text import text_cell
from suncover.export.text.text_table import Column, joined, table, wrapped
from suncover.export.text.words import dated
from suncover.plan.closings.reasons import length_text
from suncover.plan.timers.dial import Dial
from suncover.plan.timers.settings import Setting, TimerPlan
from suncover.site.model import Place

CARD_COLUMNS = ("shade", "period", "first", "last", "close", "open", "open_days_later")
FORM_FEED = "\f"
"""Between two shades, so that a printer puts each on a page of its own."""

_COLUMNS = (Column("from"), Column("to"), Column("down"), Column("up"))
CAUTION = (
    "Take care: the shade moves by itself, whatever the weather and whoever stands near it. Keep "
    "cords and hands away. Wiring a timer to mains is for a licensed electrician."
)


def dial_card(plans: Iterable[TimerPlan], place: Place, dial: Dial) -> str:
    """The cards of all shades as text, lines ending in a line feed."""
    return FORM_FEED.join(joined(_card(plan, place, dial)) for plan in plans)


def dial_card_csv(plans: Iterable[TimerPlan]) -> bytes:
    """The settings as CSV: clock times, HH:MM:SS, on each day from `first` to `last`.

    `open_days_later` is 1 where it opens on the day after it closes, and so on.
    """
    return csv_table(CARD_COLUMNS, (_row(setting) for plan in plans for setting in plan.settings))


def _row(setting: Setting) -> tuple[str, ...]:
    first, last, close, opens, later = _normal(setting)
    return (
        text_cell(setting.shade),
        setting.period,
        first.isoformat(),
        last.isoformat(),
        _clock(close, seconds=True),
        _clock(opens, seconds=True),
        str(later),
    )


def _normal(setting: Setting) -> tuple[date, date, int, int, int]:
    """First and last date of closing, both clock times in seconds, days from closing to opening."""
    days, close = divmod(setting.close, DAY_S)
    later, opens = divmod(setting.open - days * DAY_S, DAY_S)
    shift = timedelta(days=days)
    return setting.first + shift, setting.last + shift, close, opens, later


def _clock(reading: int, *, seconds: bool = False) -> str:
    hours, minutes, second = reading // 3600, reading // 60 % 60, reading % 60
    if seconds or second:
        return f"{hours:02d}:{minutes:02d}:{second:02d}"
    return f"{hours:02d}:{minutes:02d}"


def _card(plan: TimerPlan, place: Place, dial: Dial) -> Iterator[str]:
    yield from wrapped(f"{plan.shade}, {place.name}")
    if dial.fixed is None:
        yield from wrapped(f"By the clocks of {place.zone_name}; change the timer's with them.")
    else:
        yield from wrapped(
            f"By a clock that stays {_ahead(dial.fixed)} all the time: never change the timer's."
        )
    yield ""
    if not plan.settings:
        yield "Stays up all the time."
        return
    yield from table(_COLUMNS, (_line(setting) for setting in plan.settings))
    if later := sorted({_normal(setting)[4] for setting in plan.settings} - {0}):
        yield ""
        legend = (f"+{days}: {_later(days)}" for days in later)
        yield from wrapped(f"{'; '.join(legend)}.")
    for remark in plan.remarks:
        yield ""
        yield from wrapped(f"Note: {remark}.")
    if plan.extra_seconds > 0:
        yield ""
        cost = length_text(plan.extra_seconds)
        yield from wrapped(f"Down {cost} longer in all than a plan made for each day.")
    yield ""
    yield from wrapped(CAUTION)


def _line(setting: Setting) -> tuple[str, str, str, str]:
    first, last, close, opens, later = _normal(setting)
    up = _clock(opens) + (f" +{later}" if later else "")
    return dated(first), dated(last), _clock(close), up


def _later(days: int) -> str:
    return "on the next day" if days == 1 else f"{days} days later"


def _ahead(offset: int) -> str:
    hours, minutes = divmod(abs(offset) // 60, 60)
    return f"at UTC{'-' if offset < 0 else '+'}{hours:02d}:{minutes:02d}"
