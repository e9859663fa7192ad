"""Whether a plan worked, by the logs of a house, as a page for a person."""

from __future__ import annotations

from collections.abc import Iterator

from suncover.base.clock import date_text
from suncover.base.textfile import printable
from suncover.compare.indoors import Indoors
from suncover.compare.seen_sun import SeenSun
from suncover.export.text.light_text import clock_sentence
from suncover.export.text.text_table import Column, Style, joined, table, wrapped
from suncover.export.text.words import hours_text, kwh_text, listed, number

MOST_DAYS = 12
SHORT_S = 900  # of sun with the shade down: less may be the motor's run or a reading's length

_DAYS = (
    Column("day"),
    Column("sun possible", right=True),
    Column("seen, shade up", right=True),
    Column("heat on glass", right=True),
    Column("seen, shade down", right=True),
)


def worked_text(seen: SeenSun, warm: Indoors | None = None, *, strong: Style = str) -> str:
    """The page: the sun that was seen day by day, then the room's warmth."""
    lines = [strong(f"What the light on {printable(seen.window)} shows"), *_sun(seen)]
    if warm is not None:
        lines += ["", strong("How warm the room was"), *_warmth(warm)]
    return joined(lines)


def _sun(seen: SeenSun) -> Iterator[str]:
    if seen.why_not is not None:
        yield from wrapped(f"Nothing can be said by the log: {seen.why_not}.", first="  ")
        return
    shades = listed([printable(name) for name in seen.shades])
    days = number(len(seen.days), "day")
    with_sun = sum(day.sun_up > 0 for day in seen.days)
    yield from wrapped(
        f"On {with_sun} of {days} the sun was on the glass with {shades} up: "
        f"{hours_text(seen.sun_up)} h, at most {kwh_text(seen.up_kwh)} of beam on the glass (a "
        "clear sky's).",
        first="  ",
    )
    if seen.sun_down >= SHORT_S:
        yield from wrapped(
            f"For {hours_text(seen.sun_down)} h the sensor saw sun while the plan has the shade "
            "down: the shade did not close, or the sensor lies between it and the sun.",
            first="  ",
        )
    if seen.outside:
        yield from wrapped(
            f"{number(seen.outside, 'day')} of the log are not of the plan's; left out.", first="  "
        )
    yield from wrapped(clock_sentence(seen.clock), first="  ")
    yield ""
    shown = sorted(
        sorted(seen.days, key=lambda day: day.sun_up + day.sun_down, reverse=True)[:MOST_DAYS],
        key=lambda day: day.date,
    )
    rows = [
        (
            date_text(day.date),
            f"{day.possible // 60} min",
            f"{day.sun_up // 60} min",
            kwh_text(day.up_kwh),
            f"{day.sun_down // 60} min",
        )
        for day in shown
    ]
    yield from table(_DAYS, rows)
    if left_out := len(seen.days) - len(shown):
        yield from wrapped(
            f"… and {number(left_out, 'day')} with less sun seen; --format json has them.",
            first="  ",
        )


def _warmth(warm: Indoors) -> Iterator[str]:
    for closed, kind in ((True, "with"), (False, "without")):
        count, above = warm.above(closed=closed)
        a_day = f", {hours_text(round(above / count))} h a day" if count else ""
        yield from wrapped(
            f"{number(count, 'day')} {kind} closings: {hours_text(round(above))} h above "
            f"{warm.limit:g} °C{a_day}.",
            first="  ",
        )
    if warm.left_out:
        yield from wrapped(
            f"{number(warm.left_out, 'day')} left out: not of the plan's, or readings missing.",
            first="  ",
        )
    yield from wrapped(effect_sentence(warm), first="  ")


def effect_sentence(warm: Indoors) -> str:
    """What closings did to the room's warmth, or that it is not known."""
    if warm.effect is None or warm.low is None or warm.high is None:
        return f"Whether closings kept the room cooler cannot be said: {warm.why_not}."
    among = "and sunny days" if warm.by_sun else "days"
    interval = f"{warm.low:+.1f} to {warm.high:+.1f} °C, 95 % confidence"
    if not warm.is_told:
        return (
            f"Whether closings kept the room cooler cannot be said: among equally warm {among}, "
            f"those with closings differ by {interval}, and 0 is among that."
        )
    side = "cooler" if warm.effect < 0.0 else "warmer"
    return (
        f"Among equally warm {among}, those with closings were {abs(warm.effect):.1f} °C {side} "
        f"indoors on the average ({interval}). What else differs between such days is in that "
        "figure too."
    )
