"""Adding sightings to a CSV file of them, and what nobody is likely to have seen."""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from suncover.base.csv_text import delimiter_of, rows_of, text_cell, text_of_cell
from suncover.base.errors import Fault, FileFaults
from suncover.base.textfile import printable, read_text
from suncover.site.rules.sizes import size_doubt
from suncover.site.sightings import COLUMNS, Sighting, sighting_of, sightings_from_text

_NEEDED = 3
SLACK_S = 60.0  # two clocks may differ by so much
SIZES = ("distance", "offset", "minutes")

SIGHTING = "this sighting"
"""What stands in place of a file's name in the faults of one that is in no file yet."""


def one_sighting(
    cells: Mapping[str, str], windows: Sequence[str] | None, zone: ZoneInfo | None = None
) -> Sighting:
    """A sighting from its `cells` by column; `windows` are the names that it may be of, if known.

    `zone` is the site's, for the remedy of a time without offset.

    Raises
    ------
    FileFaults
        With all that is wrong with it.
    """
    faults: list[Fault] = []

    def wrong(place: str, sentence: str) -> None:
        faults.append(Fault(SIGHTING, printable(sentence), place))

    names = [cells["window"]] if windows is None else windows
    sighting = sighting_of(cells, names, zone, wrong)
    if sighting is None:
        raise FileFaults(faults)
    return sighting


def slips(sighting: Sighting, now: datetime) -> Iterator[tuple[str, str]]:
    """Where a sighting must be a slip: each time the key at fault, and a sentence.

    `now` has its time zone, by which times are written.
    """
    seen_at = datetime.fromtimestamp(sighting.time, now.tzinfo)
    if sighting.time > now.timestamp() + SLACK_S:
        moment = now.replace(microsecond=0).isoformat()
        yield "time", f"{seen_at.isoformat()} is still to come: it is {moment} now"
    for key in SIZES:
        value = getattr(sighting, key)
        if value is not None and (doubt := size_doubt(f"sighting.{key}", value)):
            end = "" if doubt.endswith("?") else "."
            yield key, f"it {doubt}{end} What is right can be written into the file by hand"


def added_sighting(
    path: str | os.PathLike[str], cells: Mapping[str, str], windows: Sequence[str] | None
) -> str:
    """The text of a sightings file with one more at its end, as `one_sighting` has read it.

    A new file has just the one. `windows` are the names that the file may have, None if they are
    not known. The file's own columns, separators and line ends are kept; a column that it lacks is
    added.

    Raises
    ------
    FileFaults
        When the file cannot be read or is wrong.
    """
    text = read_text(path) if Path(path).exists() else ""
    used = [column for column in COLUMNS if cells.get(column)]
    if text.strip():
        sightings_from_text(text, _named_windows(text) if windows is None else windows, path)
        return _extended(text, cells, used)
    header = [*COLUMNS[:_NEEDED], *(column for column in used if column not in COLUMNS[:_NEEDED])]
    return _line(header, ",", "\n") + _line(_row(cells, header), ",", "\n")


def _extended(text: str, cells: Mapping[str, str], used: Sequence[str]) -> str:
    end = "\r\n" if "\r\n" in text else "\n"
    head, rows = text.partition("\n")[0].rstrip("\r"), text.partition("\n")[2]
    mark = delimiter_of(text)
    columns = [cell.strip().casefold() for cell in next(csv.reader([head], delimiter=mark))]
    new_columns = [column for column in used if column not in columns]
    if new_columns:
        head = mark.join([head, *new_columns])  # rows that are shorter have nothing in them
    row = _row(cells, [*columns, *new_columns])
    body = head + end + rows
    return (body if body.endswith("\n") else body + end) + _line(row, mark, end)


def _row(cells: Mapping[str, str], columns: Sequence[str]) -> list[str]:
    """The cells of some columns; a window's name as one that no spreadsheet runs as a formula."""
    row = {**cells, "window": text_cell(cells.get("window", ""))}
    return [row.get(column, "") for column in columns]


def _line(cells: Sequence[str], mark: str, end: str) -> str:
    text = io.StringIO()
    csv.writer(text, delimiter=mark, lineterminator=end).writerow(cells)
    return text.getvalue()


def _named_windows(text: str) -> list[str]:
    """Every window that a file names: all are right where no site says otherwise."""
    rows = [cells for _, cells in rows_of(text)]
    names = [cell.strip().casefold() for cell in rows[0]]
    at = names.index("window") if "window" in names else len(names)
    return [text_of_cell(cells[at].strip()) for cells in rows[1:] if at < len(cells)]


def with_more_sightings(
    path: str | os.PathLike[str],
    fresh: Sequence[Sighting],
    windows: Sequence[str],
    zone: ZoneInfo,
) -> str:
    """The text of a sightings file with those of `fresh` at its end that it does not have yet.

    A new file has just these. Times are written by the site's clocks, with their offset.

    Raises
    ------
    FileFaults
        When there is such a file and it cannot be read or is wrong.
    """
    text = read_text(path) if Path(path).exists() else ""
    present = set()
    if text.strip():
        present = {
            (s.window, s.time, s.seen) for s in sightings_from_text(text, windows, path, zone)
        }
    used = ("window", "time", "seen", "minutes")
    if not text.strip():
        text = _line(used, ",", "\n")
    for sighting in fresh:
        if (sighting.window, sighting.time, sighting.seen) in present:
            continue
        cells = {
            "window": sighting.window,
            "time": datetime.fromtimestamp(sighting.time, zone).isoformat(),
            "seen": sighting.seen,
            "minutes": "" if sighting.minutes is None else f"{sighting.minutes:g}",
        }
        text = _extended(text, cells, used)
    return text
