"""`suncover portfolio`: many sites at once, on all cores or a cluster."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import click

from suncover.cli.dates import calendar_year
from suncover.cli.options import date_range
from suncover.cli.output import refuse_inputs, remark, say

if TYPE_CHECKING:
    from suncover.portfolio.run import Report, Summary

MOST_LINES = 20  # lines about faults on the screen; all are in the file


@click.command()
@click.argument("source", metavar="FOLDER|TABLE", type=click.Path(path_type=Path, exists=True))
@click.option(
    "-o",
    "--output",
    "folder",
    required=True,
    type=click.Path(path_type=Path, file_okay=False),
    metavar="FOLDER",
    help="Folder for the results; one with results of the same request is gone on with.",
)
@date_range
@click.option("--no-plan", is_flag=True, help="Leave out the shades' plans: hours of sun alone.")
@click.option("--heat", is_flag=True, help="Also the heat with each option, as `compare` does.")
@click.option(
    "--map",
    "map_file",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    metavar="FILE",
    help="GeoJSON map of what stands about the sites: its buildings and trees shade their windows.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(("csv", "both")),
    help="CSV alone, or Parquet as well; both where pyarrow is installed.",
)
@click.option(
    "--jobs",
    type=click.IntRange(1, 1024),
    metavar="N",
    help="Processes; as many as there are cores.",
)
@click.option(
    "--cluster",
    metavar="ADDRESS",
    help="Work on the Dask scheduler there instead, tcp://host:8786.",
)
def portfolio(
    *,
    source: Path,
    folder: Path,
    first: date | None,
    last: date | None,
    no_plan: bool,
    heat: bool,
    map_file: Path | None,
    form: str | None,
    jobs: int | None,
    cluster: str | None,
) -> int:
    """Sun, plans and heat for many sites: a FOLDER of site files, or a TABLE of windows.

    Writes hours.csv (sun by month on each window), plans.csv (what the shades' plans do) and, with
    --heat, heat.csv into a folder, and the same as Parquet. A table (*.csv or *.parquet) has one
    row a window; its columns are the keys of the site file.

    It may be stopped at any time. The same command goes on where it was. A site with faults is
    named and does not stop the rest; the exit status is then 1. Without --from and --to: this
    calendar year, or the dates that the folder's results have.

    \b
    Examples:
      suncover portfolio estate -o results --from 2027-01-01 --to 2027-12-31
      suncover portfolio windows.csv -o results --heat --jobs 4
      suncover portfolio street.csv -o results --map street.geojson
      suncover portfolio windows.parquet -o results --cluster tcp://10.0.0.5:8786
    """
    if cluster is not None and jobs is not None:
        raise click.UsageError("--jobs is for this machine, --cluster for others; give one of them")
    from suncover.portfolio.sources import open_source

    opened = open_source(source)

    from suncover.base.cores import cores
    from suncover.portfolio import engines, merge
    from suncover.portfolio.run import run_portfolio
    from suncover.portfolio.store import Store, kept_dates
    from suncover.portfolio.work import Request

    if form == "both":
        merge.require_pyarrow()
    parquet = form == "both" or (form is None and merge.has_pyarrow())
    known = kept_dates(folder) if first is None and last is None else None
    dates = known or calendar_year(first, last, ZoneInfo("UTC"))
    neighbours = None if map_file is None else str(map_file.absolute())
    request = Request(*dates, plan=not no_plan, heat=heat, map_file=neighbours)
    engine = engines.on_cluster(cluster) if cluster else engines.on_cores(jobs or cores())
    tables = [
        folder / f"{name}.{kind}"
        for name in ("hours", "plans", "heat", "faults")
        for kind in ("csv", "parquet")
    ]
    refuse_inputs(tables, [source, *([] if map_file is None else [map_file])])
    if map_file is not None:
        from suncover.around.geojson import read_map
        from suncover.cli.around import unread_lines

        for line in unread_lines(read_map(map_file).unread):  # once, before the work
            remark(line)
    store = Store(folder, request)
    try:
        with _bar(opened.size, opened.unit) as report:
            summary = run_portfolio(opened, store, request, engine, parquet=parquet, report=report)
    except KeyboardInterrupt:
        remark("\nstopped; what is done is kept, run the same command again to go on")
        return 130
    _tell(summary, parquet=parquet, form=form)
    return 1 if summary.faulty_sites else 0


def _tell(summary: Summary, *, parquet: bool, form: str | None) -> None:
    from suncover.base.textfile import printable

    lines = [line for _, text in (*summary.faults, *summary.lost) for line in text.splitlines()]
    for line in lines[:MOST_LINES]:
        remark(line)
    if len(lines) > MOST_LINES:
        remark(f"… and {len(lines) - MOST_LINES} more, in faults.csv")
    if not parquet and form is None:
        remark('no Parquet: it needs the package pyarrow (pip install "suncover[batch]")')
    fine = summary.sites - summary.faulty_sites
    say(f"{summary.windows} windows of {_count(fine, 'site')} worked out")
    if summary.reused:
        say(f" ({summary.reused} of {_count(summary.parts, 'part')} had been done before)")
    say("\n")
    if summary.faulty_sites:
        say(f"{_count(summary.faulty_sites, 'site')} could not be, for the faults above\n")
    for path in summary.files:
        say(f"wrote {printable(str(path))}\n")


def _count(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


@contextmanager
def _bar(size: int, unit: str) -> Iterator[Report]:
    """Shows on a terminal how much is done and how long the rest may take, on standard error."""
    if not sys.stderr.isatty():
        yield lambda _: None
        return
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        MofNCompleteColumn,
        Progress,
        TextColumn,
        TimeRemainingColumn,
    )

    columns = (BarColumn(), MofNCompleteColumn(), TextColumn(unit), TimeRemainingColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        task = progress.add_task("working", total=size)
        yield lambda count: progress.advance(task, count)
