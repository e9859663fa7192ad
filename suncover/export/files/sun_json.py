"""Direct sun on windows and spots as JSON: the sums of the text and every spell of the CSV."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from suncover.base.clock import local_date
from suncover.base.spell import Spell, total_seconds
from suncover.export.files.as_json import json_bytes, spell_json
from suncover.export.text.words import wall_text
from suncover.facade.periods import by_date, periods
from suncover.plan.room_sun import SpotDose
from suncover.site.model import Need, Site


def hours_json(
    site: Site,
    spells: Mapping[str, Sequence[Spell]],
    first: date,
    last: date,
    need: Need,
    *,
    reaches: Mapping[str, Sequence[float]] | None = None,
    spots: Mapping[str, Sequence[Spell]] | None = None,
    peaks: Mapping[str, Sequence[float]] | None = None,
) -> bytes:
    """The document's bytes, UTF-8, for spells of sun on each window by its name.

    `reaches` (by window name, metres into the room in each spell) goes into the spells, `spots`
    (their spells by name) beside the windows; `peaks` (by window name, W/m² of glass at the most in
    each spell) into the spells.
    """
    zone = site.place.zone
    document = _head(site, first, last, need.beam) | {
        "fraction": need.fraction,
        **({"power_w_per_m2": need.power} if need.power else {}),
        "windows": [
            {
                "window": name,
                "azimuth_deg": site.window(name).azimuth,
                "tilt_deg": site.window(name).tilt,
                **_sun(window_spells, first, last, zone),
            }
            for name, window_spells in spells.items()
        ],
    }
    if reaches is not None:
        for window in document["windows"]:
            for spell, metres in zip(window["spells"], reaches[window["window"]], strict=True):
                spell["reach_m"] = None if math.isnan(metres) else round(metres, 3)
    if peaks is not None:
        for window in document["windows"]:
            for spell, watts in zip(window["spells"], peaks[window["window"]], strict=True):
                spell["peak_w_per_m2"] = round(watts, 2)
    if spots is not None:
        document["spots"] = _spots(site, spots, first, last)
    return json_bytes(document)


def spots_json(
    site: Site,
    spells: Mapping[str, Sequence[Spell]],
    first: date,
    last: date,
    doses: Sequence[SpotDose] = (),
) -> bytes:
    """The document's bytes, UTF-8, spells of sun on each spot by its name, and their `doses`."""
    document = _head(site, first, last, site.need.beam)
    spots = _spots(site, spells, first, last)
    for spot, dose in zip(spots, doses, strict=False):
        spot["dose"] = {
            "sun_hours": round(dose.seconds / 3600, 4),
            "kwh_per_m2": round(dose.kwh_per_m2, 3),
            "klux_hours": round(dose.klux_hours, 2),
            "klux_hours_with_the_plan": round(dose.klux_hours_left, 2),
        }
    return json_bytes(document | {"spots": spots})


def _spots(
    site: Site, spells: Mapping[str, Sequence[Spell]], first: date, last: date
) -> list[dict[str, Any]]:
    """An entry for each of the spots of which there are spells."""
    return [
        {
            "spot": spot.name,
            "window": spot.window,
            **_sun(spells[spot.name], first, last, site.place.zone),
        }
        for spot in site.spots
        if spot.name in spells
    ]


def _head(site: Site, first: date, last: date, beam: float) -> dict[str, Any]:
    return {
        "site": site.place.name,
        "timezone": site.place.zone_name,
        "from": first.isoformat(),
        "to": last.isoformat(),
        "beam_w_per_m2": beam,
    }


def _sun(spells: Sequence[Spell], first: date, last: date, zone: ZoneInfo) -> dict[str, Any]:
    return {
        "sun_hours": round(total_seconds(spells) / 3600, 4),
        "sunny_days": len({piece.ordinal for piece in by_date(spells, zone)}),
        "periods": [
            {
                "period": period.label,
                "sun_hours": round(period.seconds / 3600, 4),
                "sunny_days": period.sunny_days,
                "earliest": None if period.earliest is None else wall_text(period.earliest),
                "latest": None if period.latest is None else wall_text(period.latest),
            }
            for period in periods(spells, first, last, zone)
        ],
        "spells": [
            {
                "date": local_date(spell.start, zone).isoformat(),
                **spell_json(spell, zone),
                "minutes": round(spell.seconds / 60, 2),
            }
            for spell in spells
        ],
    }
