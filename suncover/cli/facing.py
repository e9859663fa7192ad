"""`suncover facing`: the azimuths that sightings of the sun show."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from suncover.cli.dates import today_in
from suncover.cli.options import SIGHTINGS_FILE, Day, output_option, site_argument
from suncover.cli.output import deliver, refuse_inputs, remark, say, strong

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from suncover.facing.light.study import LightStudy
    from suncover.facing.walls import WallStudy
    from suncover.site.model import Site


@click.command()
@site_argument
@click.option(
    "--sightings",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="CSV with the columns window,time,seen; beside the [[sighting]] tables of SITE. If left "
    "out, sightings.csv, where `suncover sight` writes, if it is there.",
)
@click.option(
    "--light",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Log of a light sensor on --window, CSV with the columns time,value, any unit. With it, "
    "--sightings is written: what the log shows is added there.",
)
@click.option("--window", metavar="NAME", help="The window that the light sensor lies on.")
@click.option(
    "--picture",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="With --light: draw the log, with what was found in it, as SVG.",
)
@click.option(
    "--also",
    type=click.Choice(("overhang", "skyline")),
    multiple=True,
    help="Find the overhang's depth and gap, or points of the skyline, as well; repeatable.",
)
@click.option(
    "--from",
    "first",
    type=Day(),
    metavar="DATE",
    help="First day of the week to watch next; today if left out.",
)
@click.option(
    "--format",
    "form",
    type=click.Choice(("text", "csv")),
    default="text",
    show_default=True,
    help="A page to read, or a row for each window.",
)
@click.option("--write", is_flag=True, help="Put what is well known into SITE; comments stay.")
@output_option
def facing(
    *,
    site: Path,
    sightings: Path | None,
    light: Path | None,
    window: str | None,
    picture: Path | None,
    also: tuple[str, ...],
    first: date | None,
    form: str,
    write: bool,
    output: Path | None,
) -> int:
    """Which way the windows of SITE face, by what was seen of the sun on them.

    A sighting is the time at which the sun first came onto a window's glass, or last left it.
    Never look at the sun: watch the light on the frame or on the floor. `suncover sight` writes
    sightings down. A light sensor on a window's sill sees the same for you: lay it there flat for
    two weeks, and give its log with --light.

    \b
    Examples:
      suncover facing home.toml --sightings sightings.csv
      suncover facing home.toml --sightings sightings.csv --write
      suncover facing home.toml --sightings sightings.csv --format csv -o facing.csv
      suncover facing home.toml --light log.csv --window kitchen
    """
    from suncover.base.textfile import printable

    if light is not None:
        files = {"sightings": sightings, "picture": picture, "output": output}
        return _by_light(site, light, window, files, form=form, write=write)
    if window is not None or picture is not None:
        raise click.UsageError("--window and --picture go with --light, the log of a sensor")
    from suncover.site.file.sitefile import load_site
    from suncover.site.sightings import read_sightings

    loaded = load_site(site)
    all_sightings = loaded.sightings
    if sightings is None and (sightings := _written_by_sight(site)) is not None:
        remark(printable(f"sightings: {sightings}"))
    if sightings is not None:
        names = [window.name for window in loaded.windows]
        all_sightings += read_sightings(sightings, names, loaded.place.zone)

    from suncover.base.clock import day_bounds
    from suncover.facing.walls import study_walls

    zone = loaded.place.zone
    # Only the page says what to watch.
    start = float(day_bounds(first or today_in(zone), zone).start) if form == "text" else None
    studies = study_walls(loaded, all_sightings, start, also)
    read: list[str | Path] = [*loaded.files]
    read += [] if sightings is None else [sightings]
    if output is not None:
        refuse_inputs([output], read)  # before the site file is written
    if write:
        _write(site, loaded, studies)
    if form == "text" and output is None:
        say(_text(loaded, studies, is_screen=True))
    else:
        deliver(read, {output: _content(loaded, studies, form)})
    return 0


def _by_light(
    path: Path,
    light: Path,
    name: str | None,
    files: Mapping[str, Path | None],
    *,
    form: str,
    write: bool,
) -> int:
    """The azimuth by a light log; 1 where it does not tell one."""
    from suncover.base.errors import RequestError
    from suncover.base.textfile import printable
    from suncover.site.file.sitefile import load_site
    from suncover.site.light_log import read_light

    if name is None:
        raise click.UsageError("say with --window NAME which window the light sensor lies on")
    loaded = load_site(path)
    try:
        loaded.window(name)
    except RequestError as error:
        raise RequestError(f"{printable(str(path))}: --window: {error}") from None
    log = read_light(light, loaded.place.zone)

    from suncover.export.text.light_text import light_text
    from suncover.facing.light.study import study_light
    from suncover.facing.walls import WallStudy

    sightings, picture, output = (files[key] for key in ("sightings", "picture", "output"))
    read: list[str | Path] = [*loaded.files, light]
    refuse_inputs([file for file in files.values() if file is not None], read)
    study = study_light(loaded, name, log)
    if picture is not None:
        from suncover.report.pictures.light_log import light_picture

        deliver(read, {picture: light_picture(loaded, study).svg().encode()})
    page = light_text(loaded, study, strong=strong if output is None else str)
    if study.facing is None:
        for line in page.rstrip().splitlines():
            remark(line)
        return 1
    wall = WallStudy((name,), study.facing, None)
    if sightings is not None:
        _add_sightings(read, sightings, study, loaded)
    if write:
        _write(path, loaded, [wall])
    if form == "csv":
        deliver(read, {output: _content(loaded, [wall], form)})
    elif output is None:
        say(page)
    else:
        deliver(read, {output: page.encode()})
    return 0


def _add_sightings(read: Sequence[str | Path], path: Path, study: LightStudy, loaded: Site) -> None:
    """Puts what a log shows into a file of sightings, beside what is there."""
    from suncover.site.file.sightings_file import with_more_sightings

    names = [window.name for window in loaded.windows]
    text = with_more_sightings(path, study.sightings, names, loaded.place.zone)
    deliver(read, {path: text.encode()})


def _written_by_sight(site: Path) -> Path | None:
    """The file that `suncover sight` writes: here, or beside the site file."""
    places = (Path(SIGHTINGS_FILE), site.parent / SIGHTINGS_FILE)
    return next((path for path in places if path.is_file()), None)


def _content(site: Site, studies: Sequence[WallStudy], form: str) -> bytes:
    if form == "csv":
        from suncover.export.files.facing_csv import facing_csv

        return facing_csv(studies)
    return _text(site, studies, is_screen=False).encode()


def _text(site: Site, studies: Sequence[WallStudy], *, is_screen: bool) -> str:
    from suncover.export.text.facing_text import facing_text

    return facing_text(site, studies, strong=strong if is_screen else str)


def _write(path: Path, site: Site, studies: Sequence[WallStudy]) -> None:
    """Writes the facings that are well known into the site file at once, and remarks on each."""
    from suncover.base.atomic import write_atomically
    from suncover.base.errors import RequestError
    from suncover.base.textfile import printable, read_bytes
    from suncover.facing.skyline import merged_skyline
    from suncover.site.file.edit import with_azimuths, with_overhang, with_skyline
    from suncover.site.file.sitefile import site_from_text

    raw = read_bytes(path)
    text = raw.decode("utf-8-sig")
    lines = []
    try:
        for study in studies:
            if study.facing is None:
                continue
            names = " and ".join(study.windows)
            if study.facing.doubt:
                lines.append(f"{names}: not written, as it is not to be relied on yet")
                continue
            result = study.facing.azimuth % 360, study.facing.sd
            text = with_azimuths(text, dict.fromkeys(study.windows, result))
            for roof in study.roofs:
                try:
                    text = with_overhang(text, roof.window, roof.depth, roof.gap)
                except RequestError:  # a canopy's, or written in a way of its own
                    lines.append(f"{roof.window}: its overhang is to be changed by hand")
            for name in sorted({point.sighting.window for point in study.skyline}):
                points = [point for point in study.skyline if point.sighting.window == name]
                merged = merged_skyline(site.window(name).skyline, points)
                text = with_skyline(text, name, merged)
            lines.append(f"{names}: written")
        site_from_text(text, path)
    except RequestError as error:
        raise RequestError(f"{printable(str(path))}: {error}; nothing was written") from None
    mark = b"\xef\xbb\xbf" if raw.startswith(b"\xef\xbb\xbf") else b""
    write_atomically(path, mark + text.encode())
    for line in lines or ["there is nothing to write"]:
        remark(f"{printable(str(path))}: {printable(line)}")
