"""How cost grows with windows and with years, beside the plain scan; a Markdown page of tables.

    python tests/bench/bench_growth.py [--most 1000] [--scan-most 100] [--only NAME ...]

Each line is one whole process. The scan is run up to so many windows; beyond them, and beyond a
year, its time is worked out from those runs, as it grows in a straight line by construction, and
marked with ~. Seconds are those of the clock on the wall, milliseconds a window those of the
processor, on all cores together; peak memory is the process's own. Compare ratios, not seconds, and
let the machine do nothing else meanwhile.
"""

import argparse
import csv
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import NamedTuple

HERE = Path(__file__).parent
YEAR = 2027
SIZES = (1, 10, 100, 1000, 10_000)
YEARS = (1, 2, 5, 10, 20)
YEARS_WINDOWS = 10
RUNS = 3  # the quickest counts: what else the machine does only ever adds


class Cost(NamedTuple):
    """A process's seconds by the clock and on the processor, and the most memory it held, MB."""

    seconds: float
    busy: float
    peak_mb: float


def site_text(windows: int) -> str:
    """A made-up building: windows of many directions, half with an overhang, a third with a fin."""
    random = Random(windows)
    lines = [
        '[site]\nname = "Bench Court"\nlatitude = 36.1\nlongitude = -79.95\nelevation = 270',
        'timezone = "America/New_York"',
    ]
    for number in range(windows):
        lines.append(
            f'[[window]]\nname = "w{number}"\nazimuth = {random.uniform(0, 360):.1f}\n'
            f"width = {random.uniform(0.6, 2.5):.2f}\nheight = {random.uniform(0.6, 2.2):.2f}\n"
            "reveal = 0.10"
        )
        if number % 2 == 0:
            depth = random.uniform(0.3, 1.5)
            lines.append(
                f"[window.overhang]\ndepth = {depth:.2f}\ngap = 0.2\nleft = 0.3\nright = 0.3"
            )
        if number % 3 == 0:
            lines.append(
                '[[window.fin]]\nside = "left"\ndepth = 0.4\ngap = 0.1\nabove = 0.5\nbelow = 0'
            )
    return "\n".join(lines) + "\n"


def once(command: list[str]) -> Cost:
    """One run of a whole process."""
    begin = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise SystemExit(f"{command} ended with {process.returncode}")
    seconds, busy = time.perf_counter() - begin, used.ru_utime + used.ru_stime
    return Cost(seconds, busy, used.ru_maxrss / 1024)  # Linux counts in kB


def quickest(command: list[str], runs: int = RUNS) -> Cost:
    """The quickest of a few runs."""
    return min(once(command) for _ in range(runs))


def hours(site: Path, years: int = 1) -> list[str]:
    """The command for the hours of sun of a site."""
    dates = ["--from", f"{YEAR}-01-01", "--to", f"{YEAR + years - 1}-12-31"]
    table = str(site.with_suffix(".csv"))
    command = [sys.executable, "-m", "suncover", "hours", str(site), "--format", "csv"]
    return [*command, "-o", table, *dates]


def scan(site: Path) -> list[str]:
    """The command for the same, the plain way."""
    return [sys.executable, str(HERE / "minute_scan.py"), str(site), str(YEAR)]


def written(folder: Path, windows: int) -> Path:
    """A site of so many windows."""
    path = folder / f"site{windows}.toml"
    path.write_text(site_text(windows), encoding="utf-8")
    return path


def growth(folder: Path, most: int, scan_most: int) -> None:
    """The tables of windows and of years."""
    sizes = [size for size in SIZES if size <= most]
    once(hours(written(folder, 1)))  # what is read from the disk for the first time
    scans = {n: quickest(scan(written(folder, n)), 1) for n in sizes if n <= scan_most}
    low, high = min(scans), max(scans)
    slope = (scans[high].seconds - scans[low].seconds) / (high - low) if high > low else 0.0
    start = scans[low].seconds - slope * low
    print("| Windows | suncover | ms a window | Peak memory | Plain scan | Times as fast |")
    print("| ---: | ---: | ---: | ---: | ---: | ---: |")
    base = 0.0
    for number in sizes:
        cost = quickest(hours(written(folder, number)), RUNS if number <= 1000 else 1)
        base = base or cost.busy
        each = f"{(cost.busy - base) / (number - 1) * 1000:.1f}" if number > 1 else ""
        known = scans.get(number)
        plain = known.seconds if known else start + slope * number
        print(
            f"| {number:,} | {cost.seconds:.2f} s | {each} | {cost.peak_mb:.0f} MB | "
            f"{'' if known else '~'}{plain:.1f} s | {plain / cost.seconds:.1f} |",
            flush=True,
        )
    print("\nA window's share is what it adds to the processor's time for one window.\n")
    plain = (scans.get(YEARS_WINDOWS) or Cost(start + slope * YEARS_WINDOWS, 0.0, 0.0)).seconds
    print(
        f"| Years, {YEARS_WINDOWS} windows | suncover | Peak memory | Plain scan | Times as fast |"
    )
    print("| ---: | ---: | ---: | ---: | ---: |")
    for years in YEARS:
        cost = quickest(hours(written(folder, YEARS_WINDOWS), years))
        print(
            f"| {years} | {cost.seconds:.2f} s | {cost.peak_mb:.0f} MB | "
            f"{'' if years == 1 else '~'}{plain * years:.1f} s | "
            f"{plain * years / cost.seconds:.1f} |",
            flush=True,
        )


