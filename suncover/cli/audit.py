"""`suncover audit`: a plan held against the sun."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from suncover.base.clock import FIRST_DATE, LAST_DATE
from suncover.cli.options import check_range, date_range, output_option, site_argument
from suncover.cli.output import deliver, is_screen, say, strong, watch

if TYPE_CHECKING:
    from suncover.compare.plan_heat import PlanHeat
    from suncover.plan.closings.shade_plan import Closing
    from suncover.site.model import Site


@click.command()
@site_argument
@click.argument("plan", metavar="PLAN.csv", type=click.Path(path_type=Path, allow_dash=False))
@date_range
@click.option(
    "--year",
    type=click.IntRange(FIRST_DATE.year, LAST_DATE.year),
    metavar="YEAR",
    help="Move the plan to this year, by its dates and clock times: how far does it drift?",
)
@click.option(
    "--heat",
    is_flag=True,
    help="Tell what heat it keeps out in the site's year of weather, as `compare` does.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(("text", "json")),
    default="text",
    show_default=True,
    help="A page to read, or every figure for programs.",
)
@click.option("--brief", is_flag=True, help="Only what is not as asked.")
@output_option
def audit(
    *,
    site: Path,
    plan: Path,
    first: date | None,
    last: date | None,
    year: int | None,
    heat: bool,
    form: str,
    brief: bool,
    output: Path | None,
) -> int:
    """What a plan (CSV) covers of what SITE asks for, and what it costs.

    Replays the plan against the sun: one of ours, one changed by hand, or last year's. The exit
    status is 1 when it leaves sun uncovered that the site's rules ask to cover, moves in quiet
    hours, has a shade down that an exception wants up, or runs more motors of a supply at once
    than it can.

    Without --from and --to: from the plan's first day to its last.

    \b
    Examples:
      suncover audit home.toml plan.csv
      suncover audit home.toml plan2026.csv --year 2027
    """
    from suncover.export.files.plan_read import read_plan
    from suncover.site.file.sitefile import load_site

    if first is not None and last is not None:
        check_range(first, last)
    loaded = load_site(site)
    names = [shade.name for shade in loaded.all_shades()]
    closings = read_plan(plan, names, loaded.place.zone)

    from suncover.export.files.audit_json import audit_json
    from suncover.export.text.audit_text import EMPTY, audit_text
    from suncover.plan.audit import audit_plan, moved_to_year

    if year is not None:
        closings = moved_to_year(closings, year, loaded.place.zone)
    result = audit_plan(loaded, closings, first, last, watch=watch)
    open_ends = first is None or last is None
    warm = _heat_of(loaded, closings) if heat else None
    if form == "json":
        deliver(
            (*loaded.files, plan),
            {output: audit_json(loaded, result, open_ends=open_ends, heat=warm)},
        )
    else:
        on_screen = is_screen(output)
        style = strong if on_screen else str
        text = f"{EMPTY}\n"
        if result is not None:
            text = audit_text(
                loaded, result, open_ends=open_ends, brief=brief, heat=warm, strong=style
            )
        if on_screen:
            say(text)
        else:
            deliver((*loaded.files, plan), {output: text.encode()})
    return 1 if result is not None and result.broken else 0


def _heat_of(site: Site, closings: Sequence[Closing]) -> PlanHeat | None:
    """What the plan keeps out in the site's year of weather."""
    from suncover.compare.plan_heat import plan_heat
    from suncover.compare.year import compare_year
    from suncover.sun.weather.load import load_weather

    return plan_heat(compare_year(site, load_weather(site)), closings)
