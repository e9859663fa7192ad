"""What the models find wrong in a table of the site file, as findings with sentences for people."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, TypeVar, get_args, get_origin

from pydantic import BaseModel, ValidationError

from suncover.base.errors import MOST_TOLD
from suncover.site.finding import Facts, Finding, Path, cut
from suncover.site.kinds.kind import adapter, in_words, shown
from suncover.site.tables import annotation_of, facts_of, fields_of, models_in
from suncover.site.tape.keys import tape_keys

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
    findings: Findings,
    place: BaseModel | None = None,
) -> tuple[_T | None, Facts]:
    """A table read into its model, and what is known of it for the rules between tables.

    `place` is where the site is, as far as it is known: a compass bearing depends on it.

    If anything is wrong in it, that goes to `findings`, the model is None, and known are the values
    of the keys that are sound in themselves; those left out have their defaults.
    """
    fields = fields_of(model)
    known_values = {key: value for key, value in raw.items() if key in fields}
    if len(known_values) < len(raw):
        _add_unknown_keys(model, raw, path, findings)
    try:
        table = model.model_validate(
            known_values, by_alias=True, by_name=False, context={"place": place}
        )
    except ValidationError as error:
        if findings.full:
            findings.total += error.error_count()
            return None, {}
        details = [
            detail
            for detail in error.errors(include_url=False)
            # Only says that a default could not be taken from a key that is at fault itself.
            if detail["type"] != "default_factory_not_called"
        ]
    else:
        return (table if len(known_values) == len(raw) else None), facts_of(table)
    for detail in details[:MOST_TOLD]:
        findings.add(_finding(model, path, detail))
    findings.total += len(details[MOST_TOLD:])
    # A fault of the table as a whole has no key; each of its values is sound then.
    return None, _sound_facts(
        model, known_values, {detail["loc"][0] for detail in details if detail["loc"]}
    )


def _add_unknown_keys(
    model: type[BaseModel], raw: Mapping[str, Any], path: Path, findings: Findings
) -> None:
    unknown = [key for key in raw if key not in fields_of(model)]
    for key in unknown[:MOST_TOLD]:
        findings.add(_unknown_key(model, (*path, key)))
    findings.total += len(unknown[MOST_TOLD:])


def _sound_facts(
    model: type[BaseModel], values: Mapping[str, Any], faulty: set[int | str]
) -> dict[str, Any]:
    facts: dict[str, Any] = {}
    for key, field in fields_of(model).items():
        if key in faulty:
            continue
        if key in values:
            reader = adapter(annotation_of(field))
            facts[key] = reader.validate_python(values[key], by_alias=True, by_name=False)
        elif not field.is_required() and field.default_factory is None:
            facts[key] = field.default
    return facts


def _unknown_key(model: type[BaseModel], path: Path) -> Finding:
    key = str(path[-1])
    keys = tuple(dict.fromkeys((*fields_of(model), *tape_keys(str(path[0])))))
    return Finding(path, f"unknown key `{cut(key)}`", key, keys, at_key=True)


def _finding(model: type[BaseModel], path: Path, detail: Mapping[str, Any]) -> Finding:
    """A pydantic error as a finding. `path` leads to the model's table, `detail` goes on inside."""
    inner: Path = tuple(detail["loc"])
    full = (*path, *inner)
    owner, kind = _kind_at(model, inner)
    match detail["type"]:
        case "extra_forbidden":
            return _unknown_key(owner, full)
        case "missing":
            about = (fields_of(owner)[str(full[-1])].description or "it is needed").rstrip(".")
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
            members = _members(kind) or (kind,)
            kind = members[part if part < len(members) and ... not in members else 0]
            continue
        owner = next(models_in(kind), owner)
        if part not in fields_of(owner):
            break
        kind = annotation_of(fields_of(owner)[part])
    return owner, kind


def _members(kind: Any) -> tuple[Any, ...] | None:
    """The members of the tuple in an annotation such as `tuple[Fin, ...] | None`."""
    if get_origin(kind) is tuple:
        return get_args(kind)
    return next(filter(None, map(_members, get_args(kind))), None)
