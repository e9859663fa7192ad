"""Every kind of weather file: its rows stand where the sun stood, whatever its stamps mean."""

import gzip

import numpy as np
import pvlib
import pytest
import weather_texts as texts

from suncover.base.errors import FileFaults
from suncover.sun.position import Observer, sun_position
from suncover.sun.pvlib_parts import pvlib_folder
from suncover.sun.weather.files import BUNDLED, bundled_path, read_weather
from suncover.sun.weather.year import TYPICAL_YEAR

# Watts: the texts carry one or two decimals, the calendar year of a typical year is another.
ROUNDING = 0.06
OTHER_YEAR = 12.0


def misfit(weather, seconds=0.0):
    """Largest difference in W/m² between the year's global light and the sun at its rows, had they
    been taken `seconds` off.
    """
    ghi = texts.light_at(weather.start + weather.step / 2 + seconds)[0]
    return float(np.abs(weather.ghi - ghi).max())


@pytest.fixture
def save(tmp_path):
    def write(text, name="weather.txt"):
        path = tmp_path / name
        path.write_bytes(gzip.compress(text.encode()) if name.endswith(".gz") else text.encode())
        return path

    return write


@pytest.mark.parametrize("stamp", ["start", "middle", "end"])
@pytest.mark.parametrize("offset", [1.0, -7.0, 5.75, 0.0], ids=["+1", "-7", "+5:45", "UTC"])
def test_csv_stands_where_the_sun_stood_by_its_stamp(save, stamp, offset):
    weather = read_weather(save(texts.csv_text(2025, stamp, offset)), stamp)
    assert len(weather.start) == 8760
    assert misfit(weather) < ROUNDING
    assert misfit(weather, 1800.0) > 50.0
    assert not weather.typical
    if (stamp, offset) == ("end", 1.0):  # a wrong stamp moves it by an hour
        weather = read_weather(save(texts.csv_text(2025, "end")), "start")
        assert misfit(weather) > 100.0
        assert misfit(weather, -3600.0) < ROUNDING


def test_csv_of_a_leap_year_of_quarter_hours_and_compressed(save):
    leap = read_weather(save(texts.csv_text(2024, "end")), "end")
    assert len(leap.start) == 8784, "it has its 29 February"
    assert misfit(leap) < ROUNDING
    quarters = read_weather(save(texts.csv_text(2025, "end", 1.0, 900)), "end")
    assert quarters.step == 900.0
    assert misfit(quarters) < ROUNDING
    plain, packed = (
        read_weather(save(texts.csv_text(2025, "middle"), name), "middle")
        for name in ("a.csv", "a.csv.gz")
    )
    assert (plain.ghi == packed.ghi).all()
    assert (plain.start == packed.start).all()


@pytest.mark.parametrize(
    ("text", "typical"),
    [
        (texts.tmy3_text, True),
        (texts.pvgis_tmy_text, True),
        (texts.pvgis_hourly_text, False),
        (texts.nsrdb_text, False),
    ],
    ids=["TMY3", "PVGIS typical year", "PVGIS hourly", "NSRDB"],
)
def test_known_kinds_stand_where_the_sun_stood(save, text, typical):
    weather = read_weather(save(text()))
    assert len(weather.start) == 8760
    assert (weather.remarks, weather.typical, weather.place) == ((), typical, (45.0, 8.0))
    assert misfit(weather) < (OTHER_YEAR if typical else ROUNDING)
    for seconds in (-1800.0, 1800.0):
        assert misfit(weather, seconds) > 50.0
    assert weather.temperature.mean() == pytest.approx(8.5, abs=1.0)
    if text is texts.pvgis_hourly_text:  # it gives back the beam square to the sun
        high = sun_position(weather.start + weather.step / 2, texts.PLACE).apparent_elevation > 5.0
        # The file gives the sun's height to 0.01 degree: at 5 degrees, 1.6 W/m² of 800.
        assert np.abs(weather.dni[high] - 800.0).max() < 2.0
    if text is texts.tmy3_text:  # a typical year is laid into one calendar year
        first = np.datetime64(int(weather.start[0]) + 3600, "s")
        assert first == np.datetime64(f"{TYPICAL_YEAR}-01-01T00:00:00")


