"""What a portfolio is made of: site files of a folder, or the rows of a table, in parts.

A part is a few whole sites, some hundred windows. Sources are read as a stream, and hold no more
than the part at hand; of a folder, also the names of its files.
"""

from __future__ import annotations

import csv
import hashlib
import os
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from pathlib import Path
from typing import Any, NamedTuple

from suncover.base.errors import Fault, FileFaults, RequestError
from suncover.base.textfile import one_fault, printable, read_text
from suncover.portfolio.columns import check_columns, is_blank, site_of_rows
from suncover.site.file.sitefile import site_from_text
from suncover.site.model import Site

PART_WINDOWS, PART_SITES = 96, 64
"""A part is full when it holds as many."""

MOST_ROWS = 20_000  # of one site, all in memory at once
_BATCH = 4096  # rows of a Parquet file read at once


class SiteOrder(NamedTuple):
    """One site to be worked out, unread: the text of its file, or rows of a table.

    `source` tells it apart from all others in the results. `file` is the name in messages, `folder`
    where the files lie that it names. `fault` says why there is nothing to read.
    """

    source: str
    file: str
    folder: str
    text: str | None = None
    names: tuple[str, ...] = ()
    rows: tuple[tuple[int, tuple[Any, ...]], ...] = ()
    fault: str = ""

    def described(self) -> Site:
        """The site as it stands there; the files that it names in `folder` have not been read.

        Raises
        ------
        FileFaults
            Everything that is wrong in it.
        """
        if self.text is not None:
            return site_from_text(self.text, self.file)
        return site_of_rows(self.names, self.rows, self.file)

    @property
    def windows(self) -> int:
        """About how many windows it has."""
        return self.text.count("[[window]]") if self.text is not None else len(self.rows)


@dataclass(frozen=True)
class Part:
    """Some sites that are worked out and kept together; parts are numbered from 0."""

    number: int
    orders: tuple[SiteOrder, ...]

    @cached_property
    def digest(self) -> str:
        """Tells whether another part asks for the very same."""
        request = repr([order._replace(file="") for order in self.orders])
        return hashlib.sha256(request.encode("utf-8", "surrogatepass")).hexdigest()

    @property
    def windows(self) -> int:
        """About how many windows it has."""
        return sum(order.windows for order in self.orders)


def parts_of(orders: Iterable[SiteOrder]) -> Iterator[Part]:
    """The sites in parts, in their order. How they are cut depends on the sites alone."""
    batch: list[SiteOrder] = []
    windows = number = 0
    for order in orders:
        batch.append(order)
        windows += order.windows
        if windows >= PART_WINDOWS or len(batch) >= PART_SITES:
            yield Part(number, tuple(batch))
            batch, windows, number = [], 0, number + 1
    if batch:
        yield Part(number, tuple(batch))


@dataclass(frozen=True)
class Source:
    """Where a portfolio comes from; `size` counts its `unit`, site files or windows."""

    path: Path
    size: int
    unit: str

    def orders(self) -> Iterator[SiteOrder]:
        """Every site, in an order that does not change."""
        if self.unit == "site files":
            return _orders_of_folder(self.path)
        return _orders_of_table(self.path)


def open_source(path: Path) -> Source:
    """The folder or table at a path, its header checked.

    Raises
    ------
    RequestError
        When it is neither, or empty.
    FileFaults
        When the table's header has faults.
    """
    if path.is_dir():
        size = sum(1 for _ in _site_files(path))
        if not size:
            raise RequestError(f"{printable(str(path))}: there is no site file (*.toml) in it")
        return Source(path, size, "site files")
    if path.suffix.lower() not in (".csv", ".parquet"):
        raise RequestError(
            f"{printable(str(path))}: give a folder of site files, or a table of windows "
            "(*.csv or *.parquet)"
        )
    reader = _table(path)
    names = next(reader)[1]
    check_columns(names, str(path))
    size = _checked_rows(path, names, reader)
    if not size:
        raise one_fault(str(path), "there is no row in it; a row is a window")
    return Source(path, size, "windows")


