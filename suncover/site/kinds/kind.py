"""What all kinds of value in a site file share: how one is read, refused and shown."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

FAULT = "suncover_fault"
"""The `type` of pydantic errors whose message is already a finished sentence."""

_LONGEST_SHOWN = 40


def fault(sentence: str) -> PydanticCustomError:
    """The error with which a field refuses a value; `sentence` reaches the reader as it stands."""
    return PydanticCustomError(FAULT, "{sentence}", {"sentence": sentence})


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


class Kind:
    """What the kinds share: pydantic asks `read` for the value and `schema` for the JSON Schema."""

    def read(self, value: Any) -> Any:
        raise NotImplementedError

    def schema(self) -> dict[str, Any]:
        raise NotImplementedError

    def write(self) -> Callable[[Any], Any] | None:
        """How the value goes into JSON, where JSON has no form of its own for it."""
        return None

    def __get_pydantic_core_schema__(
        self, _source: object, _handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        writer = self.write()
        return core_schema.no_info_plain_validator_function(
            self.read,
            serialization=writer
            and core_schema.plain_serializer_function_ser_schema(writer, when_used="json"),
        )

    def __get_pydantic_json_schema__(
        self, _core: CoreSchema, _handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return self.schema()
