"""CSV: plan, hours and spots, held against the grammar of RFC 4180, pandas and the csv module."""

import csv
import io
import re
from dataclasses import replace
from datetime import date, datetime
from fractions import Fraction
from zoneinfo import ZoneInfo

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from suncover.base.csv_text import minutes_text, table, text_cell, text_of_cell
from suncover.base.spell import Spell
from suncover.export.files.plan_csv import plan_csv
from suncover.export.files.spells_csv import hours_csv, spots_csv
from suncover.plan.closings.shade_plan import Closing

NEW_YORK = ZoneInfo("America/New_York")

# RFC 4180, section 2, its ABNF; TEXTDATA widened to UTF-8, which IANA's registration of text/csv
# makes the default.
FIELD = '(?:"(?:[^"]|"")*"|[^",\r\n]*)'
RECORD = f"{FIELD}(?:,{FIELD})*"
FILE = re.compile(f"(?:{RECORD}\r\n)+")

texts = st.text(st.characters(exclude_categories=["Cs"]) | st.sampled_from("=+-@\t\r\n\",;' "))


def at(text: str) -> int:
    return int(datetime.fromisoformat(text).timestamp())


def closing(
    shade: str = "kitchen roller",
    *,
    close: str = "2026-06-01T09:08:45-04:00",
    open_: str = "2026-06-01T11:42:00-04:00",
    sun_seconds: int = 8880,
    reason: str = "sun 09:12–11:40 on kitchen",
    position: int = 100,
) -> Closing:
    day = date.fromisoformat(close[:10])
    return Closing(shade, day, at(close), at(open_), sun_seconds, reason, position)


def rows_of(content: bytes) -> list[list[str]]:
    text = content.decode("utf-8")
    assert FILE.fullmatch(text)
    return list(csv.reader(io.StringIO(text, newline=""), strict=True))


def test_plan_rows_as_they_are_written():
    content = plan_csv([closing()], NEW_YORK)
    assert content.decode() == (
        "shade,date,close,open,minutes,sun_minutes,reason\r\n"
        "kitchen roller,2026-06-01,2026-06-01T09:08:45-04:00,2026-06-01T11:42:00-04:00,"
        "153.25,148,sun 09:12–11:40 on kitchen\r\n"
    )


def test_plan_columns_read_by_pandas_are_numbers_and_times():
    content = plan_csv([closing(), closing(close="2026-12-01T09:00:00-05:00")], NEW_YORK)
    frame = pd.read_csv(io.BytesIO(content))
    assert list(frame.columns) == [
        "shade",
        "date",
        "close",
        "open",
        "minutes",
        "sun_minutes",
        "reason",
    ]
    times = pd.to_datetime(frame["close"], utc=True)
    assert [int(moment.timestamp()) for moment in times] == [
        at("2026-06-01T13:08:45Z"),
        at("2026-12-01T14:00:00Z"),
    ]
    assert frame["minutes"].dtype == "float64"


def test_plan_without_closings_is_the_header():
    assert plan_csv([], NEW_YORK) == b"shade,date,close,open,minutes,sun_minutes,reason\r\n"


def test_seconds_of_the_run_come_last_and_are_empty_where_not_known():
    known = replace(closing(position=60), run_seconds=14.4)
    rows = rows_of(plan_csv([known, closing()], NEW_YORK, position=True, run_seconds=True))
    assert rows[0][-2:] == ["position", "run_seconds"]
    assert sorted(row[-2:] for row in rows[1:]) == [["100", ""], ["60", "14.4"]]
    alone = rows_of(plan_csv([known], NEW_YORK, run_seconds=True))
    assert [row[-1] for row in alone] == ["run_seconds", "14.4"]


def test_reach_and_spots_are_further_columns_of_the_hours():
    spells = {"=study": [Spell(0, 90), Spell(200, 260)], "attic": [Spell(0, 60)]}
    reaches = {"=study": [2.345, float("nan")], "attic": [0.5]}
    spots = {"=study": [["desk", "bed, low"], []], "attic": [["+shelf"]]}
    plain = rows_of(hours_csv(spells, NEW_YORK))
    rows = rows_of(hours_csv(spells, NEW_YORK, reaches=reaches, spots=spots))
    assert [row[:5] for row in rows] == plain
    assert [row[5:] for row in rows] == [
        ["reach", "spots"],
        ["2.35", "desk; bed, low"],
        ["", ""],
        ["0.50", "'+shelf"],
    ]
    one = rows_of(hours_csv(spells, NEW_YORK, reaches=reaches))
    assert [row[5:] for row in one] == [["reach"], ["2.35"], [""], ["0.50"]]


def test_position_is_a_last_column_when_asked_for():
    rows = rows_of(plan_csv([closing(position=60)], NEW_YORK, position=True))
    assert [row[-1] for row in rows] == ["position", "60"]
    assert [row[:-1] for row in rows] == rows_of(plan_csv([closing(position=60)], NEW_YORK))


