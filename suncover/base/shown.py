"""Results as a person sees them in a console or a notebook: texts that fit a screen, small tables.

any dataclass ──> short_repr ──> one line of its fields, what is long by its kind and count
rows ──> html_table ──> HTML for notebooks, with all text escaped
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields
from typing import Any

_MOST = 40  # characters of a value
_FEW = 3  # values that are shown themselves
_ROWS = 20  # rows of a table that are shown


def short_repr(thing: Any) -> str:
    """A dataclass by its fields in one line; of arrays, lists and objects only kind and size.

    For a class body: `__repr__ = short_repr`.
    """
    parts = [f"{field.name}={_short(getattr(thing, field.name))}" for field in fields(thing)]
    return f"{type(thing).__name__}({', '.join(parts)})"


def _short(value: Any) -> str:
    if hasattr(value, "dtype") and hasattr(value, "shape"):
        if value.size <= _FEW:
            return str(value.tolist())
        size = "×".join(str(length) for length in value.shape)
        return f"<{size} {value.dtype}>"
    if isinstance(value, Mapping):
        return f"<{len(value)} by name>" if value else "{}"
    if isinstance(value, (list, tuple)) and value:
        inner = f"({', '.join(_short(member) for member in value)})"
        if len(value) <= _FEW and len(inner) <= _MOST and "<" not in inner:
            return inner
        return f"<{len(value)} {type(value[0]).__name__}>"
    text = repr(value)
    if len(text) > _MOST:
        cut = f"{text[: _MOST - 2]}…{text[0]}"
        text = cut if isinstance(value, str) else f"<{type(value).__name__}>"
    return text


def html_table(
    caption: str, header: Sequence[str], rows: Iterable[Sequence[object]], note: str = ""
) -> str:
    """A table for a notebook: at most twenty rows, and how many more there are."""
    from html import escape  # noqa: PLC0415 - only in notebooks

    cells = [[escape(str(cell)) for cell in row] for row in rows]
    lines = [f"<table><caption>{escape(caption)}</caption><thead><tr>"]
    lines += [f"<th>{escape(name)}</th>" for name in header]
    lines.append("</tr></thead><tbody>")
    for row in cells[:_ROWS]:
        lines.append("<tr>" + "".join(f"<td>{cell}</td>" for cell in row) + "</tr>")
    if len(cells) > _ROWS:
        left_out = len(cells) - _ROWS
        lines.append(f'<tr><td colspan="{len(header)}">… and {left_out} more</td></tr>')
    lines.append("</tbody></table>")
    if note:
        lines.append(f"<p>{escape(note)}</p>")
    return "".join(lines)
