"""The JSON Schema of the site file, from the models themselves, for editors and other programs.

It is kept in `docs/site-file.schema.json`; `python -m suncover.site_schema` writes it anew to
standard output.
"""

from __future__ import annotations

import json
import sys
from typing import Any

from suncover.site.kinds.durations import DURATION_PATTERN
from suncover.site.kinds.lengths import LENGTH_PATTERN
from suncover.site.model import Site
from suncover.site.tape.keys import BY_TAPE

DIALECT = "https://json-schema.org/draft/2020-12/schema"

_NULL = {"type": "null"}
_LENGTH_TEXT = {"type": "string", "pattern": LENGTH_PATTERN}
_TIME_TEXT = {"type": "string", "pattern": DURATION_PATTERN}


def site_schema() -> dict[str, Any]:
    """A JSON Schema (draft 2020-12) of the site file, with the limits and a text for each key.

    It mirrors the file: lengths are numbers in metres or text with a unit. What ties several
    entries or keys together (unique names, references, a top above its base) is beyond a schema and
    is checked on loading.
    """
    schema = _with_tape_keys(_tidied(Site.model_json_schema(by_alias=True)))
    schema["$defs"]["LengthText"] = {
        **_LENGTH_TEXT,
        "description": 'A length with its unit: "120 cm", "48 in", "4 ft 2 1/2 in".',
    }
    schema["$defs"]["TimeText"] = {
        **_TIME_TEXT,
        "description": 'A length of time with its units: "45 s", "1 min 15 s", "1 h 30 min".',
    }
    schema["properties"]["window"]["minItems"] = 1
    return {"$schema": DIALECT, "title": "Site file", **schema}


def site_schema_text() -> str:
    """The schema as the text of its file."""
    return json.dumps(site_schema(), indent=2, ensure_ascii=False) + "\n"


_POSITIONS = {"tree": "trunk", "obstacle": "footprint"}  # what `from` stands in place of


def _with_tape_keys(schema: dict[str, Any]) -> dict[str, Any]:
    """The schema with the keys that say by tape where things stand."""
    for kind, model in BY_TAPE.items():
        name = schema["properties"][kind]["items"]["$ref"].rpartition("/")[2]
        table = schema["$defs"][name]
        for key, about in _tidied(model.model_json_schema(by_alias=True))["properties"].items():
            property_there = table["properties"].get(key)
            if property_there is None:
                table["properties"][key] = about
            else:  # a window's `wall`: two ends on a map, or a name
                description = f"{property_there.pop('description')} Or: {about.pop('description')}"
                table["properties"][key] = {
                    "anyOf": [property_there, about],
                    "description": description,
                }
        if (position_key := _POSITIONS.get(kind)) is not None:
            table["required"].remove(position_key)
            table["oneOf"] = [{"required": [position_key]}, {"required": ["from"]}]
        else:
            forms = table["oneOf"]
            beside = [{"required": ["right_of"]}, {"required": ["left_of"]}]
            table["oneOf"] = [*forms, {"anyOf": beside, "not": {"anyOf": forms}}]
    return schema


def _tidied(node: Any) -> Any:
    """The schema fitted to TOML, which has no null, and freed of what only repeats."""
    if isinstance(node, list):
        return [_tidied(value) for value in node]
    if not isinstance(node, dict):
        return node
    if node == _LENGTH_TEXT:
        return {"$ref": "#/$defs/LengthText"}
    if node == _TIME_TEXT:
        return {"$ref": "#/$defs/TimeText"}
    tidy = {key: _tidied(value) for key, value in node.items()}
    if isinstance(tidy.get("title"), str):
        del tidy["title"]
    if tidy.get("default") in (None, []) or isinstance(tidy["default"], dict):
        tidy.pop("default", None)  # left out is left out
    if isinstance(tidy.get("description"), str):
        # The paragraphs after the first are about the Python model.
        tidy["description"] = tidy["description"].split("\n\n")[0].replace("\n", " ")
    if isinstance(tidy.get("anyOf"), list):
        choices = [choice for choice in tidy["anyOf"] if choice != _NULL]
        if len(choices) == 1:
            del tidy["anyOf"]
            tidy = {**choices[0], **tidy}
        else:
            tidy["anyOf"] = choices
    return tidy


if __name__ == "__main__":
    sys.stdout.reconfigure(encoding="utf-8")  # type: ignore[union-attr]  # a real one here
    sys.stdout.write(site_schema_text())
