"""`suncover facing`: its table, its page, and what it writes into the site file."""

from datetime import UTC, date, datetime
from functools import cache

import numpy as np
import pytest
from command_line import ok, run, write_home
from made_sightings import made_site, turned, watched
from raycast import erfa_sun

from suncover.base.clock import iso_local
from suncover.facing.patch import far_edge
from suncover.site.file.sitefile import load_site
from suncover.site.sightings import CAUTION

TRUTH = 118.0
TEXT = """\
# the house as we think it is
[site]
name = "Larkspur Lane"
latitude = 47.0
longitude = 0
timezone = "Etc/GMT"

[[window]]
name = "w"
azimuth = 95      # off the map
width = 1.2
height = 1.4

[[window]]
name = "=hall"    # never watched
azimuth = "south"
width = 1.2
height = 1.4
"""
HEAD = "window,time,seen\n"
COLUMNS = "window,azimuth,azimuth_sd,sightings\r\n"


@cache
def rows_of(overhang=None):
    """Ten sightings of a window that the file has 23° off, as rows."""
    site = made_site(47.0, azimuth=TRUTH, overhang=overhang and dict(overhang))
    seen = watched(site, np.random.default_rng(21), 10, 2.0, date(2027, 3, 1))
    times = [iso_local(int(one.time), site.place.zone) for one in seen]
    return [f"{one.window},{time},{one.seen}" for one, time in zip(seen, times, strict=True)]


def written(rows):
    return HEAD + "\n".join(rows) + "\n"


@pytest.fixture
def house(tmp_path):
    """The site file, and a file of its sightings."""
    sightings = tmp_path / "seen.csv"
    sightings.write_text(written(rows_of()))
    return write_home(tmp_path, TEXT), sightings


def facing(house, *args, **keys):
    return run("facing", house[0], "--sightings", house[1], *args, **keys)


def words(text):
    return " ".join(text.split())


def test_table_has_a_row_for_each_window_that_was_watched(house):
    said = facing(house, "--format", "csv")
    assert said.status == 0
    assert said.out.startswith(COLUMNS)
    [row] = said.rows
    assert (row["window"], row["sightings"]) == ("w", "10")
    assert turned(float(row["azimuth"]), TRUTH) < 3 * float(row["azimuth_sd"])
    assert 0.1 < float(row["azimuth_sd"]) < 2.0
    # Sightings in the site file count too, each once; those that `sight` has written are read
    # without being named.
    tables = [
        f'\n[[sighting]]\nwindow = "w"\ntime = {time}\nseen = "{seen}"\n'
        for _, time, seen in (line.split(",") for line in rows_of())
    ]
    inside = write_home(house[0].parent, TEXT + "".join(tables), "inside.toml")
    assert run("facing", inside, "--format", "csv").rows == said.rows
    assert facing((inside, house[1]), "--format", "csv").rows == said.rows
    kept = house[1].rename(house[1].with_name("sightings.csv"))
    found = run("facing", house[0], "--format", "csv")
    assert found.out == said.out
    assert f"sightings: {kept}" in found.err


def test_page_says_the_result_what_to_watch_and_the_caution(house):
    said = facing(house, today=date(2027, 6, 7))
    assert said.status == 0
    assert "The file has 95°" in said.out
    assert "to be turned clockwise" in said.out
    assert "east-south-east" in said.out
    assert "Watch next: when the sun leaves the w window on a clear day" in said.out
    assert words(said.out).endswith(CAUTION)
    assert max(map(len, said.out.splitlines())) <= 80
    assert house[0].read_text() == TEXT, "without --write the file is not touched"


def test_a_gross_error_is_named_and_left_out(house):
    off = next(row for row in rows_of() if row.endswith(",off"))
    spoilt = off.replace("T1", "T0", 1)  # ten hours early
    house[1].write_text(written(spoilt if row == off else row for row in rows_of()))
    said = words(facing(house).out)
    assert "the sun left, " in said
    assert "sooner than all else says. It was left out." in said


