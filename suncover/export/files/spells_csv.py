"""Direct sun on windows and on spots as CSV: one row for each spell.

A spell that crosses midnight stays one row, under the date on which it starts. Rows go window by
window, or spot by spot, in the order in which they are given, and then by time.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import islice
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from suncover.base.clock import iso_local, offsets_between
from suncover.base.cores import cores, on_threads
from suncover.base.csv_text import minutes_text, table, text_cell, watts_text
from suncover.base.spell import Spell
from suncover.export.files.spell_rows import spell_rows

Ints = NDArray[np.int64]

# Rows that are laid out together.
ROWS_AT_ONCE = 40_000
HOURS_COLUMNS = ("window", "date", "start", "end", "minutes")
SPOTS_COLUMNS = ("spot", *HOURS_COLUMNS)


def hours_csv(
    spells_by_window: Mapping[str, Sequence[Spell]],
    zone: ZoneInfo,
    *,
    reaches: Mapping[str, Sequence[float]] | None = None,
    spots: Mapping[str, Sequence[Sequence[str]]] | None = None,
    peaks: Mapping[str, Sequence[float]] | None = None,
) -> bytes:
    """The file's bytes for spells of sun on each window, by the window's name.

    `reaches` adds a column `reach`, metres into the room in each spell; `spots` a column of that
    name, the spots in sun in each; `peaks` a column `peak`, the greatest power on the glass in
    each, W/m². All by window name, then spell by spell.
    """
    header = [*HOURS_COLUMNS]
    header += ["reach"] if reaches is not None else []
    header += ["spots"] if spots is not None else []
    header += ["peak"] if peaks is not None else []
    if len(header) == len(HOURS_COLUMNS):
        by_names = (([window], spells) for window, spells in spells_by_window.items())
        return _spells_table(header, by_names, zone)
    parts = [table(header, [])]
    for window, spells in spells_by_window.items():
        rows = list(_rows(window, spells, zone))
        if reaches is not None:
            rows = [[*r, _metres(far)] for r, far in zip(rows, reaches[window], strict=True)]
        if spots is not None:
            cells = [text_cell("; ".join(names)) for names in spots[window]]
            rows = [[*row, cell] for row, cell in zip(rows, cells, strict=True)]
        if peaks is not None:
            rows = [[*row, watts_text(peak)] for row, peak in zip(rows, peaks[window], strict=True)]
        parts += [_lines(rows)]
    return b"".join(parts)


def _rows(window: str, spells: Sequence[Spell], zone: ZoneInfo) -> Iterator[list[str]]:
    begins = local_texts([spell.start for spell in spells], zone)
    ends = local_texts([spell.end for spell in spells], zone)
    for spell, begin, end in zip(spells, begins, ends, strict=True):
        yield [text_cell(window), begin[:10], begin, end, minutes_text(spell.seconds)]


def _lines(rows: Sequence[Sequence[str]]) -> bytes:
    return b"".join(table(row, []) for row in rows)


def _metres(far: float) -> str:
    """Metres to a centimetre; empty where there are none."""
    return "" if math.isnan(far) else f"{far:.2f}"


def spots_csv(spots: Iterable[tuple[str, str, Sequence[Spell]]], zone: ZoneInfo) -> bytes:
    """The file's bytes for each spot's name, the name of its window, and its spells of sun."""
    by_names = (([spot, window], spells) for spot, window, spells in spots)
    return _spells_table(SPOTS_COLUMNS, by_names, zone)


def _spells_table(
    header: Sequence[str], by_names: Iterable[tuple[list[str], Sequence[Spell]]], zone: ZoneInfo
) -> bytes:
    """A table whose rows begin with some names."""
    arrays = ((names, _seconds(spells)) for names, spells in by_names)
    return b"".join(table_pieces(header, arrays, zone))


def _seconds(spells: Sequence[Spell]) -> Ints:
    ends = [(spell.start, spell.end) for spell in spells]
    return np.array(ends, dtype=np.int64).reshape(-1, 2)


def hours_pieces(spells_by_window: Iterable[tuple[str, Ints]], zone: ZoneInfo) -> Iterator[bytes]:
    """What `hours_csv` gives, piece by piece, for windows' names and spells (n, 2), unix
    seconds.
    """
    by_names = (([window], spells) for window, spells in spells_by_window)
    return table_pieces(HOURS_COLUMNS, by_names, zone)


def table_pieces(
    header: Sequence[str], by_names: Iterable[tuple[list[str], Ints]], zone: ZoneInfo
) -> Iterator[bytes]:
    """A table whose rows begin with some names, which alone can need quoting, piece by piece."""
    yield table(header, [])
    jobs = _jobs(by_names)
    while next_jobs := list(islice(jobs, cores())):
        yield from on_threads(lambda job: spell_rows(*job, zone), next_jobs)


def _jobs(
    by_names: Iterable[tuple[list[str], Ints]],
) -> Iterator[tuple[list[bytes], list[int], Ints]]:
    """What `spell_rows` takes, for so many rows at once."""
    heads: list[bytes] = []
    parts: list[Ints] = []
    for names, spells in by_names:
        heads.append(table([text_cell(name) for name in names], []).removesuffix(b"\r\n"))
        parts.append(spells)
        if sum(map(len, parts)) >= ROWS_AT_ONCE:
            yield heads, [len(part) for part in parts], np.concatenate(parts)
            heads, parts = [], []
    if parts:
        yield heads, [len(part) for part in parts], np.concatenate(parts)


def local_texts(instants: Sequence[int], zone: ZoneInfo) -> list[str]:
    """Many instants, in any order, as `suncover.base.clock.iso_local` writes one."""
    if not instants:
        return []
    seconds = np.array(instants, dtype=np.int64)
    spans = offsets_between(int(seconds.min()), int(seconds.max()), zone)
    span_of = np.searchsorted([begin for begin, _ in spans], seconds, side="right") - 1
    local = seconds + np.array([offset for _, offset in spans])[span_of]
    texts = np.datetime_as_string(local.astype("datetime64[s]")).tolist()
    endings = [iso_local(begin, zone)[19:] for begin, _ in spans]
    return [text + endings[index] for text, index in zip(texts, span_of.tolist(), strict=True)]
