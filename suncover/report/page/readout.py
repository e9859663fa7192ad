"""What the page says of the day and the time that its pictures show; its script says the same."""

from __future__ import annotations

from suncover.compare.overhangs import BestOverhang, Swept
from suncover.report.calendar_days import at_slot, by_day
from suncover.report.doubt import doubt_words
from suncover.report.gather import ReportData
from suncover.report.pictures.depth_sweep import tried_at
from suncover.report.units import Units, length_text
from suncover.report.words import clock, duration, kwh, spans


def day_words(data: ReportData, number: int, day: int) -> str:
    """The sun on a window on a day, and its shade."""
    window = data.windows[number]
    days = len(data.calendar.days)
    sun = by_day(window.pieces, days)[day]
    shade = data.shade_of(window.window.name)
    closed = by_day(shade.closed if shade else [], days)[day]
    if sun:
        lasts = duration(sum(piece.end - piece.start for piece in sun))
        said = f"Sun {spans(sun)} ({lasts}), at the most {window.power[day].max():.0f} W/m²."
        said += doubt_words(window.doubt, data.calendar.days[day])
    else:
        said = "No direct sun."
    said += f" Shade {'closed ' + spans(closed) if closed else 'open all day'}."
    for _, spot in data.spots_of(window.window.name):
        said += f" {spot.spot.name}: {spans(by_day(spot.sun, days)[day], 'no sun')}."
    return said


def time_words(data: ReportData, number: int, day: int, slot: int) -> str:
    """How strong the sun on a window is at a time."""
    window = data.windows[number]
    at = clock(slot * 1800)
    if not window.lit[day, slot]:
        return f"At {at}: no direct sun."
    lit = [
        year.spot.name
        for _, year in data.spots_of(window.window.name)
        if at_slot(year.sun, day, slot)
    ]
    on_spots = f" In sun: {', '.join(lit)}." if lit else ""
    return f"At {at}: {window.power[day, slot * 3]:.0f} W/m² on the glass.{on_spots}"


def depth_sentence(best: BestOverhang, depth: float, units: Units) -> str:
    """What an overhang of a depth does to a window's year."""
    tried = sorted(best.tried, key=lambda swept: swept.depth)
    return f"{length_text(depth, units)} deep: {depth_does(best, tried_at(tried, depth))}"


DOES = (
    "keeps out {0} kWh on days that need cooling, loses {1} kWh on days that need heating; beside "
    "what stands {2} to {3} {4} a year."
)
"""What one of a sweep does; the figures are `depth_figures`."""


def depth_does(best: BestOverhang, swept: Swept) -> str:
    """What one of a sweep does, in words."""
    return DOES.format(*depth_figures(swept), best.unit)


def depth_figures(swept: Swept) -> tuple[str, str, str, str]:
    """The figures in `DOES`, but for their unit."""
    low, high = swept.worth.net
    return kwh(max(swept.kept_out, 0.0)), kwh(max(swept.lost, 0.0)), signed(low), signed(high)


def signed(value: float) -> str:
    """A number with its sign, as exact as it makes sense: `+12`, `−0.4`, `0`."""
    words = f"{value:+,.0f}" if abs(value) >= 10 else f"{value:+.1f}"
    return "0" if words in ("+0.0", "-0.0") else words.replace("-", "\N{MINUS SIGN}")
