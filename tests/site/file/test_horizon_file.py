"""Reading a far horizon from CSV, and what it does to the sun on a window."""
# ruff: noqa: E501  (a case to a line)

import warnings

import numpy as np
import pytest
from pvlib import iotools
from site_texts import house, table, window

from suncover.base.errors import FileFaults, RequestError
from suncover.facade.exposure import find_exposures, observer_of
from suncover.site.file.horizon_file import read_horizon
from suncover.site.file.sitefile import load_site, site_from_text
from suncover.sun.position import sun_position

HERE = (46.0, 8.0)
HEAD = "Latitude (decimal degrees):\t46.000\nLongitude (decimal degrees):\t8.000\n\n"
# The layout of PVGIS' horizon as its documentation gives it: azimuths 0 south, 90 west, -90 east.
ROWS = [(-180.0, 9.5), (-90.0, 20.0), (-7.5, 3.1), (0.0, 2.0), (90.0, 12.6), (180.0, 9.5)]
LEGEND = "\nA: Azimuth (0 = S, 90 = W, -90 = E) (degree)\nH_hor: Horizon height (degree)\n"
DECIMAL = "where numbers have decimal commas, part the columns by semi"
EXPECTED = ((0.0, 9.5), (90.0, 20.0), (172.5, 3.1), (180.0, 2.0), (270.0, 12.6))


def written(rows, separator="\t"):
    lines = [separator.join(["A", "H_hor", "A_sun(w)", "H_sun(w)", "A_sun(s)", "H_sun(s)"])]
    lines += [separator.join(f"{x:.1f}" for x in (*row, -180, -60, -180, -20)) for row in rows]
    return HEAD + "\r\n".join(lines) + "\n" + LEGEND


@pytest.fixture
def read(tmp_path):
    def read_text(text, place=HERE):
        file = tmp_path / "horizon.csv"
        file.write_text(text, encoding="utf-8", newline="")
        return read_horizon(file, *place)

    return read_text


@pytest.mark.parametrize("separator", ["\t", ",", ";", "\t\t", ", ", "; ", " "], ids=repr)
def test_azimuths_from_the_south(read, separator):
    text = written(ROWS, separator)
    if separator != " ":
        assert read(text) == EXPECTED
    if "," not in separator:  # numbers may have a decimal comma where no comma parts them
        assert read(text.replace(".", ",")) == EXPECTED


@pytest.mark.parametrize(
    "names", ["azimuth,elevation", "horizon_azimuth,horizon_elevation", "Azimuth;Elevation"]
)
def test_azimuths_from_the_north(read, names):
    mark = ";" if ";" in names else ","
    rows = "\n180,2\n0,9.5\n90,20\n270,12.6\n172.5,3.1\n360,9.5\n".replace(",", mark)
    assert read(names + rows) == EXPECTED


def test_same_points_as_pvlib_reads(read, monkeypatch):
    """pvlib gets the same horizon from the service itself: here the service's answer is put in its
    hands, so that no network is needed.
    """

    class Answer:
        ok = True

        def json(self):
            profile = [{"A": azimuth, "H_hor": height} for azimuth, height in ROWS]
            return {"meta": {}, "outputs": {"horizon_profile": profile}}

    monkeypatch.setattr("requests.get", lambda *_, **__: Answer())
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # pandas has deprecated something that pvlib uses
        theirs, _ = iotools.get_pvgis_horizon(*HERE)
    ours = read(written(ROWS))
    assert [azimuth for azimuth, _ in ours] == sorted(theirs.index)
    assert dict(ours) == theirs.to_dict()


