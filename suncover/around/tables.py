"""The tables of a site file for what stands about it."""

from __future__ import annotations

import json
from collections.abc import Iterable

from suncover.site.parts import Obstacle, Tree


def obstacle_table(obstacle: Obstacle) -> str:
    """An `[[obstacle]]` table."""
    corners = ", ".join(f"[{number(x)}, {number(y)}]" for x, y in obstacle.footprint)
    lines = ["[[obstacle]]", f"name = {quoted(obstacle.name)}", f"footprint = [{corners}]"]
    if obstacle.base:
        lines.append(f"base = {number(obstacle.base)}")
    return "\n".join([*lines, f"top = {number(obstacle.top)}"]) + "\n"


def tree_table(tree: Tree) -> str:
    """A `[[tree]]` table."""
    lines = [
        "[[tree]]",
        f"name = {quoted(tree.name)}",
        f"trunk = [{number(tree.trunk[0])}, {number(tree.trunk[1])}]",
        f"width = {number(tree.width)}",
        f"bottom = {number(tree.bottom)}",
        f"top = {number(tree.top)}",
        f"leaf = {number(tree.leaf)}",
    ]
    if tree.bare != tree.leaf:
        lines.append(f"bare = {number(tree.bare)}")
    if tree.in_leaf is not None:
        first, last = (f'"{month:02d}-{day:02d}"' for month, day in tree.in_leaf)
        lines.append(f"in_leaf = [{first}, {last}]")
    return "\n".join(lines) + "\n"


def horizon_line(points: Iterable[tuple[float, float]]) -> str:
    """The value of a site's `horizon`."""
    shown = ", ".join(f"[{number(azimuth)}, {number(up)}]" for azimuth, up in points)
    return f"[{shown}]"


def quoted(text: str) -> str:
    """A text as TOML has it."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def number(value: float) -> str:
    """A number with at most two decimals, none if none are needed."""
    shown = f"{round(value, 2):.2f}".rstrip("0").rstrip(".")
    return "0" if shown == "-0" else shown
