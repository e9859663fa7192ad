"""Questions about what shades share: supplies, groups, dates apart."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from suncover.site.interview.kinds import by_kind, is_word, known_as, parted
from suncover.site.interview.question import Answers, Line, Question
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
    for last, question in (("first", "From which date?"), ("last", "To which date, included?")):
        yield exception.plain(
            last,
            question,
            "YYYY-MM-DD.",
            by_kind(Day),
            example="2027-07-10",
            lines=partial(_date_lines, talk.answers, key, last),
        )
    yield exception.ask(
        "do",
        "Do the shades stay up or down?",
        "up: whatever the sun does; down: day and night.",
        "up",
    )
    yield members_question(exception, "shades", "Which shades?", talk.shades, unless=ALL)


def _date_lines(answers: Answers, key: str, last: str, _answer: str) -> tuple[Line, ...]:
    """Both dates once both are known."""
    if last == "first":
        return ()
    days = [answers.get(f"{key}.{end}", "") for end in ("first", "last")]
    return (("dates", toml_list(days), "first and last, both included"),)


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
