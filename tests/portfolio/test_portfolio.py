"""Many sites at once: the figures of each alone, faults kept apart, and what is said of it all."""

import asyncio
import io
import os
import subprocess
import sys
from collections import defaultdict
from datetime import date, timedelta
from pathlib import Path

import pytest
from command_line import ok, refused, run
from portfolios import (
    ASKED,
    JUNE,
    NAMES,
    files_of,
    house,
    rows_of,
    run_here,
    write_estate,
)

from suncover.base.clock import day_bounds
from suncover.base.errors import RequestError
from suncover.base.spell import Spell, overlap_seconds
from suncover.compare.year import compare_year
from suncover.export.files.compare_csv import compare_csv
from suncover.facade import hours as sun_hours
from suncover.plan import season
from suncover.portfolio import engines, merge
from suncover.portfolio.sources import Part, SiteOrder
from suncover.portfolio.work import work_out
from suncover.site.file.sitefile import load_site, site_from_text
from suncover.sun.weather.load import load_weather


@pytest.fixture(scope="module")
def estate(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_estate(tmp_path_factory.mktemp("estate"), 5)


# --- the figures


def test_hours_are_those_of_each_site_alone(estate, tmp_path):
    """Summed here day by day, month by month, from what the pipeline gives for each site."""
    first, last = date(2026, 12, 20), date(2027, 2, 10)
    ok("portfolio", estate, "-o", tmp_path / "out", "--from", first, "--to", last, "--jobs", 1)
    expected: dict[tuple[str, str, str], int] = defaultdict(int)
    for path in sorted(estate.rglob("*.toml")):
        site = load_site(path)
        for window, spells in sun_hours.hours(site, first, last).items():
            for number in range((last - first).days + 1):
                day = first + timedelta(days=number)
                key = (path.relative_to(estate).as_posix(), window, day.isoformat()[:7])
                expected[key] += overlap_seconds(spells, [day_bounds(day, site.place.zone)])
    rows = rows_of(tmp_path / "out" / "hours.csv")
    found = {(r["source"], r["window"], r["month"]): float(r["sun_hours"]) for r in rows}
    assert len(found) == len(rows) == 5 * 2 * 3
    assert found.keys() == expected.keys()
    for key, seconds in expected.items():
        # A year at a time and the whole may round an end apart, one second for each.
        assert found[key] * 3600 == pytest.approx(seconds, abs=2), key


def test_plans_are_those_of_each_site_alone(estate, tmp_path):
    dates = date(2027, 4, 20), date(2027, 5, 20)  # the season begins on 1 May
    args = ("--from", dates[0], "--to", dates[1], "--jobs", "1")
    assert run("portfolio", estate, "-o", tmp_path / "out", *args).status == 0
    rows = {(row["source"], row["window"]): row for row in rows_of(tmp_path / "out" / "plans.csv")}
    assert len(rows) == 10
    for path in sorted(estate.rglob("*.toml")):
        site = load_site(path)
        for plan, sun in zip(
            season.season_plan(site, *dates), season.shade_sun(site, *dates), strict=True
        ):
            window = sun.shade.windows[0]
            row = rows[path.relative_to(estate).as_posix(), window]
            closed = [Spell(closing.close, closing.open) for closing in plan.closings]
            months = Spell(day_bounds(date(2027, 5, 1), site.place.zone).start, 2**40)
            asked = [spell for spell in sun.needed[window] if spell.start >= months.start]
            assert row["shade"] == sun.shade.name
            assert int(row["closings"]) == len(closed)
            assert float(row["closed_hours"]) * 3600 == pytest.approx(
                sum(spell.seconds for spell in closed), abs=0.5
            )
            total, covered = sum(s.seconds for s in asked), overlap_seconds(asked, closed)
            assert float(row["sun_hours"]) * 3600 == pytest.approx(total, abs=0.5)
            assert float(row["covered_hours"]) * 3600 == pytest.approx(covered, abs=0.5)
            share = "" if total == 0 else f"{covered / total:.4f}"
            assert row["covered_share"] == share


def test_heat_is_that_of_the_comparison(tmp_path):
    estate = write_estate(tmp_path / "estate", 1)
    out = tmp_path / "out"
    assert run("portfolio", estate, "-o", out, *JUNE, "--heat", "--jobs", "1").status == 0
    site = load_site(estate / "house000.toml")
    text = compare_csv(compare_year(site, load_weather(site))).decode()
    header, *lines = text.splitlines()
    ours = (out / "heat.csv").read_text(encoding="utf-8").splitlines()
    assert ours[0] == f"source,site,{header}"
    assert ours[1:] == [f"house000.toml,{NAMES[0]},{line}" for line in lines]


def test_a_window_under_two_shades_keeps_both_in_any_piece(monkeypatch):
    monkeypatch.setattr("suncover.portfolio.work.SUN_WINDOWS", 1)
    both = '[[shade]]\nname = "curtain"\nwindows = ["study", "kitchen"]\n'
    site = site_from_text(house(0) + both)
    order = SiteOrder("home.toml", "home.toml", ".", house(0) + both)
    results = work_out(Part(0, (order,)), ASKED)
    assert [row[2] for row in results.hours] == [window.name for window in site.windows]
    assert sorted((row[2], row[3]) for row in results.plans) == [
        ("kitchen", "curtain"),
        ("kitchen", "roller"),
        ("study", "curtain"),
    ]


def test_shades_that_move_together_do_in_any_piece(monkeypatch):
    monkeypatch.setattr("suncover.portfolio.work.SUN_WINDOWS", 1)
    text = house(0) + (
        '[[shade]]\nname = "blind"\nwindows = ["study"]\nquiet = ["21:30", "07:00"]\n'
        '[[group]]\nname = "all"\nshades = ["roller", "blind"]\nmove = "together"\n'
    )
    order = SiteOrder("home.toml", "home.toml", ".", text)
    rows = work_out(Part(0, (order,)), ASKED).plans
    expected = season.season_plan(site_from_text(text), ASKED.first, ASKED.last)
    assert {row[3]: row[4] for row in rows} == {p.shade: len(p.closings) for p in expected}
    assert len({row[6] for row in rows}) == 1  # closed for the same time


def test_parquet_says_the_same_as_csv(estate, tmp_path):
    parquet = pytest.importorskip("pyarrow.parquet")
    out = tmp_path / "out"
    assert run("portfolio", estate, "-o", out, *JUNE, "--jobs", "1", "--format", "both").status == 0
    for name in ("hours", "plans"):
        table = parquet.read_table(out / f"{name}.parquet").to_pylist()
        rows = rows_of(out / f"{name}.csv")
        assert [list(row) for row in table] == [list(row) for row in rows]
        for typed, row in zip(table, rows, strict=True):
            for key, value in typed.items():
                if isinstance(value, float):
                    assert f"{value:.4f}" == row[key]
                else:
                    assert ("" if value is None else str(value)) == row[key]


# --- faults


def test_a_bad_site_is_told_and_stops_no_other(tmp_path):
    estate = write_estate(tmp_path / "estate", 4, broken=(1, 2))
    out = tmp_path / "out"
    said = run("portfolio", estate, "-o", out, *JUNE, "--jobs", "1")
    assert said.status == 1
    assert 'house001.toml:14:9: window "kitchen": width: -1.2' in said.err
    assert "house002.toml" in said.err
    assert "4 windows of 2 sites worked out" in said.out
    assert {row["source"] for row in rows_of(out / "hours.csv")} == {
        "house000.toml",
        "block/house003.toml",
    }
    assert [row["source"] for row in rows_of(out / "faults.csv")] == [
        "house002.toml",
        "block/house001.toml",
    ]
    # Mended, it is done, and the faults are gone.
    write_estate(estate, 4)
    assert run("portfolio", estate, "-o", out, *JUNE, "--jobs", "1").status == 0
    assert not (out / "faults.csv").exists()
    assert len(rows_of(out / "hours.csv")) == 8


def test_what_no_one_foresaw_is_a_fault_of_the_site(tmp_path, monkeypatch):
    estate = write_estate(tmp_path / "estate", 2)

    def fails(site, *_: object):
        raise ZeroDivisionError("no such thing")

    monkeypatch.setattr("suncover.portfolio.work.shade_sun", fails)
    said = run("portfolio", estate, "-o", tmp_path / "out", *JUNE, "--jobs", "1")
    assert said.status == 1
    assert said.err.count("it could not be worked out: ZeroDivisionError: no such thing") == 2


@pytest.mark.parametrize(
    ("kind", "told"),
    [
        ("empty folder", "there is no site file (*.toml) in it"),
        ("other file", "give a folder of site files, or a table of windows"),
        ("other things", "this folder holds other things; name an empty or a new one"),
        ("both", "--jobs is for this machine, --cluster for others"),
    ],
)
def test_requests_that_make_no_sense(tmp_path, estate, kind, told):
    (tmp_path / "letter.txt").write_text("dear")
    (tmp_path / "windows.xlsx").write_bytes(b"x")
    source = {"empty folder": tmp_path, "other file": tmp_path / "windows.xlsx"}.get(kind, estate)
    out = tmp_path if kind == "other things" else tmp_path / "out"
    both = ["--jobs", "2", "--cluster", "tcp://127.0.0.1:1"] if kind == "both" else []
    said = refused("portfolio", source, "-o", out, *JUNE, *both)
    assert told in said.err


# --- the screen


def test_without_pyarrow_there_is_csv_alone(tmp_path, estate, monkeypatch):
    monkeypatch.setattr(merge, "has_pyarrow", lambda: False)
    said = ok("portfolio", estate, "-o", tmp_path / "out", *JUNE, "--jobs", "1")
    assert 'pip install "suncover[batch]"' in said.err
    assert list(files_of(tmp_path / "out")) == ["hours.csv", "plans.csv"]
    said = refused("portfolio", estate, "-o", tmp_path / "two", *JUNE, "--format", "both")
    assert said.faults == ['Parquet needs the package pyarrow: pip install "suncover[batch]"']


@pytest.mark.skipif(os.name == "nt", reason="needs a pseudo-terminal")
def test_a_bar_shows_on_a_terminal_how_far_it_is(tmp_path, estate):
    pty = pytest.importorskip("pty")
    leader, follower = pty.openpty()
    options = [str(estate), "-o", str(tmp_path / "o"), *JUNE, "--jobs", "1"]
    command = [sys.executable, "-m", "suncover", "portfolio", *options]
    terminal = {"stderr": follower, "env": {**os.environ, "TERM": "xterm"}}
    subprocess.run(command, stdout=subprocess.DEVNULL, check=True, **terminal)
    os.close(follower)
    shown = io.BytesIO()
    while True:
        try:
            shown.write(os.read(leader, 100_000))
        except OSError:  # all is read
            break
        if b"5/5" in shown.getvalue():
            break
    os.close(leader)
    assert b"/5 site files" in shown.getvalue() or b"5/5" in shown.getvalue()


def test_a_cluster_that_is_not_there_is_one_line(tmp_path, estate):
    """Also from a notebook, in whose thread a loop runs."""
    pytest.importorskip("distributed")

    async def ask() -> None:
        with pytest.raises(
            RequestError,
            match=r"^--cluster tcp://127\.0\.0\.1:9: no scheduler answers there \(\[Errno",
        ):
            run_here(estate, tmp_path / "out", engines.on_cluster("tcp://127.0.0.1:9"))

    asyncio.run(ask())
