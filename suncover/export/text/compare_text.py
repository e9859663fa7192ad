"""The comparison for a person: what to do, the figures, how they were found; 80 columns."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from suncover.base.clock import clock_text, date_text, local_date
from suncover.compare.overhangs import USUAL_GAP, USUAL_RUN, BestOverhang
from suncover.compare.summary import Line, Summary
from suncover.export.text.compare_advice import (
    FOREVER,
    advice,
    is_same,
    overhang_verdict,
    standing_words,
    year_text,
)
from suncover.export.text.text_table import WIDTH, cut, fit, width_of, wrapped
from suncover.export.text.words import percent
from suncover.site.model import Window
from suncover.site.options import STANDS, Money, Range

MOST_WINDOWS = 8  # more do not fit on a screen; the CSV has them all
NAME = 23
LEAST_NAME = 10  # columns that a name needs to be known again
CURRENCY = 12


def compare_text(summary: Summary, *, brief: bool = False) -> str:
    """The whole text, lines ending in a line feed; with `brief`, what to do and the cautions."""
    return "\n".join(_lines(summary, brief=brief)) + "\n"


def _lines(summary: Summary, *, brief: bool) -> Iterator[str]:
    site, weather = summary.comparison.site, summary.comparison.weather
    yield from wrapped(f"Overhang against shade: {site.place.name}")
    kind = ", a typical year" if weather.typical and not weather.clear else ""
    yield from wrapped(f"Weather: {weather.source}{kind}")
    yield from wrapped(f"As it stands: {standing_words(summary)}")
    for remark in weather.remarks:
        yield from wrapped(remark, first="! ")
    yield ""
    yield "In short"
    for sentence in advice(summary):
        yield from wrapped(sentence, first="  - ")
    yield ""
    if brief:
        yield from _cautions(summary)
        return
    yield from _worth(summary)
    yield ""
    yield from _house(summary)
    if not brief:
        yield ""
        yield from _windows(summary)
    yield ""
    yield from _overhangs(summary)
    yield ""
    yield from wrapped("; ".join(summary.assumptions) + ".", first="Assumed: ")
    yield from _cautions(summary)


def _cautions(summary: Summary) -> Iterator[str]:
    for sentence in summary.cautions:
        yield from wrapped(sentence, first="Take care: ")


def _shown(summary: Summary) -> list[Line]:
    """The lines of the house: what stands, then every option."""
    stands = summary.line(STANDS)
    return [stands, *(line for line in summary.house if not line.extra)]


def _house(summary: Summary) -> Iterator[str]:
    area = sum(window.width * window.height for window in summary.comparison.site.windows)
    zone = summary.comparison.site.place.zone
    head = f"All windows, {area:.1f} m²"
    yield f"{head:{NAME}} kWh in   less peak W  when         hot W    down  light"
    for line in _shown(summary):
        spared = "" if line.option == STANDS else f"{round(line.less_kwh)}"
        day = date_text(local_date(line.peak_time, zone))
        time_text = f"{day} {clock_text(line.peak_time, zone)[:2]}h"
        hot = "-" if line.cooling_peak_time is None else f"{line.cooling_peak_w:.0f}"
        down = f"{line.closed_h:.0f} h" if line.closed_h else ""
        yield (
            f"{_name(line.option)}{line.admitted_kwh:7.0f}{spared:>7}{line.peak_w:7.0f}"
            f"  {time_text:11}{hot:>7}{down:>8}{percent(line.daylight):>7}"
        )
    unknown = any(line.daylight is None for line in summary.house)
    note = ", if known" if unknown else ""
    yield from wrapped(
        "(less: than as it stands; hot W: the peak on days that need cooling; down: daylight "
        f"hours with the shade closed; light: of the bare glass's sky light{note})",
        first="  ",
    )


def _worth(summary: Summary) -> Iterator[str]:
    money = summary.comparison.site.money
    changed = [line for line in summary.house if not is_same(summary, line)]
    priced = any(line.worth.money is not None for line in changed)
    pays = priced and summary.comparison.tells_payback
    rows = [["kept out", "lost", "saves, kWh"]]
    rows[0] += [f"worth, {cut(money.currency, CURRENCY)}"] if priced else []
    rows[0] += ["pays back in"] if pays else []
    lines = [line for line in summary.house if not line.extra]
    for line in lines:
        worth = line.worth
        cash = "no price" if worth.money is None else amount(worth.money)
        row = [amount(worth.kept_out_kwh), amount(worth.lost_kwh), amount(worth.net_kwh)]
        if is_same(summary, line):
            row = ["-", "-", "0"]
            cash = "0"
        row += [cash] if priced else []
        free = line.price == (0.0, 0.0) and worth.payback is None
        row += ["-" if free else years(worth.payback)] if pays else []
        rows.append(row)
    names = [line.option for line in lines]
    if sum(_widths(rows)) > WIDTH - LEAST_NAME:
        rows = [[kept, lost, *rest] for kept, lost, _, *rest in rows]  # money says it, too
    yield from _wide(("Beside what stands", "Beside it", "A year"), names, rows)
    note = _missing_price(money)
    if priced and not pays:
        note += "; no payback is worked out from this weather"
    yield from wrapped(
        "(a year, low..high: kWh of sun kept out on days that need cooling and lost on days that "
        "need heating; saves: kWh of electricity that is left of it, heat counted as a heat pump "
        f"would make it{note})",
        first="  ",
    )


def _missing_price(money: Money) -> str:
    """Which price is missing in [money], if one is."""
    if money.electricity is None:
        return "; prices in [money] tell its worth"
    if money.heating is None:
        return (
            "; for its worth in money, [money] needs `heating`, the price of a kWh of heat: 0 "
            "where nothing is heated"
        )
    return ""


def _wide(
    titles: Sequence[str], names: Sequence[str], rows: Sequence[Sequence[str]]
) -> Iterator[str]:
    """A table whose columns are as wide as it takes, as of money there may be a great deal; names
    have the rest. `rows` begin with the heads, beside which the longest of `titles` stands that
    fits.
    """
    widths = _widths(rows)
    room = min(NAME, WIDTH - sum(widths))
    title = next((candidate for candidate in titles if len(candidate) < room), "")
    for name, row in zip([title, *names], rows, strict=True):
        cells = [fit(cell, width, right=True) for cell, width in zip(row, widths, strict=True)]
        yield (_name(name, room) + "".join(cells)).rstrip()


def _widths(rows: Sequence[Sequence[str]]) -> list[int]:
    return [max(width_of(cell) + 2 for cell in cells) for cells in zip(*rows, strict=True)]


def amount(pair: Range) -> str:
    """A range in a table: `12..40`, or one number where both ends are the same."""
    low, high = (round(end) for end in pair)
    return f"{low}" if low == high else f"{low}..{high}"


def years(pair: Range | None) -> str:
    """A payback in words: `4..9 years`, `8 years or more`, `never`."""
    if pair is None:
        return "no price"
    low, high = pair
    if low > FOREVER:
        return "never"
    if math.isinf(high) or high > FOREVER:
        return f"{year_text(low)} years or more"
    ends = sorted({year_text(low), year_text(high)}, key=float)
    return f"{'..'.join(ends)} years"


def _windows(summary: Summary) -> Iterator[str]:
    options = (STANDS, "bare", "overhang", "shade", "both")
    heads = "".join(f"{'now' if name == STANDS else name:>10}" for name in options)
    yield f"{'Each window, kWh in':{NAME}}{'m²':>6}{heads}"
    windows = summary.comparison.site.windows
    for window in windows[:MOST_WINDOWS]:
        area = window.width * window.height
        cells = "".join(
            f"{summary.line(option, window.name).admitted_kwh:10.0f}" for option in options
        )
        yield f"{_name(window.name)}{area:6.1f}{cells}"
    if len(windows) > MOST_WINDOWS:
        yield f"  and {len(windows) - MOST_WINDOWS} more; --format csv has every window by month"


def _overhangs(summary: Summary) -> Iterator[str]:
    if not summary.overhangs:
        yield "Best overhang: none is tried on roof windows."
        return
    deepest = max(tried.depth for best in summary.overhangs for tried in best.tried)
    pays = any(best.best is not None and best.best.worth.payback for best in summary.overhangs)
    unit = summary.comparison.site.money.currency if _is_money(summary) else "kWh"
    heads = ["now", "best", f"adds, {cut(unit, CURRENCY)}"] + (["pays back in"] if pays else [])
    windows = summary.comparison.site.windows[:MOST_WINDOWS]
    overhangs = [best for window in windows if (best := summary.overhang(window.name)) is not None]
    rows = [heads, *(_best_cells(best, pays=pays) for best in overhangs)]
    title = (f"Best overhang to {deepest:g} m", "Best overhang", "Best")
    head, *lines = _wide(title, [best.window for best in overhangs], rows)
    yield head
    by_name = {best.window: (best, line) for best, line in zip(overhangs, lines, strict=True)}
    for window in windows:
        if window.name not in by_name:
            yield f"{_name(window.name)}left out: {roof_window(window)}"
            continue
        best, line = by_name[window.name]
        yield line
        yield from wrapped(overhang_verdict(best), first="    ")
    yield from wrapped(_overhang_note(summary.overhangs), first="  ")


def _best_cells(best: BestOverhang, *, pays: bool) -> list[str]:
    now = f"{best.today.depth:.2f} m" if best.today.depth else "none"
    depth, adds, back = "none", "", ""
    if best.best is not None and not best.today_will_do:
        depth = f"{'>' if best.at_the_end else ''}{best.best.depth:.2f} m"
        adds = amount(best.best.worth.net)
        back = years(best.best.worth.payback) if best.best.worth.payback else ""
    elif best.best is not None:
        depth = "as now"
    return [now, depth, adds, back] if pays else [now, depth, adds]


def _overhang_note(overhangs: Sequence[BestOverhang]) -> str:
    text = "(with the shades up; adds: in a year, low..high, beside today's"
    if any(best.today.depth == 0.0 for best in overhangs):
        gaps = sorted({swept.gap for best in overhangs for swept in best.tried})
        gap = f"{USUAL_GAP:g}" if len(gaps) > 1 or not gaps else f"{gaps[0]:g}"
        text += (
            f"; where there is none today, {gap} m above the glass and {USUAL_RUN:g} m past its "
            "sides"
        )
    return f"{text})"


def _is_money(summary: Summary) -> bool:
    return all(best.today.worth.money is not None for best in summary.overhangs)


def roof_window(window: Window) -> str:
    """Why a window takes no overhang: `a roof window, tilted 35°`."""
    return f"a roof window, tilted {window.tilt:g}°"


def _name(name: str, width: int = NAME) -> str:
    """A name in a column of some width, with a blank at the end at the least."""
    return fit(cut(name, width - 1), width)
