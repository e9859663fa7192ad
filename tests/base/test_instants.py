"""Instants in every form come out as the same unix seconds; what is no instant is refused, with the
reason and the remedy.
"""

import subprocess
import sys
from datetime import UTC, date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

from suncover.base.errors import RequestError
from suncover.base.instants import instants_of, second_of, seconds_of, span_of

UNITS = ("s", "ms", "us", "ns")
# 2027-03-14T06:30Z and five times more, across New York's spring night. The reference is POSIX's
# own sum for "seconds since the epoch" (IEEE Std 1003.1, 4.19), written out.
START = (2027 - 1970) * 365 * 86400 + 14 * 86400 + (31 + 28 + 13) * 86400 + 6 * 3600 + 1800
SECONDS = START + np.arange(6) * 1800.0
INDEX = pd.date_range("2027-03-14T06:30", periods=6, freq="30min", tz="UTC")


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize(
    "zone", ["UTC", "America/New_York", "Asia/Kathmandu", "Australia/Lord_Howe", "Pacific/Apia"]
)
def test_an_index_of_any_unit_and_zone(zone, unit):
    index = INDEX.tz_convert(zone).as_unit(unit)
    found = instants_of(index)
    assert np.array_equal(found.seconds, SECONDS)
    assert found.index is index


@pytest.mark.parametrize("unit", ["m", "30m", "s", "10s", "ms", "us", "ns"])
def test_datetime64_of_any_unit_is_utc(unit):
    times = INDEX.tz_convert(None).to_numpy().astype(f"datetime64[{unit}]")
    assert np.array_equal(seconds_of(times), SECONDS)
    assert np.array_equal(seconds_of(times.reshape(2, 3)), SECONDS.reshape(2, 3))
    assert second_of(times[0]) == START


def test_units_that_seconds_are_rarely_told_in_and_parts_of_a_second():
    """1970 began on a Thursday, as numpy's weeks do; attoseconds reach 9 seconds from there."""
    for unit in ("Y", "M", "W", "D", "h", "ps", "fs", "as"):
        assert second_of(np.datetime64(0, unit)) == 0.0
    index = INDEX[:1] + pd.Timedelta(125, "ms")
    assert seconds_of(index.as_unit("ns")).tolist() == [START + 0.125]
    assert second_of(np.datetime64("1969-12-31T23:59:59.250")) == -0.75
    assert second_of(datetime(1969, 12, 31, 23, 59, 59, 250000, tzinfo=UTC)) == -0.75


PLAIN = INDEX.to_pydatetime().tolist()
SEQUENCES = {
    "list": PLAIN,
    "tuple": tuple(PLAIN),
    "timestamps": list(INDEX),
    "objects": np.array(PLAIN, dtype=object),
    "a series' objects": pd.Series(PLAIN, dtype=object).to_numpy(),
    "another offset": [time.astimezone(timezone(timedelta(hours=-3.5))) for time in PLAIN],
    "datetime64": list(INDEX.tz_convert(None).to_numpy()),
    "array": INDEX.array,
    "floats": SECONDS.tolist(),
    "int64": SECONDS.astype(np.int64),
    "ints": [int(second) for second in SECONDS],
}


@pytest.mark.parametrize("form", SEQUENCES)
def test_sequences_of_times(form):
    found = instants_of(SEQUENCES[form])
    assert np.array_equal(found.seconds, SECONDS)
    assert found.index is None


def test_a_series_is_told_by_its_own_index_and_one_time_gives_one_answer():
    times = pd.Series(INDEX.tz_convert("Asia/Tokyo"), index=list("abcdef"))
    found = instants_of(times)
    assert np.array_equal(found.seconds, SECONDS)
    told = found.series(found.seconds * 2.0, "double")
    assert (told.name, told.index.tolist()) == ("double", list("abcdef"))
    assert instants_of(INDEX[0]).shape == ()
    assert instants_of(float(START)).series(np.array([7.0]), "x").shape == ()
    for none in ([], (), np.zeros(0), INDEX[:0], np.array([], dtype="datetime64[ns]")):
        assert seconds_of(none).shape == (0,)


