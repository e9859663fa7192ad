"""Reading single keys and values of tables by tape, sound or not."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from pydantic import FiniteFloat, ValidationError

from suncover.site.kinds.kind import adapter
from suncover.site.kinds.values import AnyLength
from suncover.site.tape.keys import FromHere, tape_keys


def from_fault(tape: FromHere, has_plain: bool, key: str) -> tuple[tuple[str, ...], str] | None:
    """What is wrong with the way something is measured: the key and why; None if nothing."""
    aside = tape.distance is not None or tape.direction is not None
    if tape.reference is None:
        return (), f"say `from` where it is measured, or give its `{key}`"
    if has_plain:
        return (key,), f"`{key}` and `from` say the same; give one of them"
    if tape.right is not None and tape.along is not None:
        return ("right",), "`right` and `along` say the same; give one of them"
    if tape.out is not None and aside:
        return ("out",), "`out` and `distance` with `direction` say the same; give one of them"
    if tape.out is None and (tape.distance is None or tape.direction is None):
        return ("from",), "give `out`, straight out from the wall, or `distance` with `direction`"
    return None


def tape_part(kind: str, raw: Mapping[str, Any]) -> dict[str, Any]:
    """The keys by tape in a table. A window's `wall` may also be two ends on a map."""
    keys = [key for key in tape_keys(kind) if key in raw]
    if kind == "window" and not isinstance(raw.get("wall", ""), str):
        keys = [key for key in keys if key != "wall"]
    return {key: raw[key] for key in keys}


def by_name(raw: Mapping[str, Any], kind: str) -> dict[str, tuple[int, Mapping[str, Any]]]:
    """The tables of a kind by their names, each with its index; of two alike the first."""
    entries_by_name: dict[str, tuple[int, Mapping[str, Any]]] = {}
    entries = raw.get(kind)
    for index, entry in enumerate(entries if isinstance(entries, list) else ()):
        if isinstance(entry, dict) and isinstance(name := entry.get("name"), str):
            entries_by_name.setdefault(name, (index, entry))
    return entries_by_name


def number(kind: Any, value: Any) -> Any:
    """A value as its kind reads it; None if it has a fault, which is reported elsewhere."""
    if value is None:
        return None
    try:
        return adapter(kind).validate_python(value)
    except ValidationError:
        return None


def behind_face(plain: Mapping[str, Any]) -> float:
    """Metres, level, that the glass's lower edge stands behind the wall's face: its reveal."""
    reveal = number(AnyLength, plain.get("reveal", 0.0)) or 0.0
    tilt = number(FiniteFloat, plain.get("tilt", 90.0))
    return float(reveal * math.sin(math.radians(90.0 if tilt is None else tilt)))