def table_of_windows(path: Path, sites: int, each: int) -> Path:
    """A table of made-up windows: so many sites with so many windows each, some miles apart."""
    random = Random(sites)
    names = ["site.name", "site.latitude", "site.longitude", "site.timezone"]
    names += ["name", "azimuth", "width", "height", "reveal", "overhang.depth", "overhang.gap"]
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(names)
        for site in range(sites):
            place = [f"Bench Court {site}", f"{36 + site / 1000:.3f}", -79.95, "America/New_York"]
            for number in range(each):
                roof = [round(random.uniform(0.3, 1.5), 2), 0.2] if number % 2 else ["", ""]
                glass = [round(random.uniform(0.6, 2.5), 2), round(random.uniform(0.6, 2.2), 2)]
                azimuth = round(random.uniform(0, 360), 1)
                writer.writerow([*place, f"w{number}", azimuth, *glass, 0.1, *roof])
    return path


def portfolio(table: Path, *more: str) -> list[str]:
    """The command for a portfolio, on one core."""
    dates = ["--from", f"{YEAR}-01-01", "--to", f"{YEAR}-12-31"]
    command = [sys.executable, "-m", "suncover", "portfolio", str(table), *dates, *more]
    out = tempfile.mkdtemp(dir=table.parent)
    return [*command, "-o", out, "--jobs", "1", "--format", "csv"]


def portfolios(folder: Path) -> None:
    """What a window costs in a portfolio, from the difference of two sizes, and peak memory."""
    print("| One year, one core | ms a window | Windows | Peak memory | Windows | Peak memory |")
    print("| --- | ---: | ---: | ---: | ---: | ---: |")
    kinds = {
        "sun, sites of 50 windows": (50, ["--no-plan"], (2, 10)),
        "sun, sites of 1 window": (1, ["--no-plan"], (64, 192)),
        "sun and plans, sites of 50": (50, [], (2, 10)),
        "sun, plans and heat, sites of 16": (16, ["--heat"], (1, 4)),
    }
    for name, (each, options, sites) in kinds.items():
        tables = [table_of_windows(folder / f"t{number}.csv", number, each) for number in sites]
        few, many = (once(portfolio(table, *options)) for table in tables)
        more = (sites[1] - sites[0]) * each
        print(
            f"| {name} | {(many.busy - few.busy) / more * 1000:.1f} | "
            f"{sites[0] * each} | {few.peak_mb:.0f} MB | "
            f"{sites[1] * each} | {many.peak_mb:.0f} MB |",
            flush=True,
        )


def main() -> None:
    """Print the tables."""
    tables: dict[str, str] = {
        "growth": "Windows and years",
        "portfolio": "Portfolio",
    }
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--most", type=int, default=1000, help="windows of the largest site")
    parser.add_argument("--scan-most", type=int, default=100, help="windows of the largest scan")
    parser.add_argument("--only", nargs="*", choices=tables, default=list(tables))
    asked = parser.parse_args()
    os.environ["OMP_NUM_THREADS"] = os.environ["OPENBLAS_NUM_THREADS"] = "1"
    print(f"Load of this machine when it began: {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        work: dict[str, Callable[[], None]] = {
            "growth": lambda: growth(folder, asked.most, asked.scan_most),
            "portfolio": lambda: portfolios(folder),
        }
        for table in asked.only:
            print(f"\n### {tables[table]}\n")
            work[table]()


if __name__ == "__main__":
    main()
