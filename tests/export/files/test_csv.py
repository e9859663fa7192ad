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
HEAD = "shade,date,close,open,minutes,sun_minutes,reason"
JUNE = "2026-06-01T{}-04:00"
CLOSE, OPEN = JUNE.format("09:08:45"), JUNE.format("11:42:00")

# RFC 4180, section 2, its ABNF; TEXTDATA widened to UTF-8, which IANA's registration of text/csv
# makes the default.
FIELD = '(?:"(?:[^"]|"")*"|[^",\r\n]*)'
RECORD = f"{FIELD}(?:,{FIELD})*"
FILE = re.compile(f"(?:{RECORD}\r\n)+")

texts = st.text(st.characters(exclude_categories=["Cs"]) | st.sampled_from("=+-@\t\r\n\",;' "))


def at(text):
    return int(datetime.fromisoformat(text).timestamp())


def june(start, end):
    return Spell(at(JUNE.format(start)), at(JUNE.format(end)))


def closing(shade="kitchen roller", close=CLOSE, open_=OPEN, **keys):
    keys = {"sun_seconds": 8880, "reason": "sun 09:12–11:40 on kitchen", "position": 100, **keys}
    return Closing(shade, date.fromisoformat(close[:10]), at(close), at(open_), **keys)


def rows_of(content):
    text = content.decode("utf-8")
    assert FILE.fullmatch(text)
    return list(csv.reader(io.StringIO(text, newline=""), strict=True))


def test_plan_rows_as_they_are_written_and_read_by_pandas():
    assert plan_csv([], NEW_YORK).decode() == f"{HEAD}\r\n"
    assert plan_csv([closing()], NEW_YORK).decode() == (
        f"{HEAD}\r\n"
        "kitchen roller,2026-06-01,2026-06-01T09:08:45-04:00,2026-06-01T11:42:00-04:00,"
        "153.25,148,sun 09:12–11:40 on kitchen\r\n"
    )
    made = [closing(), closing(close="2026-12-01T09:00:00-05:00")]
    frame = pd.read_csv(io.BytesIO(plan_csv(made, NEW_YORK)))
    assert ",".join(frame.columns) == HEAD
    times = pd.to_datetime(frame["close"], utc=True)
    assert [int(time.timestamp()) for time in times] == [at(one) for one in frame["close"]]
    assert frame["minutes"].dtype == "float64"


def test_position_and_seconds_of_the_run_come_last_when_asked_for():
    known = replace(closing(position=60), run_seconds=14.4)
    rows = rows_of(plan_csv([known, closing()], NEW_YORK, position=True, run_seconds=True))
    assert rows[0][-2:] == ["position", "run_seconds"]
    assert sorted(row[-2:] for row in rows[1:]) == [["100", ""], ["60", "14.4"]]
    assert [row[:-2] for row in rows] == rows_of(plan_csv([known, closing()], NEW_YORK))
    for asked, cell in (("run_seconds", "14.4"), ("position", "60")):
        alone = rows_of(plan_csv([known], NEW_YORK, **{asked: True}))
        assert [row[-1] for row in alone] == [asked, cell]


def test_reach_and_spots_are_further_columns_of_the_hours():
    spells = {"=study": [Spell(0, 90), Spell(200, 260)], "attic": [Spell(0, 60)]}
    reaches = {"=study": [2.345, float("nan")], "attic": [0.5]}
    spots = {"=study": [["desk", "bed, low"], []], "attic": [["+shelf"]]}
    rows = rows_of(hours_csv(spells, NEW_YORK, reaches=reaches, spots=spots))
    assert [row[:5] for row in rows] == rows_of(hours_csv(spells, NEW_YORK))
    assert [row[5] for row in rows] == ["reach", "2.35", "", "0.50"]
    assert [row[6] for row in rows] == ["spots", "desk; bed, low", "", "'+shelf"]
    one = rows_of(hours_csv(spells, NEW_YORK, reaches=reaches))
    assert [row[5:] for row in one] == [row[5:6] for row in rows]


