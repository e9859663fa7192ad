"""Questions about what shades share: supplies, groups, dates apart."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from suncover.site.interview.kinds import by_kind, is_word, known_as, parted
from suncover.site.interview.question import Question
from suncover.site.interview.sheet import Sheet
from suncover.site.interview.talk import Talk
from suncover.site.interview.values import shortlist, toml_list
from suncover.site.sharing import Day

ALL = "all"


def supply_questions(talk: Talk, key: str) -> Iterator[Question]:
    supply = Sheet(key, "[[supply]]")
    yield members_question(supply, "shades", "Which shades hang on it?", talk.shades)
    yield supply.ask(
        "at_once",
        "How many of their motors may run at once?",
        "As the label of the power supply or controller says; ask whoever installed it.",
        "1",
        "motors that may run at once",
        nothing="1",
    )
    yield supply.ask(
        "gap",
        "How many seconds from the start of one to that of the next?",
        "Seconds, or with a unit; 0 if it does not matter.",
        "0",
        "between two starts",
        nothing="0",
    )


def group_questions(talk: Talk, key: str) -> Iterator[Question]:
    group = Sheet(key, "[[group]]")
    yield members_question(group, "shades", "Which shades move together?", talk.shades)


def exception_questions(talk: Talk, key: str) -> Iterator[Question]:
    exception = Sheet(key, "[[exception]]")
    day: dict[str, Any] = {"how": "YYYY-MM-DD.", "check": by_kind(Day), "example": "2027-07-10"}
    yield exception.plain("first", "From which date?", lines=lambda _: (), **day)
    first = talk.get(f"{key}.first")
    yield exception.plain(
        "last",
        "To which date, included?",
        lines=lambda last: [("dates", toml_list([first, last]), "first and last, both included")],
        **day,
    )
    yield exception.ask(
        "do",
        "Do the shades stay up or down?",
        "up: whatever the sun does; down: day and night.",
        "up",
    )
    yield members_question(exception, "shades", "Which shades?", talk.shades, unless=ALL)


def members_question(
    sheet: Sheet, last: str, question: str, known: list[str], *, unless: str = ""
) -> Question:
    """A list of names, or all of them."""

    def check(answer: str) -> list[str]:
        every = is_word(answer, ALL)
        chosen = known if every else [known_as(part, known) for part in parted(answer)]
        if not chosen:
            raise ValueError(f"name some of {', '.join(known) or 'those that there are'}, or all")
        return chosen

    return sheet.plain(
        last,
        question,
        f"all, or some of {shortlist(known, 8)}, with commas between them.",
        check,
        default=ALL,
        lines=lambda answer: (
            () if is_word(answer, unless) else ((last, toml_list(check(answer)), ""),)
        ),
    )
