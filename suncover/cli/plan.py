"""`suncover plan`: a season's closings and openings of each shade."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from suncover.cli.dates import season_ahead
from suncover.cli.options import ROUND_TIME, TOLERANCE, date_range, site_argument
from suncover.cli.output import STDOUT, deliver, is_screen, remark, say, strong, watch

if TYPE_CHECKING:
    from suncover.export.text.text_table import Style
    from suncover.plan.best.plans import BestPlan
    from suncover.plan.closings.shade_plan import ShadePlan
    from suncover.plan.season import ShadeSun
    from suncover.plan.slight import SlightSun
    from suncover.plan.timers.dial import Every
    from suncover.plan.timers.variants import VariedPlans
    from suncover.site.model import Site

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
@click.option(
    "--brief",
    is_flag=True,
    help="Only what to do, and what is not as asked; not what it comes to or might bring.",
)
@click.option(
    "--remind",
    is_flag=True,
    help="With --ics: an event on the plan's last day says that it is to be renewed.",
)
@click.option(
    "--peak",
    is_flag=True,
    help="With --csv: tell how strong the sun gets on the glass in each closing, too.",
)
@click.option(
    "--best",
    is_flag=True,
    help="The best plan by the weights of [best], in place of the one that covers all it can.",
)
@click.option(
    "--round",
    "round_minutes",
    type=ROUND_TIME,
    metavar="TIME",
    help="Round clock times, such as 5min: closings sooner, openings later.",
)
@click.option(
    "--steady",
    "steady_minutes",
    type=TOLERANCE,
    metavar="TIME",
    help="The same times on neighbouring days that differ by no more, such as 5min.",
)
@click.option(
    "--every",
    type=click.Choice(("day", "week", "month")),
    help="One setting that holds for each day of the period, for a wall timer.",
)
@click.option(
    "--timer-ignores-dst",
    is_flag=True,
    help="With --every: the timer's clock stays as it is on the first day.",
)
@click.option(
    "--card",
    type=_FILE,
    metavar="FILE",
    help="With --every: write the settings there, a page for each shade, or a table (.csv).",
)
def plan(
    *,
    site: Path,
    first: date | None,
    last: date | None,
    csv: Path | None,
    ics: Path | None,
    brief: bool,
    remind: bool,
    peak: bool,
    best: bool,
    round_minutes: int | None,
    steady_minutes: int | None,
    every: Every | None,
    timer_ignores_dst: bool,
    card: Path | None,
) -> None:
    """When each shade of SITE closes and opens, and why.

    Writes the plan as a table (CSV), as a calendar (iCalendar), or both, and prints a summary: what
    each shade does, and which sun it lets in and why. Without a file it shows the first days.

    Without --from and --to: from today, or the next season's first day, to the season's end; a year
    where a shade has no season. With --from alone: to the end of the season that runs then or comes
    next. With --to alone: from today.

    With --best, sun that is not worth a closing is not kept out; the page tells what that saves.

    A wall timer that has one setting for a day, a week or a month gets it with --every. It covers
    all that the daily plan covers, and the page tells what that costs in daylight.

    \b
    Examples:
      suncover plan home.toml
      suncover plan home.toml --from 2027-04-15 --to 2027-10-15 --csv plan.csv --ics plan.ics
      suncover plan home.toml --every week --round 5min --card card.txt
    """
    from suncover.site.file.sitefile import load_site

    _check_files({"--csv": csv, "--ics": ics, "--card": card})
    if every is None and (timer_ignores_dst or card is not None):
        option = "--card" if card is not None else "--timer-ignores-dst"
        raise click.UsageError(f"{option} goes with --every day, week or month; add it")
    if every is not None and steady_minutes is not None:
        raise click.UsageError(
            f"--every {every} has one setting for each {every} already; leave out --steady, or "
            "--every"
        )
    if remind and ics is None:
        raise click.UsageError("--remind goes with --ics; add it")
    if peak and csv is None:
        raise click.UsageError("--peak goes with --csv; add it")
    loaded = load_site(site)
    dates = season_ahead(first, last, loaded)

    from suncover.base.textfile import printable
    from suncover.export.text.plan_text import plan_text
    from suncover.plan import season
    from suncover.plan.asked import asked_plans
    from suncover.plan.slight import slight_sun
    from suncover.plan.timers.variants import Variant

    variant = Variant(round_minutes, every, timer_ignores_dst, steady_minutes)
    suns = season.shade_sun(loaded, *dates, watch=watch)
    files = {"csv": csv, "ics": ics, "card": card}
    by_day = every in (None, "day")
    result = asked_plans(loaded, suns, dates, variant, best=best, places=ics is not None and by_day)
    varied = result.varied
    ends = dates[1] if remind else None
    contents = _contents(loaded, varied, every, files, peak=peak, ends=ends)
    deliver(loaded.files, contents)
    to_screen = any(map(is_screen, contents))
    style = str if to_screen else strong
    slight = slight_sun(loaded, varied.plans)
    summary = (
        []
        if brief
        else _summary(
            loaded,
            suns,
            (result.daily, varied.plans),
            dates,
            steady_minutes,
            slight=None if best else slight,
            style=style,
        )
    )
    page = plan_text(
        loaded,
        varied.plans,
        *dates,
        slight=slight,
        summary=summary,
        with_closings=not contents,
        brief=brief,
        strong=style,
    )
    if to_screen:
        remark(page.rstrip("\n"))
        return
    say(page)
    if result.best is not None and not brief:
        say(_best_text(loaded, suns, dates, result.best))
    if every is not None and not brief:
        from suncover.export.text.timer_text import timer_text

        say(timer_text(varied.timers, every, strong=strong))
    for path in contents:
        say(f"wrote {printable(str(path))}\n")
    if not contents:
        say("To keep it, add to the command: --csv plan.csv --ics plan.ics\n")


def _summary(
    site: Site,
    suns: Sequence[ShadeSun],
    plans: tuple[Sequence[ShadePlan], Sequence[ShadePlan]],
    dates: tuple[date, date],
    steady_minutes: int | None,
    *,
    slight: Sequence[SlightSun] | None,
    style: Style,
) -> list[str]:
    """What the plan comes to, what steady times cost, and what one step of a limit would bring, if
    `slight` is there.

    `plans` are those day by day, and those that are asked for.
    """
    from suncover.base.clock import dates_bounds
    from suncover.export.text.summary_text import steps_lines, summary_lines
    from suncover.plan.season import light_of
    from suncover.plan.slight import power_steps
    from suncover.plan.summary import steps_by_rules, summary_of

    span = dates_bounds(*dates, site.place.zone)
    light = light_of(site, span)
    daily, varied = plans
    summary = summary_of(site, suns, varied, span, light)
    lines = summary_lines(site, summary, style)
    if steady_minutes is not None:
        from suncover.export.text.steady_text import Made, steady_lines

        before = Made(daily, summary_of(site, suns, daily, span, light))
        after = Made(varied, summary)
        lines += steady_lines(before, after, steady_minutes, site.place.zone, style)
    if slight is not None:
        steps = [*steps_by_rules(site, suns, light), *power_steps(slight)]
        lines += steps_lines(steps, dates, style)
    return lines


def _best_text(
    site: Site, suns: Sequence[ShadeSun], dates: tuple[date, date], best: Sequence[BestPlan]
) -> str:
    """The text on the best plan of each shade."""
    from suncover.base.clock import dates_bounds
    from suncover.export.text.best_text import best_text
    from suncover.plan.best.plans import steps
    from suncover.plan.season import light_of
    from suncover.plan.unit import units_of

    light = light_of(site, dates_bounds(*dates, site.place.zone))
    looser = list(steps(site, units_of(site, suns), light))
    return best_text(best, looser, site.best, strong=strong)


def _check_files(files: Mapping[str, Path | None]) -> None:
    """Refuse two outputs in one place."""
    option_of: dict[Path, str] = {}
    for option, path in files.items():
        if path is not None:
            place = STDOUT if is_screen(path) else path
            first = option_of.setdefault(place, option)
            if first != option:
                raise click.UsageError(
                    f"{first} and {option} both go to {path}; name two different files"
                )


def _contents(
    site: Site,
    varied: VariedPlans,
    every: Every | None,
    files: Mapping[str, Path | None],
    *,
    peak: bool,
    ends: date | None,
) -> dict[Path | None, bytes]:
    """What goes into each file that is asked for."""
    closings = [closing for shade_plan in varied.plans for closing in shade_plan.closings]
    contents: dict[Path | None, bytes] = {}
    if (csv := files["csv"]) is not None:
        from suncover.export.files.plan_csv import plan_csv
        from suncover.plan.peaks import asks_for_power, closing_peaks

        contents[csv] = plan_csv(
            closings,
            site.place.zone,
            position=any(shade.has_stops for shade in site.shades),
            run_seconds=any(shade.roller is not None for shade in site.shades),
            peaks=closing_peaks(site, closings) if peak or asks_for_power(site) else None,
        )
    if (ics := files["ics"]) is not None:
        if every in (None, "day"):
            from suncover.export.files.plan_ics import plan_ics

            contents[ics] = plan_ics(closings, site.place, ends=ends)
        else:
            from suncover.export.files.plan_rrule_ics import plan_rrule_ics

            contents[ics] = plan_rrule_ics(varied.timers, site.place, varied.dial, ends=ends)
    if (card := files["card"]) is not None:
        from suncover.export.text.dial_card import dial_card, dial_card_csv

        as_table = card.suffix.lower() == ".csv"
        text = "" if as_table else dial_card(varied.timers, site.place, varied.dial)
        contents[card] = dial_card_csv(varied.timers) if as_table else text.encode()
    return contents
