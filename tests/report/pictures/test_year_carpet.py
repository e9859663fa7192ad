"""The year carpet says what the exposure says, to the minute."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from report_home import report_data
from svg_reading import SVG, parsed, spans_at, with_class, words

from suncover.report.calendar_days import Piece
from suncover.report.pictures.ink import level_of
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


def shapes(number: int) -> list[str]:
    """The carpet's shape of each level and all that is stronger, in days and minutes."""
    body = parsed(year_carpet(DATA, number).svg()).find(f"./{SVG}g")
    assert body is not None
    found = [[one.get("d") or "" for one in with_class(body, f"f{level}")] for level in range(9)]
    return ["".join(paths) for paths in found]


@pytest.mark.parametrize("number", NUMBERS)
def test_what_is_drawn_is_the_minutes_of_sun_of_each_day(number: int) -> None:
    window, sun = DATA.windows[number], shapes(number)[0]
    total = 0.0
    for day, minutes in enumerate(window.minutes_by_day):
        drawn = sum(end - start for start, end in spans_at(sun, day + 0.5))
        spells = sum(piece.day == day for piece in window.pieces)
        assert drawn == pytest.approx(minutes, abs=ROUNDED_MIN * spells)
        total += drawn
    assert total == pytest.approx(window.minutes_by_day.sum(), rel=2e-3)


@pytest.mark.parametrize("number", NUMBERS)
def test_the_colour_at_a_point_is_that_of_the_suns_strength(number: int) -> None:
    """In the middle of every cell of ten minutes that is in sun, or that has none at all."""
    window, levels = DATA.windows[number], shapes(number)
    checked = 0
    for day in range(0, len(DATA.calendar.days), 3):
        spans = [spans_at(path, day + 0.5) for path in levels]
        for cell, (seconds, power) in enumerate(
            zip(window.seconds[day], window.power[day], strict=True)
        ):
            if 0 < seconds < 600:
                continue
            middle = cell * 10 + 5
            within = [any(low < middle < high for low, high in some) for some in spans]
            assert sum(within) == (level_of(power) + 1 if seconds else 0)
            checked += bool(seconds)
    assert checked > 1000


def test_the_table_has_every_day_with_its_minutes() -> None:
    window, table = DATA.windows[0], year_carpet(DATA, 0).table
    assert len(table.rows) == len(DATA.calendar.days) == 365
    assert [row[2] for row in table.rows] == [
        f"{value + 1e-6:.1f}" for value in window.minutes_by_day
    ]


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
