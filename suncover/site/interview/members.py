"""Questions about places in rooms, and about what shades share: supplies, groups, dates apart."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from suncover.site.finding import meant
from suncover.site.interview.kinds import by_kind, doubtful_size
from suncover.site.interview.motors import whole_or_none
from suncover.site.interview.question import Answers, Line, Question
from suncover.site.interview.talk import Talk
from suncover.site.interview.values import (
    length_meaning,
    measure,
    one_of,
    parted,
    seconds_kind,
    text,
    time_meaning,
    timed,
    toml_list,
    toml_text,
)
from suncover.site.kinds.values import CalendarDate, Quantity

ALL = "all"


def length_question(
    key: str,
    question: str,
    how: str,
    *,
    comment: str,
    default: str | None = None,
    low: float = 0.001,
    size: str = "",
) -> Question:
    """A length of a thing, whose key in the file is the last part of the answer's."""
    kind, _, last = key.split(".")
    return Question(
        key,
        question,
        how,
        by_kind(Quantity(low, 1000, length=True)),
        default=default,
        doubt=doubtful_size(size or f"{kind}.{last}", last),
        example=default or "2",
        meaning=length_meaning,
        table=f"[[{kind}]]",
        lines=measure(last, comment, unless=default if last == "offset" else None),
    )


def spot_questions(talk: Talk, key: str) -> Iterator[Question]:
    table = "[[spot]]"
    windows = talk.windows
    yield Question(
        f"{key}.window",
        "Behind which window is it?",
        f"One of {', '.join(windows)}.",
        _one_name(windows),
        default=windows[0] if len(windows) == 1 else None,
        example=windows[0],
        table=table,
        lines=lambda answer: (("window", toml_text(_one_name(windows)(answer)), ""),),
    )
    yield length_question(
        f"{key}.distance",
        "How far from the window is it?",
        "Straight into the room, at right angles to the wall.",
        comment="into the room",
        low=0,
    )
    yield length_question(
        f"{key}.offset",
        "How far to the side of the window's middle?",
        "To the right as seen from outdoors, so to your left when you look out; with a minus to "
        "the other side.",
        comment="to the right, seen from outdoors",
        default="0",
        low=-1000,
    )
    yield length_question(
        f"{key}.height",
        "How high above the floor?",
        "A desk 0.75, a pillow 0.5.",
        comment="above the room's floor",
        default="0.75",
        low=0,
    )


def supply_questions(talk: Talk, key: str) -> Iterator[Question]:
    table = "[[supply]]"
    yield members_question(talk.shades, f"{key}.shades", "Which shades hang on it?", table)
    yield Question(
        f"{key}.at_once",
        "How many of their motors may run at once?",
        "As the label of the power supply or controller says; ask whoever installed it.",
        whole_or_none(1),
        default="1",
        table=table,
        lines=measure("at_once", "motors that may run at once", unless="1"),
    )
    yield Question(
        f"{key}.gap",
        "How many seconds from the start of one to that of the next?",
        "Seconds, or with a unit; 0 if it does not matter.",
        by_kind(seconds_kind()),
        default="0",
        doubt=doubtful_size("supply.gap", "gap"),
        meaning=time_meaning("seconds"),
        table=table,
        lines=timed("gap", "seconds", "between two starts", unless="0"),
    )


def group_questions(talk: Talk, key: str) -> Iterator[Question]:
    yield members_question(talk.shades, f"{key}.shades", "Which shades move together?", "[[group]]")


def exception_questions(talk: Talk, key: str) -> Iterator[Question]:
    table = "[[exception]]"
    day = by_kind(CalendarDate())
    for last, question in (("first", "From which date?"), ("last", "To which date, included?")):
        yield Question(
            f"{key}.{last}",
            question,
            "YYYY-MM-DD.",
            day,
            example="2027-07-10",
            table=table,
            lines=partial(_date_lines, talk.answers, key, last),
        )
    yield Question(
        f"{key}.do",
        "Do the shades stay up or down?",
        "up: whatever the sun does; down: day and night.",
        one_of(("up", "down")),
        default="up",
        table=table,
        lines=text("do"),
    )
    yield members_question(talk.shades, f"{key}.shades", "Which shades?", table, unless=ALL)


def _date_lines(answers: Answers, key: str, last: str, _answer: str) -> tuple[Line, ...]:
    """Both dates once both are known."""
    if last == "first":
        return ()
    days = [answers.get(f"{key}.{end}", "").strip() for end in ("first", "last")]
    return (("dates", toml_list(days), "first and last, both included"),)


def members_question(
    known: list[str], key: str, question: str, table: str, *, unless: str | None = None
) -> Question:
    """A list of names, or all of them."""

    def chosen(answer: str) -> list[str]:
        if answer.strip().casefold() == ALL:
            return list(known)
        return [_one_name(known)(part) for part in parted(answer)]

    def check(answer: str) -> list[str]:
        found = chosen(answer)
        if not found:
            raise ValueError(f"name some of {', '.join(known) or 'those that there are'}, or all")
        return found

    def lines(answer: str) -> tuple[Line, ...]:
        if answer.strip().casefold() == unless:
            return ()
        return ((key.rpartition(".")[2], toml_list(chosen(answer)), ""),)

    shown = ", ".join(known[:8]) + (" …" if len(known) > 8 else "")
    how = f"all, or some of {shown}, with commas between them."
    return Question(key, question, how, check, default=ALL, table=table, lines=lines)


def _one_name(known: list[str]) -> Callable[[str], str]:
    def check(answer: str) -> str:
        word = answer.strip().casefold()
        for name in known:
            if name.casefold() == word:
                return name
        near = meant(word, known)
        hint = f'did you mean "{near}"?' if near else f"there are {', '.join(known)}"
        raise ValueError(f'"{answer.strip()}" is not known; {hint}')

    return check
