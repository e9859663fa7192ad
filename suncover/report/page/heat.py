"""The page's part on heat: overhang against shade."""

from __future__ import annotations

import math

from suncover.base.clock import clock_text, date_text, local_date
from suncover.compare.options import ALWAYS, SUNNY
from suncover.compare.summary import Summary
from suncover.export.text.compare_advice import advice, is_same, overhang_verdict, standing_words
from suncover.export.text.compare_text import roof_window, years
from suncover.export.text.words import percent
from suncover.report.gather import ReportData
from suncover.report.page.blocks import (
    figure_block,
    listing,
    live_words,
    slider,
    sliders,
    table_block,
)
from suncover.report.page.readout import depth_sentence
from suncover.report.page.week import verdicts
from suncover.report.pictures.depth_sweep import depth_sweep, overhang_depth, sweep_of
from suncover.report.pictures.figure import Table
from suncover.report.pictures.heat_months import heat_months
from suncover.report.pictures.markup import Content, Markup, tag
from suncover.report.units import length, length_mark, length_text, with_lengths
from suncover.report.words import kwh
from suncover.site.model import Window
from suncover.site.options import STANDS, Range

STEP = 0.05  # metres between two depths of the slider
_SHOWN = {STANDS: "as it stands", SUNNY: "shade, sunny hours", ALWAYS: "shade, all season"}


def heat_section(data: ReportData) -> Markup:
    """What overhang and shade keep out, what it is worth, and overhangs of any depth."""
    assert data.heat is not None
    summary = data.heat
    weather = summary.comparison.weather
    return tag(
        "section",
        tag("h2", "Overhang against shade", id="heat"),
        tag("p", f"Weather: {weather.source}.", class_="quiet"),
        [tag("p", remark, class_="remark") for remark in weather.remarks],
        tag("p", f"As it stands: {standing_words(summary)}.", class_="quiet"),
        listing(advice(summary)),
        figure_block(heat_months(summary)),
        tag("h3", "What each option does in a year"),
        tag("p", "Ranges go from the least to the most that the assumptions allow."),
        table_block(worth_table(summary)),
        tag("div", listing(verdicts(data, summary)), class_="paper"),
        tag(
            "div",
            table_block(options_table(summary)),
            table_block(windows_table(summary)),
            tag("h3", "Daylight and view"),
            listing(daylight_words(data, summary)),
            _depths(data, summary) if summary.overhangs else "",
            class_="screen",
        ),
        aria_labelledby="heat",
    )


def _depths(data: ReportData, summary: Summary) -> list[Content]:
    """Overhangs of every depth, for the windows that take one."""
    windows = data.site.windows
    left_out = [window for window in windows if summary.overhang(window.name) is None]
    names = "; ".join(f"{window.name}, {roof_window(window)}" for window in left_out)
    return [
        tag("h3", "An overhang of another depth"),
        tag(
            "p",
            "Sun kept out in summer is heat that need not be cooled away; sun lost in winter has "
            "to be given by the heating.",
            tag("span", " The slider at the foot tries every depth.", class_="screen"),
        ),
        tag("p", f"Left out: {names}.", class_="quiet") if left_out else "",
        tag(
            "div", [_depth_block(data, summary, n) for n in _numbers(data, summary)], class_="pair"
        ),
        _depth_bar(data, summary),
    ]


def _numbers(data: ReportData, summary: Summary) -> list[int]:
    """The windows that take an overhang, by number."""
    windows = data.site.windows
    return [n for n in range(len(windows)) if summary.overhang(windows[n].name) is not None]


def _depth_block(data: ReportData, summary: Summary, number: int) -> Markup:
    best = sweep_of(data, summary, number)
    assert best is not None
    words = depth_sentence(best, start_depth(data, summary), data.units)
    again = number > _numbers(data, summary)[0]
    figure = figure_block(
        depth_sweep(data, summary, number), again=again, every=4, row_name="depth"
    )
    verdict = with_lengths(f"{best.window}: {overhang_verdict(best, length_mark)}.", data.units)
    return tag("div", figure, tag("p", verdict), live_words("depth", number, words))


def start_depth(data: ReportData, summary: Summary) -> float:
    """Where the slider stands at first: nearly at the depth of the first overhang, or 0.6 m."""
    depths = [overhang_depth(data, number) for number in _numbers(data, summary)]
    start = next((depth for depth in depths if depth), 0.6)
    return min(round(start / STEP) * STEP, _deepest(summary))


def _deepest(summary: Summary) -> float:
    return max(swept.depth for best in summary.overhangs for swept in best.tried)