def test_too_few_sightings_are_said_to_be_too_few(house):
    house[1].write_text(written([next(row for row in rows_of() if row.endswith(",off"))]))
    said = facing(house, "--write")
    assert "too few sightings tell the direction" in words(said.out)
    assert "go unnoticed. Until then keep to the file's 95°." in words(said.out)
    assert "to be turned" not in said.out
    assert "w: not written, as it is not to be relied on yet" in said.err
    assert house[0].read_text() == TEXT
    none = ok("facing", house[0], today=date(2027, 6, 7))
    assert none.out.count("no sightings yet") == 2
    assert "Watch next" in none.out
    assert run("facing", house[0], "--format", "csv").out == COLUMNS


def test_write_changes_the_azimuth_and_nothing_else(house):
    assert facing(house, "--write").err == f"{house[0]}: w: written\n"
    before, after = TEXT.splitlines(), house[0].read_text().splitlines()
    assert [line for line in before if line not in after] == ["azimuth = 95      # off the map"]
    added = [line for line in after if line not in before]
    assert len(added) == 2
    assert added[0].endswith("      # off the map")
    window = load_site(house[0]).windows[0]
    assert turned(window.azimuth, TRUTH) < 3 * window.azimuth_sd


def test_faults_of_the_sightings_are_told_and_nothing_is_written(house, tmp_path):
    house[1].write_text(f"{HEAD}v,2027-06-01T09:00,on\n")
    target = tmp_path / "out.csv"
    said = facing(house, "--format", "csv", "-o", target)
    assert said.status == 2
    assert len(said.faults) == 2
    assert all(fault.startswith(f"{house[1]}:2: ") for fault in said.faults)
    assert "end it with +00:00" in said.err
    assert not target.exists()
    assert run("facing", house[0], "--sightings", tmp_path / "none.csv").status == 2


def test_an_overhang_is_found_and_written(house):
    roof = "height = 1.4\noverhang = { depth = 0.5 } # guess\n\n"
    house[0].write_text(TEXT.replace("height = 1.4\n\n", roof))
    house[1].write_text(written(rows_of((("depth", 0.5), ("gap", 0.0)))[:7]))
    said = facing(house, "--also", "overhang", "--write")
    assert said.status == 0
    assert "its overhang is" in said.out
    assert load_site(house[0]).windows[0].overhang.depth != 0.5
    assert "# guess" in house[0].read_text()


@pytest.mark.parametrize("seen", ["not-yet-on", "already-off", "already-on", "still-on"])
def test_a_look_is_taken_although_no_sun_comes_to_some_directions(home, seen):
    looks = home.with_name("looks.csv")
    looks.write_text(f"{HEAD}kitchen,2027-12-21T09:00:00-05:00,{seen}\n")
    said = facing((home, looks), "--from", "2027-12-22")
    assert (said.status, said.err) == (0, "")
    assert "kitchen\n  faces " in said.out


def test_a_flat_window_whose_times_do_not_move_is_not_open_by_no_minutes(house):
    """Whichever way it is turned, the sun comes at sunrise and leaves at sunset; patches tell."""
    window = made_site(47.0, azimuth=TRUTH, tilt=0, sill=2.4).windows[0]
    times = [datetime(2027, 6, day, hour, tzinfo=UTC) for day in (1, 2, 3) for hour in (9, 12, 15)]
    suns = erfa_sun(np.array([time.timestamp() for time in times]), 47.0, 0.0, 0.0)
    rows = [
        f"w,{time.isoformat()},patch,,{far_edge(window, sun)[1]:.3f},left\n"
        for time, sun in zip(times, suns.T, strict=True)
    ]
    house[1].write_text("window,time,seen,distance,offset,corner\n" + "".join(rows))
    house[0].write_text(TEXT.replace("height = 1.4", "height = 1.4\ntilt = 0\nsill = 2.4", 1))
    said = facing(house)
    assert "to be turned clockwise" in said.out
    assert "open by about" not in said.out
    assert "  That moves the sun's times by less than a minute.\n" in said.out
