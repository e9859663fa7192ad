"""Questions about the rest: which of it is wanted, what stands around, places in rooms, what shades
share.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

from suncover.site.interview.kinds import by_kind, is_word, known_as, parted, yes_or_no
from suncover.site.interview.once import (
    keeper_questions,
    money_questions,
    needs_questions,
    season_questions,
    weather_questions,
)
from suncover.site.interview.panes import ENDLESS
from suncover.site.interview.phrases import (
    FROM_EXAMPLE,
    from_lines,
    from_meaning,
    season_days,
    season_lines,
    season_meaning,
    season_words,
)
from suncover.site.interview.question import SINGLE, KnownHome, Question
from suncover.site.interview.sheet import Sheet
from suncover.site.interview.talk import Talk
from suncover.site.interview.values import shortlist, toml_list, toml_text
from suncover.site.sharing import Day

ALL = "all"
MOST = 200  # of one kind

_Tables = Callable[[Talk, str], Iterator[Question]]


def topics_question(home: KnownHome) -> Question:
    """Which of the rest to go into."""
    words = tuple(word for word, (table, _) in TOPICS.items() if table not in home.tables)
    return Question(
        "rest.topics",
        "What more is there to say?",
        f"none, or some of these, with commas between them: {', '.join(words)}.",
        lambda answer: topics_of(answer, words),
        default="none",
    )


def topics_of(answer: str, words: tuple[str, ...] = ()) -> tuple[str, ...]:
    """The topics that an answer names, in their order.

    Raises
    ------
    ValueError
        When it names what is none of them.
    """
    topics = words or tuple(TOPICS)
    if is_word(answer, "none", ""):
        return ()
    chosen = [known_as(part, (*topics, "none"), "is none of these") for part in parted(answer)]
    return tuple(word for word in topics if word in chosen)


def rest_questions(talk: Talk) -> Iterator[Question]:
    """All about the topics that were chosen."""
    for topic in topics_of(talk.get("rest.topics")):
        table, ask = TOPICS[topic]
        if table in SINGLE:
            yield from ask(talk, table)
            continue
        for number in range(1, MOST):
            key = f"{table}.{number}"
            yield _name_question(talk, table, key, number)
            yield from ask(talk, key)
            talk.add(table, key)
            yield Question(
                f"{key}.more", f"Another of the {topic}?", "yes or no.", yes_or_no, default="no"
            )
            if not yes_or_no(talk.answers[f"{key}.more"]):
                break


def _name_question(talk: Talk, table: str, key: str, number: int) -> Question:
    word = "exception" if table == "exception" else f"{table} {number}"
    return Sheet(key, f"[[{table}]]").ask(
        "name",
        f"{table.capitalize()} {number}: what is it called?",
        "Its own name, for messages and pictures.",
        word if number > 1 or table != "exception" else "holidays",
        check=talk.new_name(table),
        example=key,
    )


def _where_question(talk: Talk, sheet: Sheet, phrase: str, pair_key: str) -> Question:
    lines = partial(from_lines, references=talk.references, key=pair_key)
    pair = " Or metres east, north of the plan's origin: 12, -8." if pair_key else ""
    first = talk.references[0] if talk.references else "kitchen"
    return sheet.plain(
        "where",
        f"Where is {phrase} {talk.get(f'{sheet.key}.name')}{'' if pair_key else ', its middle'}?",
        f"As a tape or a map shows it, from a window or a wall, seen from outdoors: "
        f"{FROM_EXAMPLE.replace('kitchen', first)}.{pair}",
        lines,
        example=f"5 out from {first}",
        meaning=lambda answer: from_meaning(lines(answer)),
        lines=lines,
    )


def _referred(talk: Talk, key: str) -> None:
    """Notes the window that something is measured from."""
    answer = talk.get(f"{key}.where")
    for word in (" from ", " of "):
        name = answer.rpartition(word)[2].partition(",")[0]
        for window in talk.references:
            if is_word(name, window.casefold()):
                talk.note_reference(window)
                return


def _obstacle(talk: Talk, key: str) -> Iterator[Question]:
    obstacle = Sheet(key, "[[obstacle]]")
    yield _where_question(talk, obstacle, "the near side of", "")
    _referred(talk, key)
    yield obstacle.ask(
        "width",
        "How wide is that side?",
        "From one corner of its near side to the other. Of a house that is not square to this "
        "way give the corners in the file, as `footprint`.",
        comment="of its near side",
        size="tree.width",
        example="2",
    )
    yield obstacle.ask(
        "depth",
        "How far does it go back from there?",
        "From its near side to its far side; 0.2 for a fence.",
        comment="from its near side back",
        size="tree.width",
        example="2",
    )
    yield obstacle.ask(
        "top",
        "How high is it?",
        "Of its top above the ground of your house.",
        comment="above the ground",
        example="2",
    )


def _tree(talk: Talk, key: str) -> Iterator[Question]:
    tree = Sheet(key, "[[tree]]")
    yield _where_question(talk, tree, "the trunk of", "trunk")
    _referred(talk, key)
    for last, question, instruction in (
        (
            "width",
            "How wide is its crown?",
            "Stand under its edge, and pace to the edge on the other side.",
        ),
        (
            "bottom",
            "How high does the crown begin?",
            "Of its lowest leaves above the ground of your house.",
        ),
        (
            "top",
            "How high is its top?",
            "Pace back until a level app shows 45° to it: it is as high as your distance and the "
            "height of your eye together.",
        ),
    ):
        yield tree.ask(last, question, instruction, comment="of the crown", example="2")
    yield tree.ask(
        "leaf",
        "How much sun comes through in leaf?",
        "A share from 0 to 1: hardly any light under it 0.1, a third of the ground 0.3.",
        "0.2",
        "share of the sun let through in leaf",
    )
    yield tree.ask(
        "bare",
        "And without leaves?",
        "0.5 to 0.7; evergreen for a tree that keeps its leaves.",
        "evergreen",
        "and without leaves",
        nothing="evergreen",
    )
    if is_word(talk.get(f"{key}.bare", "evergreen"), "evergreen"):
        return
    leaves = ("04-20", "11-05") if talk.place[0] >= 0 else ("10-20", "05-05")
    yield tree.plain(
        "in_leaf",
        "Between which days is it in leaf?",
        f"yes for {season_words(leaves)}; or two days like this: 20 Apr to 5 Nov.",
        partial(season_days, proposed=leaves),
        default="yes",
        meaning=partial(season_meaning, proposed=leaves),
        lines=partial(season_lines, proposed=leaves, key="in_leaf"),
    )


def _canopy(talk: Talk, key: str) -> Iterator[Question]:
    canopy = Sheet(key, "[[canopy]]")
    yield _members_question(canopy, "windows", "Over which windows is it?", talk.windows)
    yield canopy.ask(
        "height",
        "How high above the ground is its underside?",
        "Of the house's ground.",
        comment="of its underside above the ground",
        example="2",
    )
    yield canopy.ask(
        "depth",
        "How deep is it?",
        "From the wall's face to its outer edge.",
        comment="out from the wall's face",
        example="2",
    )
    for side in ("left", "right"):
        yield canopy.ask(
            side,
            f"How far does it run past the {side}most glass?",
            f"Seen from outdoors; {ENDLESS} if much farther than it is deep. With a number its "
            "windows must be on the plan.",
            ENDLESS,
            f"past the glass on the {side}",
            nothing=ENDLESS,
        )


def _spot(talk: Talk, key: str) -> Iterator[Question]:
    spot = Sheet(key, "[[spot]]")
    windows = talk.windows
    yield spot.plain(
        "window",
        "Behind which window is it?",
        f"One of {', '.join(windows)}.",
        partial(known_as, names=windows),
        default=windows[0] if len(windows) == 1 else None,
        example=windows[0],
        lines=lambda answer: [("window", toml_text(known_as(answer, windows)), "")],
    )
    yield spot.ask(
        "distance",
        "How far from the window is it?",
        "Straight into the room, at right angles to the wall.",
        comment="into the room",
        example="2",
    )
    yield spot.ask(
        "offset",
        "How far to the side of the window's middle?",
        "To the right as seen from outdoors, so to your left when you look out; with a minus to "
        "the other side.",
        "0",
        "to the right, seen from outdoors",
        nothing="0",
    )
    yield spot.ask(
        "height",
        "How high above the floor?",
        "A desk 0.75, a pillow 0.5.",
        "0.75",
        "above the room's floor",
    )


def _supply(talk: Talk, key: str) -> Iterator[Question]:
    supply = Sheet(key, "[[supply]]")
    yield _members_question(supply, "shades", "Which shades hang on it?", talk.shades)
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


def _group(talk: Talk, key: str) -> Iterator[Question]:
    group = Sheet(key, "[[group]]")
    yield _members_question(group, "shades", "Which shades move together?", talk.shades)


def _exception(talk: Talk, key: str) -> Iterator[Question]:
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
    yield _members_question(exception, "shades", "Which shades?", talk.shades, unless=ALL)


def _members_question(
    sheet: Sheet, last: str, question: str, names: list[str], *, unless: str = ""
) -> Question:
    """A list of names, or all of them."""

    def check(answer: str) -> list[str]:
        every = is_word(answer, ALL)
        chosen = names if every else [known_as(part, names) for part in parted(answer)]
        if not chosen:
            raise ValueError(f"name some of {', '.join(names) or 'those that there are'}, or all")
        return chosen

    return sheet.plain(
        last,
        question,
        f"all, or some of {shortlist(names, 8)}, with commas between them.",
        check,
        default=ALL,
        lines=lambda answer: (
            () if is_word(answer, unless) else ((last, toml_list(check(answer)), ""),)
        ),
    )


TOPICS: dict[str, tuple[str, _Tables]] = {
    "neighbours": ("obstacle", _obstacle),
    "trees": ("tree", _tree),
    "canopies": ("canopy", _canopy),
    "spots": ("spot", _spot),
    "supplies": ("supply", _supply),
    "groups": ("group", _group),
    "exceptions": ("exception", _exception),
    "season": ("need", season_questions),
    "needs": ("need", needs_questions),
    "money": ("money", money_questions),
    "weather": ("weather", weather_questions),
    "keeper": ("keeper", keeper_questions),
}
"""By the word for it: the table that it fills, and its questions."""
