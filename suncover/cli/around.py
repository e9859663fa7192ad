"""`suncover around`: neighbours from a map, hills from a raster of heights."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from suncover.cli.options import finite, output_option, site_argument
from suncover.cli.output import deliver, remark

if TYPE_CHECKING:
    from suncover.around.neighbours import Neighbours
    from suncover.site.model import Site

MOST_UNREAD = 20  # lines of a remark


@click.command()
@site_argument
@click.argument("map_file", metavar="[MAP]", required=False, type=click.Path(path_type=Path))
@click.option(
    "--terrain",
    type=click.Path(path_type=Path),
    metavar="RASTER",
    help="GeoTIFF of heights, for the far horizon; in place of MAP.",
)
@click.option(
    "--within",
    type=click.FloatRange(min=0.0, min_open=True),
    callback=finite,
    metavar="DISTANCE",
    help="Leave out what is farther off: metres with MAP (all of it if left out), kilometres with "
    "--terrain (100 if left out).",
)
@click.option(
    "--own",
    metavar="ID",
    help="The id of your own house in MAP; the building about the site's origin if left out.",
)
@click.option(
    "--height",
    type=click.FloatRange(min=0.0, min_open=True),
    callback=finite,
    metavar="METRES",
    help="Taken for buildings of which MAP has no height; without it they are left out.",
)
@click.option("--write", is_flag=True, help="Put it into SITE; comments and layout stay.")
@output_option
def around(
    *,
    site: Path,
    map_file: Path | None,
    terrain: Path | None,
    within: float | None,
    own: str | None,
    height: float | None,
    write: bool,
    output: Path | None,
) -> None:
    """What stands about SITE: its neighbours by a map, or its hills by a raster of heights.

    MAP is GeoJSON (RFC 7946) with buildings and trees. Buildings need a `height` or
    `building:levels` (a level counts as 3.0 m), trees a `height` and a `diameter_crown`. What could
    never shade a window of SITE is left out. All heights count from the ground at the site: where
    the street rises or falls, change them.

    \b
    Examples:
      suncover around home.toml street.geojson
      suncover around home.toml street.geojson --own way/123 --write
      suncover around home.toml --terrain hills.tif --within 50 --write
      suncover around home.toml --terrain hills.tif -o horizon.csv
    """
    from suncover.site.file.sitefile import load_site

    if (map_file is None) == (terrain is None):
        raise click.UsageError("name a MAP of the neighbours, or a raster with --terrain")
    if terrain is not None and (own is not None or height is not None):
        raise click.UsageError("--own and --height go with a MAP, not with --terrain")
    if write and output is not None:
        raise click.UsageError("--write changes SITE and --output another file; give one of them")
    loaded = load_site(site)
    if terrain is not None:
        _terrain(site, loaded, terrain, within, write=write, output=output)
    elif map_file is not None:
        from suncover.around.geojson import read_map
        from suncover.around.neighbours import neighbours

        around_site = neighbours(loaded, read_map(map_file), within=within, own=own, height=height)
        _neighbours(
            site, loaded, around_site, [*loaded.files, map_file], write=write, output=output
        )


def _neighbours(
    path: Path,
    site: Site,
    result: Neighbours,
    read: Sequence[str | Path],
    *,
    write: bool,
    output: Path | None,
) -> None:
    from suncover.around.tables import obstacle_table, tree_table

    tables = [
        *(obstacle_table(obstacle) for obstacle in result.obstacles),
        *(tree_table(tree) for tree in result.trees),
    ]
    if write:
        from suncover.site.file.edit import with_windows_added

        if tables:
            _rewrite(path, lambda text: with_windows_added(text, tables))
    else:
        deliver(read, {output: "\n".join(tables).encode()})
    for line in _result_lines(site, result):
        remark(line)
    if write:
        remark(f"{path}: {'written' if tables else 'there is nothing to write'}")


def _result_lines(site: Site, result: Neighbours) -> Iterator[str]:
    """What was taken, what was left out, and what was assumed."""
    from suncover.around.geojson import LEVEL_M
    from suncover.export.text.words import number

    obstacles, trees = number(len(result.obstacles), "obstacle"), number(len(result.trees), "tree")
    yield f"{obstacles} and {trees} may shade a window"
    counts = result.counts
    yield from unread_lines(counts.unread)
    if counts.own:
        yield f"left out as your own house: {', '.join(counts.own)}"
    else:
        yield "no building holds the site's origin; if your own is in the map, name it with --own"
    if counts.never:
        yield f"{counts.never} left out that can never shade a window"
    if counts.far:
        yield f"{counts.far} left out as farther off"
    if counts.flat:
        yield f"{counts.flat} left out of which the map has no height (of trees: no crown)"
    if counts.present:
        yield f"{counts.present} left out as there already, in the site file or in the map"
    if counts.broken:
        yield f"{counts.broken} left out whose outline bounds no area"
    if counts.levels:
        yield f"{number(counts.levels, 'height')} by storeys of {LEVEL_M} m"
    if counts.guessed_leaf:
        shed = number(counts.guessed_leaf, "tree")
        yield f"leaves of {shed} taken to fall in autumn; change what is wrong"
    if all(window.position is None for window in site.windows):
        yield "no window has a position yet: obstacles and trees shade only windows with one"


def unread_lines(unread: Sequence[str]) -> Iterator[str]:
    """Lines of a remark on things of a map that could not be read and may shade a window."""
    if not unread:
        return
    yield (
        "LOOK AT THESE YOURSELF: the map is wrong there, and they may shade a window. What cannot "
        "be read is taken as not there:"
    )
    yield from (f"  {line}" for line in unread[:MOST_UNREAD])
    if len(unread) > MOST_UNREAD:
        yield f"  … and {len(unread) - MOST_UNREAD} more"


def _terrain(
    path: Path, site: Site, raster: Path, within: float | None, *, write: bool, output: Path | None
) -> None:
    from suncover.around.tables import horizon_line
    from suncover.around.terrain import (
        EYE_M,
        FARTHEST_KM,
        horizon,
        read_heights,
        soonest_end,
        thinned,
    )

    reach = FARTHEST_KM if within is None else within
    place = site.place
    floors = [w.floor + w.sill for w in site.windows if w.position is not None]
    eye = min(floors, default=EYE_M)
    heights = read_heights(raster, place.latitude, place.longitude, reach)
    points = horizon(heights, place.latitude, place.longitude, reach, max(eye, 0.0))
    line = horizon_line(thinned(points))
    if write:
        from suncover.site.file.edit import with_horizon

        _rewrite(path, lambda text: with_horizon(text, line))
        remark(f"{path}: written")
    elif output is not None:
        rows = "".join(f"{azimuth:g},{up:g}\n" for azimuth, up in points)
        deliver([*site.files, raster], {output: f"azimuth,elevation\n{rows}".encode()})
    else:
        deliver(path, {None: f"horizon = {line}\n".encode()})
    highest = max(points, key=lambda point: point[1])
    remark(f"highest at azimuth {highest[0]:g}: {highest[1]:.1f} degrees")
    end = soonest_end(heights, place.latitude, place.longitude, reach)
    if end is not None:
        remark(
            f"the raster has no heights beyond {end[1] / 1000:.1f} km at azimuth {end[0]:g}, nor "
            f"perhaps elsewhere short of {reach:g} km: hills there are not in the horizon"
        )


def _rewrite(path: Path, change: Callable[[str], str]) -> None:
    """Changes the site file in one step, if what comes out is a site."""
    from suncover.base.atomic import write_atomically
    from suncover.base.errors import RequestError
    from suncover.site.file.sitefile import site_from_text

    raw = path.read_bytes()
    try:
        text = change(raw.decode("utf-8-sig"))
        site_from_text(text, path)
    except RequestError as error:
        raise RequestError(f"{path}: {error}; nothing was written") from None
    mark = b"\xef\xbb\xbf" if raw.startswith(b"\xef\xbb\xbf") else b""
    write_atomically(path, mark + text.encode())
