"""Many sites at once: the figures of each alone, stopped and gone on with, faults kept apart."""

from __future__ import annotations

import io
import os
import signal
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest
from command_line import run
from portfolios import (
    COLUMNS,
    NAMES,
    ended_by_house_002,
    house,
    house_rows,
    rows_of,
    write_estate,
    write_table,
)

from suncover import pipeline
from suncover.clock import day_bounds
from suncover.compare import compare_year
from suncover.errors import RequestError
from suncover.export.compare_csv import compare_csv
from suncover.portfolio import engines, merge
from suncover.portfolio.columns import known_columns, site_of_rows
from suncover.portfolio.run import Summary, run_portfolio
from suncover.portfolio.sources import Part, SiteOrder, open_source, parts_of
from suncover.portfolio.store import Store
from suncover.portfolio.work import Request, work_out
from suncover.sitefile import load_site, site_from_text
from suncover.spell import Spell, overlap_seconds
from suncover.weather import load_weather

JUNE = ("--from", "2027-06-01", "--to", "2027-06-10")
ASKED = Request(date(2027, 6, 1), date(2027, 6, 10))


@pytest.fixture(scope="module")
def estate(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_estate(tmp_path_factory.mktemp("estate"), 5)


def files_of(folder: Path) -> dict[str, bytes]:
    """The tables in a folder of results."""
    return {
        path.name: path.read_bytes()
        for path in sorted(folder.glob("*.*"))
        if path.is_file() and path.name != "manifest.json"
    }


def small_parts(monkeypatch: pytest.MonkeyPatch, sites: int = 1) -> None:
    monkeypatch.setattr("suncover.portfolio.sources.PART_SITES", sites)


# --- the figures


def test_hours_are_those_of_each_site_alone(estate: Path, tmp_path: Path) -> None:
    """Summed here day by day, month by month, from what the pipeline gives for each site."""
    first, last = date(2026, 12, 20), date(2027, 2, 10)
    said = run(
        "portfolio", estate, "-o", tmp_path / "out", "--from", first, "--to", last, "--jobs", 1
    )
    assert said.status == 0
    expected: dict[tuple[str, str, str], int] = defaultdict(int)
    for path in sorted(estate.rglob("*.toml")):
        site = load_site(path)
        for window, spells in pipeline.hours(site, first, last).items():
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


def test_plans_are_those_of_each_site_alone(estate: Path, tmp_path: Path) -> None:
    dates = date(2027, 4, 20), date(2027, 5, 20)  # the season begins on 1 May
    args = ("--from", dates[0], "--to", dates[1], "--jobs", "1")
    assert run("portfolio", estate, "-o", tmp_path / "out", *args).status == 0
    rows = {(row["source"], row["window"]): row for row in rows_of(tmp_path / "out" / "plans.csv")}
    assert len(rows) == 10
    for path in sorted(estate.rglob("*.toml")):
        site = load_site(path)
        for plan, sun in zip(
            pipeline.season_plan(site, *dates), pipeline.shade_sun(site, *dates), strict=True
        ):
            window = sun.shade.windows[0]
            row = rows[path.relative_to(estate).as_posix(), window]
            closed = [Spell(closing.close, closing.open) for closing in plan.closings]
            season = Spell(day_bounds(date(2027, 5, 1), site.place.zone).start, 2**40)
            asked = [spell for spell in sun.needed[window] if spell.start >= season.start]
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


def test_heat_is_that_of_the_comparison(tmp_path: Path) -> None:
    estate = write_estate(tmp_path / "estate", 1)
    out = tmp_path / "out"
    assert run("portfolio", estate, "-o", out, *JUNE, "--heat", "--jobs", "1").status == 0
    site = load_site(estate / "house000.toml")
    text = compare_csv(compare_year(site, load_weather(site))).decode()
    header, *lines = text.splitlines()
    ours = (out / "heat.csv").read_text(encoding="utf-8").splitlines()
    assert ours[0] == f"source,site,{header}"
    assert ours[1:] == [f"house000.toml,{NAMES[0]},{line}" for line in lines]


def test_a_window_under_two_shades_keeps_both_in_any_piece(monkeypatch: pytest.MonkeyPatch) -> None:
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


def test_shades_that_move_together_do_in_any_piece(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("suncover.portfolio.work.SUN_WINDOWS", 1)
    text = house(0) + (
        '[[shade]]\nname = "blind"\nwindows = ["study"]\nquiet = ["21:30", "07:00"]\n'
        '[[group]]\nname = "all"\nshades = ["roller", "blind"]\nmove = "together"\n'
    )
    order = SiteOrder("home.toml", "home.toml", ".", text)
    rows = work_out(Part(0, (order,)), ASKED).plans
    expected = pipeline.season_plan(site_from_text(text), ASKED.first, ASKED.last)
    assert {row[3]: row[4] for row in rows} == {p.shade: len(p.closings) for p in expected}
    assert len({row[6] for row in rows}) == 1  # closed for the same time


def test_parquet_says_the_same_as_csv(estate: Path, tmp_path: Path) -> None:
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


# --- tables of windows


def test_a_table_gives_what_the_site_files_give(estate: Path, tmp_path: Path) -> None:
    rows = [row for number in range(5) for row in house_rows(number)]
    table = write_table(tmp_path / "windows.csv", rows)
    for source, out in ((estate, "a"), (table, "b")):
        assert run("portfolio", source, "-o", tmp_path / out, *JUNE, "--jobs", "1").status == 0
    for name in ("hours.csv", "plans.csv"):
        ours, theirs = (
            sorted([list(row.values())[1:] for row in rows_of(tmp_path / out / name)])
            for out in ("a", "b")
        )
        assert ours == theirs
    sources = {row["source"] for row in rows_of(tmp_path / "b" / "hours.csv")}
    assert sources == {f"windows.csv:{line}" for line in (2, 4, 6, 8, 10)}


def test_a_row_reads_as_the_site_file_does() -> None:
    rows = [(line, row) for line, row in enumerate(house_rows(2), 2)]
    assert site_of_rows(COLUMNS, rows, "t.csv") == site_from_text(house(2))


def test_a_parquet_table_gives_what_the_same_csv_gives(tmp_path: Path) -> None:
    pyarrow = pytest.importorskip("pyarrow")
    parquet = pytest.importorskip("pyarrow.parquet")
    names = ["site.name", "site.latitude", "site.longitude", "name", "azimuth", "width", "height"]
    names += ["need.season", "fin.right.depth"]
    cells = [["Amberfield"] * 2, [36.1] * 2, [-79.95] * 2, ["a", "b"], [90.0, 180.0], [1.0, 2.0]]
    cells += [[1, 1], [["05-01", "09-30"], None], [None, 0.5]]
    parquet.write_table(pyarrow.table(cells, names=names), tmp_path / "windows.parquet")
    rows = [list(row) for row in zip(*cells, strict=True)]
    rows[0][7], rows[1][7] = '["05-01", "09-30"]', ""
    rows[0][8] = ""
    write_table(tmp_path / "windows.csv", rows, names)
    for kind in ("csv", "parquet"):
        source = tmp_path / f"windows.{kind}"
        assert run("portfolio", source, "-o", tmp_path / kind, *JUNE, "--jobs", "1").status == 0
    for name in ("hours.csv", "plans.csv"):
        ours, theirs = (
            [list(row.values())[1:] for row in rows_of(tmp_path / kind / name)]
            for kind in ("csv", "parquet")
        )
        assert ours == theirs


def test_columns_are_the_keys_of_the_site_file() -> None:
    known = known_columns()
    assert {"name", "tilt", "overhang.left", "fin.right.below", "site.elevation"} <= set(known)
    assert {"need.beam", "shade.need.sleep.dark", "weather.file", "shade.roller.tube"} <= set(known)
    assert not {"site", "shade.windows", "fin.side", "need.glare.spots"} & set(known)


@pytest.mark.parametrize(
    ("columns", "said"),
    [
        (["azimut"], "windows.csv:1: unknown column `azimut`, did you mean `azimuth`?"),
        (["azimuth", "azimuth"], "windows.csv:1: the column `azimuth` stands there twice"),
        ([], "windows.csv:1: the column `azimuth` is missing (or `compass`, or `wall`)"),
    ],
    ids=["unknown", "twice", "missing"],
)
def test_faults_of_the_header_stop_at_once(tmp_path: Path, columns: list[str], said: str) -> None:
    names = ["site.name", "site.latitude", "site.longitude", "name", "width", "height", *columns]
    path = write_table(tmp_path / "windows.csv", [["x"] * len(names)], names)
    told = run("portfolio", path, "-o", tmp_path / "out", *JUNE)
    assert told.status == 2
    assert said in told.err
    assert not (tmp_path / "out").exists()


def test_rows_of_one_site_may_not_disagree(tmp_path: Path) -> None:
    rows = [row for number in range(2) for row in house_rows(number)]
    rows[1][1] = 31.5
    table = write_table(tmp_path / "windows.csv", rows)
    said = run("portfolio", table, "-o", tmp_path / "out", *JUNE, "--jobs", "1")
    assert said.status == 1
    assert (
        "windows.csv:3: site.latitude: 31.5, but line 2 of the same site says 30; "
        "make them the same" in said.err
    )
    assert len(rows_of(tmp_path / "out" / "plans.csv")) == 2


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "the column `site.name` is missing"),
        (b"\xff\xfe\x00", "this is not text in UTF-8"),
        (b'"a', "this is not CSV"),
    ],
    ids=["empty", "not text", "open quote"],
)
def test_a_file_that_is_no_table_is_told(tmp_path: Path, content: bytes, said: str) -> None:
    path = tmp_path / "windows.csv"
    path.write_bytes(content)
    told = run("portfolio", path, "-o", tmp_path / "out", *JUNE)
    assert told.status == 2
    assert said in told.err


