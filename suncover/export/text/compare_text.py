"""The comparison for a person: one screen, 80 columns, and what to do about it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from suncover.base.clock import clock_text, date_text, local_date
from suncover.compare.options import SUNNY
from suncover.compare.overhangs import BestOverhang
from suncover.compare.summary import Line, Summary, of_always, of_plan
from suncover.export.text.text_table import WIDTH, cut, fit, width_of, wrapped
from suncover.export.text.words import percent
from suncover.site.model import Window
from suncover.site.options import Range

MOST_WINDOWS = 8  # more do not fit on a screen; the CSV has them all
NAME = 23
CURRENCY = 12
FOREVER = 100.0  # years; a payback beyond is no payback


def compare_text(summary: Summary, *, brief: bool = False) -> str:
    """The whole text, lines ending in a line feed; with `brief`, what to do and the cautions."""
    return "\n".join(_lines(summary, brief=brief)) + "\n"


def _lines(summary: Summary, *, brief: bool) -> Iterator[str]:
    site, weather = summary.comparison.site, summary.comparison.weather
    yield from wrapped(f"Overhang against shade: {site.place.name}")
    kind = ", a typical year" if weather.typical and not weather.clear else ""
    yield from wrapped(f"Weather: {weather.source}{kind}")
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
    yield from _house(summary)
    yield ""
    yield from _worth(summary)
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


def _house(summary: Summary) -> Iterator[str]:
    area = sum(window.width * window.height for window in summary.comparison.site.windows)
    zone = summary.comparison.site.place.zone
    head = f"All windows, {area:.1f} m²"
    yield f"{head:{NAME}} kWh in  kept out  peak W  when            down   light"
    for line in summary.house:
        if line.extra:
            continue
        kept = "" if line.option == "bare" else percent(line.kept_out)
        day = date_text(local_date(line.peak_time, zone))
        when = f"{day} {clock_text(line.peak_time, zone)[:2]}h"
        down = f"{line.closed_h:.0f} h" if line.closed_h else ""
        light = percent(line.daylight)
        yield (
            f"{_name(line.option)}{line.admitted_kwh:7.0f}{kept:>10}{line.peak_w:8.0f}"
            f"  {when:12}{down:>8}{light:>8}"
        )
    unknown = any(line.daylight is None for line in summary.house)
    more = ", if known" if unknown else ""
    yield f"  (down: daylight hours with the shade closed; light: sky light left{more})"


def _worth(summary: Summary) -> Iterator[str]:
    money = summary.comparison.site.money
    priced = any(line.worth.money is not None for line in summary.house)
    rows = [["less cooling", "more heating"]]
    rows[0] += [f"worth, {cut(money.currency, CURRENCY)}", "pays back in"] if priced else []
    lines = [line for line in summary.house if not line.extra and line.option != "bare"]
    for line in lines:
        worth = line.worth
        cash = "no price" if worth.money is None else _amount(worth.money)
        row = [_amount(worth.electricity_kwh), _amount(worth.heat_kwh)]
        rows.append([*row, cash, years(worth.payback)] if priced else row)
    # Of money there may be a great deal: its columns are as wide as it takes, names have the rest.
    widths = [
        max(width_of(head) + 1, *(width_of(cell) + 2 for cell in cells))
        for head, *cells in zip(*rows, strict=True)
    ]
    room = min(NAME, WIDTH - sum(widths))
    heads = ("Against bare, a year", "Against bare", "A year")
    title = next((head for head in heads if len(head) < room), "")
    for name, row in zip([title, *(line.option for line in lines)], rows, strict=True):
        cells = [fit(cell, width, right=True) for cell, width in zip(row, widths, strict=True)]
        yield _name(name, room) + "".join(cells)
    more = ", a year; low..high" if priced else "; low..high; prices in [money] tell its worth"
    yield f"  (kWh of electricity, kWh of heat{more})"


def _amount(pair: Range) -> str:
    low, high = round(pair[0]), round(pair[1])
    return f"{low}" if low == high else f"{low}..{high}"


def years(pair: Range | None) -> str:
    """A payback in words: `4 to 9 years`, `8 years or more`, `never`."""
    if pair is None:
        return "no price"
    low, high = pair
    if low > FOREVER:
        return "never"
    if math.isinf(high) or high > FOREVER:
        return f"{_year(low)} years or more"
    ends = sorted({_year(low), _year(high)}, key=float)
    return f"{'..'.join(ends)} years"


def _year(number: float) -> str:
    return f"{number:.0f}" if number >= 10 else f"{number:.2g}"


def _windows(summary: Summary) -> Iterator[str]:
    options = "".join(f"{name:>13}" for name in ("overhang", "shade", "both"))
    yield f"{'Each window, kWh in':{NAME}}{'m²':>6}{'bare':>8}{options}"
    windows = summary.comparison.site.windows
    for window in windows[:MOST_WINDOWS]:
        area = window.width * window.height
        bare = summary.line("bare", window.name).admitted_kwh
        cells = "".join(
            f"{_with_share(summary.line(option, window.name)):>13}"
            for option in ("overhang", "shade", "both")
        )
        yield f"{_name(window.name)}{area:6.1f}{bare:8.0f}{cells}"
    if len(windows) > MOST_WINDOWS:
        yield f"  and {len(windows) - MOST_WINDOWS} more; --format csv has every window by month"


def _with_share(line: Line) -> str:
    share = f"-{percent(line.kept_out).replace(' ', '')}" if line.kept_out >= 0.005 else ""
    return f"{line.admitted_kwh:.0f} {share:>5}"


def _overhangs(summary: Summary) -> Iterator[str]:
    if not summary.overhangs:
        yield "Best overhang: none is tried on roof windows."
        return
    deepest = max(tried.depth for best in summary.overhangs for tried in best.tried)
    head = f"Best overhang to {deepest:g} m"
    yield f"{head:{NAME}}{'depth':>8}{'gap':>8}{'kept out':>11}{'lost':>9}{'beside the shade':>18}"
    for window in summary.comparison.site.windows[:MOST_WINDOWS]:
        best = summary.overhang(window.name)
        found = f"    left out: {roof_window(window)}" if best is None else _best(best, deepest)
        yield f"{_name(window.name)}{found}"
    yield "  (sun kept out on cooling days, lost on heating days; worth beside the shade's)"


def roof_window(window: Window) -> str:
    """Why a window takes no overhang: `a roof window, tilted 35°`."""
    return f"a roof window, tilted {window.tilt:g}°"


def _best(best: BestOverhang, deepest: float) -> str:
    found = best.best
    if found is None:
        return "    none: each loses more winter sun than it saves"
    depth = f"{'>' if found.depth >= deepest else ''}{found.depth:.2f} m"
    kept, lost = f"{found.kept_out:.0f} kWh", f"{found.lost:.0f} kWh"
    gap = f"{found.gap:.2f} m"
    return f"{depth:>8}{gap:>8}{kept:>11}{lost:>9}{_beside_shade(best):>18}"


def _beside_shade(best: BestOverhang) -> str:
    """An overhang's worth as a share of the shade's, both by what they save less what they lose."""
    assert best.best is not None
    if best.shade_net <= 0.0:
        return "the shade loses"
    return percent(best.best.net / best.shade_net)


def advice(summary: Summary) -> list[str]:
    """What the figures come to, as sentences for a person."""
    return [
        *_overhang_advice(summary),
        *_plan_advice(summary),
        *_season_advice(summary),
        *_payback_advice(summary.house),
    ]


def _overhang_advice(summary: Summary) -> Iterator[str]:
    roof, shade, bare = (summary.line(name) for name in ("overhang", "shade", "bare"))
    if not any(window.overhang is not None for window in summary.comparison.site.windows):
        below = "; the depths below say what one would do" if summary.overhangs else ""
        yield f"No window has an overhang in the site file{below}."
        return
    kept_roof = bare.admitted_kwh - roof.admitted_kwh
    kept_shade = bare.admitted_kwh - shade.admitted_kwh
    if kept_shade > 0.0:
        yield (
            f"Over the year the overhang keeps out {percent(kept_roof / kept_shade)} of what "
            f"the scheduled shade does, with the view free; the shade is down "
            f"{shade.closed_h:.0f} daylight hours."
        )


def _plan_advice(summary: Summary) -> Iterator[str]:
    share, sunny = of_always(summary), of_plan(summary)
    # A plan for more than heat closes out of the season as well: then that says nothing.
    if share is None or share > 1.0 + 1e-9:
        return
    text = f"Closing by the plan keeps out {percent(share)} of what closing all season would"
    if sunny is not None and not summary.comparison.weather.clear:
        hours, planned = summary.line(SUNNY).closed_h, summary.line("shade").closed_h
        text += (
            f"; moving only when the sun really shines keeps {percent(sunny)} of that, with "
            f"{hours:.0f} hours down in place of {planned:.0f}"
        )
    yield f"{text}."


def _season_advice(summary: Summary) -> Iterator[str]:
    lost = summary.line("shade").worth.lost_kwh
    if summary.comparison.site.need.season is None and lost[1] > 0.0:
        yield (
            f"The shade closes in the cold months too, and loses "
            f"{_amount(lost).replace('..', ' to ')} kWh of winter sun: give [need] a season."
        )


def _payback_advice(lines: Iterable[Line]) -> Iterator[str]:
    for line in lines:
        pays = line.worth.payback
        if line.extra or line.option == "bare" or pays is None or line.price == (0.0, 0.0):
            continue
        name = f"{line.option[:1].upper()}{line.option[1:]}"
        if pays[0] > FOREVER:
            yield f"{name}: never pays for itself by these numbers; what it brings is comfort."
        elif math.isinf(pays[1]) or pays[1] > FOREVER:
            yield f"{name}: pays for itself in {_year(pays[0])} years at best, and may never."


def _name(name: str, width: int = NAME) -> str:
    """A name in a column of some width, with a blank at the end at the least."""
    return fit(cut(name, width - 1), width)
