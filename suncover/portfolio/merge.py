"""The tables of a portfolio, made of its parts in their order: CSV, and Parquet where asked."""

from __future__ import annotations

import csv
import os
import secrets
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from datetime import date
from importlib.util import find_spec
from pathlib import Path
from typing import Any, TextIO

from suncover.base.csv_text import text_cell
from suncover.base.errors import RequestError
from suncover.facade.periods import month_labels
from suncover.portfolio.work import Results

HOURS_COLUMNS = ("source", "site", "window", "month", "sun_hours")
PLAN_COLUMNS = (
    "source",
    "site",
    "window",
    "shade",
    "closings",
    "most_moves",
    "closed_hours",
    "sun_hours",
    "covered_hours",
    "covered_share",
    "remarks",
)
HEAT_COLUMNS = ("source", "site", "window", "option", "month", "incident_kwh", "admitted_kwh")
FAULT_COLUMNS = ("source", "fault")

_TEXTS = {"source", "site", "window", "shade", "option", "month", "remarks", "fault"}
_COUNTS = {"closings", "most_moves"}
_DECIMALS = {"incident_kwh": 3, "admitted_kwh": 3}  # hours and shares have 4
_GROUP = 100_000  # rows of a Parquet file that are written together

Row = Sequence[Any]


def hour_rows(results: Results, first: date, last: date) -> Iterator[Row]:
    """Sun on each window in each month."""
    labels = month_labels(first, last)
    for source, site, window, seconds in results.hours:
        for label, month_seconds in zip(labels, seconds, strict=True):
            yield source, site, window, label, _hours(month_seconds)


def plan_rows(results: Results) -> Iterator[Row]:
    """What the plan of each shade does for each of its windows."""
    for *names, closings, moves, closed, sun, covered, remarks in results.plans:
        share = round(covered / sun, 4) if sun else None
        times = (_hours(seconds) for seconds in (closed, sun, covered))
        yield *names, closings, moves, *times, share, remarks


def heat_rows(results: Results) -> Iterator[Row]:
    """Heat on and through each window with each option, in each month and the year."""
    for *names, incident, admitted in results.heat:
        for month, pair in enumerate(zip(incident, admitted, strict=True), 1):
            yield *names, f"{month:02d}", *map(_kwh, pair)
        yield *names, "year", _kwh(sum(incident)), _kwh(sum(admitted))


def _hours(seconds: int) -> float:
    return round(seconds / 3600.0, 4)


def _kwh(energy: float) -> float:
    return round(max(energy, 0.0), 3)


def write_csv(path: Path, columns: Sequence[str], rows: Iterable[Row]) -> int:
    """Writes a table as rows come, whole or not at all; the number of its rows."""
    forms = [_form(name) for name in columns]
    count = 0
    with _appearing(path) as temporary, temporary.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\r\n")
        writer.writerow(columns)
        for row in rows:
            writer.writerow([form(cell) for form, cell in zip(forms, row, strict=True)])
            count += 1
        _flush(file)
    return count


def _form(name: str) -> Callable[[Any], str]:
    """How a column's cells are written."""
    if name in _TEXTS:
        return text_cell
    if name in _COUNTS:
        return str
    decimals = _DECIMALS.get(name, 4)
    return lambda cell: "" if cell is None else f"{cell:.{decimals}f}"


def write_parquet(path: Path, columns: Sequence[str], rows: Iterable[Row]) -> None:
    """Writes a table as Parquet, group by group, whole or not at all.

    Raises
    ------
    RequestError
        When pyarrow is not installed.
    """
    require_pyarrow()
    import pyarrow
    import pyarrow.parquet

    def kind(name: str) -> Any:
        if name in _TEXTS:
            return pyarrow.string()
        return pyarrow.int64() if name in _COUNTS else pyarrow.float64()

    schema = pyarrow.schema([(name, kind(name)) for name in columns])
    with (
        _appearing(path) as temporary,
        pyarrow.parquet.ParquetWriter(temporary, schema, compression="zstd") as writer,
    ):
        for group in _groups(rows):
            cells = [list(column) for column in zip(*group, strict=True)]
            writer.write_table(pyarrow.table(cells, schema=schema))


def has_pyarrow() -> bool:
    """Whether Parquet can be read and written."""
    return find_spec("pyarrow") is not None


def require_pyarrow() -> None:
    """Refuses, with the remedy, if Parquet cannot be written."""
    if not has_pyarrow():
        raise RequestError('Parquet needs the package pyarrow: pip install "suncover[batch]"')


def _groups(rows: Iterable[Row]) -> Iterator[list[Row]]:
    group: list[Row] = []
    for row in rows:
        group.append(row)
        if len(group) == _GROUP:
            yield group
            group = []
    if group:
        yield group


@contextmanager
def _appearing(path: Path) -> Iterator[Path]:
    """A file beside the target to write to, which takes its place at the end."""
    temporary = path.parent / f".suncover-{secrets.token_hex(8)}.part"
    try:
        yield temporary
        temporary.replace(path)
    except OSError as error:
        raise RequestError(
            f"{path}: it cannot be written ({error.strerror or error}); check the folder's "
            "permissions and free space"
        ) from None
    finally:
        with suppress(OSError):
            temporary.unlink()


def _flush(file: TextIO) -> None:
    file.flush()
    os.fsync(file.fileno())