# Annual sums of the files in pvlib's wheel, kWh/m² (GHI, DNI, DHI): added up from the files.
@pytest.mark.parametrize(
    ("name", "sums", "place"),
    [
        ("greensboro", (1566.2, 1476.5, 682.2), Observer(36.1, -79.95, 273)),
        ("miami", (1792.6, 1504.9, 809.5), Observer(25.8, -80.27, 2)),
        ("sand-point", (829.2, 819.2, 460.9), Observer(55.317, -160.517, 7)),
    ],
)
def test_bundled_years_are_whole_and_in_time(name, sums, place):
    weather = read_weather(bundled_path(name))
    found = [column.sum() / 1000.0 for column in (weather.ghi, weather.dni, weather.dhi)]
    assert found == pytest.approx(sums, abs=0.06)
    assert (weather.typical, weather.remarks, len(weather.start)) == (True, (), 8760)
    # The light goes best with the sun where the rows stand: shifted by half an hour it goes worse.
    middle = weather.start + 1800.0
    heights = {
        shift: sun_position(middle + shift, place).apparent_elevation
        for shift in (0.0, 1800.0, -1800.0)
    }
    fits = [
        float(np.corrcoef(weather.ghi, np.sin(np.radians(height.clip(0))))[0, 1])
        for height in heights.values()
    ]
    assert fits[0] > max(fits[1:])
    down = (heights[1800.0] < 0) & (heights[-1800.0] < 0)
    assert weather.dni[down].sum() < 0.001 * weather.dni.sum()
    assert all(bundled_path(name).is_file() for name in BUNDLED)


@pytest.mark.parametrize(
    ("text", "stamp", "says"),
    [
        ("", None, "no weather file of a known kind"),
        ("a,b,c\n1,2,3\n", None, "no weather file of a known kind"),
        ('{"outputs": 3}', None, "no weather file of a known kind"),
        ("{", None, "no weather file of a known kind"),
        (texts.nsrdb_text()[:400], None, "whole year"),
        (texts.tmy3_text()[:5000], None, "damaged"),
        (texts.pvgis_tmy_text()[:3000], None, "damaged|most rows are 0 minutes apart"),
        (texts.pvgis_hourly_text(ground=3.0), None, "tilted plane"),
        (texts.tmy3_text(), "start", 'mean the end of the interval; write stamp = "end"'),
        (texts.csv_text(), None, "say what the stamps of a CSV mean"),
    ],
    ids=[
        *("empty", "other csv", "other json", "half json", "nsrdb cut", "tmy3 cut", "pvgis cut"),
        *("tilted", "another stamp", "no stamp"),
    ],
)
def test_what_is_no_year_of_weather_is_refused_in_one_sentence(save, text, stamp, says):
    with pytest.raises(FileFaults, match=says) as caught:
        read_weather(save(text), stamp)
    assert len(str(caught.value).splitlines()) == 1


def test_paths_that_are_no_file(tmp_path):
    packed = tmp_path / "a.csv.gz"
    packed.write_bytes(gzip.compress(b"time,ghi,dni,dhi\n" * 100)[:40])
    for path, says in (
        (tmp_path / "none.csv", "there is no such file"),
        (tmp_path, "this is a folder"),
        (packed, "damaged"),
    ):
        with pytest.raises(FileFaults, match=says):
            read_weather(path, "end")


@pytest.mark.parametrize("name", ["723170TYA.CSV", "703165TY.csv"])
def test_tmy3_files_are_read_to_the_rows_of_pvlibs_reader(name):
    """Greensboro and Sand Point, both in pvlib's package; `pvlib.iotools.read_tmy3`."""
    path = pvlib_folder() / "data" / name
    ours = read_weather(path)
    frame, meta = pvlib.iotools.read_tmy3(path, coerce_year=2001)
    for column in ("ghi", "dni", "dhi"):
        # Years of a typical year differ month by month: the order within the year is the same.
        values, theirs = getattr(ours, column), frame[column].to_numpy(float)
        assert values.sum() == pytest.approx(theirs.sum())
        assert sorted(values) == pytest.approx(sorted(theirs))
    assert ours.place == (meta["latitude"], meta["longitude"])
