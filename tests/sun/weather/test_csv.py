"""CSV weather: every fault with its line, and holes filled by rule."""

import numpy as np
import pytest
from weather_texts import csv_text, light_at

from suncover.base.errors import FileFaults
from suncover.sun.weather.csv import read_weather_csv
from suncover.sun.weather.files import read_weather
from suncover.sun.weather.year import LONGEST_GAP

YEAR = csv_text(2025, "end").splitlines()
HEAD, ROWS = YEAR[0], [line.split(",") for line in YEAR[1:]]


def read(lines, folder):
    path = folder / "year.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return read_weather(path, "end")


def faults(lines, folder):
    with pytest.raises(FileFaults) as caught:
        read(lines, folder)
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
    # Past a hundred the rest are counted.
    found = faults([HEAD, *(line.replace("+01:00", "") for line in YEAR[1:])], tmp_path)
    assert (len(found), found[-1]) == (101, ": … and 8660 more")


def test_repeated_and_backward_times_are_faults(tmp_path):
    lines = list(YEAR)
    lines[20] = lines[19]
    lines[40], lines[41] = lines[41], lines[40]
    assert faults(lines, tmp_path)[:2] == [
        ":21: time: it is the same as in the row before",
        ":42: time: it is earlier than in the row before",
    ]


def of_year(year):
    return [HEAD, *(line.replace("2025", year, 1) for line in YEAR[1:30])]


def bright(row, at):
    return ",".join([*row[:at], "1500", *row[at + 1 :]])


FAR = ":2: time: the year {} is outside 1900 to 2199"
GAP = [*YEAR[: 24 * 100], *YEAR[24 * (100 + 2 * LONGEST_GAP + 1) :]]
NIGHT = "there is light in 100% of all hours, also at night; look at the column {} and its unit"


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        *(
            ([HEAD.replace(gone, "x"), *YEAR[1:]], f"the column {gone} is missing")
            for gone in ("time", "ghi", "dni", "dhi")
        ),
        (
            [*YEAR[:100], YEAR[100].replace(":00:00+", ":20:00+"), *YEAR[101:]],
            "stands between two such times",
        ),
        (YEAR[:2000], "a whole year is needed"),
        (YEAR[:1], "no rows of weather"),
        (YEAR[:2], "no rows of weather"),
        ([*YEAR, *csv_text(2026, "end").splitlines()[1:]], "keep the rows of one year"),
        ([HEAD, *YEAR[1::3]], "most rows are 3 hours apart"),
        ([HEAD, *(f"{row[0]},0,0,0,10" for row in ROWS)], "there is no light in it at all"),
        (GAP, "days on end are missing or empty"),
        # Nowhere is the sun up for seven tenths of a year.
        *(
            ([HEAD, *(bright(row, at) for row in ROWS)], NIGHT.format(name))
            for at, name in enumerate(("ghi", "dni", "dhi"), 1)
        ),
        # Years that no sun is computed for.
        *((of_year(year), FAR.format(int(year))) for year in ("0001", "9999", "1812")),
    ],
    ids=[
        *("time", "ghi", "dni", "dhi", "uneven", "part of a year", "header only", "one row"),
        *("two years", "hours apart", "darkness", "a gap", "ghi by night", "dni by night"),
        *("dhi by night", "year 1", "year 9999", "year 1812"),
    ],
)
def test_what_is_no_year_is_a_fault(tmp_path, lines, says):
    assert says in faults(lines, tmp_path)[0]


def test_columns_may_stand_in_any_order_and_others_between():
    lines = ["dhi,cloud,time,ghi,dni", *(f"{r[3]},7,{r[0]},{r[1]},{r[2]}" for r in ROWS)]
    plain = read_weather_csv("\n".join(YEAR), "a", "end")
    other = read_weather_csv("\n".join(lines), "b", "end")
    assert (plain.ghi == other.ghi).all()
    assert (plain.dhi == other.dhi).all()
    assert other.temperature is None


def test_missing_rows_and_values_come_from_the_days_beside_them(tmp_path):
    noon = 24 * 170 + 12  # around 20 June, whose neighbours are alike
    lines = list(YEAR)
    for row in (noon + 24, noon + 48):
        lines[row] = f"{lines[row].split(',')[0]},,,,"
    when, _, *others = lines[noon + 72].split(",")
    lines[noon + 72] = ",".join([when, "-999", *others])
    del lines[noon]
    weather = read(lines, tmp_path)
    assert weather.remarks == (
        "4 of 8760 rows were missing and are filled from the days beside them.",
    )
    # The sun's height at a clock time changes by less than 1 W/m² a day about the solstice.
    assert np.abs(weather.ghi - light_at(weather.start + 1800.0)[0]).max() < 3.0


def test_a_night_instruments_small_negatives_are_none(tmp_path):
    lines = [HEAD, f"{ROWS[0][0]},-2.5,-0.1,-3,10", *YEAR[2:]]
    weather = read(lines, tmp_path)
    assert (weather.ghi[0], weather.dhi[0], weather.remarks) == (0.0, 0.0, ())


def test_summer_time_stamps_are_instants(tmp_path):
    """Stamps that follow the clocks change their offset in March and October and stay even."""
    lines = [HEAD]
    for line in YEAR[1:]:
        later = np.datetime64(line[:19]) + np.timedelta64(1, "h")
        summer = 4 <= int(line[5:7]) <= 9
        lines.append(f"{later}+02:00{line[25:]}" if summer else line)
    weather = read(lines, tmp_path)
    assert np.abs(weather.ghi - light_at(weather.start + 1800.0)[0]).max() < 0.01
