"""The kinds of table that a site file has, as the fields of the site declare them."""

from __future__ import annotations

from functools import cache
from types import NoneType
from typing import Any, NamedTuple, get_args, get_origin

from suncover.site.parts import Table


class Kept(NamedTuple):
    """A kind of table of the site file: the field that keeps it, its model, how often it stands."""

    field: str
    model: type[Table]
    repeated: bool


@cache
def tables_of(site: type[Table]) -> dict[str, Kept]:
    """The kinds of table in the site file by their keys, as the fields of the site declare them."""
    found: dict[str, Kept] = {}
    for name, field in site.model_fields.items():
        if field.exclude:
            continue
        parts = [part for part in get_args(field.annotation) if part not in (Ellipsis, NoneType)]
        model: Any = parts[0] if parts else field.annotation
        found[field.alias or name] = Kept(name, model, get_origin(field.annotation) is tuple)
    return found
