"""A plan's CSV comes back as it was written; what is wrong in one is told all at once."""

from datetime import date, datetime
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
def plans(draw: st.DrawFn) -> list[Closing]:
    found = []
    for shade in draw(st.lists(names, min_size=1, max_size=3, unique=True)):
        for day in draw(st.lists(st.integers(0, 300), max_size=5, unique=True)):
            close = NOON + day * 86400
            length = draw(st.integers(1, 20000))
            sun = 6 * draw(st.integers(0, length // 6))
            day_of = date(2026, 6, 1).fromordinal(date(2026, 6, 1).toordinal() + day)
            position = draw(st.integers(1, 100))
            found.append(
                Closing(shade, day_of, close, close + length, sun, draw(names), position, 7.5)
            )
    return in_time_order(found)


@given(plans())
def test_what_is_written_comes_back(closings):
    text = plan_csv(closings, ZONE, position=True, run_seconds=True).decode()
    shades = {closing.shade for closing in closings}
    # A name that a file's blanks would make another's is no business of this test.
    back = plan_from_text(text, shades, ZONE)
    days = [(c.shade, c.close, c.open, c.reason, c.position, c.run_seconds) for c in closings]
    assert [(c.shade, c.close, c.open, c.reason, c.position, c.run_seconds) for c in back] == days
    assert [c.sun_seconds for c in back] == [c.sun_seconds for c in closings]


def test_a_date_follows_from_the_closing():
    (closing,) = plan_from_text(
        HEAD + ROW.replace("2026-06-01,", "2026-05-01,", 1), ["roller"], ZONE
    )
    assert closing.date == date(2026, 6, 1)
    assert closing.position == 100
    assert closing.run_seconds is None


def test_a_spreadsheet_may_reorder_columns_and_use_semicolons():
    text = (
        "note;open;shade;close;minutes\n"
        "mine;2026-06-01T17:00:00Z;roller;2026-06-01T12:00:00-04:00;60,5\n\n"
    )
    (closing,) = plan_from_text(text, ["roller"], ZONE)
    assert (closing.close, closing.open) == (NOON, NOON + 3600)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("roller,", "rolelr,", 'shade: the site has no shade "rolelr"; did you mean "roller"?'),
        ("T12:00:00-04:00", "", 'close: "2026-06-01" is not a time such as'),
        ("T12:00", "T25:00", 'close: "2026-06-01T25:00:00-04:00" is not a time such as'),
        ("T12:00", "T13:00", "open: it opens before it closes"),
        ("2026-06-01,", "2026-06-31,", 'date: "2026-06-31" is not a date of the form YYYY-MM-DD'),
        (",60,", ",many,", 'minutes: "many" is not a number from 0 up'),
        (",50,", ",nan,", 'sun_minutes: "nan" is not a number from 0 up'),
        (",sun", "", "this row has 6 cells; the first line has 7"),
        (",sun", ",sun,more", "this row has 8 cells; the first line has 7"),
        ("2026-06-01T12", "1026-06-01T12", "is too far off; give a year from 1900 to 2199"),
    ],
)
def test_a_wrong_cell_is_told_with_its_line(old, new, message):
    with pytest.raises(FileFaults) as caught:
        plan_from_text(HEAD + ROW + ROW.replace(old, new, 1), ["roller"], ZONE, "p.csv")
    (fault,) = caught.value.faults
    assert str(fault).startswith("p.csv:3: ")
    assert message in str(fault)


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
    (closing,) = plan_from_text(text, ["roller"], ZoneInfo(name), "p.csv")
    assert closing.close == datetime.fromisoformat(f"{day}T13:10:00{offset}").timestamp()
    assert closing.open == datetime.fromisoformat(f"{day}T15:00:30{offset}").timestamp()


def test_such_times_where_clocks_jump():
    """One that no clock shows is the first moment after; of one that comes twice, the first."""
    jump = "2026-03-08 02:30,2026-03-08 09:00"
    again = "2026-11-01 01:30,2026-11-01 09:00"
    first, second = plan_from_text(f"shade,close,open\nr,{jump}\nr,{again}\n", ["r"], ZONE)
    assert first.close == datetime.fromisoformat("2026-03-08T03:00:00-04:00").timestamp()
    assert second.close == datetime.fromisoformat("2026-11-01T01:30:00-04:00").timestamp()


def test_every_fault_is_told_at_once_and_many_are_counted():
    wrong = ROW.replace("roller", "x").replace("T12:00:00-04:00", "")
    with pytest.raises(FileFaults) as caught:
        plan_from_text(HEAD + wrong * 60, ["roller"], ZONE)
    assert len(caught.value.faults) == 101
    assert str(caught.value.faults[-1]) == "plan: … and 20 more"


@pytest.mark.parametrize(
    ("header", "message"),
    [
        ("shade,date,close,opens", "the column `open` is missing from the first line"),
        ("shade,close,open,close", "the column `close` stands twice"),
        ("", "the column `shade` is missing from the first line"),
    ],
)
def test_a_wrong_first_line_is_told(header, message):
    with pytest.raises(FileFaults, match=message):
        plan_from_text(f"{header}\n", ["roller"], ZONE)


def test_a_position_is_a_whole_per_cent():
    text = HEAD.replace("reason", "reason,position") + ROW.replace("sun\r", "sun,{}\r")
    assert plan_from_text(text.format("40"), ["roller"], ZONE)[0].position == 40
    for wrong in ("0", "101", "4.5", "half"):
        with pytest.raises(FileFaults, match="is not a whole number from 1 to 100"):
            plan_from_text(text.format(wrong), ["roller"], ZONE)


def test_a_file_that_is_not_there_is_told(tmp_path):
    with pytest.raises(FileFaults, match="there is no such file"):
        read_plan(tmp_path / "none.csv", ["roller"], ZONE)


@pytest.mark.parametrize("at", [0, 2, 3])
def test_a_row_of_a_wrong_year_is_told_with_its_line(at):
    """Between it and the others lie decades, which an audit would go through day by day."""
    rows = [f"east,2027-06-0{day}T09:00:00Z,2027-06-0{day}T11:00:00Z" for day in (1, 2, 3, 4)]
    rows[at] = rows[at].replace("2027", "2127")
    with pytest.raises(FileFaults) as caught:
        plan_from_text("\n".join(["shade,close,open", *rows]), ["east"], ZONE)
    assert str(caught.value) == (
        f"plan:{at + 2}: close: the year 2127 lies far from the plan's other rows, of 2027; "
        "check the year"
    )


def test_a_closing_that_ends_in_a_wrong_year_is_told():
    row = "east,2027-06-01T09:00:00Z,2127-06-01T11:00:00Z"
    with pytest.raises(FileFaults, match="plan:2: open: it opens years after it closes"):
        plan_from_text(f"shade,close,open\n{row}", ["east"], ZONE)
