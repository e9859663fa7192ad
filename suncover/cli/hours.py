"""`suncover hours`: when direct sun is on each window."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from suncover.cli.dates import calendar_year
from suncover.cli.options import date_range, finite, output_option, site_argument
from suncover.cli.output import deliver, say, strong, watch

if TYPE_CHECKING:
    from suncover.base.spell import Spell
    from suncover.site.model import Site


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
    "--power",
    type=click.FloatRange(min=0, max=2000),
    metavar="W",
    callback=finite,
    help="Count sun from this power, W/m² over the whole glass, in place of the site's [need]; "
    "0 does not ask.",
)
@click.option("--peak", is_flag=True, help="Tell how strong the sun gets on the glass, too.")
@click.option(
    "--window", "windows", multiple=True, metavar="NAME", help="Only this window; repeatable."
)
@click.option("--reach", is_flag=True, help="Tell how far the sun falls into the room, too.")
@click.option(
    "--height",
    type=click.FloatRange(min=0, max=100),
    metavar="M",
    callback=finite,
    help="With --reach: at this height above the floor, metres; on the floor if left out.",
)
@click.option("--spots", is_flag=True, help="Tell when the sun is on the spots behind them, too.")
@output_option
def hours(
    *,
    site: Path,
    first: date | None,
    last: date | None,
    form: str,
    beam: float | None,
    power: float | None,
    peak: bool,
    windows: tuple[str, ...],
    reach: bool,
    height: float | None,
    spots: bool,
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
    from suncover.base.errors import RequestError
    from suncover.base.textfile import printable
    from suncover.site.file.sitefile import load_site

    loaded = load_site(site)
    try:
        names = [loaded.window(name).name for name in windows] or None
    except RequestError as error:
        raise RequestError(f"{printable(str(site))}: --window: {error}") from None
    dates = calendar_year(first, last, loaded.place.zone)

    if height is not None and not reach:
        raise click.UsageError("--height goes with --reach; add it")

    from suncover.facade import hours as sun_hours
    from suncover.plan import season

    counted = loaded.with_beam(beam).with_power(power)
    peak = peak or counted.need.power > 0.0
    if form == "csv" and not (reach or spots or peak):
        from suncover.export.files.spells_csv import hours_pieces

        rows = sun_hours.hours_seconds(counted, *dates, windows=names, watch=watch)
        deliver(loaded.files, {output: hours_pieces(rows, loaded.place.zone)})
        return
    spells = sun_hours.hours(counted, *dates, windows=names, watch=watch)
    reaches = season.reaches(counted, spells, height=height or 0.0) if reach else None
    on_spots: dict[str, tuple[Spell, ...]] | None = None
    if spots:
        spells_on_spots = sun_hours.spots(counted, *dates)
        on_spots = {s.name: spells_on_spots[s.name] for s in loaded.spots if s.window in spells}
    peaks = sun_hours.peaks(counted, spells, counted=counted.need.power) if peak else None
    page = _Page(counted, dates, spells, height or 0.0, reaches, on_spots, peaks)
    if form == "text" and output is None:
        say(_text(page, is_screen=True))
    else:
        deliver(loaded.files, {output: _content(page, form)})


@dataclass(frozen=True)
class _Page:
    """What is to be shown: the site with the beam that counts, the days, and what was found."""

    site: Site
    dates: tuple[date, date]
    spells: Mapping[str, Sequence[Spell]]
    height: float
    reaches: Mapping[str, Sequence[float]] | None = None
    spots: Mapping[str, Sequence[Spell]] | None = None
    peaks: Mapping[str, Sequence[float]] | None = None


def _content(page: _Page, form: str) -> bytes:
    if form == "csv":
        from suncover.export.files.spells_csv import hours_csv

        names = None if page.spots is None else _spots_by_spell(page, page.spots)
        zone = page.site.place.zone
        return hours_csv(page.spells, zone, reaches=page.reaches, spots=names, peaks=page.peaks)
    if form == "json":
        from suncover.export.files.sun_json import hours_json

        return hours_json(
            page.site,
            page.spells,
            *page.dates,
            page.site.need,
            reaches=page.reaches,
            spots=page.spots,
            peaks=page.peaks,
        )
    return _text(page, is_screen=False).encode()


def _spots_by_spell(
    page: _Page, spots: Mapping[str, Sequence[Spell]]
) -> dict[str, list[list[str]]]:
    """For each window's spells, the names of the spots behind it that are in sun in each."""
    from suncover.base.spell import seconds_in_each

    result = {}
    for window, spells in page.spells.items():
        behind = [s.name for s in page.site.spots if s.window == window]
        seconds_by_spot = {name: seconds_in_each(spots[name], spells) for name in behind}
        result[window] = [
            [name for name in behind if seconds_by_spot[name][number]]
            for number in range(len(spells))
        ]
    return result


def _text(page: _Page, *, is_screen: bool) -> str:
    from suncover.export.text import room_text, sun_text

    stress = strong if is_screen else str
    need = page.site.need
    parts = [sun_text.windows_text(page.site, page.spells, *page.dates, need, strong=stress)]
    if page.reaches is not None:
        zone = page.site.place.zone
        parts.append(
            room_text.reach_text(page.spells, page.reaches, zone, page.height, strong=stress)
        )
    if page.peaks is not None:
        zone = page.site.place.zone
        parts.append(room_text.peak_text(page.spells, page.peaks, zone, strong=stress))
    if page.spots:
        parts.append(sun_text.spots_text(page.site, page.spots, *page.dates, strong=stress))
    elif page.spots is not None and page.site.spots:
        parts.append("No place to watch lies behind these windows.\n")
    elif page.spots is not None:
        parts.append(sun_text.no_spots_text(page.site))
    return "\n".join(parts)
