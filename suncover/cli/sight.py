"""`suncover sight`: write down what is seen of the sun on a window, with the time now."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from suncover.cli.dates import now_in
from suncover.cli.options import SIGHTINGS_FILE
from suncover.cli.output import refuse_inputs, remark

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from suncover.site.model import Sighting, Site


@click.command()
@click.argument("window")
@click.argument("seen")
@click.option(
    "--sightings",
    type=click.Path(path_type=Path, dir_okay=False),
    default=Path(SIGHTINGS_FILE),
    metavar="FILE",
    show_default=True,
    help="The CSV file to add it to; made if it is not there.",
)
@click.option(
    "--site",
    type=click.Path(path_type=Path),
    metavar="SITE",
    help="The site file: checks the window's name, and gives times by the site's clocks.",
)
@click.option(
    "--at",
    metavar="TIME",
    help="When it was, if not now: 13:40 (today), or date and time as 2027-06-01T13:40:00+02:00; "
    "with --site, 2027-06-01T13:40 by the site's clocks.",
)
@click.option(
    "--minutes",
    type=click.FloatRange(min=0, max=720, min_open=True),
    metavar="N",
    help="By how many minutes the time may be off; about 3 if left out.",
)
@click.option(
    "--distance",
    metavar="LENGTH",
    help="Of a patch: from the window straight in to the patch's far edge, 1.8 or '180 cm'.",
)
@click.option(
    "--offset",
    metavar="LENGTH",
    help="Of a patch: from the middle of the window to a far corner, to the right seen from "
    "outdoors.",
)
@click.option(
    "--corner",
    type=click.Choice(("left", "right")),
    help="Of a patch: which far corner, seen from outdoors.",
)
def sight(
    *,
    window: str,
    seen: str,
    sightings: Path,
    site: Path | None,
    at: str | None,
    minutes: float | None,
    distance: str | None,
    offset: str | None,
    corner: str | None,
) -> None:
    """Add a sighting of the sun on WINDOW to a CSV file, with the time now.

    Never look at the sun, not through glass either: watch the light on the window's frame, or on
    the floor.

    \b
    SEEN is one of:
      on            the sun just came onto the glass
      off           the sun just left it
      already-on    the sun is on it, when it came was not seen
      still-on      the sun is still on it, and you stop watching
      not-yet-on    the sun has not come yet, though the sky is clear
      already-off   the sun has left, though the sky is clear
      patch         the sun's patch on the floor was measured

    \b
    Examples:
      suncover sight kitchen on
      suncover sight study off --at 13:42 --minutes 5
      suncover sight study patch --distance 1.8 --offset=-0.4 --corner left
    """
    from suncover.base.atomic import write_atomically
    from suncover.base.lock import held
    from suncover.base.textfile import printable

    loaded = _loaded(site)
    now = now_in(None if loaded is None else loaded.place.zone)
    moment = _moment(at, now, None if loaded is None else loaded.place.zone)
    cells = {
        "window": window,
        "time": moment,
        "seen": seen,
        "minutes": "" if minutes is None else f"{minutes:g}",
        "distance": distance or "",
        "offset": offset or "",
        "corner": corner or "",
    }
    refuse_inputs([sightings], [] if loaded is None else loaded.files)
    with held(sightings):
        write_atomically(sightings, _with_added(sightings, cells, now, loaded).encode())
    remark(printable(f"{sightings}: {window}, {moment}, {seen}"))


def _loaded(site: Path | None) -> Site | None:
    if site is None:
        return None
    from suncover.site.file.sitefile import load_site

    return load_site(site)


def _with_added(path: Path, cells: dict[str, str], now: datetime, site: Site | None) -> str:
    """The file's text with the sighting; all faults of the two are reported at once."""
    from suncover.base.errors import Fault, FileFaults
    from suncover.site.file.sightings_file import SIGHTING, added_sighting, one_sighting, slips

    names = None if site is None else [window.name for window in site.windows]
    faults: list[Fault] = []
    text = ""
    try:
        sighting = one_sighting(cells, names, None if site is None else site.place.zone)
        faults += [Fault(SIGHTING, slip, key) for key, slip in slips(sighting, now)]
        if site is not None and (night_fault := _night_fault(sighting, site)):
            faults.append(Fault(SIGHTING, night_fault, "time"))
    except FileFaults as wrong:
        faults += wrong.faults
    try:
        text = added_sighting(path, cells, names)
    except FileFaults as wrong:
        faults += wrong.faults
    if faults:
        raise FileFaults(faults)
    return text


def _night_fault(sighting: Sighting, site: Site) -> str | None:
    from suncover.facing.by_night import night_fault  # only here are numbers needed

    return night_fault(sighting, site.place)


def _moment(at: str | None, now: datetime, zone: ZoneInfo | None) -> str:
    """When it was, as ISO 8601 text with an offset."""
    if at is None:
        return now.replace(microsecond=0).isoformat()
    if "T" in at or "-" in at.strip():
        return _on_a_date(at.strip(), zone)
    try:
        wall = datetime.strptime(at.strip(), "%H:%M:%S" if at.count(":") == 2 else "%H:%M")  # noqa: DTZ007  (its zone is that of `now`)
    except ValueError:
        raise click.UsageError(f"--at {at!r} is no time; write it as 13:40") from None
    moment = now.replace(hour=wall.hour, minute=wall.minute, second=wall.second, microsecond=0)
    return moment.isoformat()


def _on_a_date(text: str, zone: ZoneInfo | None) -> str:
    """A date and time with its offset: that of the site's clocks, where there is none."""
    from suncover.base.clock import FIRST_DATE, LAST_DATE, instant_of, iso_local

    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return text  # refused with the other faults of the sighting
    in_range = FIRST_DATE <= moment.date() <= LAST_DATE and len(text) > 10
    if zone is None or moment.tzinfo is not None or not in_range:
        return text
    return iso_local(instant_of(moment.date(), moment.time(), zone), zone)
