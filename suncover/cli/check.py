"""`suncover check`: is a site file sound, and what does it say?"""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import click

from suncover.cli import dates
from suncover.cli.options import site_argument
from suncover.cli.output import say, strong

if TYPE_CHECKING:
    from suncover.site.model import Site
    from suncover.site.rough_shift import RoughShift
    from suncover.site.sharing import HouseCalendar

MOST_NAMELESS = 5  # events that are reported
MOST_COMPUTED = 40  # windows whose times are worked out


@click.command()
@site_argument
def check(site: Path) -> None:
    """Read the site file SITE and say what is wrong in it.

    Every fault gets one line with its place and the remedy, and the exit status is 2. A file
    without faults is shown as it was understood, with remarks on what may be a slip.

    \b
    Example:
      suncover check home.toml
    """
    from suncover.export.text.aspect_text import aspect_remarks
    from suncover.export.text.site_text import site_text
    from suncover.site.file.sitefile import load_site
    from suncover.site.sun_notes import sun_notes

    loaded = load_site(site)
    notes = []
    if loaded.weather is not None and loaded.weather.file is not None:
        file = loaded.weather.file
        if not file.startswith("bundled:") and not Path(file).is_file():
            notes.append(f"weather: there is no file {file}; `suncover compare` will need it")
    notes += [
        f"calendar {calendar.file}: no event in it has one of the words of [[calendar.event]] in "
        "its title or categories, so it changes nothing"
        for calendar in loaded.calendars
        if not calendar.events
    ]
    notes += [note for calendar in loaded.calendars for note in _nameless(calendar)]
    notes += sun_notes(loaded)
    notes += aspect_remarks(loaded, _shifts(loaded))
    exceptions = _exceptions(loaded)  # before the page says that all is well
    say(site_text(str(site), loaded, notes, strong=strong))
    say("".join(f"{line}\n" for line in exceptions))


def _nameless(calendar: HouseCalendar) -> list[str]:
    """Remarks on events whose titles might name shades and name none."""
    from suncover.base.textfile import printable
    from suncover.export.text.words import listed
    from suncover.site.calendar.events import nearest_name

    remarks: dict[str, str] = {}
    for event in calendar.events:
        if event.names_none and len(remarks) < MOST_NAMELESS:
            near = nearest_name(event.name, event.shades)
            remarks[event.name] = (
                f'calendar {calendar.file}: the title of "{printable(event.name)}" names no '
                f"shade, so it is for {listed(event.shades)}"
                + (f'; did you mean "{near}"?' if near else "")
            )
    return list(remarks.values())


def _exceptions(site: Site) -> list[str]:
    """When shades stay up or down in the coming year, whatever the sun does."""
    if not site.exceptions and not site.calendars:
        return []  # and numbers need not be loaded
    from suncover.base.clock import LAST_DATE, dates_bounds
    from suncover.export.text.happenings_text import happenings_lines
    from suncover.plan.exceptions import happenings

    first = dates.today_in(site.place.zone)
    last = min(first + timedelta(days=365), LAST_DATE)
    happenings_ahead = happenings(site, dates_bounds(first, last, site.place.zone))
    return list(
        happenings_lines(site, happenings_ahead, strong, "Not by the sun, in the coming year")
    )


def _shifts(site: Site) -> dict[str, RoughShift]:
    """What an uncertain azimuth does to the sun's times, for windows whose uncertainty is known."""
    from suncover.site.rough_shift import rough_shift

    return {
        window.name: rough_shift(window, site.place.latitude, site.need, window.azimuth_sd)
        for window in site.windows[:MOST_COMPUTED]
        if window.azimuth_sd
    }
