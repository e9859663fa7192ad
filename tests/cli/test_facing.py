"""`suncover facing`: its table, its page, and what it writes into the site file."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import numpy as np
import pytest
from command_line import run, write_home
from made_sightings import made_site, turned, watched
from raycast import erfa_sun

from suncover.base.clock import iso_local
from suncover.facing.patch import far_edge
from suncover.site.file.sitefile import load_site
from suncover.site.model import Site
from suncover.site.sightings import CAUTION, Sighting

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


def table_of(site: Site, sightings: list[Sighting]) -> str:
    rows = [f"{s.window},{iso_local(int(s.time), site.place.zone)},{s.seen}\n" for s in sightings]
    return "window,time,seen\n" + "".join(rows)


@pytest.fixture
def house(tmp_path: Path) -> tuple[Path, Path]:
    """A site file that is 23° off, and ten sightings."""
    site = made_site(47.0, azimuth=TRUTH)
    seen = watched(site, np.random.default_rng(21), 10, 2.0, date(2027, 3, 1))
    sightings = tmp_path / "seen.csv"
    sightings.write_text(table_of(site, seen))
    return write_home(tmp_path, TEXT), sightings


def test_table_has_a_row_for_each_window_that_was_watched(house: tuple[Path, Path]) -> None:
    said = run("facing", house[0], "--sightings", house[1], "--format", "csv")
    assert said.status == 0
    assert said.out_bytes.startswith(b"window,azimuth,azimuth_sd,sightings\r\n")
    [row] = said.rows
    assert (row["window"], row["sightings"]) == ("w", "10")
    assert turned(float(row["azimuth"]), TRUTH) < 3 * float(row["azimuth_sd"])
    assert 0.1 < float(row["azimuth_sd"]) < 2.0


def test_page_says_the_result_what_to_watch_and_the_caution(house: tuple[Path, Path]) -> None:
    said = run("facing", house[0], "--sightings", house[1], today=date(2027, 6, 7))
    assert said.status == 0
    assert "The file has 95°" in said.out
    assert "to be turned clockwise" in said.out
    assert "east-south-east" in said.out
    assert "Watch next: when the sun leaves the w window on a clear day" in said.out
    assert " ".join(said.out.split()).endswith(CAUTION)
    assert max(map(len, said.out.splitlines())) <= 80


def test_a_gross_error_is_named_and_left_out(house: tuple[Path, Path]) -> None:
    site_file, sightings = house
    rows = sightings.read_text().splitlines()
    row = next(row for row in rows if row.endswith(",off"))
    spoilt = row.replace("T1", "T0", 1)  # ten hours early
    sightings.write_text("\n".join(spoilt if other == row else other for other in rows) + "\n")
    said = run("facing", site_file, "--sightings", sightings)
    flat = " ".join(said.out.split())
    assert "the sun left, " in flat
    assert "sooner than all else says. It was left out." in flat


def test_too_few_sightings_are_said_to_be_too_few(house: tuple[Path, Path]) -> None:
    site_file, sightings = house
    rows = sightings.read_text().splitlines()
    one = next(row for row in rows if row.endswith(",off"))
    sightings.write_text(f"{rows[0]}\n{one}\n")
    before = site_file.read_bytes()
    said = run("facing", site_file, "--sightings", sightings, "--write")
    flat = " ".join(said.out.split())
    assert "too few sightings tell the direction" in flat
    assert "go unnoticed. Until then keep to the file's 95°." in flat
    assert "to be turned" not in flat
    assert "w: not written, as it is not to be relied on yet" in said.err
    assert site_file.read_bytes() == before


def test_write_changes_the_azimuth_and_nothing_else(house: tuple[Path, Path]) -> None:
    site_file, sightings = house
    said = run("facing", site_file, "--sightings", sightings, "--write")
    assert said.err == f"{site_file}: w: written\n"
    lines = site_file.read_text().splitlines()
    assert [line for line in TEXT.splitlines() if line not in lines] == [
        "azimuth = 95      # off the map"
    ]
    added = [line for line in lines if line not in TEXT.splitlines()]
    assert len(added) == 2
    assert added[0].endswith("      # off the map")
    window = load_site(site_file).windows[0]
    assert turned(window.azimuth, TRUTH) < 3 * (window.azimuth_sd or 0)


def test_without_write_the_file_is_not_touched(house: tuple[Path, Path]) -> None:
    run("facing", house[0], "--sightings", house[1])
    assert house[0].read_text() == TEXT


def test_sightings_in_the_site_file_count_too(house: tuple[Path, Path]) -> None:
    site_file, sightings = house
    rows = [row.split(",") for row in sightings.read_text().splitlines()[1:]]
    tables = "".join(
        f'\n[[sighting]]\nwindow = "w"\ntime = {time}\nseen = "{seen}"\n' for _, time, seen in rows
    )
    inside = write_home(site_file.parent, TEXT + tables, "inside.toml")
    from_table = run("facing", site_file, "--sightings", sightings, "--format", "csv")
    from_file = run("facing", inside, "--format", "csv")
    both = run("facing", inside, "--sightings", sightings, "--format", "csv")
    assert from_file.rows == from_table.rows == both.rows


def test_nothing_seen_yet_is_a_page_of_what_to_watch(house: tuple[Path, Path]) -> None:
    said = run("facing", house[0], today=date(2027, 6, 7))
    assert said.status == 0
    assert said.out.count("no sightings yet") == 2
    assert "Watch next" in said.out
    assert (
        run("facing", house[0], "--format", "csv").out == "window,azimuth,azimuth_sd,sightings\r\n"
    )


def test_faults_of_the_sightings_are_told_and_nothing_is_written(
    house: tuple[Path, Path], tmp_path: Path
) -> None:
    house[1].write_text("window,time,seen\nv,2027-06-01T09:00,on\n")
    target = tmp_path / "out.csv"
    said = run("facing", house[0], "--sightings", house[1], "--format", "csv", "-o", target)
    assert said.status == 2
    assert len(said.faults) == 2
    assert all(fault.startswith(f"{house[1]}:2: ") for fault in said.faults)
    assert "end it with +00:00" in said.err
    assert not target.exists()
    assert run("facing", house[0], "--sightings", tmp_path / "none.csv").status == 2


def test_an_overhang_is_found_and_written(tmp_path: Path) -> None:
    roofed = TEXT.replace(
        "height = 1.4\n\n", "height = 1.4\noverhang = { depth = 0.5 } # guess\n\n"
    )
    site_file = write_home(tmp_path, roofed)
    site = made_site(47.0, azimuth=TRUTH, overhang={"depth": 0.5, "gap": 0.0})
    seen = watched(site, np.random.default_rng(22), 10, 2.0, date(2027, 3, 1))
    sightings = tmp_path / "seen.csv"
    sightings.write_text(table_of(site, seen))
    said = run("facing", site_file, "--sightings", sightings, "--also", "overhang", "--write")
    assert said.status == 0
    assert "its overhang is" in said.out
    roof = load_site(site_file).windows[0].overhang
    assert roof is not None
    assert roof.depth != 0.5
    assert "# guess" in site_file.read_text()


@pytest.mark.parametrize("seen", ["not-yet-on", "already-off", "already-on", "still-on"])
def test_a_look_is_taken_although_no_sun_comes_to_some_directions(
    tmp_path: Path, seen: str
) -> None:
    home, looks = write_home(tmp_path), tmp_path / "looks.csv"
    looks.write_text(f"window,time,seen\nkitchen,2027-12-21T09:00:00-05:00,{seen}\n")
    said = run("facing", home, "--sightings", looks, "--from", "2027-12-22")
    assert (said.status, said.err) == (0, "")
    assert "kitchen\n  faces " in said.out


def test_a_flat_window_whose_times_do_not_move_is_not_open_by_no_minutes(tmp_path: Path) -> None:
    """Whichever way it is turned, the sun comes at sunrise and leaves at sunset; patches tell."""
    flat = {"tilt": 0, "sill": 2.4}
    window = made_site(47.0, azimuth=TRUTH, **flat).windows[0]
    times = [datetime(2027, 6, day, hour, tzinfo=UTC) for day in (1, 2, 3) for hour in (9, 12, 15)]
    suns = erfa_sun(np.array([time.timestamp() for time in times]), 47.0, 0.0, 0.0)
    rows = [
        f"w,{time.isoformat()},patch,,{left:.3f},left\n"
        for time, sun in zip(times, suns.T, strict=True)
        for _, left, _ in [far_edge(window, sun)]
    ]
    sightings = tmp_path / "seen.csv"
    sightings.write_text("window,time,seen,distance,offset,corner\n" + "".join(rows))
    text = TEXT.replace("height = 1.4", "height = 1.4\ntilt = 0\nsill = 2.4", 1)
    said = run("facing", write_home(tmp_path, text), "--sightings", sightings)
    assert "to be turned clockwise" in said.out
    assert "open by about" not in said.out
    assert "  That moves the sun's times by less than a minute.\n" in said.out


def test_what_sight_has_written_is_read_without_being_named(house: tuple[Path, Path]) -> None:
    named = run("facing", house[0], "--sightings", house[1], "--format", "csv")
    written = house[1].rename(house[1].with_name("sightings.csv"))
    said = run("facing", house[0], "--format", "csv")
    assert said.out == named.out
    assert f"sightings: {written}" in said.err