def _depth_bar(data: ReportData, summary: Summary) -> Markup:
    start = start_depth(data, summary)
    bar = slider(
        "depth",
        "Depth",
        round(_deepest(summary) * 100),
        round(start * 100),
        length_text(start, data.units),
        step=round(STEP * 100),
    )
    return sliders("Depth of the overhang", bar)


def options_table(summary: Summary) -> Table:
    """A row for each option, for the house."""
    zone = summary.comparison.site.place.zone
    rows = []
    for line in summary.house:
        peak = f"{date_text(local_date(line.peak_time, zone))} {clock_text(line.peak_time, zone)}"
        rows.append(
            (
                _SHOWN.get(line.option, line.option),
                kwh(line.admitted_kwh),
                "" if line.option == "bare" else percent(line.kept_out),
                f"{line.peak_w:,.0f}",
                peak,
                f"{line.closed_h:,.0f}" if line.closed_h else "0",
                percent(line.daylight),
            )
        )
    head = (
        "option",
        "comes in, kWh",
        "kept out",
        "greatest, W",
        "when",
        "down by day, h",
        "sky light left",
    )
    return Table("All windows together: heat, hours and light in a year", head, tuple(rows))


def worth_table(summary: Summary) -> Table:
    """What each option is worth beside what stands."""
    money = summary.comparison.site.money
    head = ["option", "kept out, kWh", "lost, kWh", "electricity saved net, kWh"]
    lines = [line for line in summary.house if line.option != STANDS]
    rows = [
        [
            _SHOWN.get(line.option, line.option),
            range_text(line.worth.kept_out_kwh),
            range_text(line.worth.lost_kwh),
            range_text(line.worth.net_kwh),
        ]
        for line in lines
    ]
    if any(line.worth.money is not None for line in lines if not is_same(summary, line)):
        head += ["worth", "pays back in"]
        for row, line in zip(rows, lines, strict=True):
            payback = years(line.worth.payback).replace("..", " to ")
            row += [_money(line.worth.money, money.currency), payback]
    caption = (
        "Beside what stands, in a year: sun kept out on days that need cooling, lost on days that "
        "need heating, and what is left of it"
    )
    return Table(caption, tuple(head), tuple(map(tuple, rows)))


def _money(pair: Range | None, currency: str) -> str:
    return "no price given" if pair is None else f"{currency} {range_text(pair)}"


def range_text(pair: Range) -> str:
    """`120 to 260`, `−40 to 30`, or one number where both ends are the same."""
    low, high = (round(end) if math.isfinite(end) else end for end in pair)
    words = [f"{end:,}".replace("-", "\N{MINUS SIGN}") for end in dict.fromkeys((low, high))]
    return " to ".join(words)


def windows_table(summary: Summary) -> Table:
    """A row for each window: kWh let in by the four options."""
    options = ("bare", "overhang", "shade", "both")
    rows = []
    for window in summary.comparison.site.windows:
        cells = []
        for option in options:
            line = summary.line(option, window.name)
            share = f" (−{percent(line.kept_out)})" if line.kept_out >= 0.005 else ""
            cells.append(f"{kwh(line.admitted_kwh)}{share}")
        rows.append((window.name, f"{window.width * window.height:.2f}", *cells))
    head = ("window", "m²", *options)
    return Table("Each window in a year: sun's heat that comes in, kWh", head, tuple(rows))


def daylight_words(data: ReportData, summary: Summary) -> list[Content]:
    """What overhang and shade take of daylight and view."""
    shade, roof = summary.line("shade"), summary.line("overhang")
    sentences: list[Content] = [
        f"The scheduled shade is down {shade.closed_h:,.0f} daylight hours in the year, on the "
        f"average of the windows, and leaves {percent(shade.daylight)} of the light that the bare "
        "glass gets from sky and ground. While it is down, the view is gone, or dim.",
    ]
    roofed = [window for window in data.site.windows if window.overhang is not None]
    if roofed:
        sentences.append(
            f"The overhangs leave {percent(roof.daylight)} of that light, at all hours, and take "
            "the upper part of the view."
        )
        sentences += [_view_words(data, window) for window in roofed]
    return sentences


def _view_words(data: ReportData, window: Window) -> Content:
    roof = window.overhang
    assert roof is not None
    rise, run = window.height / 2.0 + roof.gap, window.reveal + roof.depth
    angle = math.degrees(math.atan2(rise, run))
    return [
        f"{window.name}: from the middle of the glass, the overhang of ",
        length(roof.depth, data.units),
        f" hides the sky above {angle:.0f}°.",
    ]
