"""One thing wrong between a site's tables: where, why, and the word that was probably meant."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

Facts = Mapping[str, Any]
"""What is known of one entry: the file's keys, the values as read."""

Path = tuple[str | int, ...]
"""Where a thing stands in a file: keys, and indexes from 0 in lists: `("window", 0, "name")`."""

_MOST_CANDIDATES = 300
_LONGEST_GUESSED = 60


@dataclass(frozen=True)
class Finding:
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
            others = (
                f"; known here are {', '.join(self.known)}" if self.at_key and self.known else ""
            )
            return f"{self.message}{others}"
        quote = "`" if self.at_key else '"'
        return f"{self.message}, did you mean {quote}{near}{quote}?"


def meant(word: str, known: Iterable[str]) -> str | None:
    """The known word most like `word`; None where none is near, or the search would be long."""
    if not word or len(word) > _LONGEST_GUESSED:
        return None
    candidates = [known_word for known_word in known if len(known_word) <= _LONGEST_GUESSED]
    candidates = candidates[:_MOST_CANDIDATES]
    same = [candidate for candidate in candidates if candidate.casefold() == word.casefold()]
    near = same or difflib.get_close_matches(word, candidates, n=1, cutoff=0.6)
    return near[0] if near else None
