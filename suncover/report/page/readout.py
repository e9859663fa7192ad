"""What the page says of the day and the time that its pictures show; its script says the same."""

from __future__ import annotations

from suncover.compare.overhangs import BestOverhang, Swept
from suncover.report.calendar_days import at_slot, on_day
from suncover.report.doubt import doubt_words
from suncover.report.gather import ReportData
from suncover.report.pictures.depth_sweep import tried_at
from suncover.report.units import Units, length_text
from suncover.report.words import duration, kwh, slot_text, spans


def day_words(data: ReportData, number: int, day: int) -> str:
    """The sun on a window on a day, and its shade."""
    year = data.windows[number]
    sun = on_day(year.pieces, day)
    shade = data.shade_of(year.window.name)
    closed = on_day(shade.closed, day) if shade else []
    words = "No direct sun."
    if sun:
        lasts = duration(sum(piece.end - piece.start for piece in sun))
        words = f"Sun {spans(sun)} ({lasts}), at the most {year.power[day].max():.0f} W/m²."
        words += doubt_words(year.doubt, data.calendar.days[day])
    words += f" Shade {'closed ' + spans(closed) if closed else 'open all day'}."
    for _, spot in data.spots_of(year.window.name):
        words += f" {spot.spot.name}: {spans(on_day(spot.sun, day), 'no sun')}."
    return words


def time_words(data: ReportData, number: int, day: int, slot: int) -> str:
    """How strong the sun on a window is at a time."""
    year = data.windows[number]
    if not year.lit[day, slot]:
        return f"At {slot_text(slot)}: no direct sun."
    lit = [
        spot.spot.name
        for _, spot in data.spots_of(year.window.name)
        if at_slot(spot.sun, day, slot)
    ]
    on_spots = f" In sun: {', '.join(lit)}." if lit else ""
    return f"At {slot_text(slot)}: {year.slot_power[day, slot]:.0f} W/m² on the glass.{on_spots}"


def depth_sentence(best: BestOverhang, depth: float, units: Units) -> str:
    """What an overhang of a depth does to a window's year."""
    swept = tried_at(best, depth)
    return f"{length_text(depth, units)} deep: {DOES.format(*depth_figures(swept), best.unit)}"


DOES = (
    "keeps out {0} kWh on days that need cooling, loses {1} kWh on days that need heating; beside "
    "what stands {2} to {3} {4} a year."
)
"""What an overhang of a sweep does; the figures are `depth_figures`."""


def depth_figures(swept: Swept) -> tuple[str, str, str, str]:
    """The figures in `DOES`, but for their unit."""
    low, high = swept.worth.net
    return (
        kwh(max(swept.kept_out, 0.0)),
        kwh(max(swept.lost, 0.0)),
        signed_text(low),
        signed_text(high),
    )


def signed_text(value: float) -> str:
    """A number with its sign, as exact as it makes sense: `+12`, `−0.4`, `0`."""
    words = f"{value:+,.0f}" if abs(value) >= 10 else f"{value:+.1f}"
    return "0" if words in ("+0.0", "-0.0") else words.replace("-", "\N{MINUS SIGN}")
