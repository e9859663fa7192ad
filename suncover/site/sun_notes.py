"""Remarks on shades that sun may close nearly all day, or for hours though it hardly matters."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from suncover.base.clock import date_text, in_season
from suncover.site.model import MonthDay, Site
from suncover.site.rough_sun import rough_day

_MOST_NAMES = 5
_MOST_ROUGH = 60  # shades whose days are looked at
_ALL_DAY_H, _ROOF_TILT = 11.5, 60.0  # hours of sun a day on sloping glass; a wall's are usual
_SLIGHT, _LONG_SLIGHT_H = 60.0, 4.0  # W/m² of glass, and hours of less


def sun_notes(site: Site) -> Iterator[str]:
    """Remarks on shades that sun closes nearly all day, or for hours though it is slight.

    Rules of thumb of our own, by a rough sun: about so many hours.
    """
    remarks = 0
    for shade in site.all_shades()[:_MOST_ROUGH]:
        need = site.need_of(shade)
        if need.power > 0.0 or "heat" not in need.purposes or remarks >= _MOST_NAMES:
            continue
        days = [
            rough_day(site.window(name), site.place.latitude, day, need.beam, _SLIGHT)
            for name in shade.windows[:_MOST_NAMES]
            for day in _days_of(need.season)
        ]
        sloping = [sun for sun in days if site.window(sun.window).tilt < _ROOF_TILT]
        longest = max(sloping, key=lambda sun: sun.hours, default=None)
        weakest = max(days, key=lambda sun: sun.slight, default=None)
        if longest is not None and longest.hours >= _ALL_DAY_H:
            remarks += 1
            yield (
                f'shade "{shade.name}": sun is on {longest.window} for about '
                f"{longest.hours:.0f} h on {date_text(longest.day)}, so it may be closed all day; "
                "a `power` in its need, such as 200 W/m², leaves out the weaker hours"
            )
        elif weakest is not None and weakest.slight >= _LONG_SLIGHT_H:
            remarks += 1
            yield (
                f'shade "{shade.name}": for about {weakest.slight:.0f} h of '
                f"{date_text(weakest.day)} the sun on {weakest.window} is slight, under "
                f"{_SLIGHT:g} W/m² of glass; with power = {_SLIGHT:g} in its need it stays up then"
            )


def _days_of(season: tuple[MonthDay, MonthDay] | None) -> list[date]:
    """The days about the solstices and equinoxes, and between, that lie in a season."""
    days = [date(2026, month, 21) for month in range(1, 13)]
    return [day for day in days if in_season(day, season)]
