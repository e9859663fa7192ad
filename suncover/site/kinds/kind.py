"""What all kinds of value in a site file share: how one is read, refused and shown."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from typing import Any, get_args

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, TypeAdapter, ValidationError
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from suncover.site.kinds.lengths import with_point

FAULT = "suncover_fault"
"""The `type` of pydantic errors whose message is already a finished sentence."""

_LONGEST_SHOWN = 40


def fault(sentence: str) -> PydanticCustomError:
    """The error with which a field refuses a value; `sentence` reaches the reader as it stands."""
    text = sentence.encode("utf-8", "backslashreplace").decode()  # bytes that are no text in it
    return PydanticCustomError(FAULT, "{sentence}", {"sentence": text})


def shown(value: object) -> str:
    """A value from a TOML file as a message quotes it: short, and as the file would write it."""
    match value:
        case bool():
            text = "true" if value else "false"
        case str():
            text = f'"{_shortened(value)}"'
        case int() if abs(value) >= 10**20:
            text = "this huge number"  # as text it would be slow to make, or refused by Python
        case float():
            short = f"{value:g}"
            text = short if value == float(short) else repr(value)
        case list() | tuple():
            text = "a list"
        case dict():
            text = "a table"
        case _:
            text = _shortened(str(value))
    return text


def _shortened(text: str) -> str:
    return text if len(text) <= _LONGEST_SHOWN else f"{text[: _LONGEST_SHOWN - 1]}…"


# What pydantic finds wrong, by the type of its error, in words for people: `value` is as shown,
# `choices` the words that may stand there.
_IN_WORDS = {
    "literal_error": "{value} is not {choices}",
    "finite_number": "{value} is not a finite number",
    "string_type": "{value} is not text; write it in quotes",
    "string_unicode": "{value} holds bytes that are no UTF-8; write it in UTF-8",
    "string_too_short": "this is empty; give it a text",
    "string_too_long": "{value} is longer than {max_length} characters",
}
_NUMBER = r"[-+]?[0-9]{1,12}(\.[0-9]{1,12})?"
_NO_NUMBER = {"float_type": "a number", "int_type": "a whole number"}


def in_words(detail: Mapping[str, Any], kind: Any = None) -> str:
    """What is wrong with a value, as a sentence: pydantic's `detail`, in words for people.

    `kind` is the annotation that the value was read by; it tells the limits and the unit.
    """
    value, kind_of_fault, context = detail.get("input"), detail["type"], detail.get("ctx", {})
    limits = limits_of(kind)
    if kind_of_fault == FAULT:
        return str(context["sentence"])
    if kind_of_fault in _IN_WORDS:
        choices = str(context.get("expected")).replace("'", '"')
        return _IN_WORDS[kind_of_fault].format(
            **{**context, "value": shown(value), "choices": choices}
        )
    if kind_of_fault in _NO_NUMBER:
        return _no_number(value, _NO_NUMBER[kind_of_fault], getattr(limits, "unit_text", ""))
    if limits is not None and kind_of_fault.startswith(("greater_than", "less_than")):
        return f"{shown(value)} is not {limits.wanted(value)}"
    return f"{shown(value)} does not fit here: {detail['msg']}"


def _no_number(value: object, expected: str, unit: str) -> str:
    if isinstance(value, int) and not isinstance(value, bool):
        return f"{shown(value)} is too large"
    if unit.strip() not in ("", "m"):
        expected = f"a number of{unit}"
    if isinstance(value, str):
        number = with_point(value.strip())
        if re.fullmatch(_NUMBER, number):
            return f"{shown(value)} is text; write {number}, without quotes"
        return f"{shown(value)} is text; it should be {expected}, without quotes"
    return f"{shown(value)} is not {expected}"


def limits_of(kind: Any) -> Any:
    """The mark in an annotation that knows the limits of its number; None if there is none."""
    return next((part for part in _parts(kind) if hasattr(part, "wanted")), None)


def _parts(kind: Any) -> Iterator[Any]:
    """What an annotation is made of: its marks, and those of its alternatives."""
    yield kind
    for part in (*getattr(kind, "__metadata__", ()), *get_args(kind)):
        if not isinstance(part, type):
            yield from _parts(part)


@cache
def adapter(kind: Any) -> TypeAdapter[Any]:
    """What reads values of an annotation; slow to make, and quick to ask."""
    return TypeAdapter(kind)


def read_value(kind: Any, value: Any) -> Any:
    """A value as an annotation reads it; refuses it as a field does, by `fault`."""
    try:
        return adapter(kind).validate_python(value)
    except ValidationError as error:
        raise fault(in_words(error.errors(include_url=False)[0], kind)) from None


class Kind:
    """A kind of value with a reader of its own, for an annotation.

    `schema` is its JSON Schema. `write` says how it goes into JSON, where JSON has no form of its
    own for it.
    """

    def __init__(
        self,
        read: Callable[[Any], Any],
        schema: dict[str, Any],
        write: Callable[[Any], Any] | None = None,
    ) -> None:
        self._read, self._schema, self._write = read, schema, write

    def __get_pydantic_core_schema__(
        self, _source: object, _handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(
            self._read,
            serialization=self._write
            and core_schema.plain_serializer_function_ser_schema(self._write, when_used="json"),
        )

    def __get_pydantic_json_schema__(
        self, _core: CoreSchema, _handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return self._schema
