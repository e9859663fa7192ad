"""`suncover spots`: when direct sun falls on places in a room."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from suncover.cli.dates import calendar_year
from suncover.cli.options import date_range, output_option, site_argument
from suncover.cli.output import deliver, say, strong


@click.command()
@site_argument
@date_range
@click.option(
    "--format",
    "form",
    type=click.Choice(("text", "csv", "json")),
    default="text",
    show_default=True,
    help="A page to read, a row for each spell of sun, or both for programs.",
)
@click.option("--dose", is_flag=True, help="Tell how much light the sun brings each, too.")
@output_option
def spots(
    *,
    site: Path,
    first: date | None,
    last: date | None,
    form: str,
    dose: bool,
    output: Path | None,
) -> None:
    """When direct sun falls on each [[spot]] of SITE, under a clear sky and with no shade down.

    A spot is a place in a room that should be kept out of the sun: a desk, a bed, a painting.
    Without --from and --to: this calendar year; with one of them, the rest of its year.

    \b
    Examples:
      suncover spots home.toml
      suncover spots home.toml --from 2027-01-01 --to 2027-12-31 --format csv -o spots.csv
    """
    from suncover.site.file.sitefile import load_site

    if dose and form == "csv":
        raise click.UsageError("--dose goes with --format text or json, which have room for it")
    loaded = load_site(site)
    dates = calendar_year(first, last, loaded.place.zone)

    from suncover.export.files import sun_json
    from suncover.export.files.spells_csv import spots_csv
    from suncover.export.text import sun_text
    from suncover.export.text.room_text import dose_text
    from suncover.facade import hours as sun_hours
    from suncover.plan import season

    spells = sun_hours.spots(loaded, *dates)
    doses = season.doses(loaded, *dates) if dose else []
    if form == "csv":
        rows = [(spot.name, spot.window, spells[spot.name]) for spot in loaded.spots]
        deliver(loaded.files, {output: spots_csv(rows, loaded.place.zone)})
    elif form == "json":
        deliver(loaded.files, {output: sun_json.spots_json(loaded, spells, *dates, doses)})
    elif not loaded.spots:
        say(sun_text.no_spots_text(loaded))
    else:
        stress = strong if output is None else str
        page = sun_text.spots_text(loaded, spells, *dates, strong=stress)
        if doses:
            page += "\n" + dose_text(doses, strong=stress)
        if output is None:
            say(page)
        else:
            deliver(loaded.files, {output: page.encode()})
