"""`suncover hours`: when direct sun is on each window."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from suncover.cli.dates import calendar_year
from suncover.cli.options import date_range, finite, output_option, site_argument
from suncover.cli.output import deliver, say, strong, watch

if TYPE_CHECKING:
    from suncover.site import Site
    from suncover.spell import Spell


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
@click.option(
    "--beam",
    type=click.FloatRange(min=0, max=2000),
    metavar="W",
    callback=finite,
    help="Count sun from this clear-sky beam, W/m², in place of the site's [need]; 0 counts all.",
)
@click.option(
    "--window", "windows", multiple=True, metavar="NAME", help="Only this window; repeatable."
)
@output_option
def hours(
    *,
    site: Path,
    first: date | None,
    last: date | None,
    form: str,
    beam: float | None,
    windows: tuple[str, ...],
    output: Path | None,
) -> None:
    """When direct sun is on each window of SITE, under a clear sky.

    Whatever the shades do, and in season and out of it. Without --from and --to: this calendar
    year; with one of them, the rest of its year.

    \b
    Examples:
      suncover hours home.toml
      suncover hours home.toml --from 2027-06-01 --to 2027-06-07 --window kitchen
      suncover hours home.toml --from 2027-01-01 --to 2027-12-31 --format csv -o sun.csv
    """
    from suncover.errors import RequestError
    from suncover.sitefile import load_site
    from suncover.textfile import printable

    loaded = load_site(site)
    try:
        names = [loaded.window(name).name for name in windows] or None
    except RequestError as error:
        raise RequestError(f"{printable(str(site))}: --window: {error}") from None
    dates = calendar_year(first, last, loaded.place.zone)

    from suncover import pipeline

    spells = pipeline.hours(loaded, *dates, beam=beam, windows=names, watch=watch)
    if form == "text" and output is None:
        say(_text(loaded, spells, dates, beam, is_screen=True))
    else:
        deliver(site, {output: _content(loaded, spells, dates, beam, form)})


def _content(
    site: Site,
    spells: Mapping[str, Sequence[Spell]],
    dates: tuple[date, date],
    beam: float | None,
    form: str,
) -> bytes:
    if form == "csv":
        from suncover.export.spells_csv import hours_csv

        return hours_csv(spells, site.place.zone)
    if form == "json":
        from suncover.export.sun_json import hours_json

        need = site.need if beam is None else site.need.model_copy(update={"beam": beam})
        return hours_json(site, spells, *dates, need)
    return _text(site, spells, dates, beam, is_screen=False).encode()


def _text(
    site: Site,
    spells: Mapping[str, Sequence[Spell]],
    dates: tuple[date, date],
    beam: float | None,
    *,
    is_screen: bool,
) -> str:
    from suncover.export.sun_text import windows_text

    need = site.need if beam is None else site.need.model_copy(update={"beam": beam})
    return windows_text(site, spells, *dates, need, strong=strong if is_screen else str)
