"""A portfolio from end to end: what is not done is worked out and kept, then tables are made."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from suncover.portfolio.engines import Engine
from suncover.portfolio.merge import (
    FAULT_COLUMNS,
    HEAT_COLUMNS,
    HOURS_COLUMNS,
    PLAN_COLUMNS,
    Row,
    heat_rows,
    hour_rows,
    plan_rows,
    write_csv,
    write_parquet,
)
from suncover.portfolio.sources import Part, Source, parts_of
from suncover.portfolio.store import Store
from suncover.portfolio.work import Request, Results

Report = Callable[[int], None]
"""Told how many more site files or windows are done."""


@dataclass
class Summary:
    """What a run came to. `reused` counts the parts that were done before; `lost` are faults of
    sites whose process ended, which the next run tries again.
    """

    parts: int = 0
    reused: int = 0
    sites: int = 0
    windows: int = 0
    faults: list[list[str]] = field(default_factory=list)
    lost: list[list[str]] = field(default_factory=list)
    files: list[Path] = field(default_factory=list)

    @property
    def faulty_sites(self) -> int:
        """How many sites have no results."""
        return len({source for source, _ in (*self.faults, *self.lost)})


def run_portfolio(
    source: Source,
    store: Store,
    request: Request,
    engine: Engine,
    *,
    parquet: bool = False,
    report: Report = lambda _: None,
) -> Summary:
    """Works out what is not done, and writes the tables into the store's folder.

    With `parquet` each table is written in that form, too. `report` hears of every part done.

    Raises
    ------
    RequestError
        When a file cannot be written, or the cluster is lost. What is done is kept.
    """
    summary = Summary()

    def advance(part: Part) -> None:
        report(len(part.orders) if source.unit == "site files" else part.windows)

    def to_do() -> Iterator[Part]:
        for part in parts_of(source.orders()):
            summary.parts += 1
            summary.sites += len(part.orders)
            if store.has(part):
                summary.reused += 1
                advance(part)
            else:
                yield part

    for part, results in engine(to_do(), request):
        if results.version:
            store.keep(part, results)
        else:
            # The part is left open, so that the next run tries it again.
            store.drop(part.number)
            summary.lost += results.faults
        advance(part)
    store.drop_from(summary.parts)
    _write_tables(store, request, summary, parquet=parquet)
    return summary


def _write_tables(store: Store, request: Request, summary: Summary, *, parquet: bool) -> None:
    numbers = range(summary.parts)

    def rows(of: Callable[[Results], Iterator[Row]]) -> Iterator[Row]:
        for results in store.results(numbers):
            yield from of(results)

    tables: list[tuple[str, tuple[str, ...], Callable[[Results], Iterator[Row]]]] = [
        ("hours", HOURS_COLUMNS, lambda results: hour_rows(results, request.first, request.last))
    ]
    if request.plan:
        tables.append(("plans", PLAN_COLUMNS, plan_rows))
    if request.heat:
        tables.append(("heat", HEAT_COLUMNS, heat_rows))
    for name, columns, of in tables:
        path = store.folder / f"{name}.csv"
        write_csv(path, columns, rows(of))
        summary.files.append(path)
        if parquet:
            path = path.with_suffix(".parquet")
            write_parquet(path, columns, rows(of))
            summary.files.append(path)
    for results in store.results(numbers):
        summary.windows += len(results.hours)
        summary.faults += results.faults
    path = store.folder / "faults.csv"
    if summary.faults or summary.lost:
        write_csv(path, FAULT_COLUMNS, (*summary.faults, *summary.lost))
        summary.files.append(path)
    else:
        path.unlink(missing_ok=True)
    store.note(
        {
            "sites": summary.sites,
            "windows": summary.windows,
            "sites_with_faults": summary.faulty_sites,
            "parts": summary.parts,
        }
    )
