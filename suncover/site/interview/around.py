"""Questions about the rest: what stands around, what shades share, needs, the season, money."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from suncover.site.finding import meant
from suncover.site.interview.kinds import (
    yes_or_no,
)
from suncover.site.interview.members import (
    exception_questions,
    group_questions,
    length_question,
    members_question,
    spot_questions,
    supply_questions,
)
from suncover.site.interview.once import (
    keeper_questions,
    money_questions,
    needs_questions,
    place_of,
    season_lines,
    season_meaning,
    season_questions,
    weather_questions,
)
from suncover.site.interview.panes import ENDLESS
from suncover.site.interview.phrases import (
    FROM_EXAMPLE,
    from_lines,
    from_meaning,
    metres,
    season_days,
    season_words,
)
from suncover.site.interview.question import Known, Line, Question
from suncover.site.interview.talk import Talk
from suncover.site.interview.values import (
    measure,
    number_check,
    parted,
    text,
)

MOST = 200  # of one kind

_Tables = Callable[[Talk, str], Iterator[Question]]


def topics_question(known: Known) -> Question:
    """Which of the rest to go into."""
    words = tuple(word for word, (table, _) in TOPICS.items() if table not in known.tables)

    def check(answer: str) -> tuple[str, ...]:
        return topics_of(answer, words)

    return Question(
        "rest.topics",
        "What more is there to say?",
        f"none, or some of these, with commas between them: {', '.join(words)}.",
        check,
        default="none",
    )


def topics_of(answer: str, words: tuple[str, ...] = ()) -> tuple[str, ...]:
    """The topics that an answer names, in their order.

    Raises
    ------
    ValueError
        When it names what is none of them.
    """
    known = words or tuple(TOPICS)
    if answer.strip().casefold() in ("none", ""):
        return ()
    wanted = [part.casefold() for part in parted(answer)]
    for word in wanted:
        if word not in known:
            near = meant(word, known)
            hint = f'did you mean "{near}"?' if near else f"there are {', '.join(known)}, or none"
            raise ValueError(f'"{word}" is none of these; {hint}')
    return tuple(word for word in known if word in wanted)


def rest_questions(talk: Talk) -> Iterator[Question]:
    """All about the topics that were chosen."""
    for topic in topics_of(talk.get("rest.topics")):
        table, ask = TOPICS[topic]
        if ask in _SINGLE:
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
    return Question(
        f"{key}.name",
        f"{table.capitalize()} {number}: what is it called?",
        "Its own name, for messages and pictures.",
        talk.new_name(table),
        default=word if number > 1 or table != "exception" else "holidays",
        example=key,
        table=f"[[{table}]]",
        lines=text("name"),
    )


def _where_question(talk: Talk, key: str, what: str, table: str, plain: str) -> Question:
    references = talk.references

    def lines(answer: str) -> list[Line]:
        return from_lines(answer, references, plain)

    pair = " Or metres east, north of the plan's origin: 12, -8." if plain else ""
    first = references[0] if references else "kitchen"
    return Question(
        f"{key}.where",
        f"Where is {what}?",
        f"As a tape or a map shows it, from a window or a wall, seen from outdoors: "
        f"{FROM_EXAMPLE.replace('kitchen', first)}.{pair}",
        lines,
        example=f"5 out from {first}",
        meaning=lambda answer: from_meaning(lines(answer)),
        table=table,
        lines=lines,
    )


def _referred(talk: Talk, key: str) -> None:
    """Notes the window that something is measured from."""
    answer = talk.get(f"{key}.where")
    for word in (" from ", " of "):
        name = answer.rpartition(word)[2].partition(",")[0].strip().casefold()
        for window in talk.references:
            if window.casefold() == name:
                talk.note_reference(window)
                return


def _obstacle(talk: Talk, key: str) -> Iterator[Question]:
    table = "[[obstacle]]"
    name = talk.get(f"{key}.name")
    yield _where_question(talk, key, f"the near side of {name}, its middle", table, "")
    _referred(talk, key)
    yield length_question(
        f"{key}.width",
        "How wide is that side?",
        "From one corner of its near side to the other. Of a house that is not square to this "
        "way give the corners in the file, as `footprint`.",
        comment="of its near side",
        size="tree.width",
    )
    yield length_question(
        f"{key}.depth",
        "How far does it go back from there?",
        "From its near side to its far side; 0.2 for a fence.",
        comment="from its near side back",
        size="tree.width",
    )
    yield length_question(
        f"{key}.top",
        "How high is it?",
        "Of its top above the ground of your house.",
        comment="above the ground",
        low=-1000,
    )


def _tree(talk: Talk, key: str) -> Iterator[Question]:
    table = "[[tree]]"
    name = talk.get(f"{key}.name")
    yield _where_question(talk, key, f"the trunk of {name}", table, "trunk")
    _referred(talk, key)
    yield length_question(
        f"{key}.width",
        "How wide is its crown?",
        "Stand under its edge, and pace to the edge on the other side.",
        comment="of the crown",
    )
    yield length_question(
        f"{key}.bottom",
        "How high does the crown begin?",
        "Of its lowest leaves above the ground of your house.",
        comment="of the crown",
        low=-1000,
    )
    yield length_question(
        f"{key}.top",
        "How high is its top?",
        "Pace back until a level app shows 45° to it: it is as high as your distance and the "
        "height of your eye together.",
        comment="of the crown",
        low=-1000,
    )
    yield Question(
        f"{key}.leaf",
        "How much sun comes through in leaf?",
        "A share from 0 to 1: hardly any light under it 0.1, a third of the ground 0.3.",
        number_check(0, 1),
        default="0.2",
        table=table,
        lines=measure("leaf", "share of the sun let through in leaf"),
    )
    yield Question(
        f"{key}.bare",
        "And without leaves?",
        "0.5 to 0.7; evergreen for a tree that keeps its leaves.",
        lambda a: a.strip().casefold() == "evergreen" or number_check(0, 1)(a),
        default="evergreen",
        table=table,
        lines=measure("bare", "and without leaves", unless="evergreen"),
    )
    if talk.get(f"{key}.bare", "evergreen").casefold() == "evergreen":
        return
    leaves = ("04-20", "11-05") if place_of(talk)[0] >= 0 else ("10-20", "05-05")
    yield Question(
        f"{key}.in_leaf",
        "Between which days is it in leaf?",
        f"yes for {season_words(leaves)}; or two days like this: 20 Apr to 5 Nov.",
        lambda answer: season_days(answer, leaves),
        default="yes",
        meaning=lambda answer: season_meaning(answer, leaves),
        table=table,
        lines=lambda answer: season_lines("in_leaf", answer, leaves),
    )


def _canopy(talk: Talk, key: str) -> Iterator[Question]:
    table = "[[canopy]]"
    yield members_question(talk.windows, f"{key}.windows", "Over which windows is it?", table)
    yield length_question(
        f"{key}.height",
        "How high above the ground is its underside?",
        "Of the house's ground.",
        comment="of its underside above the ground",
        low=-1000,
    )
    yield length_question(
        f"{key}.depth",
        "How deep is it?",
        "From the wall's face to its outer edge.",
        comment="out from the wall's face",
    )
    for side in ("left", "right"):
        yield Question(
            f"{key}.{side}",
            f"How far does it run past the {side}most glass?",
            f"Seen from outdoors; {ENDLESS} if much farther than it is deep. With a number its "
            "windows must be on the plan.",
            lambda a: None if a.strip().casefold() == ENDLESS else metres(a),
            default=ENDLESS,
            table=table,
            lines=measure(side, f"past the glass on the {side}", unless=ENDLESS),
        )


TOPICS: dict[str, tuple[str, _Tables]] = {
    "neighbours": ("obstacle", _obstacle),
    "trees": ("tree", _tree),
    "canopies": ("canopy", _canopy),
    "spots": ("spot", spot_questions),
    "supplies": ("supply", supply_questions),
    "groups": ("group", group_questions),
    "exceptions": ("exception", exception_questions),
    "season": ("need", season_questions),
    "needs": ("need", needs_questions),
    "money": ("money", money_questions),
    "weather": ("weather", weather_questions),
    "keeper": ("keeper", keeper_questions),
}
"""By the word for it: the table that it fills, and its questions."""
_SINGLE = (season_questions, needs_questions, money_questions, weather_questions, keeper_questions)
