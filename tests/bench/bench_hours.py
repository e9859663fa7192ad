"""How long `suncover hours` takes for a year, beside a plain scan with pvlib, in one run.

    python tests/bench/bench_hours.py [8 200 ...]

For each number of windows: seconds of the whole process (the median of a few), their ratio, and how
far the scan's starts and ends lie from the exact ones. Beside them, a bare `import pvlib`. Compare
ratios, not seconds: machines differ, and are busy now and then.
"""

from __future__ import annotations

import csv
import statistics
import subprocess
import sys
import tempfile
import time
from datetime import datetime
from pathlib import Path
from random import Random

HERE = Path(__file__).parent
YEAR = 2027


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


def timed(command: list[str], output: Path, runs: int) -> float:
    """Median seconds of the whole process."""
    taken = []
    for _ in range(runs):
        with output.open("wb") as file:
            begin = time.perf_counter()
            subprocess.run(command, stdout=file, check=True)
            taken.append(time.perf_counter() - begin)
    return statistics.median(taken)


def spells(path: Path) -> dict[tuple[str, str], list[tuple[float, float]]]:
    """Start and end of every spell by window and date."""
    found: dict[tuple[str, str], list[tuple[float, float]]] = {}
    with path.open(newline="", encoding="utf-8") as file:
        for row in csv.DictReader(file):
            ends = [datetime.fromisoformat(row[key]).timestamp() for key in ("start", "end")]
            found.setdefault((row["window"], row["date"]), []).append((ends[0], ends[1]))
    return found


def off_by(exact: Path, scanned: Path) -> str:
    """How far the scan's ends are from the exact ones, where both find as many spells in a day."""
    ours, theirs = spells(exact), spells(scanned)
    away = [
        abs(a - b)
        for key in ours.keys() & theirs.keys()
        if len(ours[key]) == len(theirs[key])
        for mine, other in zip(ours[key], theirs[key], strict=True)
        for a, b in zip(mine, other, strict=True)
    ]
    other = sum(
        len(ours.get(key, [])) != len(theirs.get(key, [])) for key in ours.keys() | theirs.keys()
    )
    typical, most = statistics.median(away), max(away)
    return f"median {typical:.0f} s, most {most:.0f} s; other spells on {other} days"


def main(sizes: list[int]) -> None:
    """Print one line a size."""
    with tempfile.TemporaryDirectory() as folder:
        site, ours, theirs = (
            Path(folder) / name for name in ("site.toml", "ours.csv", "theirs.csv")
        )
        bare = timed([sys.executable, "-c", "import pvlib"], ours, 5)
        print(f"bare import pvlib: {bare:.2f} s")
        for windows in sizes:
            site.write_text(site_text(windows), encoding="utf-8")
            hours = [sys.executable, "-m", "suncover", "hours", str(site), "--format", "csv"]
            hours += ["--from", f"{YEAR}-01-01", "--to", f"{YEAR}-12-31"]
            scan = [sys.executable, str(HERE / "minute_scan.py"), str(site), str(YEAR)]
            runs = 3 if windows <= 20 else 1
            taken, plain = timed(hours, ours, runs), timed(scan, theirs, runs)
            print(
                f"{windows:6d} windows: suncover {taken:7.2f} s "
                f"({taken / bare:.2f} imports of pvlib), "
                f"scan {plain:7.2f} s, {plain / taken:.1f} times as fast; "
                f"scan's ends off by {off_by(ours, theirs)}"
            )


if __name__ == "__main__":
    main([int(text) for text in sys.argv[1:]] or [8, 200])