# --- faults


def test_a_bad_site_is_told_and_stops_no_other(tmp_path: Path) -> None:
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


def test_what_no_one_foresaw_is_a_fault_of_the_site(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    estate = write_estate(tmp_path / "estate", 2)

    def fails(site: object, *_: object) -> None:
        raise ZeroDivisionError("no such thing")

    monkeypatch.setattr("suncover.portfolio.work.shade_sun", fails)
    said = run("portfolio", estate, "-o", tmp_path / "out", *JUNE, "--jobs", "1")
    assert said.status == 1
    assert said.err.count("it could not be worked out: ZeroDivisionError: no such thing") == 2


@pytest.mark.parametrize("kind", ["empty folder", "other file", "other things", "both"])
def test_requests_that_make_no_sense(tmp_path: Path, estate: Path, kind: str) -> None:
    out, args = tmp_path / "out", []
    source = estate
    if kind == "empty folder":
        source = tmp_path
        said = "there is no site file (*.toml) in it"
    elif kind == "other file":
        source = tmp_path / "windows.xlsx"
        source.write_bytes(b"x")
        said = "give a folder of site files, or a table of windows"
    elif kind == "other things":
        out.mkdir()
        (out / "letter.txt").write_text("dear")
        said = "this folder holds other things; name an empty or a new one"
    else:
        args = ["--jobs", "2", "--cluster", "tcp://127.0.0.1:1"]
        said = "--jobs is for this machine, --cluster for others"
    told = run("portfolio", source, "-o", out, *JUNE, *args)
    assert told.status == 2
    assert said in told.err


# --- stopping and going on


def run_here(source: Path, out: Path, engine: engines.Engine = engines.in_this_process) -> Summary:
    return run_portfolio(
        open_source(source), Store(out, ASKED), ASKED, engine, parquet=False, report=lambda _: None
    )


def test_a_stopped_run_is_gone_on_with(
    tmp_path: Path, estate: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    small_parts(monkeypatch)
    whole = run_here(estate, tmp_path / "whole")
    assert (whole.parts, whole.reused) == (5, 0)
    worked: list[int] = []

    def stops_at(most: int) -> engines.Engine:
        def engine(parts: Iterator[Part], request: Request) -> engines.Done:
            for count, (part, results) in enumerate(engines.in_this_process(parts, request)):
                if count == most:
                    raise KeyboardInterrupt
                worked.append(part.number)
                yield part, results

        return engine

    for most in (2, 1, 9):
        try:
            rest = run_here(estate, tmp_path / "halting", stops_at(most))
        except KeyboardInterrupt:
            assert not (tmp_path / "halting" / "hours.csv").exists()
    assert worked == [0, 1, 2, 3, 4]  # nothing lost and nothing done twice
    assert rest.reused == 3
    assert files_of(tmp_path / "halting") == files_of(tmp_path / "whole")


def test_only_what_has_changed_is_done_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    small_parts(monkeypatch)
    estate = write_estate(tmp_path / "estate", 4)
    weather = 'file = "sky.csv"\nstamp = "end"\n'
    (estate / "house000.toml").write_text(house(0) + f"\n[weather]\n{weather}", encoding="utf-8")
    (estate / "sky.csv").write_text("time,ghi,dni,dhi\n", encoding="utf-8")
    out = tmp_path / "out"
    assert run_here(estate, out).reused == 0
    assert run_here(estate, out).reused == 4
    (estate / "house002.toml").write_text(house(4), encoding="utf-8")
    assert run_here(estate, out).reused == 3
    (estate / "sky.csv").write_text("time,ghi,dni,dhi,more\n", encoding="utf-8")
    assert run_here(estate, out).reused == 3
    (out / "parts" / "000001.gz").write_bytes(b"cut short")
    assert run_here(estate, out).reused == 3
    (estate / "block" / "house003.toml").unlink()
    assert run_here(estate, out).parts == 3
    assert len(list((out / "parts").iterdir())) == 3


def test_files_that_a_site_names_count_too_and_so_do_those_that_were_not_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    small_parts(monkeypatch)
    estate, out = write_estate(tmp_path / "estate", 2), tmp_path / "out"
    calendar = '[[calendar]]\nfile = "home.ics"\n[[calendar.event]]\nwords = ["away"]\ndo = "up"\n'
    (estate / "house000.toml").write_text(f"{house(0)}\n{calendar}", encoding="utf-8")
    assert len(run_here(estate, out).faults) == 1  # there is no home.ics yet
    events = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:x\r\nEND:VCALENDAR\r\n"
    (estate / "home.ics").write_text(events, encoding="utf-8")
    mended = run_here(estate, out)
    assert (mended.reused, mended.faults) == (1, [])
    assert run_here(estate, out).reused == 2
    (estate / "home.ics").write_text(events.replace("PRODID:x", "PRODID:other"), encoding="utf-8")
    assert run_here(estate, out).reused == 1


def test_results_of_another_request_are_left_alone(tmp_path: Path, estate: Path) -> None:
    out = tmp_path / "out"
    assert run("portfolio", estate, "-o", out, *JUNE, "--jobs", "1", "--no-plan").status == 0
    before = files_of(out)
    said = run("portfolio", estate, "-o", out, *JUNE, "--jobs", "1")
    assert said.status == 2
    assert "it holds the results for 2027-06-01 to 2027-06-10 with hours, and this asks" in said.err
    assert files_of(out) == before
    # Without dates, those of the results are meant.
    assert run("portfolio", estate, "-o", out, "--jobs", "1", "--no-plan").status == 0


# --- processes


def test_two_processes_give_the_bytes_of_one(
    tmp_path: Path, estate: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    small_parts(monkeypatch)
    run_here(estate, tmp_path / "one")
    run_here(estate, tmp_path / "two", engines.on_cores(2))
    assert files_of(tmp_path / "one") == files_of(tmp_path / "two")
    parts = [sorted((tmp_path / out / "parts").iterdir()) for out in ("one", "two")]
    assert [p.read_bytes() for p in parts[0]] == [p.read_bytes() for p in parts[1]]


def test_a_part_that_ends_its_process_stops_no_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As the system ends a process that takes too much memory."""
    estate = write_estate(tmp_path / "estate", 3)
    small_parts(monkeypatch)
    monkeypatch.setattr(engines, "work_out", ended_by_house_002)
    summary = run_here(estate, tmp_path / "out", engines.on_cores(2))
    assert {source for source, _ in summary.lost} == {"house002.toml"}
    assert "the process that worked on it was ended" in summary.lost[0][1]
    assert summary.windows == 4
    monkeypatch.undo()
    small_parts(monkeypatch)
    assert run_here(estate, tmp_path / "out").reused == 2
    assert len(rows_of(tmp_path / "out" / "hours.csv")) == 6


@pytest.mark.skipif(os.name == "nt", reason="signals are sent another way there")
def test_a_run_that_is_killed_is_gone_on_with(tmp_path: Path) -> None:
    """The whole command, killed without warning while two processes work for it."""
    estate = write_estate(tmp_path / "estate", 110)
    out = tmp_path / "out"
    dates = ("--from", "2027-03-01", "--to", "2027-03-31")
    args = ["portfolio", str(estate), "-o", str(out), *dates, "--no-plan"]
    command = [sys.executable, "-m", "suncover", *args, "--jobs", "2", "--format", "csv"]
    with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as process:
        until = time.monotonic() + 60
        while not list((out / "parts").glob("*.gz")) and time.monotonic() < until:
            time.sleep(0.02)
        process.kill()
    kept = len(list((out / "parts").glob("*.gz")))
    assert kept >= 1
    assert not (out / "hours.csv").exists()
    said = run(*args, "--jobs", "1", "--format", "csv")
    assert said.status == 0
    assert "had been done before" in said.out
    rows = rows_of(out / "hours.csv")
    assert len(rows) == len({(r["source"], r["window"], r["month"]) for r in rows}) == 110 * 2


@pytest.mark.skipif(os.name == "nt", reason="signals are sent another way there")
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM], ids=["Ctrl-C", "terminate"])
def test_an_interrupt_says_how_to_go_on(tmp_path: Path, number: signal.Signals) -> None:
    estate = write_estate(tmp_path / "estate", 300)
    out = tmp_path / "out"
    command = [sys.executable, "-m", "suncover", "portfolio", str(estate), "-o", str(out), *JUNE]
    with subprocess.Popen([*command, "--jobs", "2"], stderr=subprocess.PIPE) as process:
        until = time.monotonic() + 60
        while not (out / "manifest.json").exists() and time.monotonic() < until:
            time.sleep(0.02)
        time.sleep(0.5)
        process.send_signal(number)
        assert process.stderr is not None
        said = process.stderr.read().decode()
    assert process.returncode == 130
    assert said.strip() == "stopped; what is done is kept, run the same command again to go on"


# --- memory


PEAK = """
import sys, tracemalloc
from datetime import date
from suncover.portfolio import work
from suncover.portfolio.sources import Part, SiteOrder
from suncover.portfolio.work import Request, work_out
from suncover.window_search import _sky_intervals
work.SUN_WINDOWS = 6
head = sys.stdin.read()
def peak(windows, last):
    text = head + "".join(
        f'[[window]]\\nname = "w{n}"\\nazimuth = {n % 6 * 60}\\nwidth = 1\\nheight = 1\\n'
        for n in range(windows)
    )
    part = Part(0, (SiteOrder("a", "a", ".", text),))
    _sky_intervals.cache_clear()  # each finds the sky's for itself
    tracemalloc.start()
    results = work_out(part, Request(date(2027, 1, 1), date(last, 12, 31)))
    held, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert len(results.hours) == windows and not results.faults
    return most - held
peak(1, 2027)  # what is loaded once
print(peak(6, 2027), peak(6, 2029), peak(24, 2027))
"""


def test_memory_does_not_grow_with_the_windows_or_years() -> None:
    """The most that is held at once beside the results."""
    text = house(0).partition("[[window]]")[0]
    command = [sys.executable, "-c", PEAK]
    said = subprocess.run(command, input=text, capture_output=True, text=True, check=True)
    one, three_years, four_times_the_windows = map(int, said.stdout.split())
    assert one > 1_000_000
    # Tables of clocks and seasons are kept for each year: kilobytes.
    assert three_years < 1.1 * one + 200_000
    assert four_times_the_windows < 1.1 * one + 200_000


def test_a_source_is_read_as_a_stream(tmp_path: Path) -> None:
    """The first part is there before the second is read."""
    table = write_table(tmp_path / "windows.csv", house_rows(0) * 80)
    source = open_source(table)
    parts = parts_of(source.orders())
    assert next(parts).windows == 160  # one site: its rows stand together
    rows = [row for number in range(200) for row in house_rows(number % 5)]
    parts = parts_of(open_source(write_table(table, rows)).orders())
    assert [part.windows for part in parts] == [96, 96, 96, 96, 16]


# --- the page


PAGE = (Path(__file__).parent.parent / "docs" / "portfolio.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("columns", ["HOURS", "PLAN", "HEAT", "FAULT"])
def test_the_page_has_the_columns(columns: str) -> None:
    assert f"`{','.join(getattr(merge, f'{columns}_COLUMNS'))}`" in PAGE


def test_the_table_on_the_page_is_one(tmp_path: Path) -> None:
    path = tmp_path / "windows.csv"
    path.write_text(PAGE.partition("```text\n")[2].partition("```")[0], encoding="utf-8")
    (order,) = open_source(path).orders()
    site = order.described()
    assert [window.name for window in site.windows] == ["kitchen", "study"]
    assert site.windows[0].height == pytest.approx(42 * 0.0254)  # the inch, by its definition
    assert site.need.season == ((4, 15), (10, 15))


def test_every_column_on_the_page_is_known() -> None:
    rows = PAGE.partition("| Column |")[2].partition("\n\n")[0].splitlines()[2:]
    named = {word for row in rows for word in row.split("|")[1].replace("`", " ").split()}
    named = {word.strip(",") for word in named} - {"", "…", "_anything"}
    assert len(named) > 20
    assert named <= set(known_columns())


# --- the screen


def test_without_pyarrow_there_is_csv_alone(
    tmp_path: Path, estate: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(merge, "has_pyarrow", lambda: False)
    said = run("portfolio", estate, "-o", tmp_path / "out", *JUNE, "--jobs", "1")
    assert said.status == 0
    assert 'pip install "suncover[batch]"' in said.err
    assert list(files_of(tmp_path / "out")) == ["hours.csv", "plans.csv"]
    said = run("portfolio", estate, "-o", tmp_path / "two", *JUNE, "--format", "both")
    assert said.status == 2
    assert said.faults == ['Parquet needs the package pyarrow: pip install "suncover[batch]"']


@pytest.mark.skipif(os.name == "nt", reason="needs a pseudo-terminal")
def test_a_bar_shows_on_a_terminal_how_far_it_is(tmp_path: Path, estate: Path) -> None:
    pty = pytest.importorskip("pty")
    leader, follower = pty.openpty()
    command = [
        sys.executable,
        "-m",
        "suncover",
        "portfolio",
        str(estate),
        "-o",
        str(tmp_path / "o"),
    ]
    subprocess.run(
        [*command, *JUNE, "--jobs", "1"],
        stderr=follower,
        stdout=subprocess.DEVNULL,
        env={**os.environ, "TERM": "xterm"},
        check=True,
    )
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


def test_a_cluster_that_is_not_there_is_one_line(
    tmp_path: Path, estate: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pytest.importorskip("distributed")
    monkeypatch.setattr(engines, "_LONGEST_WAIT", "1s")
    with pytest.raises(
        RequestError, match=r"^--cluster tcp://127\.0\.0\.1:9: no scheduler answers"
    ):
        run_here(estate, tmp_path / "out", engines.on_cluster("tcp://127.0.0.1:9"))
