"""The year carpet says what the exposure says, to the minute."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from datetime import date

import pytest
from report_home import report_data
from svg_reading import SVG, parsed, strokes, with_class, words

from suncover.report.calendar_days import Piece
from suncover.report.pictures.ink import LEVELS, level_of
from suncover.report.pictures.year_carpet import level_runs, year_carpet

DATA = report_data()
NUMBERS = range(len(DATA.windows))
# Ends are drawn at whole minutes: a spell may be half a minute off at either end.
ROUNDED_MIN = 1.0


@pytest.mark.parametrize("number", NUMBERS)
def test_runs_hold_the_windows_sun_and_nothing_else(number: int) -> None:
    window = DATA.windows[number]
    runs = level_runs(window)
    assert sum(piece.end - piece.start for _, piece in runs) == window.seconds.sum()
    for level, piece in runs:
        for cell in range(piece.start // 600, -(-piece.end // 600)):
            assert level_of(window.power[piece.day, cell]) == level


@pytest.mark.parametrize("number", NUMBERS)
def test_the_drawn_columns_are_the_minutes_of_sun_of_each_day(number: int) -> None:
    window = DATA.windows[number]
    root = parsed(year_carpet(DATA, number).svg())
    drawn: dict[int, float] = defaultdict(float)
    for level in range(LEVELS):
        for path in with_class(root, f"k{level}"):
            for day, start, end in strokes(path.get("d") or ""):
                drawn[day] += end - start
    minutes = window.minutes_by_day
    assert set(drawn) == {day for day, value in enumerate(minutes) if value >= 1}
    for day, value in drawn.items():
        spells = sum(piece.day == day for piece in window.pieces)
        assert value == pytest.approx(minutes[day], abs=ROUNDED_MIN * spells)
    assert sum(drawn.values()) == pytest.approx(minutes.sum(), abs=0.2 * len(drawn))


@pytest.mark.parametrize("number", NUMBERS)
def test_strokes_lie_within_the_windows_sun(number: int) -> None:
    window = DATA.windows[number]
    root = parsed(year_carpet(DATA, number).svg())
    for level in range(LEVELS):
        for path in with_class(root, f"k{level}"):
            for day, start, end in strokes(path.get("d") or ""):
                pieces = [piece for piece in window.pieces if piece.day == day]
                assert any(
                    piece.start / 60 - 0.5 <= start and end <= piece.end / 60 + 0.5
                    for piece in pieces
                )


def test_the_table_has_every_day_with_its_minutes() -> None:
    window, table = DATA.windows[0], year_carpet(DATA, 0).table
    assert len(table.rows) == len(DATA.calendar.days) == 365
    assert [row[2] for row in table.rows] == [f"{value:.1f}" for value in window.minutes_by_day]


def test_clock_changes_show_as_steps_of_the_sunrise_line() -> None:
    """On 8 March 2026 clocks in New York go an hour ahead, on 1 November back."""
    up = {piece.day: piece.start for piece in DATA.sun.up}
    march, november = (DATA.calendar.index(day) for day in (_day(3, 8), _day(11, 1)))
    assert march is not None
    assert november is not None
    assert up[march] - up[march - 1] == pytest.approx(3600, abs=120)
    assert up[november] - up[november - 1] == pytest.approx(-3600, abs=120)


def _day(month: int, day: int) -> date:
    return DATA.calendar.first.replace(month=month, day=day)


def test_the_closings_are_drawn_as_stripes_where_the_plan_has_them() -> None:
    figure = year_carpet(DATA, 0)
    root = parsed(figure.svg())
    fills = [one.get("fill") for one in root.iter(f"{SVG}path") if one.get("fill")]
    assert fills == [f"url(#{figure.name}-stripes)"]
    assert any(key.text == "kitchen 'roller' closed" for key in figure.legend)


def test_months_and_hours_are_labelled() -> None:
    said = words(parsed(year_carpet(DATA, 0).svg()))
    assert {"Jan", "Jun", "Dec", "0", "6", "12", "18", "24"} <= set(said)


def test_sun_round_midnight_is_told_from_the_evening_to_the_next_morning() -> None:
    pieces = [
        Piece(day, start, end, 0)
        for day in (170, 171)
        for start, end in ((0, 7 * 3600), (18 * 3600, 86400))
    ]
    polar = replace(DATA.windows[0], pieces=pieces)
    alt = year_carpet(replace(DATA, windows=(polar, *DATA.windows[1:])), 0).alt
    assert "at the earliest from 18:00 and at the latest until 07:00 the next morning." in alt
    assert "next morning" not in year_carpet(DATA, 0).alt
