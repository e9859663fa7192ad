"""Direct sun on windows and on spots as CSV: one row for each spell.

A spell that crosses midnight stays one row, under the date on which it starts. Rows go window by
window, or spot by spot, in the order in which they are given, and then by time.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from zoneinfo import ZoneInfo

import numpy as np

from suncover.clock import iso_local, offsets_between
from suncover.export.csv_text import minutes_text, table, text_cell
from suncover.spell import Spell

HOURS_COLUMNS = ("window", "date", "start", "end", "minutes")
SPOTS_COLUMNS = ("spot", *HOURS_COLUMNS)


def hours_csv(spells_by_window: Mapping[str, Sequence[Spell]], zone: ZoneInfo) -> bytes:
    """The file's bytes for spells of sun on each window, by the window's name."""
    named = [([window], spells) for window, spells in spells_by_window.items()]
    return _spells_table(HOURS_COLUMNS, named, zone)


def spots_csv(spots: Iterable[tuple[str, str, Sequence[Spell]]], zone: ZoneInfo) -> bytes:
    """The file's bytes for each spot's name, the name of its window, and its spells of sun."""
    named = [([spot, window], spells) for spot, window, spells in spots]
    return _spells_table(SPOTS_COLUMNS, named, zone)


def _spells_table(
    header: Sequence[str], named: Sequence[tuple[list[str], Sequence[Spell]]], zone: ZoneInfo
) -> bytes:
    """A table whose rows begin with some names; only these can need quoting."""
    head = table(header, []).decode()
    parts = [head]
    for names, spells in named:
        start = table([text_cell(name) for name in names], []).decode().removesuffix("\r\n")
        begins = local_texts([spell.start for spell in spells], zone)
        ends = local_texts([spell.end for spell in spells], zone)
        parts += [
            f"{start},{begin[:10]},{begin},{end},{minutes_text(spell.seconds)}\r\n"
            for spell, begin, end in zip(spells, begins, ends, strict=True)
        ]
    return "".join(parts).encode()


def local_texts(instants: Sequence[int], zone: ZoneInfo) -> list[str]:
    """Many instants, in any order, as `suncover.clock.iso_local` writes one."""
    if not instants:
        return []
    seconds = np.array(instants, dtype=np.int64)
    spans = offsets_between(int(seconds.min()), int(seconds.max()), zone)
    which = np.searchsorted([begin for begin, _ in spans], seconds, side="right") - 1
    local = seconds + np.array([offset for _, offset in spans])[which]
    texts = np.datetime_as_string(local.astype("datetime64[s]")).tolist()
    endings = [iso_local(begin, zone)[19:] for begin, _ in spans]
    return [text + endings[index] for text, index in zip(texts, which.tolist(), strict=True)]
