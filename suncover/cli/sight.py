"""`suncover sight`: write down what is seen of the sun on a window, with the time now."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import click

from suncover.cli.dates import now_in
from suncover.cli.output import remark


@click.command()
@click.argument("window")
@click.argument("seen")
@click.option(
    "--sightings",
    type=click.Path(path_type=Path, dir_okay=False),
    default=Path("sightings.csv"),
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
    help="When it was, if not now: 13:40 (today), or date and time as 2027-06-01T13:40:00+02:00.",
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
    from suncover.export.atomic import write_atomically
    from suncover.sightings_file import added_sighting

    zone, names = _place(site)
    moment = _moment(at, now_in(zone))
    cells = {
        "window": window,
        "time": moment,
        "seen": seen,
        "minutes": "" if minutes is None else f"{minutes:g}",
        "distance": distance or "",
        "offset": offset or "",
        "corner": corner or "",
    }
    write_atomically(sightings, added_sighting(sightings, cells, names).encode())
    remark(f"{sightings}: {window}, {moment}, {seen}")


def _place(site: Path | None) -> tuple[ZoneInfo | None, list[str] | None]:
    """The zone and the windows' names of a site, if there is one."""
    if site is None:
        return None, None
    from suncover.sitefile import load_site

    loaded = load_site(site)
    return loaded.place.zone, [window.name for window in loaded.windows]


def _moment(at: str | None, here: datetime) -> str:
    """When it was, as ISO 8601 text with an offset."""
    if at is None:
        return here.replace(microsecond=0).isoformat()
    if "T" in at or "-" in at.strip():
        return at.strip()
    try:
        wall = datetime.strptime(at.strip(), "%H:%M:%S" if at.count(":") == 2 else "%H:%M")  # noqa: DTZ007
    except ValueError:
        raise click.UsageError(f"--at {at!r} is no time; write it as 13:40") from None
    moment = here.replace(hour=wall.hour, minute=wall.minute, second=wall.second, microsecond=0)
    return moment.isoformat()
