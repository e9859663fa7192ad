"""A plan's CSV comes back as it was written; what is wrong in one is told all at once."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suncover.base.errors import FileFaults
from suncover.export.files.plan_csv import plan_csv
from suncover.export.files.plan_read import plan_from_text, read_plan
from suncover.plan.closings.shade_plan import Closing, in_time_order

ZONE = ZoneInfo("America/New_York")
NOON = 1_780_329_600  # 2026-06-01 12:00 in New York
HEAD = "shade,date,close,open,minutes,sun_minutes,reason\r\n"
ROW = "roller,2026-06-01,2026-06-01T12:00:00-04:00,2026-06-01T13:00:00-04:00,60,50,sun\r\n"

names = st.text(
    st.characters(exclude_categories=["Cs", "Cc", "Zl", "Zp"]) | st.sampled_from("=+-@'\t\r\n,;"),
    min_size=1,
    max_size=20,
)


@st.composite
def plans(draw):
    found = []
    for shade in draw(st.lists(names, min_size=1, max_size=3, unique=True)):
        for day in draw(st.lists(st.integers(0, 300), max_size=5, unique=True)):
            close, length = NOON + day * 86400, draw(st.integers(1, 20000))
            sun = 6 * draw(st.integers(0, length // 6))
            rest = draw(names), draw(st.integers(1, 100)), 7.5
            date_of = date(2026, 6, 1) + timedelta(days=day)
            found.append(Closing(shade, date_of, close, close + length, sun, *rest))
    return in_time_order(found)


def read(text, shades=("roller",), zone=ZONE):
    return plan_from_text(text, shades, zone, "p.csv")


def faults_of(text, shades=("roller",)):
    with pytest.raises(FileFaults) as caught:
        read(text, shades)
    return [str(fault) for fault in caught.value.faults]


@given(plans())
def test_what_is_written_comes_back(closings):
    text = plan_csv(closings, ZONE, position=True, run_seconds=True).decode()
    # A name that a file's blanks would make another's is no business of this test.
    assert list(read(text, {closing.shade for closing in closings})) == list(closings)


def test_a_date_follows_from_the_closing_and_columns_may_stand_in_any_order():
    (closing,) = read(HEAD + ROW.replace("2026-06-01,", "2026-05-01,", 1))
    assert (closing.date, closing.position, closing.run_seconds) == (date(2026, 6, 1), 100, None)
    (closing,) = read(
        "note;open;shade;close;minutes\n"
        "mine;2026-06-01T17:00:00Z;roller;2026-06-01T12:00:00-04:00;60,5\n\n"
    )
    assert (closing.close, closing.open) == (NOON, NOON + 3600)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("roller,", "rolelr,", 'shade: the site has no shade "rolelr"; did you mean "roller"?'),
        ("T12:00:00-04:00", "", 'close: "2026-06-01" is not a time such as'),
        ("T12:00", "T25:00", 'close: "2026-06-01T25:00:00-04:00" is not a time such as'),
        ("T12:00", "T13:00", "open: it opens before it closes"),
        ("2026-06-01T13", "2126-06-01T13", "open: it opens years after it closes"),
        ("2026-06-01,", "2026-06-31,", 'date: "2026-06-31" is not a date of the form YYYY-MM-DD'),
        (",60,", ",many,", 'minutes: "many" is not a number from 0 up'),
        (",50,", ",nan,", 'sun_minutes: "nan" is not a number from 0 up'),
        (",sun", "", "this row has 6 cells; the first line has 7"),
        (",sun", ",sun,more", "this row has 8 cells; the first line has 7"),
        ("2026-06-01T12", "1026-06-01T12", "is too far off; give a year from 1900 to 2199"),
    ],
)
def test_a_wrong_cell_is_told_with_its_line(old, new, message):
    (fault,) = faults_of(HEAD + ROW + ROW.replace(old, new, 1))
    assert fault.startswith("p.csv:3: ")
    assert message in fault


@pytest.mark.parametrize(
    ("name", "day", "offset"),
    [
        ("America/Argentina/Cordoba", "2026-11-04", "-03:00"),
        ("America/New_York", "2026-06-01", "-04:00"),
        ("America/New_York", "2026-12-01", "-05:00"),
        ("Asia/Kolkata", "2026-06-01", "+05:30"),
    ],
)
def test_a_time_without_offset_is_by_the_sites_clocks(name, day, offset):
    """The offsets are those of the IANA time zone database."""
    text = f"shade,close,open\nroller,{day} 13:10,{day}T15:00:30\n"
    (closing,) = read(text, zone=ZoneInfo(name))
    assert closing.close == datetime.fromisoformat(f"{day}T13:10:00{offset}").timestamp()
    assert closing.open == datetime.fromisoformat(f"{day}T15:00:30{offset}").timestamp()


def test_such_times_where_clocks_jump():
    """One that no clock shows is the first moment after; of one that comes twice, the first."""
    jump = "roller,2026-03-08 02:30,2026-03-08 09:00"
    first, second = read(f"shade,close,open\n{jump}\nroller,2026-11-01 01:30,2026-11-01 09:00\n")
    assert first.close == datetime.fromisoformat("2026-03-08T03:00:00-04:00").timestamp()
    assert second.close == datetime.fromisoformat("2026-11-01T01:30:00-04:00").timestamp()


def test_every_fault_is_told_at_once_and_many_are_counted(tmp_path):
    told = faults_of(HEAD + ROW.replace("roller", "x").replace("T12:00:00-04:00", "") * 60)
    assert (len(told), told[-1]) == (101, "p.csv: … and 20 more")
    with pytest.raises(FileFaults, match="there is no such file"):
        read_plan(tmp_path / "none.csv", ["roller"], ZONE)


@pytest.mark.parametrize(
    ("header", "message"),
    [
        ("shade,date,close,opens", "the column `open` is missing from the first line"),
        ("shade,close,open,close", "the column `close` stands twice"),
        ("", "the column `shade` is missing from the first line"),
    ],
)
def test_a_wrong_first_line_is_told(header, message):
    assert message in faults_of(f"{header}\n")[0]


def test_a_position_is_a_whole_per_cent():
    text = HEAD.replace("reason", "reason,position") + ROW.replace("sun\r", "sun,{}\r")
    assert read(text.format("40"))[0].position == 40
    for wrong in ("0", "101", "4.5", "half"):
        assert "is not a whole number from 1 to 100" in faults_of(text.format(wrong))[0]


@pytest.mark.parametrize("at", [0, 2, 3])
def test_a_row_of_a_wrong_year_is_told_with_its_line(at):
    """Between it and the others lie decades, which an audit would go through day by day."""
    rows = [f"roller,2027-06-0{day}T09:00:00Z,2027-06-0{day}T11:00:00Z" for day in (1, 2, 3, 4)]
    rows[at] = rows[at].replace("2027", "2127")
    assert faults_of("\n".join(["shade,close,open", *rows])) == [
        f"p.csv:{at + 2}: close: the year 2127 lies far from the plan's other rows, of 2027; "
        "check the year"
    ]