def test_plan_goes_by_time_and_then_by_shade():
    later = "2026-06-01T10:00:00-04:00"
    made = [closing("b"), closing("a", close=later), closing("a"), closing("c")]
    rows = rows_of(plan_csv(made, NEW_YORK))
    assert [(row[0], row[2][11:16]) for row in rows[1:]] == [
        ("a", "09:08"),
        ("b", "09:08"),
        ("c", "09:08"),
        ("a", "10:00"),
    ]


def test_a_closing_over_the_night_the_clocks_go_back_is_one_row_with_two_offsets():
    (_, row) = rows_of(
        plan_csv(
            [closing(close="2026-10-31T21:28:45-04:00", open_="2026-11-01T09:00:00-05:00")],
            NEW_YORK,
        )
    )
    assert row[1:5] == [
        "2026-10-31",
        "2026-10-31T21:28:45-04:00",
        "2026-11-01T09:00:00-05:00",
        "751.25",
    ]


def test_hours_go_window_by_window_and_a_spell_over_midnight_is_one_row():
    spells = {
        "study": [Spell(at("2026-06-01T22:30:00-04:00"), at("2026-06-02T00:15:30-04:00"))],
        "kitchen": [
            Spell(at("2026-06-01T09:00:00-04:00"), at("2026-06-01T09:00:01-04:00")),
            Spell(at("2026-06-01T10:00:00-04:00"), at("2026-06-01T11:00:00-04:00")),
        ],
        "cellar": [],
    }
    assert hours_csv(spells, NEW_YORK).decode() == (
        "window,date,start,end,minutes\r\n"
        "study,2026-06-01,2026-06-01T22:30:00-04:00,2026-06-02T00:15:30-04:00,105.5\r\n"
        "kitchen,2026-06-01,2026-06-01T09:00:00-04:00,2026-06-01T09:00:01-04:00,0.02\r\n"
        "kitchen,2026-06-01,2026-06-01T10:00:00-04:00,2026-06-01T11:00:00-04:00,60\r\n"
    )


def test_spots_name_their_window():
    spells = [Spell(at("2026-06-01T09:00:00-04:00"), at("2026-06-01T09:12:20-04:00"))]
    content = spots_csv([("desk", "study", spells), ("bed, old", "=attic", spells)], NEW_YORK)
    assert content.decode() == (
        "spot,window,date,start,end,minutes\r\n"
        "desk,study,2026-06-01,2026-06-01T09:00:00-04:00,2026-06-01T09:12:20-04:00,12.33\r\n"
        '"bed, old",\'=attic,'
        "2026-06-01,2026-06-01T09:00:00-04:00,2026-06-01T09:12:20-04:00,12.33\r\n"
    )


@given(st.lists(st.lists(texts, min_size=2, max_size=2), min_size=1, max_size=4))
def test_any_text_comes_back_and_the_file_keeps_to_the_grammar(rows):
    cells = [[text_cell(text) for text in row] for row in rows]
    content = table(["first", "second"], cells)
    assert [[text_of_cell(cell) for cell in row] for row in rows_of(content)[1:]] == rows


# The first six: OWASP Application Security Verification Standard 5.0, requirement 1.2.10, which
# also asks for the apostrophe. The others are common practice.
DANGEROUS = ["=", "+", "-", "@", "\t", "\0", "\r", "\n", "＝", "＋", "－", "＠"]


@pytest.mark.parametrize("first", DANGEROUS, ids=[f"U+{ord(c):04X}" for c in DANGEROUS])
def test_a_name_like_a_formula_is_not_run(first):
    name = f"{first}HYPERLINK(1)"
    rows = rows_of(plan_csv([closing(shade=name, reason=f"{first}1")], NEW_YORK))
    assert rows[1][0] == f"'{name}"
    assert rows[1][-1] == f"'{first}1"
    assert text_of_cell(rows[1][0]) == name


@given(texts)
def test_a_text_cell_never_begins_like_a_formula_and_gives_the_text_back(text):
    cell = text_cell(text)
    assert not cell.startswith(tuple(DANGEROUS))
    assert text_of_cell(cell) == text


@pytest.mark.parametrize("text", ["kitchen", "'tis", "a=b", "north-east", "5 pm", ""])
def test_ordinary_names_stay_as_they_are(text):
    assert text_cell(text) == text


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0, "0"),
        (1, "0.02"),
        (30, "0.5"),
        (60, "1"),
        (600, "10"),
        (4530, "75.5"),
        (9195, "153.25"),
        (6000, "100"),
    ],
)
def test_minutes(seconds, text):
    assert minutes_text(seconds) == text


@given(st.integers(0, 10**7))
def test_minutes_are_the_nearest_hundredth(seconds):
    text = minutes_text(seconds)
    assert re.fullmatch(r"\d+(\.\d|\.\d?[1-9])?", text)
    assert abs(Fraction(text) - Fraction(seconds, 60)) < Fraction(1, 200)
