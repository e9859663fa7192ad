"""Runs of a portfolio: stopped and gone on with, in several processes, in bounded memory."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from command_line import ok, refused, run
from portfolios import (
    JUNE,
    ended_by_house_002,
    files_of,
    house,
    house_rows,
    rows_of,
    run_here,
    small_parts,
    write_estate,
    write_table,
)

from suncover.portfolio import engines
from suncover.portfolio.sources import open_source, parts_of


@pytest.fixture(scope="module")
def estate(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_estate(tmp_path_factory.mktemp("estate"), 5)


# --- stopping and going on


def test_a_stopped_run_is_gone_on_with(tmp_path, estate, monkeypatch):
    small_parts(monkeypatch)
    whole = run_here(estate, tmp_path / "whole")
    assert (whole.parts, whole.reused) == (5, 0)
    worked: list[int] = []

    def stops_at(most):
        def engine(parts, request):
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


def test_only_what_has_changed_is_done_again(tmp_path, monkeypatch):
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
    tmp_path, monkeypatch
):
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


def test_results_of_another_request_are_left_alone(tmp_path, estate):
    out = tmp_path / "out"
    assert run("portfolio", estate, "-o", out, *JUNE, "--jobs", "1", "--no-plan").status == 0
    before = files_of(out)
    said = refused("portfolio", estate, "-o", out, *JUNE, "--jobs", "1")
    assert "it holds the results for 2027-06-01 to 2027-06-10 with hours, and this asks" in said.err
    assert files_of(out) == before
    # Without dates, those of the results are meant.
    assert run("portfolio", estate, "-o", out, "--jobs", "1", "--no-plan").status == 0


# --- processes


def test_two_processes_give_the_bytes_of_one(tmp_path, estate, monkeypatch):
    small_parts(monkeypatch)
    run_here(estate, tmp_path / "one")
    run_here(estate, tmp_path / "two", engines.on_cores(2))
    assert files_of(tmp_path / "one") == files_of(tmp_path / "two")
    parts = [sorted((tmp_path / out / "parts").iterdir()) for out in ("one", "two")]
    assert [p.read_bytes() for p in parts[0]] == [p.read_bytes() for p in parts[1]]


def test_a_part_that_ends_its_process_stops_no_other(tmp_path, monkeypatch):
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
def test_a_run_that_is_killed_is_gone_on_with(tmp_path):
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
    said = ok(*args, "--jobs", "1", "--format", "csv")
    assert "had been done before" in said.out
    rows = rows_of(out / "hours.csv")
    assert len(rows) == len({(r["source"], r["window"], r["month"]) for r in rows}) == 110 * 2


@pytest.mark.skipif(os.name == "nt", reason="signals are sent another way there")
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM], ids=["Ctrl-C", "terminate"])
def test_an_interrupt_says_how_to_go_on(tmp_path, number):
    estate = write_estate(tmp_path / "estate", 300)
    out = tmp_path / "out"
    command = [sys.executable, "-m", "suncover", "portfolio", str(estate), "-o", str(out), *JUNE]
    with subprocess.Popen([*command, "--jobs", "2"], stderr=subprocess.PIPE) as process:
        until = time.monotonic() + 60
        while not (out / "manifest.json").exists() and time.monotonic() < until:
            time.sleep(0.02)
        time.sleep(0.5)
        process.send_signal(number)
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
from suncover.facade.search.window_search import _sky_intervals
work.SUN_WINDOWS = 3
head = sys.stdin.read()
def peak(windows, last):
    text = head + "".join(
        f'[[window]]\\nname = "w{n}"\\nazimuth = {n % 3 * 60}\\nwidth = 1\\nheight = 1\\n'
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
print(peak(3, 2027), peak(3, 2028), peak(9, 2027))
"""


def test_memory_does_not_grow_with_the_windows_or_years():
    """The most that is held at once beside the results."""
    text = house(0).partition("[[window]]")[0]
    command = [sys.executable, "-c", PEAK]
    said = subprocess.run(command, input=text, capture_output=True, text=True, check=True)
    one, two_years, three_times_the_windows = map(int, said.stdout.split())
    assert one > 1_000_000
    # Tables of clocks and seasons are kept for each year: kilobytes.
    assert two_years < 1.1 * one + 200_000
    assert three_times_the_windows < 1.1 * one + 200_000


def test_a_source_is_read_as_a_stream(tmp_path):
    """The first part is there before the second is read."""
    table = write_table(tmp_path / "windows.csv", house_rows(0) * 80)
    source = open_source(table)
    parts = parts_of(source.orders())
    assert next(parts).windows == 160  # one site: its rows stand together
    rows = [row for number in range(200) for row in house_rows(number % 5)]
    for number, row in enumerate(rows):
        row[0] = f"House {number // 2}"
    parts = parts_of(open_source(write_table(table, rows)).orders())
    assert [part.windows for part in parts] == [96, 96, 96, 96, 16]


@pytest.mark.parametrize("damage", ["cut short", "a byte changed", "no gzip", "empty"])
def test_a_part_that_was_damaged_on_the_disk_is_worked_out_again(tmp_path, estate, damage):
    out = tmp_path / "out"
    run_here(estate, out)
    whole = files_of(out)
    part = out / "parts" / "000000.gz"
    data = bytearray(part.read_bytes())
    if damage == "a byte changed":
        for at in range(12, len(data) - 8):
            data[at] ^= 0xFF
    part.write_bytes(
        {"cut short": data[: len(data) // 2], "no gzip": b"parts", "empty": b""}.get(damage, data)
    )
    summary = run_here(estate, out)
    assert summary.reused == summary.parts - 1
    assert files_of(out) == whole


@pytest.mark.skipif(os.name != "posix", reason="names of files are bytes on POSIX")
def test_a_name_in_bytes_that_are_no_text_stops_no_other(tmp_path):
    estate = write_estate(tmp_path / "estate", 2)
    name = os.fsdecode(bytes(estate) + b"/caf\xe9.toml")
    Path(name).write_text(house(2).replace("width = 1.2", "width = 0"), encoding="utf-8")
    summary = run_here(estate, tmp_path / "out")
    assert len(summary.faults) == 1
    faults = (tmp_path / "out" / "faults.csv").read_text(encoding="utf-8")
    assert "caf\\udce9.toml" in faults
