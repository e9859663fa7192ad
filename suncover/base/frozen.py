"""Frozen dataclasses that are made in a third of the time.

`dataclasses.dataclass` writes six functions for a frozen class and compiles each of them: for the
hundred classes that a small command loads, a tenth of all that it takes. Here only `__init__` is
compiled, and the others are made of what all such classes share. To `fields`, `replace`, `asdict`
and to what checks types they are dataclasses like any other.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from operator import attrgetter
from reprlib import recursive_repr
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass
else:

    def dataclass(*, frozen):
        """`dataclasses.dataclass(frozen=True)`, where all fields go into `__init__`."""
        if not frozen:
            raise TypeError("what may change needs dataclasses.dataclass")
        return _frozen


__all__ = ["dataclass"]


class _Made:
    """Stands for a default that is made anew for every object."""

    def __repr__(self) -> str:
        return "<factory>"


def _frozen(cls: Any) -> Any:
    own = {name for name, value in vars(cls).items() if value is not None}
    dataclasses.dataclass(init=False, repr=False, eq=False)(cls)  # its fields
    fields = dataclasses.fields(cls)
    if not all(field.init and field.hash is None for field in fields):
        raise TypeError(f"a field of {cls.__name__} needs dataclasses.dataclass")
    values = _values_of([field.name for field in fields if field.compare])
    methods: dict[str, Callable[..., Any]] = {
        "__init__": _init_of(cls, fields),
        "__repr__": _repr_of([field.name for field in fields if field.repr]),
        "__eq__": lambda self, other: (
            values(self) == values(other) if type(other) is type(self) else NotImplemented
        ),
        "__hash__": lambda self: hash(values(self)),
        "__setattr__": _refuse_assigning,
        "__delattr__": _refuse_deleting,
    }
    for name, method in methods.items():
        if name not in own:
            setattr(cls, name, method)
    return cls


def _init_of(cls: Any, fields: tuple[dataclasses.Field[Any], ...]) -> Callable[..., None]:
    names: dict[str, Any] = {"_made": _Made(), "_set": object.__setattr__}
    placed: list[str] = []
    keyed: list[str] = []
    steps = ["pass"]
    for field in fields:
        word, value, default = field.name, field.name, f"_of_{field.name}"
        if field.default is not dataclasses.MISSING:
            word += f"={default}"
            names[default] = field.default
        elif field.default_factory is not dataclasses.MISSING:
            word += "=_made"
            names[default] = field.default_factory
            value = f"{default}() if {value} is _made else {value}"
        (keyed if field.kw_only else placed).append(word)
        steps.append(f"_set(self, {field.name!r}, {value})")
    if hasattr(cls, "__post_init__"):
        steps.append("self.__post_init__()")
    words = ", ".join(["self", *placed, *(["*", *keyed] if keyed else [])])
    exec("\n ".join([f"def __init__({words}):", *steps]), names)
    init: Callable[..., None] = names["__init__"]
    init.__annotations__ = {field.name: field.type for field in fields} | {"return": None}
    init.__qualname__ = f"{cls.__qualname__}.__init__"
    return init


def _values_of(names: list[str]) -> Callable[[Any], tuple[Any, ...]]:
    if len(names) > 1:
        return attrgetter(*names)
    return lambda thing: tuple(getattr(thing, name) for name in names)


def _repr_of(names: list[str]) -> Callable[[Any], str]:
    def text(self: Any) -> str:
        values = ", ".join(f"{name}={getattr(self, name)!r}" for name in names)
        return f"{type(self).__qualname__}({values})"

    return recursive_repr()(text)


def _refuse_assigning(_self: Any, name: str, _value: object) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _refuse_deleting(_self: Any, name: str) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")
