"""`suncover compare`: overhang against shade over a weather year."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from suncover.cli.options import finite, output_option, site_argument
from suncover.cli.output import deliver, is_screen, say

if TYPE_CHECKING:
    from suncover.plan.closings.shade_plan import Closing
    from suncover.site.model import Site
    from suncover.sun.sky import SkyModel

FORMATS = ("text", "csv", "json")
SKIES = ("perez", "haydavies", "isotropic")


@click.command()
@site_argument
@click.option(
    "--format",
    "form",
    type=click.Choice(FORMATS),
    default="text",
    show_default=True,
    help="A screen to read, a table by month, or everything.",
)
@click.option(
    "--sky",
    "model",
    type=click.Choice(SKIES),
    default="perez",
    show_default=True,
    help="How the sky's light is spread.",
)
@click.option(
    "--gap",
    "gaps",
    type=click.FloatRange(min=0.0, max=10.0),
    multiple=True,
    metavar="M",
    callback=finite,
    help="Metres above the glass to try the best overhang at; repeatable.",
)
@click.option(
    "--plan",
    "plans",
    type=click.Path(path_type=Path),
    multiple=True,
    metavar="PLAN.csv",
    help="Compare this plan of the shades too; repeatable.",
)
@click.option("--brief", is_flag=True, help="Only what to do, and the cautions.")
@output_option
def compare(
    *,
    site: Path,
    form: str,
    model: SkyModel,
    gaps: tuple[float, ...],
    plans: tuple[Path, ...],
    brief: bool,
    output: Path | None,
) -> None:
    """What an overhang, a shade or an [[option]] of SITE adds to what stands there today.

    Runs the weather year of SITE through every window: as it stands, bare, with its overhang, with
    its scheduled shade, with both, and with each [[option]] of the file. A plan given with --plan
    (the best, a timer's, one changed by hand, last year's) is one option more: today's windows with
    their shades closed by it, on the same dates.
    """
    from suncover.site.file.sitefile import load_site

    loaded = load_site(site)

    from suncover.compare.summary import summarize
    from suncover.compare.year import compare_year
    from suncover.sun.weather.load import load_weather

    rows = _rows_of(loaded, plans)
    comparison = compare_year(loaded, load_weather(loaded), model)
    for name, closings in rows.items():
        comparison = comparison.with_plan(name, closings)
    if form == "csv":
        from suncover.export.files.compare_csv import compare_csv

        deliver(loaded.files, {output: compare_csv(comparison)})
        return
    summary = summarize(comparison, gaps)
    if form == "json":
        from suncover.export.files.compare_json import compare_json

        deliver(loaded.files, {output: compare_json(summary)})
        return
    from suncover.export.text.compare_text import compare_text

    text = compare_text(summary, brief=brief)
    if is_screen(output):
        say(text)
    else:
        deliver(loaded.files, {output: text.encode()})


def _rows_of(site: Site, plans: tuple[Path, ...]) -> dict[str, tuple[Closing, ...]]:
    """The closings of each plan, by the name of its file."""
    from suncover.export.files.plan_read import read_plan

    names = [shade.name for shade in site.all_shades()]
    return {f"plan {path.stem}": read_plan(path, names, site.place.zone) for path in plans}
