"""CSV weather: every fault with its line, and holes filled by rule."""

import numpy as np
import pytest
from weather_texts import csv_text, light_at

from suncover.base.errors import FileFaults
from suncover.sun.weather.csv import read_weather_csv
from suncover.sun.weather.files import read_weather
from suncover.sun.weather.year import LONGEST_GAP

YEAR = csv_text(2025, "end").splitlines()


def read(lines: list[str], tmp_path, stamp="end"):
    path = tmp_path / "year.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return read_weather(path, stamp)


def faults(lines: list[str], tmp_path) -> list[str]:
    with pytest.raises(FileFaults) as caught:
        read(lines, tmp_path)
    return [str(fault).split("year.csv", 1)[1] for fault in caught.value.faults]


def test_every_fault_is_told_with_its_line(tmp_path):
    lines = list(YEAR)
    lines[3] = lines[3].replace("+01:00", "")
    lines[5] = "noon" + lines[5][25:]
    lines[8] = lines[8].rsplit(",", 4)[0] + ",much,0,0,10"
    lines[9] = lines[9].rsplit(",", 4)[0] + ",9000,0,0,10"
    lines[10] = lines[10].rsplit(",", 2)[0]
    found = faults(lines, tmp_path)
    assert [text.split(":")[1] for text in found] == ["4", "6", "9", "10", "11"]
    assert "has no UTC offset; write one at its end" in found[0]
    assert '"noon" is not a time such as' in found[1]
    assert '"much" is not a number' in found[2]
    assert "9000 is above 2000 W/m²; check the unit" in found[3]
    assert "this row has 3 cells" in found[4]


def test_past_a_hundred_faults_the_rest_are_counted(tmp_path):
    lines = [YEAR[0], *(line.replace("+01:00", "") for line in YEAR[1:])]
    found = faults(lines, tmp_path)
    assert len(found) == 101
    assert found[-1] == ": … and 8660 more"


@pytest.mark.parametrize("gone", ["time", "ghi", "dni", "dhi"])
def test_a_missing_column_is_named(tmp_path, gone):
    lines = [YEAR[0].replace(gone, "x"), *YEAR[1:]]
    assert f"the column {gone} is missing" in faults(lines, tmp_path)[0]


def test_columns_may_stand_in_any_order_and_others_between():
    lines = ["dhi,cloud,time,ghi,dni"]
    for line in YEAR[1:]:
        when, ghi, dni, dhi, _ = line.split(",")
        lines.append(f"{dhi},7,{when},{ghi},{dni}")
    plain = read_weather_csv("\n".join(YEAR), "a", "end")
    other = read_weather_csv("\n".join(lines), "b", "end")
    assert (plain.ghi == other.ghi).all()
    assert (plain.dhi == other.dhi).all()
    assert other.temperature is None


def test_repeated_and_backward_times_are_faults(tmp_path):
    lines = list(YEAR)
    lines[20] = lines[19]
    lines[40], lines[41] = lines[41], lines[40]
    found = faults(lines, tmp_path)
    assert found[0] == ":21: time: it is the same as in the row before"
    assert found[1] == ":42: time: it is earlier than in the row before"


def test_a_row_between_two_even_times_is_a_fault(tmp_path):
    lines = list(YEAR)
    lines[100] = lines[100].replace(":00:00+", ":20:00+")
    assert "stands between two such times" in faults(lines, tmp_path)[0]


@pytest.mark.parametrize(
    ("keep", "says"),
    [
        (slice(0, 2000), "a whole year is needed"),
        (slice(0, 1), "no rows of weather"),
        (slice(0, 2), "no rows of weather"),
    ],
    ids=["part of a year", "header only", "one row"],
)
def test_less_than_a_year_is_a_fault(tmp_path, keep, says):
    assert says in faults(YEAR[keep], tmp_path)[0]


def test_more_than_a_year_is_a_fault(tmp_path):
    more = csv_text(2026, "end").splitlines()
    assert "keep the rows of one year" in faults([*YEAR, *more[1:]], tmp_path)[0]


def test_rows_hours_apart_are_a_fault(tmp_path):
    assert "most rows are 3 hours apart" in faults([YEAR[0], *YEAR[1::3]], tmp_path)[0]


def test_a_year_of_darkness_is_a_fault(tmp_path):
    lines = [YEAR[0], *(f"{line.split(',')[0]},0,0,0,10" for line in YEAR[1:])]
    assert "there is no light in it at all" in faults(lines, tmp_path)[0]


def test_missing_rows_and_values_come_from_the_days_beside_them(tmp_path):
    noon = 24 * 170 + 12  # around 20 June, whose neighbours are alike
    lines = list(YEAR)
    for row in (noon + 24, noon + 48):
        when = lines[row].split(",")[0]
        lines[row] = f"{when},,,,"
    when, _, dni, dhi, warmth = lines[noon + 72].split(",")
    lines[noon + 72] = f"{when},-999,{dni},{dhi},{warmth}"
    del lines[noon]
    weather = read(lines, tmp_path)
    assert weather.remarks == (
        "4 of 8760 rows were missing and are filled from the days beside them.",
    )
    expected = light_at(weather.start + 1800.0)[0]
    # The sun's height at a clock time changes by less than 1 W/m² a day about the solstice.
    assert np.abs(weather.ghi - expected).max() < 3.0


def test_more_than_a_week_missing_is_a_fault(tmp_path):
    days = 2 * LONGEST_GAP + 1
    lines = [*YEAR[: 24 * 100], *YEAR[24 * (100 + days) :]]
    assert "days on end are missing or empty" in faults(lines, tmp_path)[0]


def test_a_night_instruments_small_negatives_are_none(tmp_path):
    lines = list(YEAR)
    when, *_ = lines[1].split(",")
    lines[1] = f"{when},-2.5,-0.1,-3,10"
    weather = read(lines, tmp_path)
    assert weather.ghi[0] == 0.0
    assert weather.dhi[0] == 0.0
    assert weather.remarks == ()


def test_summer_time_stamps_are_instants(tmp_path):
    """Stamps that follow the clocks change their offset in March and October and stay even."""
    lines = [YEAR[0]]
    for line in YEAR[1:]:
        later = np.datetime64(line[:19]) + np.timedelta64(1, "h")
        summer = 4 <= int(line[5:7]) <= 9
        lines.append(f"{later}+02:00{line[25:]}" if summer else line)
    weather = read(lines, tmp_path)
    assert np.abs(weather.ghi - light_at(weather.start + 1800.0)[0]).max() < 0.01


@pytest.mark.parametrize("column", ["ghi", "dni", "dhi"])
def test_light_that_does_not_know_the_night_is_a_fault(tmp_path, column):
    """Nowhere is the sun up for seven tenths of a year."""
    at = YEAR[0].split(",").index(column)
    rows = [line.split(",") for line in YEAR[1:]]
    lines = [YEAR[0], *(",".join([*row[:at], "1500", *row[at + 1 :]]) for row in rows)]
    [fault] = faults(lines, tmp_path)
    assert fault == (
        f": there is light in 100% of all hours, also at night; look at the column {column} and "
        "its unit"
    )


@pytest.mark.parametrize("year", ["0001", "9999", "1812"])
def test_a_year_that_no_sun_is_computed_for_is_a_fault_of_its_line(tmp_path, year):
    lines = [YEAR[0], *(line.replace("2025", year, 1) for line in YEAR[1:30])]
    assert faults(lines, tmp_path)[0] == (f":2: time: the year {int(year)} is outside 1900 to 2199")
