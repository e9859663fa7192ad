"""`suncover open`: the site in a browser."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path
from threading import Event

import click

from suncover.cli.dates import today_in
from suncover.cli.ending import ended_by_signals
from suncover.cli.options import site_argument
from suncover.cli.output import remark, say

EXTRA = "pip install 'suncover[web]'"
NEEDS = ("starlette", "uvicorn", "jinja2")


@click.command()
@site_argument
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=0,
    metavar="N",
    help="Serve on this port; on any free one if left out.",
)
@click.option("--no-browser", is_flag=True, help="Only print the address; open no browser.")
def open(*, site: Path, port: int, no_browser: bool) -> None:
    """Opens SITE in a browser: see the sun on its windows, change it, try an overhang.

    It prints the address of one page, which only this machine can reach, and serves it until it is
    stopped (Ctrl-C). Nothing is written before you save. A SITE that is not there is drawn on the
    page, from a few measures of the house.

    \b
    Examples:
      suncover open home.toml
      suncover open new.toml --port 8040 --no-browser
    """
    if any(find_spec(name) is None for name in NEEDS):
        raise click.UsageError(f"the page needs more packages: {EXTRA}")
    from suncover.web.disk import SiteFile
    from suncover.web.serve import serve_site

    if not site.parent.is_dir():
        raise click.UsageError(f"there is no folder {site.parent}; make it first")
    SiteFile(site).read()  # what cannot be read at all is refused here
    with ended_by_signals() as ending:
        ended = Event()
        with serve_site(site, port, today_in(None)) as address:
            ending.append(ended.set)
            say(f"{address}\n")
            remark("the address holds a word that only this page knows; Ctrl-C ends it")
            if not no_browser:
                import webbrowser

                if not webbrowser.open(address):
                    remark("no browser could be opened; open the address in one")
            while not ended.wait(3600.0):
                pass
