"""Every picture of a report, one after the other, as figures that stand alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from suncover.base.clock import local_date
from suncover.export.text.words import dates_text, wall_text, weekday_text
from suncover.report.calendar_days import SLOT_S
from suncover.report.gather import ReportData
from suncover.report.pictures.day_curve import day_curve
from suncover.report.pictures.depth_sweep import depth_sweep, sweep_of
from suncover.report.pictures.figure import Figure
from suncover.report.pictures.heat_months import heat_months
from suncover.report.pictures.light_log import LIGHT_LOG, light_picture
from suncover.report.pictures.month_bars import month_bars
from suncover.report.pictures.plan_bars import plan_bars
from suncover.report.pictures.season_ribbon import season_ribbon
from suncover.report.pictures.side_view import side_view
from suncover.report.pictures.sky_view import sky_view
from suncover.report.pictures.today_bars import today_bars
from suncover.report.pictures.top_view import top_view
from suncover.report.pictures.week_bars import week_bars
from suncover.report.pictures.year_carpet import year_carpet

PER_WINDOW = (year_carpet, day_curve, side_view, top_view, sky_view, month_bars)
"""What is drawn of each window, each from the data and the window's number."""
PER_SHADE = (week_bars, season_ribbon)
"""What is drawn of each shade, each from the data and the shade's number."""


OF_A_TIME = ("side", "top", "sky")
"""What shows one day at one time; `day` shows one day."""


def report_figures(data: ReportData) -> Iterator[Figure]:
    """All pictures of a report, in the order of its page, each saying where and when it is. Their
    names are unique.
    """
    for figure in _figures(data):
        yield replace(figure, note=f"{data.site.place.name}, {_time_text(data, figure)}")


def _time_text(data: ReportData, figure: Figure) -> str:
    part, number = figure.live or ("", 0)
    day = data.calendar.days[data.start_day]
    shown = f"{weekday_text(day)} {day.year}"
    if part in OF_A_TIME:
        return f"{shown}, {wall_text(data.slot_of(number) * SLOT_S)}"
    if part == "day":
        return shown
    if figure.name == LIGHT_LOG and data.light is not None:
        times = data.light.log.times - 60.0 * data.light.clock.minutes
        zone = data.site.place.zone
        return dates_text(*(local_date(int(at), zone) for at in (times[0], times[-1])))
    if part == "today" or figure.name.startswith("week-"):
        return f"{weekday_text(data.at)} {data.at.year}"
    return dates_text(data.calendar.first, data.calendar.last)


def _figures(data: ReportData) -> Iterator[Figure]:
    yield today_bars(data)
    for draw in PER_SHADE:
        for number in range(len(data.shades)):
            yield draw(data, number)
    for number in range(len(data.windows)):
        for draw in PER_WINDOW:
            yield draw(data, number)
    if data.heat is not None:
        yield heat_months(data.heat)
        for number in range(len(data.windows)):
            if sweep_of(data, data.heat, number) is not None:
                yield depth_sweep(data, data.heat, number)
    if data.light is not None:
        yield light_picture(data.site, data.light)
    yield plan_bars(data)
