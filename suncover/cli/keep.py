"""`suncover keep`: the program that acts on the plan, and its rehearsal."""

from __future__ import annotations

import time
from contextlib import closing
from datetime import date
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

import click

from suncover.cli.dates import calendar_year, unix_now
from suncover.cli.ending import ended_by_signals
from suncover.cli.options import date_range, output_option, site_argument
from suncover.cli.output import deliver

if TYPE_CHECKING:
    from suncover.keeper.rehearse import Message
    from suncover.site.model import Site

EXTRA = "pip install 'suncover[keeper]'"


@click.command()
@site_argument
@click.option(
    "--state",
    type=click.Path(path_type=Path, file_okay=False),
    metavar="DIR",
    help="Folder for what the keeper knows; beside SITE if left out, home.keeper for home.toml.",
)
@click.option("--serve", metavar="HOST:PORT", help="Serve a page, the plan and its state there.")
@click.option(
    "--token-file",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="With --serve: a file with the word that every address must begin with.",
)
@click.option(
    "--log",
    "log_form",
    type=click.Choice(("text", "json")),
    default="text",
    help="What happens, to standard error: lines to read (the default), or JSON a line.",
)
@click.option(
    "--rehearse", is_flag=True, help="Only write what it would order on some days, as a table."
)
@date_range
@click.option(
    "--events",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="With --rehearse: a table time,topic,payload of messages that arrive.",
)
@output_option
def keep(
    *,
    site: Path,
    state: Path | None,
    serve: str | None,
    token_file: Path | None,
    log_form: str,
    rehearse: bool,
    first: date | None,
    last: date | None,
    events: Path | None,
    output: Path | None,
) -> None:
    """Keeps every shade of SITE where its plan has it, until it is stopped.

    It asks what should be, by the clock, and orders the difference: by messages to a broker
    (MQTT 5), or by a program of yours for each shade. What it does it tells on standard error.

    With --rehearse no motor moves: it writes what it would order from --from to --to.

    \b
    Examples:
      suncover keep home.toml --rehearse --from 2027-06-21 --to 2027-06-21
      suncover keep home.toml
      suncover keep home.toml --state /var/lib/suncover --serve 127.0.0.1:8080
    """
    if rehearse:
        for argument, name in (
            (state, "--state"),
            (serve, "--serve"),
            (token_file, "--token-file"),
        ):
            if argument is not None:
                raise click.UsageError(f"{name} is of no use with --rehearse; leave it out")
        _rehearse(site, first, last, events, output)
        return
    for value, name in ((first, "--from"), (last, "--to"), (events, "--events"), (output, "-o")):
        if value is not None:
            raise click.UsageError(f"{name} goes with --rehearse; add that, or leave it out")
    if token_file is not None and serve is None:
        raise click.UsageError("--token-file goes with --serve; add that, or leave it out")
    _keep(site, state, serve, token_file, as_json=log_form == "json")


def _rehearse(
    path: Path, first: date | None, last: date | None, events: Path | None, output: Path | None
) -> None:
    from suncover.site.file.sitefile import load_site

    site = load_site(path)
    dates = calendar_year(first, last, site.place.zone)
    arrivals = [] if events is None else _messages(site, events)

    from suncover.cli.output import remark
    from suncover.keeper.make_agenda import make_agenda
    from suncover.keeper.rehearse import rehearsal_csv, rehearse

    agenda = make_agenda(site, *dates)
    rehearsed = rehearse(agenda, arrivals)
    for _, remarked in rehearsed.remarks:
        if remarked.event == "message":
            remark(remarked.text)
    deliver(path, {output: rehearsal_csv(agenda, rehearsed)})


def _messages(site: Site, path: Path) -> list[Message]:
    from suncover.keeper.events_file import read_events

    return read_events(path, site.place.zone)


def _keep(
    path: Path, state: Path | None, serve: str | None, token_file: Path | None, *, as_json: bool
) -> None:
    from suncover.keeper.log import Log
    from suncover.keeper.loop import Clocks, Keeper

    if serve is not None and find_spec("uvicorn") is None:
        raise click.UsageError(f"--serve needs more packages: {EXTRA}")
    folder = path.with_name(f"{path.stem}.keeper") if state is None else state
    log = Log(unix_now, as_json=as_json)
    with ended_by_signals() as ending:
        keeper = Keeper(path, folder, Clocks(unix_now, time.monotonic), log)
        with closing(keeper):
            ending.append(keeper.stop)
            if serve is None:
                keeper.run()
                return
            from suncover.keeper.serve import serve_page

            with serve_page(keeper, serve, token_file, log):
                keeper.run()
