"""Neighbours and trees out of a map, put into a site file's text."""

from __future__ import annotations

from suncover.around.geojson import map_of
from suncover.around.neighbours import neighbours
from suncover.around.tables import obstacle_table, tree_table
from suncover.export.text.words import listed, number
from suncover.site.file.edit import with_windows_added
from suncover.site.model import Site


def with_neighbours(site: Site, text: str, map_text: str) -> tuple[str, str]:
    """The text with what of a GeoJSON map may shade a window of its site, and what that was.

    Raises
    ------
    FileFaults, RequestError
        When it is no map, or the text has no place for more.
    """
    around = neighbours(site, map_of(map_text, "the map"))
    tables = [
        *(obstacle_table(block) for block in around.obstacles),
        *(tree_table(tree) for tree in around.trees),
    ]
    blocks, trees = number(len(around.obstacles), "obstacle"), number(len(around.trees), "tree")
    summary = f"{blocks} and {trees} added"
    flat = f"; {around.counts.flat} left out, of which the map has no height" * bool(
        around.counts.flat
    )
    unread = around.counts.unread
    look = f". Look at these yourself, the map is wrong there: {listed(unread)}" * bool(unread)
    return with_windows_added(text, tables) if tables else text, summary + flat + look
