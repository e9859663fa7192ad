"""`suncover today`: what each shade does on one day, when and why."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from suncover.cli.dates import today_in
from suncover.cli.options import Day, site_argument
from suncover.cli.output import say, strong


@click.command()
@site_argument
@click.option("--at", "day", type=Day(), metavar="DATE", help="Another day, YYYY-MM-DD.")
def today(site: Path, day: date | None) -> None:
    """What each shade of SITE does today, when, and why.

    Today is today's date at the site.

    \b
    Examples:
      suncover today home.toml
      suncover today home.toml --at 2027-06-21
    """
    from suncover.site.file.sitefile import load_site

    loaded = load_site(site)
    now = today_in(loaded.place.zone)
    chosen = day or now

    from suncover.export.text.day_text import day_text
    from suncover.plan.day_plan import plan_day, sun_day

    shades, sun = plan_day(loaded, chosen), sun_day(loaded.place, chosen)
    say(day_text(loaded, chosen, shades, sun, is_today=chosen == now, strong=strong))
