"""The tables of a site file as forms: for each kind its keys, with what each means and may hold.

From the schema, so that a key of the file is a field of the page.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from suncover.site.file.schema import site_schema
from suncover.site.parts import GLASS_KINDS
from suncover.site.rules.names import NAMED_BY

Json = dict[str, Any]

TITLES = {
    "site": "The place",
    "wall": "Walls",
    "window": "Windows",
    "canopy": "Roofs over several windows",
    "shade": "Shades",
    "supply": "What feeds several motors",
    "group": "Shades that move together",
    "obstacle": "Neighbours and other solid things",
    "tree": "Trees",
    "spot": "Places in a room",
    "need": "What shades close for",
    "exception": "Dates out of the rule",
    "glazing": "Kinds of glass",
    "weather": "Weather",
    "money": "Money",
    "option": "Tries that are kept",
    "best": "What the best plan weighs",
    "sensor": "Sensors",
    "keeper": "What moves the motors",
}
"""The kinds that have a form, in the order of the page."""
USUAL = {
    "site": ("name", "latitude", "longitude", "elevation"),
    "wall": ("name", "length", "azimuth", "after", "corner"),
    "window": ("name", "wall", "along", "width", "height", "sill", "floor", "tilt", "reveal"),
    "canopy": ("name", "windows", "height", "depth", "left", "right"),
    "shade": ("name", "windows", "travel", "place", "fabric", "quiet", "lead", "lag", "moves"),
    "supply": ("name", "shades", "at_once"),
    "group": ("name", "shades"),
    "obstacle": ("name", "top", "footprint"),
    "tree": ("name", "trunk", "width", "bottom", "top", "leaf", "bare", "in_leaf"),
    "spot": ("name", "window", "distance", "offset", "height"),
    "need": ("season", "for", "power"),
    "exception": ("name", "dates", "do", "shades"),
    "glazing": ("name", "kind", "g"),
    "weather": ("file", "stamp"),
    "money": ("currency", "electricity", "heating"),
    "option": ("name", "windows", "overhang", "fabric", "place", "price"),
}
"""The keys that are asked first; the others stay folded away until they have a value."""
_HEADER = re.compile(r"\[?\[([a-z]+(?:\.[a-z]+)?)\]\]?")
_SEVERAL_KINDS = {("tree", "from"): ("window", "wall"), ("obstacle", "from"): ("window", "wall")}


@lru_cache(maxsize=1)
def forms() -> list[Json]:
    """A form for each kind of table: `kind`, `title`, `about`, `one` for a table that may be given
    once, and its `fields`.

    A field has its `key`, what it is `about`, a `type`, whether it is `needed` or `usual`, and as
    far as it has them: `choices`, what holds if it is left out (`default`), the kinds whose entries
    it names (`of`), and the `fields` of a table in it.
    """
    schema = site_schema()
    return [
        {
            "kind": kind,
            "title": title,
            "about": schema["properties"][kind].get("description", ""),
            "one": "$ref" in schema["properties"][kind],
            "fields": _fields(schema, _table(schema, schema["properties"][kind]), kind),
        }
        for kind, title in TITLES.items()
    ]


def _table(schema: Json, node: Json) -> Json:
    """The table of a property, or of the entries of one."""
    node = node.get("items", node)
    return dict(schema["$defs"][node["$ref"].rpartition("/")[2]])


def _fields(schema: Json, table: Json, kind: str) -> list[Json]:
    required = table.get("required", ())
    usual = USUAL.get(kind, tuple(table["properties"]))
    order = [key for key in usual if key in table["properties"]]
    order += [key for key in table["properties"] if key not in order]
    fields = []
    for key in order:
        field = _field(schema, table["properties"][key], kind, key)
        fields.append(
            {**field, "needed": key in required, "usual": key in usual or key in required}
        )
    return fields


def _field(schema: Json, node: Json, kind: str, key: str) -> Json:
    about = str(node.get("description", "")).rpartition(" Or: ")[2]  # a wall: by its name
    about = _HEADER.sub(r"\1", about)
    field: Json = {"key": key, "about": about, "type": "text"}
    if "default" in node:
        field["default"] = node["default"]
    of = [table for table, keys in NAMED_BY.items() if (kind, key) in keys]
    if "$ref" in node and not node["$ref"].endswith("Text"):
        return {**field, "type": "table", "fields": _fields(schema, _table(schema, node), key)}
    items = node.get("items", {})
    if "$ref" in items:
        return {**field, "type": "tables", "fields": _fields(schema, _table(schema, node), key)}
    if of:
        names = "names" if node.get("type") == "array" else "name"
        choices = {"choices": list(GLASS_KINDS)} if of == ["glazing"] else {}
        return {**field, "type": names, "of": _SEVERAL_KINDS.get((kind, key), of), **choices}
    choices = node.get("enum") or items.get("enum")
    if choices:
        field["choices"] = choices
    kinds = node.get("anyOf", ())
    if (
        any(kind_node.get("type") == "number" for kind_node in kinds)
        and _type(node, several=False) == "list"
    ):
        field["single"] = True
    return {**field, "type": _type(node, several=bool(choices) and "items" in node)}


def _type(node: Mapping[str, Any], *, several: bool) -> str:
    """What a field's text is read as."""
    kinds = [node, *node.get("anyOf", ())]
    if any("enum" in kind for kind in kinds):
        form = "choice"
    elif several:
        form = "choices"
    elif any(kind.get("type") == "boolean" for kind in kinds):
        form = "yes"
    elif any(kind.get("type") == "array" for kind in kinds):
        lists = next(kind for kind in kinds if kind.get("type") == "array")
        inner = lists.get("items") or (lists.get("prefixItems") or [{}])[0]
        form = "points" if inner.get("type") == "array" else "list"
    elif node.get("type") == "string":
        form = "text"  # as it is typed, also where that is a number
    else:
        form = "value"
    return form
