"""When a shade's days change."""

from datetime import date
from zoneinfo import ZoneInfo

from suncover.report.calendar_days import Calendar, Piece
from suncover.report.habits import next_change, parts_of

DAYS = Calendar(date(2027, 4, 1), date(2027, 4, 30), ZoneInfo("Europe/Oslo"))
MORNING, AFTERNOON = (8 * 3600, 11 * 3600), (13 * 3600, 16 * 3600)


def pieces(*spans: tuple[int, tuple[int, int]]) -> list[Piece]:
    return [Piece(day, start, end, 0) for day, (start, end) in spans]


def test_parts_of_a_day_need_half_an_hour():
    assert parts_of(pieces((0, (11 * 3600, 12 * 3600 + 1799)))) == {"in the morning"}
    assert parts_of(pieces((0, (11 * 3600, 12 * 3600 + 1800)))) == {
        "in the morning",
        "in the afternoon",
    }
    assert parts_of(pieces((0, (23 * 3600, 86_400)))) == {"at night"}


def test_a_change_that_lasts_is_told_with_its_date():
    closed = pieces(
        *((day, AFTERNOON) for day in range(30)), *((day, MORNING) for day in range(9, 30))
    )
    words = next_change(DAYS, closed, date(2027, 4, 2))
    assert words == "From 10 Apr it also closes in the morning."
    assert next_change(DAYS, closed, date(2027, 4, 15)) is None


def test_a_single_odd_day_is_no_change():
    closed = pieces(*((day, AFTERNOON) for day in range(30) if day != 12))
    assert next_change(DAYS, closed, date(2027, 4, 2)) is None


def test_begin_and_end_of_a_season():
    closed = pieces(*((day, AFTERNOON) for day in range(14, 22)))
    assert next_change(DAYS, closed, date(2027, 4, 1)) == (
        "From 15 Apr it closes in the afternoon."
    )
    assert next_change(DAYS, closed, date(2027, 4, 16)) == "From 23 Apr it stays open all day."
    assert next_change(DAYS, closed, date(2027, 6, 1)) is None
