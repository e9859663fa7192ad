"""The kinds of table that a site file has and the keys of each, as the models declare them."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Annotated, Any, NamedTuple, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from suncover.site.parts import Table


class Kept(NamedTuple):
    """A kind of table of the site file: the field that keeps it, its model, how often it stands."""

    field: str
    model: type[Table]
    repeated: bool


@cache
def tables_of(site: type[Table]) -> dict[str, Kept]:
    """The kinds of table in the site file by their keys, as the fields of the site declare them."""
    kinds: dict[str, Kept] = {}
    for name, field in site.model_fields.items():
        if field.exclude:
            continue
        model: Any = next(models_in(field.annotation))
        kinds[field.alias or name] = Kept(name, model, get_origin(field.annotation) is tuple)
    return kinds


@cache
def fields_of(model: type[BaseModel]) -> dict[str, FieldInfo]:
    """The fields of a model by their keys in the file; one that is left out of it has none."""
    return {
        field.alias or name: field
        for name, field in model.model_fields.items()
        if not field.exclude
    }


def annotation_of(field: FieldInfo) -> Any:
    """The whole annotation of a field, with the kinds of value in it."""
    kind: Any = field.annotation
    for mark in field.metadata:
        kind = Annotated[kind, mark]
    return kind


def models_in(kind: Any) -> Iterator[type[BaseModel]]:
    """The models in an annotation such as `tuple[Fin, ...] | None`."""
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        yield kind
    else:
        for inner in get_args(kind):
            yield from models_in(inner)


@cache
def _keys(model: type[BaseModel]) -> dict[str, str]:
    """The file's keys of the fields that have another name in the model."""
    return {name: field.alias for name, field in model.model_fields.items() if field.alias}


def facts_of(table: BaseModel) -> dict[str, Any]:
    """The values of a table by the file's keys."""
    keys = _keys(type(table))
    if not keys:
        return vars(table)
    return {keys.get(name, name): value for name, value in vars(table).items()}
