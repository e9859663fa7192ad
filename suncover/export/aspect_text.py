"""How well it is known which way each window faces, and what that leaves open, for `check`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from suncover.export.words import listed
from suncover.site import Site
from suncover.site_aspect import aspect_warnings, shown_form

if TYPE_CHECKING:
    from suncover.facing.effect import AzimuthEffect

MOST_ROWS = 40  # windows told of one by one


def aspect_remarks(site: Site, effects: Mapping[str, AzimuthEffect]) -> tuple[str, ...]:
    """A sentence for each window whose uncertainty is known, and one for all others.

    `effects` says for windows by name what their uncertainty does to the sun's times.
    """
    remarks = []
    known = [window for window in site.windows if window.azimuth_sd is not None]
    for window in known[:MOST_ROWS]:
        remarks += [f"{window.name}: {warning}" for warning in aspect_warnings(window, site.place)]
        form = "" if window.compass is None and window.wall is None else f" ({shown_form(window)})"
        remark = f"{window.name} faces {window.azimuth:g}° ± {window.azimuth_sd:.1f}°{form}"
        if (effect := effects.get(window.name)) is not None:
            remark += (
                f": that leaves the sun's coming open by {effect.coming:.0f} min, "
                f"its leaving by {effect.leaving:.0f} min"
            )
        remarks.append(remark)
    if len(known) > MOST_ROWS:
        remarks.append(f"… and {len(known) - MOST_ROWS} more windows whose azimuth has a range")
    if bare := [window.name for window in site.windows if window.azimuth_sd is None]:
        remarks.append(
            f"taken as exact, as the file gives no `azimuth_sd`: the azimuth of {listed(bare)}; "
            "a degree off is about 4 minutes off, see `suncover facing`"
        )
    return tuple(remarks)
