"""The page's part on windows: every picture of each, moved by a day and a time; a light log."""

from __future__ import annotations

from suncover.export.text.light_text import light_sentences
from suncover.export.text.words import MONTHS, facing_text, listed, weekday_text
from suncover.facing.light.study import LightStudy
from suncover.report.gather import ReportData
from suncover.report.page.blocks import facts_list, figure_block, live_words, slider, sliders
from suncover.report.page.paper import faces, trade_sheet
from suncover.report.page.readout import day_words, time_words
from suncover.report.pictures.day_curve import day_curve
from suncover.report.pictures.light_log import light_picture
from suncover.report.pictures.markup import Content, Markup, as_markup, tag
from suncover.report.pictures.month_bars import month_bars, months_of
from suncover.report.pictures.side_view import side_view
from suncover.report.pictures.sky_view import sky_view
from suncover.report.pictures.top_view import top_view
from suncover.report.pictures.year_carpet import year_carpet
from suncover.report.units import length
from suncover.site.model import Site, Window


def windows_section(data: ReportData) -> Markup:
    """All windows, each behind its name; the first is open."""
    return tag(
        "section",
        tag("h2", "Window by window", id="windows"),
        tag(
            "p",
            "Ochre is sun, blue is a closed shade, grey is night or what hides the sky. All times "
            f"are those of clocks in {data.site.place.zone_name}. Sun is that of a clear sky.",
            _shown_words(data),
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
        tag("p", id="spoken", class_="unseen", aria_live="polite"),
    )


def _shown_words(data: ReportData) -> list[Content]:
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
    again = number > 0
    sunny = [n for n in range(len(data.windows)) if _has_hours(data, n)]
    hours, months = Markup(), Markup()
    if number in sunny:
        day, slot = data.start_day, data.slot_of(number)
        on_day = f"{weekday_text(data.calendar.days[day])}: {day_words(data, number, day)}"
        later = number > sunny[0]
        hours = as_markup(
            [
                figure_block(year_carpet(data, number), again=later, every=10, row_name="day"),
                live_words("day", number, on_day),
                figure_block(day_curve(data, number), again=later, every=3, row_name="row"),
                live_words("time", number, time_words(data, number, day, slot)),
            ]
        )
        months = figure_block(month_bars(data, number), again=later)
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
            figure_block(side_view(data, number), again=again),
            figure_block(top_view(data, number), again=again, every=2, row_name="row"),
            months,
            class_="pair tall",
        ),
        figure_block(sky_view(data, number), again=again),
        class_="window",
        open=not number,
    )


def _has_hours(data: ReportData, number: int) -> bool:
    """Is there ever sun on the window, or is its shade ever closed, in the days of the report?"""
    year = data.windows[number]
    shades = data.shades_of(year.window.name)
    return bool(year.pieces) or any(shade.closed for shade in shades)


def year_words(data: ReportData, number: int) -> str:
    """The window's sun over the days of the report, in a sentence or two."""
    months = months_of(data, number)
    total = sum(month.sun for month in months)
    if not total:
        return "No direct sun reaches this window in these days."
    best = max(months, key=lambda month: month.sun)
    covered = sum(month.covered for month in months)
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
        parts = [[", ", *fin] if rank else fin for rank, fin in enumerate(fins)]
        pairs.append(("fins", parts))
    if window.skyline:
        highest = max(elevation for _, elevation in window.skyline)
        pairs.append(("skyline", f"up to {highest:g}°"))
    shades = [shade.shade.name for shade in data.shades_of(window.name)]
    pairs.append(("shade", listed(shades)))
    return pairs


def light_section(site: Site, study: LightStudy) -> Markup:
    """The log's picture, with what it says of the window's direction and of the logger's clock."""
    return tag(
        "section",
        tag("h2", f"What the light on {study.window} shows"),
        [tag("p", sentence) for sentence in light_sentences(site, study)],
        figure_block(light_picture(site, study)),
        id="light",
    )
