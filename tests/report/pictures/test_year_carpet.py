"""The year carpet says what the exposure says, to the minute."""

from dataclasses import replace
from datetime import date

import pytest
from report_home import report_data
from svg_reading import SVG, numbers, parsed, spans_at, with_class, words

from suncover.report.calendar_days import Piece
from suncover.report.doubt import Doubt
from suncover.report.pictures.ink import level_of
from suncover.report.pictures.year_carpet import level_runs, year_carpet

DATA = report_data()
NUMBERS = range(len(DATA.windows))
# Lines from day to day are eased by 0.3 of a unit and drawn to a tenth; 308 units are 24 hours.
EASED_MIN = (0.3 + 0.05) * 1440 / 308


@pytest.mark.parametrize("number", NUMBERS)
def test_runs_hold_the_windows_sun_and_nothing_else(number):
    window = DATA.windows[number]
    runs = level_runs(window)
    assert sum(piece.end - piece.start for _, piece in runs) == window.seconds.sum()
    for level, piece in runs:
        for cell in range(piece.start // 600, -(-piece.end // 600)):
            assert level_of(window.power[piece.day, cell]) == level


def shapes(number: int) -> list[str]:
    """The carpet's shape of each level and all that is stronger."""
    body = parsed(year_carpet(DATA, number).svg()).find(f"./{SVG}g")
    found = [[one.get("d") or "" for one in with_class(body, f"f{level}")] for level in range(9)]
    return ["".join(paths) for paths in found]


def all_sun(path: str, day: int) -> list[tuple[float, float]]:
    """What the shape of all sun covers of a day, in minutes; it is drawn on paper."""
    spans = spans_at(path, 52 + 656 * (day + 0.5) / 365)
    return sorted((1440 * (324 - foot) / 308, 1440 * (324 - top) / 308) for top, foot in spans)


@pytest.mark.parametrize("number", NUMBERS)
def test_what_is_drawn_is_the_minutes_of_sun_of_each_day(number):
    window, sun = DATA.windows[number], shapes(number)[0]
    total = 0.0
    for day, minutes in enumerate(window.minutes_by_day):
        drawn = sum(end - start for start, end in all_sun(sun, day))
        spells = sum(piece.day == day for piece in window.pieces)
        assert drawn == pytest.approx(minutes, abs=EASED_MIN * 2 * spells)
        total += drawn
    assert total == pytest.approx(window.minutes_by_day.sum(), rel=2e-3)


@pytest.mark.parametrize("number", NUMBERS)
def test_the_colour_at_a_point_is_that_of_the_suns_strength(number):
    """In the middle of every cell of ten minutes that is in sun, or that has none at all."""
    window, levels = DATA.windows[number], shapes(number)
    checked = 0
    for day in range(0, len(DATA.calendar.days), 3):
        spans = [all_sun(levels[0], day), *(spans_at(path, day + 0.5) for path in levels[1:])]
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


def test_a_band_is_as_wide_as_the_facing_is_known():
    """At each end of a day's sun, by the minutes that the doubt has for its month."""
    months = tuple(10.0 + month for month in range(12))
    unsure = replace(DATA.windows[1], doubt=Doubt(2.0, months, (0.0,) * 12))
    figure = year_carpet(replace(DATA, windows=(DATA.windows[0], unsure)), 1)
    (path,) = [
        one.get("d") or "" for one in with_class(parsed(figure.svg()), "doubt") if one.get("d")
    ]
    for day, when in enumerate(DATA.calendar.days):
        pieces = [piece for piece in unsure.pieces if piece.day == day]
        if len(pieces) != 1 or when.day in (1, 2, 28, 29, 30, 31):
            continue  # bands of several may run together; where months meet, it slants
        ((low, high),) = all_sun(path, day)
        assert (low + high) / 2 == pytest.approx(pieces[0].start / 60, abs=2 * EASED_MIN)
        assert high - low == pytest.approx(2 * months[when.month - 1], abs=2 * EASED_MIN)


def test_the_table_has_every_day_with_its_minutes():
    window, table = DATA.windows[0], year_carpet(DATA, 0).table
    assert len(table.rows) == len(DATA.calendar.days) == 365
    assert [row[2] for row in table.rows] == [
        f"{value + 1e-6:.1f}" for value in window.minutes_by_day
    ]


def test_clock_changes_show_as_steps_of_the_sunrise_line():
    """On 8 March 2026 clocks in New York go an hour ahead, on 1 November back."""
    up = {piece.day: piece.start for piece in DATA.sun.up}
    march, november = (DATA.calendar.index(day) for day in (_day(3, 8), _day(11, 1)))
    assert up[march] - up[march - 1] == pytest.approx(3600, abs=120)
    assert up[november] - up[november - 1] == pytest.approx(-3600, abs=120)


def _day(month: int, day: int) -> date:
    return DATA.calendar.first.replace(month=month, day=day)


def test_the_closings_are_drawn_as_stripes_where_the_plan_has_them():
    figure = year_carpet(DATA, 0)
    root = parsed(figure.svg())
    fills = [one.get("fill") for one in root.iter(f"{SVG}path") if one.get("fill")]
    assert fills == [f"url(#{figure.name}-stripes)"]
    assert any(key.text == "its shade closed" for key in figure.legend)


def test_months_and_hours_are_labelled():
    said = words(parsed(year_carpet(DATA, 0).svg()))
    assert {"Jan", "Jun", "Dec", "0", "6", "12", "18", "24"} <= set(said)


def test_sun_round_midnight_is_told_from_the_evening_to_the_next_morning():
    pieces = [
        Piece(day, start, end, 0)
        for day in (170, 171)
        for start, end in ((0, 7 * 3600), (18 * 3600, 86400))
    ]
    polar = replace(DATA.windows[0], pieces=pieces)
    alt = year_carpet(replace(DATA, windows=(polar, *DATA.windows[1:])), 0).alt
    assert "at the earliest from 18:00 and at the latest until 07:00 the next morning." in alt
    assert "next morning" not in year_carpet(DATA, 0).alt


def test_notes_stand_over_the_days_that_they_are_about():
    """The season from 15 April to 15 October; clocks in New York change on 8 March, 1 November."""
    root = parsed(year_carpet(DATA, 0).svg())
    lines = [
        numbers(one.get("d") or "")
        for one in with_class(root, "rise")
        if "full" in str(one.get("class"))
    ]
    days = [[52 + 656 * DATA.calendar.days.index(day) / 365 for day in span] for span in (
        (_day(3, 8), _day(3, 9)), (_day(11, 1), _day(11, 2)), (_day(4, 15), _day(10, 16))
    )]  # fmt: skip
    for line, (start, end) in zip(lines, days, strict=True):
        assert (line[0], line[3]) == pytest.approx((start, end), abs=0.06)
    assert words(root).count("clocks change") == 2
    assert "season" in words(root)
