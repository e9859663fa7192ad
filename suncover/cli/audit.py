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
    from suncover.compare.indoors import Indoors
    from suncover.compare.plan_heat import PlanHeat
    from suncover.compare.seen_sun import SeenSun
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
    "--light",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Log of a light sensor on --window, CSV with the columns time,value: when was the sun on "
    "the glass with the shade up?",
)
@click.option("--window", metavar="NAME", help="The window that the light sensor lies on.")
@click.option(
    "--indoor",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="With --light: log of a thermometer in the room, CSV with the columns time,value, in °C.",
)
@click.option(
    "--outdoor",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="With --indoor: log of one outdoors; if left out, SITE's weather if measured then.",
)
@click.option(
    "--limit",
    type=click.FloatRange(0, 60),
    default=26.0,
    show_default=True,
    metavar="DEGREES",
    help="With --indoor: °C above which hours are counted.",
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
    light: Path | None,
    window: str | None,
    indoor: Path | None,
    outdoor: Path | None,
    limit: float,
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
      suncover audit home.toml plan.csv --light log.csv --window study
    """
    from suncover.export.files.plan_read import read_plan
    from suncover.site.file.sitefile import load_site

    if first is not None and last is not None:
        check_range(first, last)
    _check_logs(light, window, indoor, outdoor)
    loaded = load_site(site)
    names = [shade.name for shade in loaded.all_shades()]
    closings = read_plan(plan, names, loaded.place.zone)

    from suncover.export.files.audit_json import audit_json
    from suncover.export.text.audit_text import EMPTY, audit_text
    from suncover.plan.audit import audit_plan
    from suncover.plan.other_year import moved_to_year

    if year is not None:
        closings = moved_to_year(closings, year, loaded.place.zone)
    result = audit_plan(loaded, closings, first, last, watch=watch)
    open_ends = first is None or last is None
    warm = _heat_of(loaded, closings) if heat else None
    logs = [file for file in (light, indoor, outdoor) if file is not None]
    seen_by_log, rooms = None, None
    if light is not None and window is not None:
        days = (first, last) if result is None else (result.first, result.last)
        seen_by_log = _seen(loaded, closings, window, light, days)
        if indoor is not None:
            rooms = _indoors(loaded, closings, seen_by_log, (indoor, outdoor), (limit, *days))
    if form == "json":
        deliver(
            (*loaded.files, plan, *logs),
            {
                output: audit_json(
                    loaded, result, open_ends=open_ends, heat=warm, seen=seen_by_log, warm=rooms
                )
            },
        )
    else:
        on_screen = is_screen(output)
        style = strong if on_screen else str
        text = f"{EMPTY}\n"
        if result is not None:
            text = audit_text(
                loaded, result, open_ends=open_ends, brief=brief, heat=warm, strong=style
            )
        if seen_by_log is not None:
            from suncover.export.text.worked_text import worked_text

            text += f"\n{worked_text(seen_by_log, rooms, strong=style)}"
        if on_screen:
            say(text)
        else:
            deliver((*loaded.files, plan, *logs), {output: text.encode()})
    return 1 if result is not None and result.broken else 0


def _heat_of(site: Site, closings: Sequence[Closing]) -> PlanHeat | None:
    """What the plan keeps out in the site's year of weather."""
    from suncover.compare.plan_heat import plan_heat
    from suncover.compare.year import compare_year
    from suncover.sun.weather.load import load_weather

    return plan_heat(compare_year(site, load_weather(site)), closings)


def _check_logs(
    light: Path | None, window: str | None, indoor: Path | None, outdoor: Path | None
) -> None:
    """Refuses options that do nothing by themselves."""
    if (light is None) != (window is None):
        raise click.UsageError("--light and --window go together: a log and the window it is of")
    if indoor is not None and light is None:
        raise click.UsageError("--indoor goes with --light, which tells the window and the sun")
    if outdoor is not None and indoor is None:
        raise click.UsageError("--outdoor goes with --indoor")


def _seen(
    site: Site,
    closings: Sequence[Closing],
    window: str,
    light: Path,
    days: tuple[date | None, date | None],
) -> SeenSun:
    """What the light log says of the plan."""
    from suncover.compare.seen_sun import seen_sun
    from suncover.site.light_log import read_light

    return seen_sun(site, closings, window, read_light(light, site.place.zone), days)


def _indoors(
    site: Site,
    closings: Sequence[Closing],
    sun: SeenSun,
    logs: tuple[Path, Path | None],
    limits: tuple[float, date | None, date | None],
) -> Indoors:
    """What the thermometers say of the plan's effect; `limits` are the °C and the dates."""
    from suncover.compare.indoors import indoors, outdoor_of
    from suncover.compare.seen_sun import dates_with_closings
    from suncover.site.temperature_log import read_temperature
    from suncover.sun.weather.load import load_weather

    zone = site.place.zone
    inside, outside = logs
    limit, first, last = limits
    return indoors(
        read_temperature(inside, zone),
        outdoor_of(load_weather(site)) if outside is None else read_temperature(outside, zone),
        dates_with_closings(closings, sun.shades),
        zone,
        limit=limit,
        sun=sun.sun_by_day(),
        first=first,
        last=last,
    )
