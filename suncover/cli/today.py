"""`suncover today`: what each shade does on one day, when and why."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from suncover.cli.dates import today_in
from suncover.cli.options import Day, output_option, site_argument
from suncover.cli.output import deliver, say, strong


@click.command()
@site_argument
@click.option("--at", "day", type=Day(), metavar="DATE", help="Another day, YYYY-MM-DD.")
@click.option(
    "--format",
    "form",
    type=click.Choice(("text", "json")),
    default="text",
    show_default=True,
    help="A page to read, or the same for programs.",
)
@output_option
def today(site: Path, day: date | None, form: str, output: Path | None) -> None:
    """What each shade of SITE does today, when, and why.

    Today is today's date at the site.

    \b
    Examples:
      suncover today home.toml
      suncover today home.toml --at 2027-06-21
      suncover today home.toml --format json
    """
    from suncover.site.file.sitefile import load_site

    loaded = load_site(site)
    now = today_in(loaded.place.zone)
    chosen = day or now

    from suncover.plan.day_plan import plan_day, sun_day

    shades, sun = plan_day(loaded, chosen), sun_day(loaded.place, chosen)
    if form == "json":
        from suncover.export.files.day_json import day_json

        deliver(loaded.files, {output: day_json(loaded, chosen, shades, sun)})
        return

    from suncover.export.text.day_text import day_text

    style = strong if output is None else str
    page = day_text(loaded, chosen, shades, sun, is_today=chosen == now, strong=style)
    if output is None:
        say(page)
    else:
        deliver(loaded.files, {output: page.encode()})
