"""The line above a picture of one time: when that is, and how far the sun then reaches."""

from __future__ import annotations

from suncover.base.clock import date_text
from suncover.report.gather import ReportData
from suncover.report.pictures.figure import HALF
from suncover.report.pictures.labels import Word
from suncover.report.pictures.markup import Content, Markup, tag
from suncover.report.units import length
from suncover.report.window_year import ROOM_DEPTH, WindowYear
from suncover.report.words import slot_text

BASE, MARGIN = 15.0, 10.0
"""Where the line stands in the picture."""
NO_SUN = "no sun on the floor"


def moment_line(data: ReportData, number: int) -> list[Markup]:
    """The line of a window's picture, for the day and the time that it shows at first."""
    day, slot = data.start_day, data.slot_of(number)
    reach = reach_content(data, data.windows[number], day, slot)
    return [
        tag("text", moment(data, day, slot), x=MARGIN, y=BASE, class_="t b", data_part="when"),
        tag("text", reach, x=HALF - MARGIN, y=BASE, class_="t e", data_part="reach"),
    ]


def line_words() -> list[Word]:
    """The room that it takes at the most."""
    return [Word(MARGIN, BASE, "21 Sep, 14:00"), Word(HALF - MARGIN, BASE, NO_SUN, "e")]


def moment(data: ReportData, day: int, slot: int) -> str:
    """`21 Jun, 14:00`."""
    return f"{date_text(data.calendar.days[day])}, {slot_text(slot)}"


def reach_content(data: ReportData, year: WindowYear, day: int, slot: int) -> Content:
    """How far the sun on the floor reaches into the room, in words."""
    reach = year.reach(day, slot)
    if reach is None:
        return NO_SUN
    verb = "reaches over " if reach >= ROOM_DEPTH else "reaches "
    return [verb, length(reach, data.units, "tspan")]
