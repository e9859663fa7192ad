"""What the sun does in the rooms, for a person: how far it falls in, and what light places get."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from zoneinfo import ZoneInfo

from suncover.base.clock import local_date
from suncover.base.spell import Spell
from suncover.export.text.text_table import WIDTH, Column, Style, cut, joined, table, wrapped
from suncover.export.text.words import hours_text, period_text, weekday_text
from suncover.plan.room_sun import LUMENS_PER_WATT, SpotDose

FARTHEST_M = 20.0  # beyond this, a room's far wall is in the way

_REACHES = (Column(""), Column("farthest", right=True), Column("on"))
_PEAKS = (Column(""), Column("strongest", right=True), Column("on"))
_DOSES = (
    Column("place", most=24),
    Column("hours of sun", right=True),
    Column("kWh/m²", right=True),
    Column("klux h", right=True),
    Column("klux h with the plan", right=True),
)


def reach_text(
    spells: Mapping[str, Sequence[Spell]],
    reaches: Mapping[str, Sequence[float]],
    zone: ZoneInfo,
    height: float,
    *,
    strong: Style = str,
) -> str:
    """How far the sun falls into the room behind each window, month by month.

    `reaches` holds the farthest of each spell, metres, by window name; nan where none falls into
    the room at the level, `height` metres above the floor.
    """
    level = "on the floor" if height == 0 else f"{height:g} m above the floor"
    lines = [strong(f"How far the sun falls into the room, {level}")]
    for name, farthest in reaches.items():
        lines += ["", strong(cut(name, WIDTH)), *_months(spells[name], farthest, zone)]
    return joined(lines)


def peak_text(
    spells: Mapping[str, Sequence[Spell]],
    peaks: Mapping[str, Sequence[float]],
    zone: ZoneInfo,
    *,
    strong: Style = str,
) -> str:
    """How strong the sun gets on each window's whole glass, month by month.

    `peaks` holds the greatest power of each spell, W/m², by window name.
    """
    lines = [strong("How strong the sun gets, averaged over the whole glass")]
    for name, greatest in peaks.items():
        rows = [
            (period_text(label), f"{best[0]:.0f} W/m²", weekday_text(best[1]))
            for label, best in _most_by_month(spells[name], greatest, zone).items()
            if best is not None
        ]
        lines += ["", strong(cut(name, WIDTH))]
        lines += table(_PEAKS, rows) if rows else ["  no sun falls there"]
    return joined(lines)


def _most_by_month(
    spells: Sequence[Spell], amounts: Sequence[float], zone: ZoneInfo
) -> dict[str, tuple[float, date] | None]:
    """The greatest amount of each month that has spells, and the date of its spell; None where all
    are nan.
    """
    greatest: dict[str, tuple[float, date] | None] = {}
    for spell, amount in zip(spells, amounts, strict=True):
        day = local_date(spell.start, zone)
        so_far = greatest.setdefault(f"{day:%Y-%m}", None)
        if not math.isnan(amount) and (so_far is None or amount > so_far[0]):
            greatest[f"{day:%Y-%m}"] = amount, day
    return greatest


def _months(spells: Sequence[Spell], farthest: Sequence[float], zone: ZoneInfo) -> Iterator[str]:
    by_month = _most_by_month(spells, farthest, zone)
    if not any(by_month.values()):
        yield "  no sun falls there"
        return
    rows = [
        (period_text(label), *(("-", "-") if far is None else _farthest(*far)))
        for label, far in by_month.items()
    ]
    yield from table(_REACHES, rows)
    if not all(by_month.values()):
        yield "  -: none of it falls farther in than the window's lower edge"


def _farthest(metres: float, day: date) -> tuple[str, str]:
    return length_in(metres), weekday_text(day)


def length_in(metres: float) -> str:
    """Metres into a room: `2.31 m`, `over 20 m`."""
    return f"over {FARTHEST_M:g} m" if metres > FARTHEST_M else f"{metres:.2f} m"


def dose_text(doses: Sequence[SpotDose], *, strong: Style = str) -> str:
    """The light that spots get from direct sun, and how much is left with the plan."""
    rows = [
        (
            dose.spot,
            hours_text(dose.seconds),
            f"{dose.kwh_per_m2:.0f}",
            f"{dose.klux_hours:.0f}",
            f"{dose.klux_hours_left:.0f}",
        )
        for dose in doses
    ]
    note = (
        "Any sun counts here, however weak. These are upper bounds: a cloudless sky, a surface "
        f"that faces the sun, no glass; {LUMENS_PER_WATT:g} lumens to the watt."
    )
    title = strong("Light from direct sun")
    return joined([title, *table(_DOSES, rows, strong=strong), "", *wrapped(note)])
