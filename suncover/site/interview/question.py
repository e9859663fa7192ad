"""One question of the interview: what is asked, what may be answered, what is written of it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from suncover.site.interview.kinds import Check, Doubt

Answers = Mapping[str, str]
"""Answers as texts by key: `site.name`, `window.1.azimuth`."""

Line = tuple[str, str, str]
"""A key of the site file, its value as TOML, and a comment for whoever edits it (or none)."""

Lines = Callable[[str], Iterable[Line]]
"""What an answer becomes in the site file; nothing where a key can be left out."""

SINGLE = ("site", "rest", "need", "money", "weather", "keeper")
REPEATED = ("wall", "window", "obstacle", "tree", "canopy", "spot", "supply", "group", "exception")
"""Tables of answers: `rest` only says which of the others are wanted."""


@dataclass(frozen=True)
class Question:
    """One question: its key, what is asked, and a sentence on how to find out.

    `default` is the answer of an empty line; None if there must be one. `example` is a right answer
    to go on with where a file has a wrong one. `meaning` says an answer in other words, for the
    person to judge. `lines` go into the table `table` of the site file, such as `[[window]]`; what
    follows a header after a blank only tells two such tables apart. `deep` is the key that asks for
    more about the same thing.
    """

    key: str
    text: str
    how: str
    check: Check
    default: str | None = None
    doubt: Doubt = lambda _: None
    example: str | None = None
    meaning: Callable[[str], str | None] = lambda _: None
    table: str = ""
    lines: Lines = lambda _: ()
    deep: str | None = None


@dataclass(frozen=True)
class KnownHome:
    """What an interview need not ask: the file's entries so far, and today's date.

    `place` is the site's latitude and longitude if the file has them; then the site is not asked
    for. `placed` are the windows on the plan, `walls` the walls; `names` those of other kinds of
    table, `tables` the single ones that are there. `clocks` are hours ahead of UTC in January and
    July where the asker is.
    """

    today: date
    windows: Collection[str] = ()
    shades: Collection[str] = ()
    place: tuple[float, float] | None = None
    walls: Collection[str] = ()
    placed: Collection[str] = ()
    names: Mapping[str, Collection[str]] = field(default_factory=dict)
    tables: Collection[str] = ()
    clocks: tuple[float, float] | None = None


def is_deep(answers: Answers, table: str) -> bool:
    """Whether more is asked about a thing."""
    return answers.get(f"{table}.deep") == "yes"