def _checked_rows(
    path: Path, names: Sequence[str], rows: Iterable[tuple[int, Sequence[Any]]]
) -> int:
    """How many rows a table has, once it is sure that those of each site stand together.

    Raises
    ------
    FileFaults
        Every site whose rows are scattered, with the line at which they go on.
    """
    size, before = 0, ""
    first: dict[str, int] = {}
    faults: list[Fault] = []
    for line, cells in rows:
        size += 1
        name = _cell(cells, names, "site.name")
        if name and name != before and first.setdefault(name, line) != line:
            message = (
                f"rows of it stand from line {first[name]} on, and others between; sort the table "
                "by site.name, and give each home a name of its own"
            )
            faults.append(Fault(printable(str(path)), message, printable(f'site "{name}"'), line))
        before = name
    if faults:
        raise FileFaults(faults)
    return size


def _cell(cells: Sequence[Any], names: Sequence[str], column: str) -> str:
    """A row's cell in a column as text; empty where there is none."""
    number = names.index(column) if column in names else len(cells)
    cell = cells[number] if number < len(cells) else None
    return "" if is_blank(cell) else str(cell)


def _site_files(folder: Path) -> Iterator[Path]:
    """The site files of a folder and those in it, sorted; hidden ones are passed over."""
    for place, folders, files in os.walk(folder):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(files):
            if name.lower().endswith(".toml") and not name.startswith("."):
                yield Path(place, name)


def _as_text(name: str) -> str:
    """A file's name as text that any table can hold: bytes that are no UTF-8 as escapes."""
    return name.encode("utf-8", "backslashreplace").decode()


def _orders_of_folder(folder: Path) -> Iterator[SiteOrder]:
    for path in _site_files(folder):
        source = _as_text(path.relative_to(folder).as_posix())
        parent = str(path.absolute().parent)
        try:
            text = read_text(path)
        except FileFaults as error:
            yield SiteOrder(source, str(path), parent, fault=str(error))
        else:
            yield SiteOrder(source, str(path), parent, text)


def _orders_of_table(path: Path) -> Iterator[SiteOrder]:
    """Rows that stand together and have one `site.name` are a site."""
    reader = _table(path)
    names = tuple(next(reader)[1])

    def name_of(row: tuple[int, Sequence[Any]]) -> str:
        return _cell(row[1], names, "site.name")

    for name, rows in groupby(reader, key=name_of):
        site_rows: list[tuple[int, tuple[Any, ...]]] = []
        count = 0
        for line, cells in rows:
            count += 1
            if count <= MOST_ROWS:
                site_rows.append((line, tuple(cells)))
        source = f"{_as_text(path.name)}:{site_rows[0][0]}"
        parent = str(path.absolute().parent)
        if count > MOST_ROWS:
            message = f'site "{name}" has {count} windows; at most {MOST_ROWS} may be in one'
            fault = str(one_fault(str(path), message, site_rows[0][0]))
            yield SiteOrder(source, str(path), parent, fault=fault)
        else:
            yield SiteOrder(source, str(path), parent, None, names, tuple(site_rows))


def _table(path: Path) -> Iterator[tuple[int, Sequence[Any]]]:
    """The header and then each row, with its line (CSV) or its number from 1 (Parquet)."""
    return _parquet(path) if path.suffix.lower() == ".parquet" else _csv(path)


def _csv(path: Path) -> Iterator[tuple[int, Sequence[Any]]]:
    line = 1
    try:
        with path.open(newline="", encoding="utf-8-sig") as file:
            reader = csv.reader(file, strict=True)
            for cells in reader:
                if cells or line == 1:
                    yield line, cells if line > 1 else [cell.strip() for cell in cells]
                line = reader.line_num + 1
            if line == 1:
                yield 1, []
    except UnicodeDecodeError:
        raise one_fault(str(path), "this is not text in UTF-8; save it as UTF-8") from None
    except csv.Error as error:
        raise one_fault(str(path), f"this is not CSV: {error}", line) from None
    except OSError as error:
        raise one_fault(str(path), f"it cannot be read: {error.strerror or error}") from None


def _parquet(path: Path) -> Iterator[tuple[int, Sequence[Any]]]:
    try:
        import pyarrow
        import pyarrow.parquet
    except ImportError:
        raise RequestError(
            'Parquet needs the package pyarrow: pip install "suncover[batch]"'
        ) from None
    try:
        with pyarrow.parquet.ParquetFile(path) as file:
            names = file.schema_arrow.names
            yield 0, names
            number = 0
            for batch in file.iter_batches(_BATCH):
                for row in batch.to_pylist():
                    number += 1
                    yield number, [row[name] for name in names]
    except (OSError, pyarrow.ArrowException) as error:
        cause = str(error).splitlines()[0]
        raise one_fault(str(path), f"this Parquet file cannot be read: {cause}") from None
