"""The page's part on windows: every picture of each, moved by a day and a time."""

from __future__ import annotations

from suncover.export.text.words import facing_text, listed
from suncover.report.gather import ReportData
from suncover.report.page.blocks import facts_list, figure_block, says, slider, sliders
from suncover.report.page.paper import faces, trade_sheet
from suncover.report.page.readout import day_words, time_words
from suncover.report.pictures.day_curve import day_curve
from suncover.report.pictures.markup import Content, Markup, tag
from suncover.report.pictures.month_bars import month_bars, months_of
from suncover.report.pictures.side_view import side_view
from suncover.report.pictures.sky_view import sky_view
from suncover.report.pictures.top_view import top_view
from suncover.report.pictures.year_carpet import year_carpet
from suncover.report.units import length
from suncover.report.words import MONTHS, weekday_text
from suncover.site.model import Window


def windows_section(data: ReportData) -> Markup:
    """All windows, each behind its name; the first is open."""
    return tag(
        "section",
        tag("h2", "Window by window", id="windows"),
        tag(
            "p",
            "Ochre is sun, blue is a closed shade, grey is night or what hides the sky. All times "
            f"are those of clocks in {data.site.place.zone_name}. Sun is that of a clear sky.",
            _shown(data),
        ),
        [window_block(data, number) for number in range(len(data.windows))],
        trade_sheet(data),
        aria_labelledby="windows",
    )


def controls(data: ReportData) -> Markup:
    """The sliders that move the pictures of all windows; they stay in sight at the top."""
    day, slot = data.start_day, data.start_slot
    days = data.calendar.days
    return sliders(
        "Day and time of the pictures",
        slider("day", "Day", len(days) - 1, day, weekday_text(days[day])),
        slider("time", "Time", 47, slot, "best hour"),
        tag("p", id="said", class_="unseen", aria_live="polite"),
    )


def _shown(data: ReportData) -> list[Content]:
    """Which day and time the pictures show: of its choosing on a screen, fixed on paper."""
    day = weekday_text(data.calendar.days[data.start_day])
    return [
        tag(
            "span",
            " The sliders choose the day and the time that the pictures show; until you choose a "
            "time, each window shows the hour at which its sun is strongest.",
            class_="screen",
        ),
        tag(
            "span",
            f" Pictures of one day show {day}, or the day and time that were chosen on the screen.",
            class_="paper",
        ),
    ]


def window_block(data: ReportData, number: int) -> Markup:
    """One window: its facts and pictures. Where no sun ever is on it and its shade stays open,
    pictures of that would be empty, and are left out.
    """
    window = data.windows[number].window
    day, slot = data.start_day, data.slot_of(number)
    known = number > 0
    told = [n for n in range(len(data.windows)) if _has_hours(data, n)]
    hours, months = Markup(), Markup()
    if number in told:
        said = f"{weekday_text(data.calendar.days[day])}: {day_words(data, number, day)}"
        hours = Markup(
            figure_block(year_carpet(data, number), known=number > told[0], every=10, what="day")
            + says("day", number, said)
            + figure_block(day_curve(data, number), known=number > told[0], every=3, what="row")
            + says("time", number, time_words(data, number, day, slot))
        )
        months = figure_block(month_bars(data, number), known=number > told[0])
    return tag(
        "details",
        tag(
            "summary",
            tag("h3", window.name),
            tag("span", f" {facing_text(window)}", class_="quiet"),
        ),
        tag("p", year_words(data, number), id=f"window-{number + 1}"),
        facts_list(window_facts(data, window)),
        hours,
        tag(
            "div",
            figure_block(side_view(data, number), known=known),
            figure_block(top_view(data, number), known=known, every=2, what="row"),
            months,
            class_="pair tall",
        ),
        figure_block(sky_view(data, number), known=known),
        class_="window",
        open=not number,
    )


def _has_hours(data: ReportData, number: int) -> bool:
    """Is there ever sun on the window, or is its shade ever closed, in the days of the report?"""
    window = data.windows[number]
    shades = [one for one in data.shades if window.window.name in one.shade.windows]
    return bool(window.pieces) or any(one.closed for one in shades)


def year_words(data: ReportData, number: int) -> str:
    """The window's sun over the days of the report, in a sentence or two."""
    months = months_of(data, number)
    total = sum(one.sun for one in months)
    if not total:
        return "No direct sun reaches this window in these days."
    best = max(months, key=lambda one: one.sun)
    covered = sum(one.covered for one in months)
    return (
        f"{total / 3600:,.0f} hours of direct sun, most of it in {MONTHS[best.month - 1]} "
        f"({best.sun / 3600:.0f} h). The plan covers {covered / 3600:,.0f} of these hours. Under a "
        f"clear sky, {data.windows[number].beam_kwh:,.0f} kWh of direct sun meet the glass."
    )


def window_facts(data: ReportData, window: Window) -> list[tuple[str, Content]]:
    """What the site file says of a window, in the reader's units."""
    units = data.units

    def long(metres: float) -> Markup:
        return length(metres, units)

    glass: Content = [long(window.width), " wide, ", long(window.height), " high"]
    pairs: list[tuple[str, Content]] = [("faces", faces(window)), ("glass", glass)]
    if window.glazing:
        pairs.append(("glazing", window.glazing))
    pairs.append(("sill", [long(window.sill), " above the floor"]))
    if window.reveal:
        pairs.append(("reveal", [long(window.reveal), " deep"]))
    if window.overhang is not None:
        roof = window.overhang
        pairs.append(
            ("overhang", [long(roof.depth), " deep, ", long(roof.gap), " above the glass"])
        )
    if window.fins:
        fins = [[fin.side, " ", long(fin.depth), " deep"] for fin in window.fins]
        parts = [[", ", *fin] if place else fin for place, fin in enumerate(fins)]
        pairs.append(("fins", parts))
    if window.skyline:
        highest = max(elevation for _, elevation in window.skyline)
        pairs.append(("skyline", f"up to {highest:g}°"))
    shades = [one.shade.name for one in data.shades if window.name in one.shade.windows]
    pairs.append(("shade", listed(shades)))
    return pairs
