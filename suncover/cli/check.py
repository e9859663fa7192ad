"""`suncover check`: is a site file sound, and what does it say?"""

from __future__ import annotations

from pathlib import Path

import click

from suncover.cli.options import site_argument
from suncover.cli.output import say, strong


@click.command()
@site_argument
def check(site: Path) -> None:
    """Read the site file SITE and say what is wrong in it.

    Every fault gets one line with its place and the remedy, and the exit status is 2. A file
    without faults is shown as it was understood, with remarks on what may be a slip.

    \b
    Example:
      suncover check home.toml
    """
    from suncover.export.site_text import site_text
    from suncover.sitefile import load_site

    loaded = load_site(site)
    notes = []
    if loaded.weather is not None and loaded.weather.file is not None:
        file = loaded.weather.file
        if not file.startswith("bundled:") and not Path(file).is_file():
            notes.append(f"weather: there is no file {file}; `suncover compare` will need it")
    say(site_text(str(site), loaded, notes, strong=strong))
