"""Weather from frames as pvlib's own readers give them, and from Series and frames by hand."""

import numpy as np
import pandas as pd
import pvlib
import pytest

from suncover.base.errors import RequestError
from suncover.sun.weather.files import bundled_path, read_weather
from suncover.sun.weather.frames import weather_from_frame
from suncover.sun.weather.year import WeatherYear

TMY3 = str(bundled_path("greensboro"))
FRAME = pvlib.iotools.read_tmy3(TMY3)[0]


def test_pvlibs_tmy3_frame_is_the_file():
    ours, file = weather_from_frame(FRAME, stamp="end"), read_weather(TMY3)
    for name in ("start", "ghi", "dni", "dhi", "temperature"):
        assert (getattr(ours, name) == getattr(file, name)).all(), name
    assert ours.typical
    assert ours.fits is None


def test_pvlibs_tm2_frame_is_the_file():
    """The reader of TM2 here, held against pvlib's, column by column."""
    path = str(bundled_path("miami"))
    frame, meta = pvlib.iotools.read_tmy2(path)
    ours, file = weather_from_frame(frame, stamp="start", typical=True), read_weather(path)
    assert (ours.start == file.start).all()
    for column, values in (("GHI", file.ghi), ("DNI", file.dni), ("DHI", file.dhi)):
        assert (frame[column].to_numpy() == values).all(), column
    assert (frame["DryBulb"].to_numpy() / 10.0 == file.temperature).all()
    assert file.place == (meta["latitude"], meta["longitude"])


@pytest.mark.parametrize(
    ("frame", "stamp", "says"),
    [
        (FRAME.rename(columns={"ghi": "global"}), "end", "has no column ghi"),
        (FRAME.tz_localize(None), "end", "time zone"),
        (FRAME.iloc[:4000], "end", "a whole year is needed"),
        (FRAME.assign(dni=9999.0), "end", "above 2000 W/m²; check the unit"),
        (FRAME.assign(dni="much"), "end", "dni is not all numbers"),
        (FRAME, "last", 'stamp: "last" is none of start, middle, end'),
        (FRAME.iloc[:1], "end", "no rows of weather"),
    ],
    ids=["column", "zone", "half a year", "unit", "text", "stamp", "one row"],
)
def test_what_is_no_year_is_refused(frame, stamp, says):
    with pytest.raises(RequestError, match=says):
        weather_from_frame(frame, stamp=stamp)


def test_holes_are_filled_as_a_files_are():
    holed = FRAME.copy()
    holed.iloc[4000:4010, holed.columns.get_loc("ghi")] = np.nan
    found = weather_from_frame(holed, stamp="end")
    assert "10 of 8760 rows were missing" in " ".join(found.remarks)
    assert np.isfinite(found.ghi).all()


def test_series_frames_and_indexes_make_a_year():
    year = read_weather(TMY3)
    index = pd.to_datetime(year.start.astype(np.int64), unit="s", utc=True)
    made = WeatherYear(
        index.tz_convert("America/New_York"),
        3600,
        pd.Series(year.ghi),
        pd.DataFrame({"dni": year.dni}),
        list(year.dhi),
        None,
        "by hand",
    )
    assert (made.start == year.start).all()
    assert made.dni.shape == (8760,)