def test_plan_goes_by_time_and_then_by_shade():
    later = JUNE.format("10:00:00")
    made = [closing("b"), closing("a", close=later), closing("a"), closing("c")]
    rows = rows_of(plan_csv(made, NEW_YORK))[1:]
    assert [(row[0], row[2][11:13]) for row in rows] == [*((s, "09") for s in "abc"), ("a", "10")]


def test_a_closing_over_the_night_the_clocks_go_back_is_one_row_with_two_offsets():
    close, opens = "2026-10-31T21:28:45-04:00", "2026-11-01T09:00:00-05:00"
    (_, row) = rows_of(plan_csv([closing(close=close, open_=opens)], NEW_YORK))
    assert row[1:5] == ["2026-10-31", close, opens, "751.25"]


def test_hours_go_window_by_window_and_spots_name_theirs():
    """A spell over midnight is one row."""
    over = Spell(at("2026-06-01T22:30:00-04:00"), at("2026-06-02T00:15:30-04:00"))
    kitchen = [june("09:00:00", "09:00:01"), june("10:00:00", "11:00:00")]
    assert hours_csv({"study": [over], "kitchen": kitchen, "cellar": []}, NEW_YORK).decode() == (
        "window,date,start,end,minutes\r\n"
        "study,2026-06-01,2026-06-01T22:30:00-04:00,2026-06-02T00:15:30-04:00,105.5\r\n"
        "kitchen,2026-06-01,2026-06-01T09:00:00-04:00,2026-06-01T09:00:01-04:00,0.02\r\n"
        "kitchen,2026-06-01,2026-06-01T10:00:00-04:00,2026-06-01T11:00:00-04:00,60\r\n"
    )
    spells = [june("09:00:00", "09:12:20")]
    content = spots_csv([("desk", "study", spells), ("bed, old", "=attic", spells)], NEW_YORK)
    times = "2026-06-01,2026-06-01T09:00:00-04:00,2026-06-01T09:12:20-04:00,12.33\r\n"
    assert content.decode() == (
        f'spot,window,date,start,end,minutes\r\ndesk,study,{times}"bed, old",\'=attic,{times}'
    )


@given(st.lists(st.lists(texts, min_size=2, max_size=2), min_size=1, max_size=4))
def test_any_text_comes_back_and_the_file_keeps_to_the_grammar(rows):
    cells = [[text_cell(text) for text in row] for row in rows]
    content = table(["first", "second"], cells)
    assert [[text_of_cell(cell) for cell in row] for row in rows_of(content)[1:]] == rows
    assert not any(cell.startswith(tuple(DANGEROUS)) for row in cells for cell in row)


# The first six: OWASP Application Security Verification Standard 5.0, requirement 1.2.10, which
# also asks for the apostrophe. The others are common practice.
DANGEROUS = ["=", "+", "-", "@", "\t", "\0", "\r", "\n", "＝", "＋", "－", "＠"]


@pytest.mark.parametrize("first", DANGEROUS, ids=[f"U+{ord(c):04X}" for c in DANGEROUS])
def test_a_name_like_a_formula_is_not_run(first):
    name = f"{first}HYPERLINK(1)"
    (_, row) = rows_of(plan_csv([closing(shade=name, reason=f"{first}1")], NEW_YORK))
    assert (row[0], row[-1]) == (f"'{name}", f"'{first}1")
    assert text_of_cell(row[0]) == name


def test_ordinary_names_stay_as_they_are():
    for text in ("kitchen", "'tis", "a=b", "north-east", "5 pm", ""):
        assert text_cell(text) == text


def test_minutes_are_written_short():
    shown = {0: "0", 1: "0.02", 30: "0.5", 60: "1", 600: "10", 4530: "75.5", 9195: "153.25"}
    for seconds, text in (shown | {6000: "100"}).items():
        assert minutes_text(seconds) == text


@given(st.integers(0, 10**7))
def test_minutes_are_the_nearest_hundredth(seconds):
    text = minutes_text(seconds)
    assert re.fullmatch(r"\d+(\.\d|\.\d?[1-9])?", text)
    assert abs(Fraction(text) - Fraction(seconds, 60)) < Fraction(1, 200)