@pytest.mark.parametrize("unit", UNITS)
def test_an_index_without_a_zone_is_refused(unit):
    naive = INDEX.tz_localize(None).as_unit(unit)
    for times in (naive, pd.Series(naive), naive[0], list(naive), naive[0].to_pydatetime()):
        with pytest.raises(RequestError, match="no time zone"):
            instants_of(times)
    with pytest.raises(RequestError, match=r"\.tz_localize\("):
        instants_of(naive)


@pytest.mark.parametrize(
    ("count", "unit"), [(1e3, "milliseconds"), (1e6, "microseconds"), (1e9, "nanoseconds")]
)
def test_seconds_of_another_unit_are_refused_by_its_name(count, unit):
    for times in (SECONDS * count, (SECONDS * count).astype(np.int64).tolist(), START * int(count)):
        with pytest.raises(RequestError, match=f"looks like {unit} read as seconds, of 2027-03-14"):
            instants_of(times)


def test_the_years_known_are_1900_to_2199():
    first = datetime(1900, 1, 1, tzinfo=UTC)
    last = datetime(2199, 12, 31, 23, 59, 59, tzinfo=UTC)

    def forms(time):
        index = pd.DatetimeIndex([time]).as_unit("s")
        bare = np.datetime64(time.replace(tzinfo=None))
        return time, time.timestamp(), pd.Timestamp(time), bare, index

    for time in (first, last):
        assert {second_of(form) for form in forms(time)[:4]} == {time.timestamp()}
    for time in (first - timedelta(seconds=1), last + timedelta(seconds=1)):
        for form in forms(time):
            with pytest.raises(RequestError, match="1900 to 2199"):
                instants_of(form)


@pytest.mark.parametrize(
    "times",
    [
        "2027-06-01", ["2027-06-01T12:00Z"], date(2027, 6, 1), None, True, 1j, [1.8e9, "x"],
        [[1.8e9], [1.8e9, 1.8e9]], [1.8e9, float("nan")], float("inf"), 10**30, [pd.NaT],
        np.array(["2027-06-01", "NaT"], dtype="datetime64[s]"), np.timedelta64(5, "s"),
        pd.DatetimeIndex(["2027-06-01", None], tz="UTC"), pd.timedelta_range("1h", periods=2),
        pd.period_range("2027-06", periods=2, freq="M"), pd.Series([1.0, 2.0], index=INDEX[:2]),
        pd.DataFrame({"dni": [1.0]}), np.ma.masked_array([1.8e9, 1.8e9], mask=[0, 1]),
        np.datetime64(START * 1000, "s"),
    ],
)  # fmt: skip
def test_what_is_no_instant_is_refused(times):
    with pytest.raises(RequestError) as wrong:
        instants_of(times)
    assert "\n" not in str(wrong.value)
    assert len(str(wrong.value)) < 200


def test_a_span_of_two_instants():
    zone = ZoneInfo("America/New_York")
    assert span_of(INDEX[0], datetime(2027, 3, 14, 3, 30, tzinfo=zone)) == (START, START + 3600)
    with pytest.raises(RequestError, match="swap them"):
        span_of(INDEX[1], INDEX[0])
    with pytest.raises(RequestError, match="stand where one"):
        span_of(INDEX, INDEX[0])


def test_numbers_need_no_pandas():
    program = (
        "import sys, numpy as np, datetime as d; from suncover.base.instants import instants_of; "
        "instants_of([1.8e9]); instants_of(np.datetime64('2027')); "
        "instants_of(d.datetime(2027, 1, 1, tzinfo=d.UTC)); print('pandas' in sys.modules)"
    )
    command = [sys.executable, "-c", program]
    run = subprocess.run(command, capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "False"
