"""`suncover report`: one page with pictures, and every picture alone."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from suncover.cli import dates
from suncover.cli.options import Day, check_range, date_range, output_option, site_argument
from suncover.cli.output import deliver, is_screen, say, watch

if TYPE_CHECKING:
    from suncover.report.gather import ReportData
    from suncover.report.units import Units

KINDS = ("svg", "png")


@click.command()
@site_argument
@output_option
@click.option(
    "--figures",
    "folder",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Write every picture there as a file of its own; the folder is made if there is none.",
)
@click.option(
    "--picture",
    "kind",
    type=click.Choice(KINDS),
    default="svg",
    show_default=True,
    help="What --figures writes; png needs pip install 'suncover[plot]'.",
)
@date_range
@click.option(
    "--at",
    "day",
    type=Day(),
    metavar="DATE",
    help="The day that the page calls today, YYYY-MM-DD; else today's date at the site.",
)
@click.option(
    "--units",
    type=click.Choice(("metric", "feet")),
    help="How lengths are shown; else as the site file writes them. The page can switch.",
)
@click.option(
    "--light",
    "log",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Log of a light sensor on --window, as `facing --light` takes it: shown with its picture.",
)
@click.option("--window", metavar="NAME", help="The window that the light sensor lies on.")
@click.option(
    "--heat/--no-heat",
    default=True,
    help="With the comparison of overhang and shade, or without it.",
)
def report(
    *,
    site: Path,
    output: Path | None,
    folder: Path | None,
    kind: str,
    first: date | None,
    last: date | None,
    day: date | None,
    units: Units | None,
    log: Path | None,
    window: str | None,
    heat: bool,
) -> None:
    """A page with pictures of SITE: what to do next, the year, every window, the heat.

    The page is one file that opens from disk and needs no network. Its pictures cover the year of
    the day that it calls today, or the days from --from to --to, a year at most.

    \b
    Examples:
      suncover report home.toml -o report.html
      suncover report home.toml -o report.html --figures pictures --at 2027-06-21
      suncover report home.toml -o report.html --light log.csv --window kitchen
    """
    if output is None and folder is None:
        raise click.UsageError("name the page's file with -o FILE, or a folder with --figures DIR")
    if first is not None and last is not None:
        check_range(first, last)

    from suncover.base.textfile import printable, read_text
    from suncover.site.file.sitefile import load_site
    from suncover.sun.weather.load import load_weather

    if (log is None) != (window is None):
        raise click.UsageError("--light and --window go together: a log, and whose it is")
    loaded = load_site(site)
    light = None
    if log is not None and window is not None:
        from suncover.facing.light.study import study_light
        from suncover.site.light_log import read_light

        light = study_light(loaded, window, read_light(log, loaded.place.zone))
    at = day or dates.today_in(loaded.place.zone)

    with _no_collector():
        from suncover.report.gather import gather_report

        data = gather_report(
            loaded,
            *_days(at, first, last, southern=loaded.place.latitude < 0),
            at,
            weather=load_weather(loaded) if heat else None,
            units=units,
            source=read_text(site),
            file=site.name,
            light=light,
            watch=watch,
        )
        contents = _contents(data, output, folder, kind)
    if folder is not None:
        folder.mkdir(parents=True, exist_ok=True)
    deliver([*loaded.files, *([] if log is None else [log])], contents)
    if output is not None and not is_screen(output):
        say(f"wrote {printable(str(output))}\n")
    if folder is not None:
        say(f"wrote {len(contents) - (output is not None)} pictures to {printable(str(folder))}\n")


@contextmanager
def _no_collector() -> Iterator[None]:
    """Without the search for garbage, which takes a twentieth of a run that ends soon anyhow."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _days(at: date, first: date | None, last: date | None, *, southern: bool) -> tuple[date, date]:
    """The days asked for; what is left open is an end of the year of the other, or of today.

    South of the equator that year runs from July to June, so that its summer is in one piece.
    """
    if first is None and last is None and southern:
        year = at.year if at.month >= 7 else at.year - 1
        return date(year, 7, 1), date(year + 1, 6, 30)
    if first is None:
        first = date((last or at).year, 1, 1)
    return first, last or date(first.year, 12, 31)


def _contents(
    data: ReportData, output: Path | None, folder: Path | None, kind: str
) -> dict[Path | None, bytes]:
    contents: dict[Path | None, bytes] = {}
    if output is not None:
        from suncover.report.page.report_page import report_page

        contents[output] = report_page(data)
    if folder is not None:
        from suncover.report.pictures.figures import report_figures

        for figure in report_figures(data):
            picture = figure.svg().encode() if kind == "svg" else figure.png()
            contents[folder / f"{figure.name}.{kind}"] = picture
    return contents
