"""How well it is known which way each window faces, and what that leaves open, for `check`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from suncover.export.text.words import listed
from suncover.site.aspect import aspect_warnings, shown_form
from suncover.site.model import Site

if TYPE_CHECKING:
    from suncover.site.rough_shift import RoughShift

MOST_ROWS = 40  # windows with a line each
SHORT = 0.5  # minutes: less is none


def aspect_remarks(site: Site, shifts: Mapping[str, RoughShift]) -> tuple[str, ...]:
    """A sentence for each window whose uncertainty is known, and one for all others.

    `shifts` says for windows by name what their uncertainty does to the sun's times.
    """
    remarks = []
    # Glass that lies flat faces nowhere.
    facing = [window for window in site.windows if window.tilt > 0]
    uncertain = [window for window in facing if window.azimuth_sd is not None]
    for window in uncertain[:MOST_ROWS]:
        remarks += [f"{window.name}: {warning}" for warning in aspect_warnings(window, site.place)]
        form = "" if window.compass is None and window.wall is None else f" ({shown_form(window)})"
        if not window.azimuth_sd and not form:
            continue  # the page has the azimuth already
        open_times = _open_times(shifts.get(window.name))
        remark = f"{window.name} faces {window.azimuth:g}° ± {window.azimuth_sd:.1f}°{form}"
        remarks.append(f"{remark}: {open_times}" if open_times else remark)
    if len(uncertain) > MOST_ROWS:
        remarks.append(f"… and {len(uncertain) - MOST_ROWS} more windows whose azimuth has a range")
    if exact := [window.name for window in facing if window.azimuth_sd is None]:
        remarks.append(
            f"taken as exact, as the file gives no `azimuth_sd`: the azimuth of {listed(exact)}; "
            "a degree off is about 4 minutes off, see `suncover facing`"
        )
    return tuple(remarks)


def _open_times(shift: RoughShift | None) -> str:
    """`the sun may come up to 5 min and leave up to 14 min earlier or later`; empty where neither
    shifts, or that is not known.
    """
    if shift is None:
        return ""
    parts = [
        f"{verb} up to {minutes:.0f} min"
        for verb, minutes in (("come", shift.coming), ("leave", shift.leaving))
        if minutes >= SHORT
    ]
    return f"the sun may {' and '.join(parts)} earlier or later" if parts else ""
