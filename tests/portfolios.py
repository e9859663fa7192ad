"""Small portfolios of made-up houses for the tests: folders of site files, tables of windows."""

import csv
import os
import signal
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import site_texts
from site_texts import table, window

from suncover.portfolio import engines
from suncover.portfolio.run import Summary, run_portfolio
from suncover.portfolio.sources import Part, open_source
from suncover.portfolio.store import Store
from suncover.portfolio.work import Request, Results, work_out

JUNE = ("--from", "2027-06-01", "--to", "2027-06-10")
ASKED = Request(date(2027, 6, 1), date(2027, 6, 10))
NAMES = ("Amberfield", "Birchcombe", "Coldwater Row", "Dunmore Place", "Elder Court")


def house(number: int, width: float = 1.2) -> str:
    """The text of one of the houses, with a kitchen window of that width."""
    night = {"quiet": ["21:30", "07:00"], "need": {"beam": 200}}
    roof = {"depth": 0.6, "gap": 0.2}
    return site_texts.house(
        table("need", season=["05-01", "09-30"]),
        window("kitchen", (80 + 25 * number) % 360, width, 1.4, reveal=0.1, overhang=roof),
        window("study", 250, 1.0, 1.0),
        table("shade", name="roller", windows=["kitchen"], travel=60, **night),
        name=NAMES[number % len(NAMES)],
        at=(30 + number % 25, -79.95),
        elevation=270,
        timezone="America/New_York",
    )


def write_estate(folder: Path, houses: int, *, broken: tuple[int, ...] = ()) -> Path:
    """A folder of house files, every second in a folder of its own."""
    for number in range(houses):
        place = folder / ("block" if number % 2 else ".")
        place.mkdir(parents=True, exist_ok=True)
        text = house(number, -1.2 if number in broken else 1.2)
        (place / f"house{number:03d}.toml").write_text(text, encoding="utf-8")
    return folder


COLUMNS = [
    *("site.name", "site.latitude", "site.longitude", "site.elevation", "site.timezone"),
    *("need.season", "name", "azimuth", "width", "height", "reveal"),
    *("overhang.depth", "overhang.gap", "fin.left.depth"),
    *("shade.name", "shade.travel", "shade.quiet", "shade.need.beam", "_unit"),
]


def house_rows(number: int) -> list[list[Any]]:
    """The rows of one of the houses: kitchen and study."""
    site: list[Any] = [
        NAMES[number % len(NAMES)],
        30 + number % 25,
        -79.95,
        "270 m",
        "America/New_York",
    ]
    season, quiet = '["05-01", "09-30"]', '["21:30", "07:00"]'
    kitchen = ["kitchen", (80 + 25 * number) % 360, "120 cm", 1.4, 0.1, 0.6, 0.2, ""]
    return [
        [*site, season, *kitchen, "roller", 60, quiet, 200, "flat 1"],
        [*site, "", "study", 250, 1.0, 1, "", "", "", "", "", "", "", "", "flat 1"],
    ]


def write_table(path: Path, rows: list[list[Any]], columns: list[str] = COLUMNS) -> Path:
    """A table of windows as CSV."""
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(columns)
        writer.writerows(rows)
    return path


def rows_of(path: Path) -> list[dict[str, str]]:
    """The rows of a CSV file."""
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def ended_by_house_002(part: Part, request: Request) -> Results:
    """Works out a part, but house 2 ends the process, as the system does when memory runs out."""
    if any(order.source == "house002.toml" for order in part.orders):
        os.kill(os.getpid(), signal.SIGKILL)
    return work_out(part, request)


def files_of(folder: Path) -> dict[str, bytes]:
    """The tables in a folder of results."""
    return {
        path.name: path.read_bytes()
        for path in sorted(folder.glob("*.*"))
        if path.is_file() and path.name != "manifest.json"
    }


def small_parts(monkeypatch: pytest.MonkeyPatch, sites: int = 1) -> None:
    monkeypatch.setattr("suncover.portfolio.sources.PART_SITES", sites)


def run_here(source: Path, out: Path, engine: engines.Engine = engines.in_this_process) -> Summary:
    return run_portfolio(
        open_source(source), Store(out, ASKED), ASKED, engine, parquet=False, report=lambda _: None
    )