@pytest.mark.parametrize(
    ("text", "place", "expected"),
    [
        ("90,20\n180,2\n", HERE,
         'no line names the columns of a horizon; name the columns in a line: "azimuth,elevation" where azimuths count from true north, "A,H_hor" where they count from the south, as PVGIS has them'),
        ("azimuth,elevation\n-90,20\n0,95\n10,\n20,5\n20,6\n", HERE,
         "2: azimuth -90 is not between 0 and 360, counted from true north\n3: elevation 95 is not between -90 and 90\n"
         "4: azimuth and elevation should be two numbers, in degrees\n6: azimuth 20 stands twice, with two elevations"),
        (written([(-180.0, 9.5), (270.0, 20.0)]), HERE, "6: azimuth 270 is not between -180 and 180, counted from the south, as A does"),
        (written(ROWS), (46.02, 7.0), "2: this horizon belongs to longitude 8, the site has 7; get the horizon of the site"),
        ("azimuth,elevation\n", HERE, "there is no number below the columns' names"),
        ("azimuth,elevation\n0,0,12,5\n90,0,20,0\n", HERE, DECIMAL),
    ],
)  # fmt: skip
def test_faults(read, text, place, expected):
    with pytest.raises(FileFaults) as caught:
        read(text, place)
    lines = [str(fault).split("horizon.csv:", 1)[1].strip() for fault in caught.value.faults]
    if expected == DECIMAL:
        assert [line[:2] for line in lines] == ["2:", "3:"]
        assert expected in lines[0]
    else:
        assert "\n".join(lines) == expected


DAY = 86_400
START = 1_781_913_600  # 2026-06-20 00:00 UTC
SKYLINE = [[60, 2], [100, 2], [101, 30], [140, 30], [141, 2]]


def valley(**horizon):
    east = window("east", 100, skyline=SKYLINE)
    return house(table("need", beam=0), east, at=HERE, timezone="Europe/Zurich", **horizon)


def spells(site):
    return find_exposures(site, START, START + DAY)["east"]


def test_a_file_beside_the_site_file_is_read(tmp_path):
    (tmp_path / "horizon.csv").write_text(written(ROWS), encoding="utf-8")
    (tmp_path / "site.toml").write_text(valley(horizon_file="horizon.csv"), encoding="utf-8")
    site = load_site(tmp_path / "site.toml")
    assert site.place.horizon == EXPECTED
    assert spells(site) == spells(site_from_text(valley(horizon=EXPECTED)))
    (tmp_path / "horizon.csv").unlink()
    with pytest.raises(FileFaults, match=r"horizon\.csv: there is no such file"):
        load_site(tmp_path / "site.toml")


def test_a_file_that_is_not_read_is_not_passed_over():
    with pytest.raises(RequestError, match="is not read yet"):
        spells(site_from_text(valley(horizon_file="horizon.csv")))
    with pytest.raises(FileFaults, match="say the same; give one of them"):
        site_from_text(valley(horizon_file="horizon.csv", horizon=[[0, 5]]))


def test_the_higher_of_skyline_and_horizon_counts():
    """Against the plain reading of the sun's position and of both lines, every ten seconds."""
    far = ((0.0, 9.5), (90.0, 6.0), (172.5, 3.1), (270.0, 12.6))
    site = site_from_text(valley(horizon=far))
    times = START + np.arange(0.0, DAY, 10.0)
    sun = sun_position(times, observer_of(site.place))
    lines = []
    for points in (SKYLINE, far):
        azimuths, heights = zip(*points, strict=True)
        lines.append(np.interp(sun.azimuth, azimuths, heights, period=360))
    in_front = np.cos(np.radians(sun.azimuth - 100)) > 0
    seen = (sun.apparent_elevation > np.maximum(*lines)) & in_front
    ours = np.zeros(times.shape, bool)
    found = spells(site)
    for spell in found:
        ours |= (times >= spell.start) & (times < spell.end)
    ends = np.array([end for spell in found for end in (spell.start, spell.end)])
    near = np.abs(times[:, None] - ends[None, :]).min(axis=1) <= 1.0
    assert (seen == ours)[~near].all()
    # Each of the two alone lets more sun in.
    bare = spells(site_from_text(valley()))
    assert sum(s.seconds for s in bare) > sum(s.seconds for s in found)
