"""What a report is made of: the program's own stages, for the report's own days."""

from datetime import date, timedelta

import pytest
from report_home import AT, home, report_data
from site_texts import site_of, table, window

from suncover.base.errors import RequestError
from suncover.base.spell import Spell
from suncover.plan.season import season_plan
from suncover.report.calendar_days import Calendar, by_day
from suncover.report.gather import gather_report

DATA = report_data()


def test_the_plan_is_that_of_the_plan_command():
    plans = season_plan(home(), DATA.calendar.first, DATA.calendar.last)
    assert [shade.plan for shade in DATA.shades] == plans


def test_the_week_is_part_of_the_year():
    """Worked out for itself, it closes as the year's plan does."""
    start, end = DATA.week.calendar.bounds.start, DATA.week.calendar.bounds.end
    for week, year in zip(DATA.week.shades, DATA.shades, strict=True):
        expected = [c for c in year.plan.closings if c.close < end and c.open > start]
        assert list(week.closings) == expected
    assert DATA.week.calendar.days[0] == AT
    assert len(DATA.week.calendar.days) == 8


def test_pictures_open_on_today():
    assert DATA.calendar.days[DATA.start_day] == AT
    assert DATA.windows[0].power[DATA.start_day].any()


def test_pictures_of_other_days_open_on_the_nearest():
    site = home()
    data = gather_report(site, date(2026, 7, 1), date(2026, 7, 3), AT)
    assert data.start_day == 0
    assert data.heat is None
    assert [day.day for day in data.calendar.days] == [1, 2, 3]


def test_a_report_covers_a_year_at_most():
    with pytest.raises(RequestError, match=r"are 367 days; a report covers a year at most"):
        gather_report(home(), date(2026, 1, 1), date(2027, 1, 2), AT)


def test_the_midnight_sun_is_up_all_day_and_lights_windows_at_midnight():
    """In Tromsø the sun does not set from 19 May to 25 July (its centre even longer)."""
    site = site_of(
        table("need", beam=0),
        window("north", 340, 1.1, 1.2, sill=0.9),
        window("roof", 250, 0.8, 1.4, tilt=35, sill=1.1),
        at=(69.65, 18.96),
    )
    data = gather_report(site, date(2026, 6, 20), date(2026, 6, 22), date(2026, 6, 21))
    up = by_day(data.sun.up, 3)
    assert all([(piece.start, piece.end) for piece in day] == [(0, 86_400)] for day in up)
    assert data.windows[0].lit[1, 0]
    assert data.windows[1].mask.around == 180


def test_an_hour_that_clocks_show_twice_is_two_pieces_and_no_second_is_lost():
    zone = home().place.zone
    calendar = Calendar(date(2026, 11, 1), date(2026, 11, 1), zone)
    bounds = calendar.bounds
    assert bounds.seconds == 25 * 3600
    pieces = calendar.pieces([bounds])
    assert [(p.start, p.end) for p in pieces] == [(0, 7200), (3600, 86_400)]
    assert calendar.seconds_by_day(pieces)[0] == bounds.seconds


def test_an_hour_that_clocks_jump_is_not_there():
    zone = home().place.zone
    calendar = Calendar(date(2026, 3, 8), date(2026, 3, 8), zone)
    pieces = calendar.pieces([calendar.bounds])
    assert [(p.start, p.end) for p in pieces] == [(0, 7200), (10_800, 86_400)]
    # 2:00 and 2:30 do not exist: both mean the first moment after the jump, 3:00.
    assert len(set(calendar.slots[0, 4:7].tolist())) == 1


def test_pieces_of_other_days_are_left_out():
    zone = home().place.zone
    calendar = Calendar(AT, AT, zone)
    start, end = calendar.bounds.start, calendar.bounds.end
    pieces = calendar.pieces([Spell(start - 7200, start + 60), Spell(end - 60, end + 60)])
    assert [(p.day, p.start, p.end) for p in pieces] == [(0, 0, 60), (0, 86_340, 86_400)]
    assert calendar.index(AT) == 0
    assert calendar.index(AT + timedelta(days=1)) is None
