"""What the models find wrong in a table of the site file, as findings with sentences for people."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Annotated, Any, TypeVar, get_args, get_origin

from pydantic import BaseModel, TypeAdapter, ValidationError
from pydantic.fields import FieldInfo

from suncover.base.errors import MOST_TOLD
from suncover.site.finding import Facts, Finding, Path, cut
from suncover.site.kinds.kind import in_words, shown
from suncover.site.parts import facts_of
from suncover.site.tape.said import tape_keys

_T = TypeVar("_T", bound=BaseModel)


class Findings:
    """The first findings of a file, `MOST_TOLD` of them, and the number of all."""

    def __init__(self) -> None:
        self.kept: list[Finding] = []
        self.total = 0

    @property
    def full(self) -> bool:
        """Whether further findings are only counted."""
        return len(self.kept) >= MOST_TOLD

    def add(self, finding: Finding) -> None:
        self.total += 1
        if not self.full:
            self.kept.append(finding)


def read_table(
    model: type[_T],
    raw: Mapping[str, Any],
    path: Path,
    found: Findings,
    place: BaseModel | None = None,
) -> tuple[_T | None, Facts]:
    """A table read into its model, and what is known of it for the rules between tables.

    `place` is where the site is, as far as it is known: a compass bearing depends on it.

    If anything is wrong in it, that goes to `found`, the model is None, and known are the values of
    the keys that are sound in themselves; those left out have their defaults.
    """
    fields = _fields(model)
    known = {key: value for key, value in raw.items() if key in fields}
    if len(known) < len(raw):
        _add_unknown_keys(model, raw, path, found)
    try:
        table = model.model_validate(known, by_alias=True, by_name=False, context={"place": place})
    except ValidationError as error:
        if found.full:
            found.total += error.error_count()
            return None, {}
        details = [
            detail
            for detail in error.errors(include_url=False)
            # Only says that a default could not be taken from a key that is at fault itself.
            if detail["type"] != "default_factory_not_called"
        ]
    else:
        return (table if len(known) == len(raw) else None), facts_of(table)
    for detail in details[:MOST_TOLD]:
        found.add(_finding(model, path, detail))
    found.total += len(details[MOST_TOLD:])
    # A fault of the table as a whole has no key; each of its values is sound then.
    return None, _sound_facts(
        model, known, {detail["loc"][0] for detail in details if detail["loc"]}
    )


def _add_unknown_keys(
    model: type[BaseModel], raw: Mapping[str, Any], path: Path, found: Findings
) -> None:
    unknown = [key for key in raw if key not in _fields(model)]
    for key in unknown[:MOST_TOLD]:
        found.add(_unknown_key(model, (*path, key)))
    found.total += len(unknown[MOST_TOLD:])


def _sound_facts(
    model: type[BaseModel], known: Mapping[str, Any], faulty: set[int | str]
) -> dict[str, Any]:
    facts: dict[str, Any] = {}
    for key, field in _fields(model).items():
        if key in faulty:
            continue
        if key in known:
            adapter = _adapter(model, key)
            facts[key] = adapter.validate_python(known[key], by_alias=True, by_name=False)
        elif not field.is_required() and field.default_factory is None:
            facts[key] = field.default
    return facts


@cache
def _fields(model: type[BaseModel]) -> dict[str, FieldInfo]:
    """The fields of a model by their keys in the file; one that is left out of it has none."""
    return {
        field.alias or name: field
        for name, field in model.model_fields.items()
        if not field.exclude
    }


@cache
def _adapter(model: type[BaseModel], key: str) -> TypeAdapter[Any]:
    return TypeAdapter(_annotation(_fields(model)[key]))


def _annotation(field: FieldInfo) -> Any:
    kind: Any = field.annotation
    for mark in field.metadata:
        kind = Annotated[kind, mark]
    return kind


def _unknown_key(model: type[BaseModel], path: Path) -> Finding:
    key = str(path[-1])
    known = tuple(dict.fromkeys((*_fields(model), *tape_keys(str(path[0])))))
    return Finding(path, f"unknown key `{cut(key)}`", key, known, at_key=True)


def _finding(model: type[BaseModel], path: Path, detail: Mapping[str, Any]) -> Finding:
    """A pydantic error as a finding. `path` leads to the model's table, `detail` goes on inside."""
    inner: Path = tuple(detail["loc"])
    full = (*path, *inner)
    owner, kind = _kind_at(model, inner)
    match detail["type"]:
        case "extra_forbidden":
            return _unknown_key(owner, full)
        case "missing":
            about = (_fields(owner)[str(full[-1])].description or "it is needed").rstrip(".")
            sentence = f"`{full[-1]}` is missing; give it: {about[0].lower()}{about[1:]}"
            return Finding(full, sentence, at_key=True)
        case "model_type" | "model_attributes_type":
            brackets = ".".join(str(part) for part in full if isinstance(part, str))
            brackets = f"[{brackets}]" if isinstance(full[-1], int) else brackets
            return Finding(full, f"{shown(detail['input'])} is not a table; write [{brackets}]")
        case _:
            return Finding(full, in_words(detail, kind))


def _kind_at(model: type[BaseModel], path: Path) -> tuple[type[BaseModel], Any]:
    """The model that the last key of a path belongs to, and the annotation of the value there."""
    owner, kind = model, model
    for part in path:
        if isinstance(part, int):
            members: tuple[Any, ...] = next(_inside(kind, tuple), (kind,))
            kind = members[part if part < len(members) and ... not in members else 0]
            continue
        owner = next(_inside(kind, BaseModel), owner)
        if part not in _fields(owner):
            break
        kind = _annotation(_fields(owner)[part])
    return owner, kind


def _inside(kind: Any, wanted: type) -> Iterator[Any]:
    """The models in an annotation such as `tuple[Fin, ...] | None`, or its tuples' members."""
    if wanted is tuple and get_origin(kind) is tuple:
        yield get_args(kind)
    elif isinstance(kind, type) and issubclass(kind, wanted):
        yield kind
    else:
        for inner in get_args(kind):
            yield from _inside(inner, wanted)
