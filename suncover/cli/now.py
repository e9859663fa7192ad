"""`suncover now`: where every shade should be at this moment, and what comes next."""

from __future__ import annotations

from pathlib import Path

import click

from suncover.cli.dates import instant_in
from suncover.cli.options import output_option, site_argument
from suncover.cli.output import deliver, say, strong


@click.command()
@site_argument
@click.option(
    "--at",
    metavar="INSTANT",
    help="Another instant, ISO 8601, such as 2027-06-21T14:30; without an offset by the site's "
    "clocks.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(("text", "json")),
    default="text",
    help="A text to read (the default), or JSON for programs.",
)
@output_option
def now(site: Path, at: str | None, form: str, output: Path | None) -> None:
    """Where every shade of SITE should be now by its plan, since when, and what comes next.

    \b
    Examples:
      suncover now home.toml
      suncover now home.toml --at 2027-06-21T14:30 --format json
    """
    from suncover.site.file.sitefile import load_site

    loaded = load_site(site)
    zone = loaded.place.zone
    instant = instant_in(at, zone)

    from suncover.plan.standing import standings

    states = standings(loaded, instant)
    if form == "json":
        from suncover.export.files.now_json import now_json

        deliver(site, {output: now_json(states, instant, zone)})
        return
    from suncover.export.text.now_text import now_text

    if output is None:
        say(now_text(states, instant, zone, strong=strong))
    else:
        deliver(site, {output: now_text(states, instant, zone).encode()})
