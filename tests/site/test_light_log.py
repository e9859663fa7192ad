"""The CSV of a light sensor: what is read, and all that can be wrong with it."""
# ruff: noqa: E501  (a case to a line)

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from suncover.base.errors import FileFaults
from suncover.site.light_log import MOST_FAULTS, light_from_text

# Clocks there go back on 4 April 2027 at 3:00 (IANA time zone database).
ZONE = ZoneInfo("Pacific/Auckland")
ROWS = ("2027-04-04T09:00,0", "2027-04-04T09:10,12.5", "2027-04-04T09:20,40")
NINE = datetime(2027, 4, 3, 21, tzinfo=UTC).timestamp()


def text(*rows: str, head: str = "time,value") -> str:
    return "\r\n".join((head, *rows)) + "\r\n"


@pytest.mark.parametrize(
    "log",
    [
        text(*ROWS),
        text(*ROWS[::-1]),
        text(*ROWS, *ROWS),
        text(*(row.replace(",", ";").replace(".", ",") for row in ROWS), head="time;value"),
        text("2027-04-04T09:00,0", '2027-04-04T09:10,"12,5"', "2027-04-04T09:20,40,"),
        text(*(f"{row.split(',')[1]},7,{row.split(',')[0]}" for row in ROWS), head="Value,n,Time"),
        text("2027-04-03T21:00Z,0", "2027-04-04 09:10+12:00,12.5", "2027-04-04T09:20,40"),
        text(*ROWS, "2027-04-04T09:30,nan", "2027-04-04T09:40,"),
    ],
)
def test_one_log_however_it_is_written(log):
    read = light_from_text(log, ZONE)
    assert list(read.times) == [NINE, NINE + 600.0, NINE + 1200.0]
    assert list(read.values) == [0.0, 12.5, 40.0]
    assert read.interval == 600.0


def test_an_hour_that_comes_twice_goes_on():
    clocks = ("02:00", "02:15", "02:30", "02:45", "02:00", "02:15", "02:30", "02:45", "03:00")
    read = light_from_text(text(*(f"2027-04-04T{at},{n}" for n, at in enumerate(clocks))), ZONE)
    assert list(read.times - read.times[0]) == [900.0 * number for number in range(9)]


@pytest.mark.parametrize(
    ("log", "fault"),
    [
        ("", "log.csv:1: the file is empty; the first line should be time,value, with commas or semicolons between cells"),
        (text(*ROWS, head="When,Lux"), "log.csv:1: the columns `time` and `value` are missing; the first line should be time,value, with commas or semicolons between cells"),
        (text(*ROWS, head="time,lux"), "log.csv:1: the column `value` is missing; the first line should be time,value, with commas or semicolons between cells"),
        (text(), "log.csv: there are no readings; at least two are needed"),
        (text(ROWS[0]), "log.csv: there is one reading; at least two are needed"),
        (text(ROWS[0], "2027-04-04T09:00,3"), "log.csv: all readings are of one time; at least two are needed"),
        (text(*ROWS, "2027-04-04T09:30"), "log.csv:5: this line has too few cells; it needs time and value"),
        (text(*ROWS, "2027-04-04T09:30,12,5"), "log.csv:5: this line has 3 cells and the first line 2; numbers with decimal commas need semicolons between cells"),
        (text(*ROWS, "2027-04-04T09:30,12 lx"), 'log.csv:5: value: "12 lx" is not a number'),
        (text(*ROWS, "2027-04-04T09:30,1e300"), "log.csv:5: value: 1e+300 is more than any sensor reads"),
        (text(*ROWS, "04/04/2027 09:30,5"), 'log.csv:5: time: "04/04/2027 09:30" is not a date and time such as 2027-06-01 09:15 or 2027-06-01T09:15:00+02:00'),
        (text(*ROWS, "2027-04-04,5"), 'log.csv:5: time: "2027-04-04" is not a date and time such as 2027-06-01 09:15 or 2027-06-01T09:15:00+02:00'),
        (text(*ROWS, "2600-04-04T09:30,5"), "log.csv:5: time: the year 2600 is outside 1900 to 2199"),
        (text("2027-04-04T09:00,7", "2027-04-04T09:20,8"), "log.csv: the readings are 20 minutes apart; 15 minutes are the most that still tell when the sun came"),
        (text(*ROWS, "2027-04-04T09:24,8", "2027-04-04T09:38,9"), "log.csv: the interval between the readings is not steady: 50% of them are 10 min apart; all should be, but for gaps"),
    ],
)  # fmt: skip
def test_a_fault_says_where_it_is_what_is_wrong_and_what_would_be_right(log, fault):
    with pytest.raises(FileFaults) as caught:
        light_from_text(log, ZONE, "log.csv")
    assert str(caught.value) == fault


def test_a_form_that_is_wrong_throughout_is_said_a_few_times():
    with pytest.raises(FileFaults) as caught:
        light_from_text(text(*(f"1 June,{n}" for n in range(90))), ZONE)
    lines = str(caught.value).splitlines()
    assert len(lines) == MOST_FAULTS + 1
    assert lines[-1] == f"log: … and {90 - MOST_FAULTS} more"
