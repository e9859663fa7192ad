"""Overhangs of every depth for a window: what each adds in a year to what stands today.

One curve, saved cooling less lost heating, in the band that the assumptions allow.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from suncover.compare.overhangs import BestOverhang, Swept
from suncover.compare.summary import Summary
from suncover.export.text.compare_advice import overhang_verdict
from suncover.report.gather import ReportData
from suncover.report.pictures import draw
from suncover.report.pictures.bands import relative_path
from suncover.report.pictures.figure import HALF, Figure, Key, Scale, Table, round_steps, slug
from suncover.report.pictures.labels import Word
from suncover.report.pictures.markup import Markup, as_markup, tag
from suncover.report.units import FOOT, length, length_mark

CLEAR = 9.0  # between a curve and the middle of a name
LEFT, RIGHT, TOP, BOTTOM, HEIGHT = 44.0, 346.0, 16.0, 190.0, 220.0


def overhang_depth(data: ReportData, number: int) -> float:
    """The depth of the overhang of the window of that number; 0 without one."""
    overhang = data.site.windows[number].overhang
    return 0.0 if overhang is None else overhang.depth


def by_depth(best: BestOverhang) -> list[Swept]:
    """What was tried, by depth."""
    return sorted(best.tried, key=lambda swept: swept.depth)


def tried_at(best: BestOverhang, depth: float) -> Swept:
    """What was tried nearest to a depth."""
    return min(by_depth(best), key=lambda swept: abs(swept.depth - depth))


def sweep_of(data: ReportData, summary: Summary, number: int) -> BestOverhang | None:
    """What was tried on the window of that number; None if it takes no overhang."""
    return summary.overhang(data.site.windows[number].name)


def middle(swept: Swept, best: BestOverhang) -> float:
    """What an overhang adds to today's at the middle of every range, in the sweep's unit."""
    return swept.net - best.today.net


def scales(best: BestOverhang) -> tuple[Scale, Scale]:
    """Depth in metres across; what it adds in a year beside today's up, in the sweep's unit."""
    deepest = max(swept.depth for swept in best.tried)
    ends = [end for swept in best.tried for end in (*swept.worth.net, middle(swept, best))]
    low, high = min(*ends, 0.0), max(*ends, 0.0)
    room = 0.06 * max(high - low, 1.0)
    return Scale(0.0, deepest, LEFT, RIGHT), Scale(low - room, high + room, BOTTOM, TOP)


def depth_sweep(data: ReportData, summary: Summary, number: int) -> Figure:
    """The sweep of the window of that number, which takes an overhang."""
    best = sweep_of(data, summary, number)
    assert best is not None
    x, y = scales(best)
    today = overhang_depth(data, number)
    start = today or (best.best.depth if best.best else 0.0)
    shown = tried_at(best, start)
    body = [
        *_axes(data, x, y),
        tag("path", d=_band(best, x, y), class_="range"),
        tag("path", d=relative_path(_curve(best, x, y), closed=False), class_="sunline thick"),
        draw.line(LEFT, y(0.0), RIGHT, y(0.0), "zero"),
        *_marks(best, today, x, y),
        draw.upright(x(start), TOP - 8, BOTTOM + 5, data_part="depth"),
        tag("circle", r=5, cx=x(start), cy=y(middle(shown, best)), class_="dot", data_part="net"),
    ]
    return Figure(
        name=f"{number + 1}-{slug(best.window)}-depth",
        title=f"{best.window}: what an overhang adds in a year, {best.unit}",
        alt=_alt(best, today),
        units=data.units,
        width=HALF,
        height=HEIGHT,
        body=as_markup(body),
        table=sweep_table(best),
        legend=(
            Key(draw.swatch_line("sunline thick"), "saved cooling less lost heating"),
            Key(draw.swatch("range"), "from the least to the most"),
            Key(draw.swatch_line("zero"), "as it stands today"),
        ),
        live=("depth", number),
    )


def _axes(data: ReportData, x: Scale, y: Scale) -> list[Markup]:
    drawn = [draw.line(LEFT, BOTTOM, RIGHT, BOTTOM, "axis")]
    for value in _round_values(y):
        drawn.append(draw.line(LEFT, y(value), RIGHT, y(value), "grid"))
        words = f"{value:+g}".replace("-", "\N{MINUS SIGN}") if value else "0"
        drawn.append(draw.text(LEFT - 8, y(value) + 5, words, "e q"))
    step = 0.5 if data.units == "metric" else FOOT
    for number in range(int(x.high / step + 1e-9) + 1):
        at = x(number * step)
        drawn.append(draw.line(at, BOTTOM, at, BOTTOM + 5, "axis"))
        if data.units == "metric" or number % 2 == 0:
            words = length(number * step, data.units, "tspan")
            drawn.append(draw.text(at, BOTTOM + 20, words, "e q" if at > RIGHT - 20 else "m q"))
    return drawn


def _round_values(y: Scale) -> list[float]:
    """Round values above and below nothing that the scale holds."""
    steps = round_steps(max(y.high, -y.low))
    return [value for step in steps for value in {step, -step} if y.low <= value <= y.high]


def _curve(best: BestOverhang, x: Scale, y: Scale) -> list[tuple[float, float]]:
    return [(x(swept.depth), y(middle(swept, best))) for swept in by_depth(best)]


def _band(best: BestOverhang, x: Scale, y: Scale) -> str:
    tried = by_depth(best)
    low = [(x(swept.depth), y(swept.worth.net[0])) for swept in tried]
    high = [(x(swept.depth), y(swept.worth.net[1])) for swept in tried]
    return relative_path([*high, *reversed(low)])


def _marks(best: BestOverhang, today: float, x: Scale, y: Scale) -> Iterator[Markup]:
    """Lines at today's depth and at the best, their names outside of the two, clear of the
    curves.
    """
    marked = [("today" if today <= x.high else "today, deeper", today)] if today else []
    if best.best is not None:
        words = "best, or deeper" if best.at_the_end else "best"
        marked.append((words, best.best.depth))
    written: list[Word] = []
    for words, depth in marked:
        at = x(min(depth, x.high))
        is_left = len(marked) > 1 and depth < max(depth for _, depth in marked)
        style = "e" if at > RIGHT - 50 or is_left else ""
        yield draw.line(at, TOP - 4, at, BOTTOM, "dash")
        heights = np.arange(TOP + 8, BOTTOM - 8, 9.0)
        places = [Word(at + (-5 if style else 5), up, words, f"q halo {style}") for up in heights]
        free = (word for word in places if not _crossed(word, written, best, (x, y)))
        word = next(free, places[0])
        written.append(word)
        yield word.drawn


def _crossed(
    word: Word, written: Sequence[Word], best: BestOverhang, scales: tuple[Scale, Scale]
) -> bool:
    """Does a curve, or another name, run through the words?"""
    x, y = scales
    across, up = word.points.T
    depths, values = zip(*_curve(best, x, y), strict=True)
    if (np.abs(np.interp(across, depths, values) - up) < CLEAR).any():
        return True
    return any(word.hits(name) for name in written)


def _alt(best: BestOverhang, today: float) -> str:
    now = f"Today's is {length_mark(today)} deep." if today else "It has none today."
    verdict = overhang_verdict(best, length_mark)
    words = f"What overhangs of every depth add in a year for {best.window}. {now}"
    roof = best.best
    if roof is None:
        return f"{words} Verdict: {verdict}."
    return (
        f"{words} Verdict: {verdict}. At {length_mark(roof.depth)} deep and "
        f"{length_mark(roof.gap)} above the glass it keeps out {roof.kept_out:.0f} kWh on days "
        f"that need cooling and loses {roof.lost:.0f} kWh on days that need heating."
    )


def sweep_table(best: BestOverhang) -> Table:
    """What was tried.

    The sweep takes its view of the sky from coarser cells than the bare window's, so that where an
    overhang does nothing it may come out below nothing; it is shown as nothing.
    """
    return Table(
        f"{best.window}, overhangs {length_mark(best.tried[0].gap)} above the glass",
        ("depth", "kept out, kWh", "lost, kWh", f"worth a year, {best.unit}"),
        tuple(
            (
                length_mark(swept.depth),
                f"{max(swept.kept_out, 0.0):.1f}",
                f"{max(swept.lost, 0.0):.1f}",
                f"{swept.net:.2f}",
            )
            for swept in by_depth(best)
        ),
    )
