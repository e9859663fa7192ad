"""Direct sun on windows and on spots as CSV: one row for each spell.

A spell that crosses midnight stays one row, under the date on which it starts. Rows go window by
window, or spot by spot, in the order in which they are given, and then by time.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from zoneinfo import ZoneInfo

from suncover.clock import iso_local, local_date
from suncover.export.csv_text import minutes_text, table, text_cell
from suncover.spell import Spell

HOURS_COLUMNS = ("window", "date", "start", "end", "minutes")
SPOTS_COLUMNS = ("spot", *HOURS_COLUMNS)


def hours_csv(spells_by_window: Mapping[str, Sequence[Spell]], zone: ZoneInfo) -> bytes:
    """The file's bytes for spells of sun on each window, by the window's name."""
    rows = (
        [text_cell(window), *_when(spell, zone)]
        for window, spells in spells_by_window.items()
        for spell in spells
    )
    return table(HOURS_COLUMNS, rows)


def spots_csv(spots: Iterable[tuple[str, str, Sequence[Spell]]], zone: ZoneInfo) -> bytes:
    """The file's bytes for each spot's name, the name of its window, and its spells of sun."""
    rows = (
        [text_cell(spot), text_cell(window), *_when(spell, zone)]
        for spot, window, spells in spots
        for spell in spells
    )
    return table(SPOTS_COLUMNS, rows)


def _when(spell: Spell, zone: ZoneInfo) -> list[str]:
    return [
        local_date(spell.start, zone).isoformat(),
        iso_local(spell.start, zone),
        iso_local(spell.end, zone),
        minutes_text(spell.seconds),
    ]
