"""How strong the sun gets on the windows of a shade while it is closed."""

from __future__ import annotations

from collections.abc import Sequence

from suncover.base.spell import Spell
from suncover.facade.peaks import strongest
from suncover.plan.closings.shade_plan import Closing
from suncover.site.model import Shade, Site


def closing_peaks(site: Site, closings: Sequence[Closing]) -> list[float]:
    """For each closing, the greatest power of the sun on the whole glass of any window of its
    shade while it lasts, W/m²; 0 where there is no sun.
    """
    shades = {shade.name: shade for shade in site.all_shades()}
    peaks = [0.0] * len(closings)
    for name in dict.fromkeys(closing.shade for closing in closings):
        rows = [number for number, closing in enumerate(closings) if closing.shade == name]
        shade_strengths = shade_peaks(site, shades[name], [closings[row] for row in rows])
        for row, peak in zip(rows, shade_strengths, strict=True):
            peaks[row] = peak
    return peaks


def shade_peaks(site: Site, shade: Shade, closings: Sequence[Closing]) -> list[float]:
    """`closing_peaks` for the closings of one shade."""
    spells = [Spell(closing.close, closing.open) for closing in closings]
    peaks = [0.0] * len(closings)
    for name in shade.windows:
        window_strengths = strongest(site, site.window(name), spells)
        peaks = [max(pair) for pair in zip(peaks, window_strengths, strict=True)]
    return peaks


def asks_for_power(site: Site) -> bool:
    """Whether sun counts by its power on the glass, for the site or for any shade."""
    return site.need.power > 0.0 or any(
        site.need_of(shade).power > 0.0 for shade in site.all_shades()
    )
