"""One thing wrong between a site's tables: where, why, and the word that was probably meant."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, NamedTuple

Facts = Mapping[str, Any]
"""What is known of one entry: the file's keys, the values as read."""

Path = tuple[str | int, ...]
"""Where a thing stands in a file: keys, and indexes from 0 in lists: `("window", 0, "name")`."""

_MOST_CANDIDATES = 300
_LONGEST_GUESSED = 60


class Finding(NamedTuple):
    """One thing wrong: where, and why.

    `at_key` means that the key is at fault, not its value. `word` is a word that is not among
    `known`. The nearest one is only sought when the `sentence` is read, as a file with thousands of
    faults has most of them left unread.
    """

    path: Path
    message: str
    word: str = ""
    known: Sequence[str] = ()
    at_key: bool = False

    @property
    def sentence(self) -> str:
        """What is wrong and what would be right."""
        near = meant(self.word, self.known)
        if near is None:
            hint = f"; known here are {', '.join(self.known)}" if self.at_key and self.known else ""
            return f"{self.message}{hint}"
        quote = "`" if self.at_key else '"'
        return f"{self.message}, did you mean {quote}{near}{quote}?"


def meant(word: str, words: Iterable[str]) -> str | None:
    """The known word most like `word`; None where none is near, or the search would be long."""
    import difflib

    if not word or len(word) > _LONGEST_GUESSED:
        return None
    candidates = [known_word for known_word in words if len(known_word) <= _LONGEST_GUESSED]
    candidates = candidates[:_MOST_CANDIDATES]
    equal = [candidate for candidate in candidates if candidate.casefold() == word.casefold()]
    near = equal or difflib.get_close_matches(word, candidates, n=1, cutoff=0.6)
    return near[0] if near else None


# What the members of lists are called in the place of a fault.
_POINT_NAMES = {
    "skyline": "point",
    "wall": "end",
    "horizon": "point",
    "spots": "name",
    "footprint": "corner",
    "windows": "name",
    "angles": "angle",
    "gains": "gain",
    "sunshine": "month",
    "stops": "stop",
    "for": "need",
}


_PAIR_NAMES = {
    "skyline": ("azimuth", "elevation"),
    "wall": ("latitude", "longitude"),
    "horizon": ("azimuth", "elevation"),
    "footprint": ("east", "north"),
    "position": ("east", "north"),
    "trunk": ("east", "north"),
    "season": ("first day", "last day"),
    "in_leaf": ("first day", "last day"),
    "quiet": ("start", "end"),
    "dark": ("start", "end"),
}


def place_of(path: Path, names: Mapping[Path, str]) -> str:
    """A path as a person would say it: `window "kitchen": skyline, point 2, azimuth`.

    `names` holds the names of the entries by their paths; an entry without one goes by its number,
    `[[window]] 2`.
    """
    if not path:
        return ""
    kind, *inner = path
    entry = f"[{cut(str(kind))}]"
    if inner and isinstance(inner[0], int):
        name = names.get((kind, inner[0]))
        entry = f'{kind} "{cut(name)}"' if name is not None else f"[[{kind}]] {inner[0] + 1}"
        inner = inner[1:]
    inside = _inside(inner)
    return f"{entry}: {inside}" if inside else entry


def _inside(parts: list[str | int]) -> str:
    """The way inside an entry: `overhang.depth`, `fin 1.depth`, `quiet, start`."""
    text, key = "", ""
    for position, part in enumerate(parts):
        if isinstance(part, str):
            key = part
            text += f".{cut(part)}" if text else cut(part)
        elif key in _PAIR_NAMES and position == len(parts) - 1 and _is_pair(key, parts[:position]):
            text += f", {_PAIR_NAMES[key][part]}" if part < 2 else ""
        elif key in _POINT_NAMES:
            text += f", {_POINT_NAMES[key]} {part + 1}"
        else:
            text += f" {part + 1}"
    return text


def _is_pair(key: str, before: list[str | int]) -> bool:
    """Is an index after these parts one into a pair, rather than into a list of pairs?"""
    return key not in _POINT_NAMES or isinstance(before[-1], int)


def cut(text: str) -> str:
    """A text of a file short enough for a message."""
    return text if len(text) <= 40 else f"{text[:39]}…"
