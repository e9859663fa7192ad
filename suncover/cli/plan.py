"""`suncover plan`: a season's closings and openings of each shade."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click

from suncover.cli.dates import season_ahead
from suncover.cli.options import date_range, site_argument
from suncover.cli.output import STDOUT, deliver, remark, say, strong, watch

_FILE = click.Path(path_type=Path, dir_okay=False, allow_dash=True)


@click.command()
@site_argument
@date_range
@click.option(
    "--csv", type=_FILE, metavar="FILE", help="Write the plan there as a table; - for the screen."
)
@click.option(
    "--ics",
    type=_FILE,
    metavar="FILE",
    help="Write the plan there as a calendar; - for the screen.",
)
def plan(
    site: Path, first: date | None, last: date | None, csv: Path | None, ics: Path | None
) -> None:
    """When each shade of SITE closes and opens, and why.

    Writes the plan as a table (CSV), as a calendar (iCalendar), or both, and prints a summary: what
    each shade does, and which sun it lets in and why. Without a file it shows the first days.

    Without --from and --to: from today, or the next season's first day, to the season's end; a year
    where a shade has no season. With --from alone: to the end of the season that runs then or comes
    next. With --to alone: from today.

    \b
    Examples:
      suncover plan home.toml
      suncover plan home.toml --from 2027-04-15 --to 2027-10-15 --csv plan.csv --ics plan.ics
    """
    from suncover.sitefile import load_site

    if csv is not None and csv == ics:
        raise click.UsageError(f"--csv and --ics both go to {csv}; name two different files")
    loaded = load_site(site)
    dates = season_ahead(first, last, loaded)

    from suncover import pipeline
    from suncover.export.plan_csv import plan_csv
    from suncover.export.plan_ics import plan_ics
    from suncover.export.plan_text import plan_text
    from suncover.textfile import printable

    plans = pipeline.season_plan(loaded, *dates, watch=watch)
    closings = [closing for one in plans for closing in one.closings]
    contents: dict[Path | None, bytes] = {}
    if csv is not None:
        contents[csv] = plan_csv(
            closings,
            loaded.place.zone,
            position=any(shade.has_stops for shade in loaded.shades),
            run_seconds=any(shade.roller is not None for shade in loaded.shades),
        )
    if ics is not None:
        contents[ics] = plan_ics(closings, loaded.place)
    deliver(site, contents)
    if STDOUT in contents:
        remark(plan_text(loaded, plans, *dates, with_closings=False).rstrip("\n"))
        return
    say(plan_text(loaded, plans, *dates, with_closings=not contents, strong=strong))
    for path in contents:
        say(f"wrote {printable(str(path))}\n")
    if not contents:
        say("To keep it, add to the command: --csv plan.csv --ics plan.ics\n")
