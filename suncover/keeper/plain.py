"""Frozen records as plain data that JSON can hold, and back."""

from __future__ import annotations

import dataclasses
import types
import typing
from collections.abc import Mapping
from functools import cache
from typing import Any, TypeVar, Union, get_args, get_origin

T = TypeVar("T")


def to_plain(value: Any) -> Any:
    """A record as dictionaries, lists, texts and numbers."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: to_plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, tuple | list):
        return [to_plain(part) for part in value]
    if isinstance(value, Mapping):
        return {key: to_plain(part) for key, part in value.items()}
    return value


def from_plain(kind: type[T], value: Any) -> T:
    """The record of a kind that plain data describes.

    Raises
    ------
    ValueError, TypeError, KeyError
        When it describes no such record.
    """
    record: T = _record(kind, value)
    return record


@cache
def _hints(kind: Any) -> dict[str, Any]:
    return typing.get_type_hints(kind)


def _record(kind: Any, value: Any) -> Any:
    origin = get_origin(kind)
    if origin in (Union, types.UnionType):
        if value is None:
            return None
        return _record(next(part for part in get_args(kind) if part is not type(None)), value)
    if origin is tuple:
        parts = get_args(kind)
        if parts[1:] == (Ellipsis,):
            return tuple(_record(parts[0], part) for part in value)
        return tuple(_record(hint, part) for hint, part in zip(parts, value, strict=True))
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return {key: _record(get_args(kind)[1], part) for key, part in value.items()}
    if isinstance(kind, type) and dataclasses.is_dataclass(kind):
        hints = _hints(kind)
        return kind(**{name: _record(hints[name], part) for name, part in value.items()})
    if isinstance(kind, type) and issubclass(kind, tuple):  # a NamedTuple
        return kind(
            *(_record(hint, part) for hint, part in zip(_hints(kind).values(), value, strict=True))
        )
    return value
