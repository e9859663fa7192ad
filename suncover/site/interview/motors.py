"""Questions about the shades and their motors."""

from __future__ import annotations

import shlex
from collections.abc import Callable, Iterator

from suncover.site.interview.kinds import (
    by_kind,
    doubtful_size,
    is_word,
    new_name,
    quiet_hours,
    unless_word,
    yes_or_no,
)
from suncover.site.interview.question import Line, Question
from suncover.site.interview.talk import Talk
from suncover.site.interview.values import (
    measure,
    minutes_kind,
    one_of,
    parted,
    quiet_meaning,
    seconds_kind,
    some,
    text,
    time_meaning,
    timed,
    toml_list,
    toml_text,
)
from suncover.site.keeping import AfterHand, ProgramWord

_SHADE = "[[shade]]"
KEEPER_KEYS = frozenset({"travel_up", "end_stop", "overrun", "after_hand", "program"})
"""What is asked of a shade only where a program moves it."""
_PLACES = ("inside", "outside", "between")
_FABRICS = ("white", "light", "medium", "dark")


def shade_questions(talk: Talk, key: str) -> Iterator[Question]:
    """The shade of a window, if it has one."""
    name = talk.get(f"{key}.name")
    shared = talk.own_shades
    also = f" Or the name of a shade that covers it as well: {some(shared)}." * bool(shared)
    yield Question(
        f"{key}.shade",
        f"Is there a motor shade on {name}?",
        f"yes, or no for a window that has none.{also}",
        lambda answer: shade_answer(answer, shared),
        default="yes",
    )
    if shade_answer(talk.answers[f"{key}.shade"], shared) is not True:
        return
    deep = f"{key}.shade_deep"
    yield Question(
        f"{key}.shade_name",
        "What is the shade called?",
        "Its name in the calendar. + asks more about it: where it hangs, its cloth, stops, limits, "
        "its motor.",
        new_name(frozenset(talk.shades)),
        default=f"{name} shade"[:100],
        example=f"{key} shade",
        table=_SHADE,
        lines=lambda answer: (
            ("name", toml_text(answer), ""),
            ("windows", toml_list(_covered(talk, key, answer.strip())), ""),
        ),
        deep=deep,
    )
    yield Question(
        f"{key}.travel",
        "How many seconds does it take to close?",
        "Time the full run with a watch; 75, or 1 min 15 s.",
        by_kind(seconds_kind()),
        default="60",
        doubt=doubtful_size("shade.travel", "travel"),
        meaning=time_meaning("seconds"),
        table=_SHADE,
        lines=timed("travel", "seconds", "to close"),
        deep=deep,
    )
    yield Question(
        f"{key}.quiet",
        "Between which times must it not run?",
        "Such as 21:30-07:00, so that it wakes nobody; none if it may always run.",
        quiet_hours,
        default="none",
        meaning=quiet_meaning,
        table=_SHADE,
        lines=_quiet_lines,
        deep=deep,
    )
    if talk.answers.get(deep) == "yes":
        yield from _deep_shade_questions(key)
        yield from _keeper_questions(talk, key)


def shade_answer(answer: str, shared: list[str]) -> bool | str:
    """Whether a window has a shade of its own, or the name of one that covers it as well.

    Raises
    ------
    ValueError
        When it is neither.
    """
    word = answer.strip().casefold()
    for name in shared:
        if name.casefold() == word:
            return name
    return yes_or_no(answer)


def _covered(talk: Talk, key: str, shade: str) -> list[str]:
    """The windows of a shade: its first, and those whose answers name it."""
    windows = [talk.get(f"{key}.name")]
    for other, answer in talk.answers.items():
        is_shade = other.startswith("window.") and other.endswith(".shade")
        if is_shade and answer.strip().casefold() == shade.casefold():
            windows.append(talk.get(f"{other.removesuffix('.shade')}.name"))
    return windows


def _quiet_lines(answer: str) -> tuple[Line, ...]:
    hours = quiet_hours(answer)
    if hours is None:
        return ()
    return (("quiet", toml_list(list(hours)), "it does not run between these"),)


def _deep_shade_questions(key: str) -> Iterator[Question]:
    yield _word(f"{key}.shade_place", "Where does it hang?", "place", _PLACES, "inside")
    yield _word(f"{key}.fabric", "What colour is its cloth?", "fabric", _FABRICS, "light")
    yield Question(
        f"{key}.stops",
        "At which places can it stop?",
        "In per cent closed, such as 50, 75, 100; only 100 for a shade without stops on the way.",
        _stops,
        default="100",
        table=_SHADE,
        lines=_stops_lines,
    )
    for last, question, comment in (
        ("lead", "How long should it be closed before the sun comes?", "before the sun comes"),
        ("lag", "How long should it stay closed after the sun has left?", "after it has left"),
    ):
        yield Question(
            f"{key}.{last}",
            question,
            "Minutes, or with a unit: 45 s, 1 min 30 s.",
            by_kind(minutes_kind()),
            default="2",
            doubt=doubtful_size(f"shade.{last}", last),
            meaning=time_meaning("minutes"),
            table=_SHADE,
            lines=timed(last, "minutes", comment, unless="2"),
        )
    yield Question(
        f"{key}.moves",
        "How many moves may it make a day, at the most?",
        "A closing and an opening count one each; none for no limit.",
        whole_or_none(2),
        default="none",
        table=_SHADE,
        lines=measure("moves", "a day at the most", unless="none"),
    )
    yield Question(
        f"{key}.home_after",
        "After how many moves to a stop on the way does it lose its place?",
        "For motors without end switches, which find it again by a full run; none for others.",
        whole_or_none(1),
        default="none",
        table=_SHADE,
        lines=measure("home_after", "moves, then a full run", unless="none"),
    )


def _keeper_questions(talk: Talk, key: str) -> Iterator[Question]:
    """What the program that moves shades has to know of this one."""
    moved = f"{key}.moved"
    yield Question(
        moved,
        "Is a program to move it, suncover keep?",
        "yes or no; it can be added later. Before a motor turns by itself: a switch by hand that "
        "always works, no cords where children are, mains for a licensed electrician. "
        "docs/cautions.md has more.",
        yes_or_no,
        default="no",
    )
    if not yes_or_no(talk.answers[moved]):
        return
    yield Question(
        f"{key}.travel_up",
        "How many seconds does it take to open?",
        "Many take longer up than down. Time the full run; same if it takes as long.",
        unless_word("same", by_kind(seconds_kind())),
        default="same",
        doubt=unless_word("same", doubtful_size("shade.travel_up", "travel_up")),
        table=_SHADE,
        lines=timed("travel_up", "seconds", "to open", unless="same"),
    )
    end_stop = f"{key}.end_stop"
    yield _word(
        end_stop,
        "At which end may it go on for some seconds against a stop?",
        "end_stop",
        ("top", "bottom", "both", "none"),
        "both",
        how="There it finds its place again, after a power cut too: top, bottom, both (as motors "
        "do that switch themselves off at their ends), or none, where that could harm the motor, "
        "the shade or its wiring. Ask whoever installed it.",
    )
    if not is_word(talk.answers[end_stop], "none"):
        yield Question(
            f"{key}.overrun",
            "For how many seconds may it go on there?",
            "Seconds, few but enough to be sure of the stop; tenth for a tenth of the full run.",
            unless_word("tenth", by_kind(seconds_kind())),
            default="tenth",
            doubt=unless_word("tenth", doubtful_size("shade.overrun", "overrun")),
            table=_SHADE,
            lines=timed("overrun", "seconds", "against the stop", unless="tenth"),
        )
    yield Question(
        f"{key}.after_hand",
        "How long is it left alone when somebody has moved it by hand?",
        "A time with its unit, such as 2 h; next for until the plan's next move.",
        by_kind(AfterHand),
        default="next",
        table=_SHADE,
        lines=text("after_hand", "left alone for so long after a hand", unless="next"),
    )
    yield Question(
        f"{key}.program",
        "Which program of yours moves it?",
        "none if it listens to messages of a broker. Else the words that start it, with {shade}, "
        "{direction}, {seconds} and {position} for what they stand for: python3 relay.py {shade} "
        "{direction} {seconds} {position}.",
        _program_words,
        default="none",
        table=_SHADE,
        lines=lambda answer: (
            (("program", toml_list(words), "run for an order, by no shell"),)
            if (words := _program_words(answer))
            else ()
        ),
    )


def _program_words(answer: str) -> list[str]:
    """The words of a program's call, none for none."""
    if is_word(answer, "none"):
        return []
    try:
        words = shlex.split(answer)
    except ValueError:
        raise ValueError("a quotation mark is missing its partner") from None
    if any(word.endswith(",") for word in words):
        raise ValueError("write the words as at a prompt, with blanks between them, no commas")
    for word in words:
        by_kind(ProgramWord)(word)
    return words


def _word(
    key: str, question: str, name: str, words: tuple[str, ...], default: str, *, how: str = ""
) -> Question:
    return Question(
        key,
        question,
        how or f"{', '.join(words[:-1])} or {words[-1]}.",
        one_of(words),
        default=default,
        table=_SHADE,
        lines=text(name, unless=default),
    )


def _stops_lines(answer: str) -> tuple[Line, ...]:
    stops = _stops(answer)
    if stops == [100]:
        return ()
    return (("stops", f"[{', '.join(map(str, stops))}]", "per cent closed at which it can stop"),)


def _stops(answer: str) -> list[int]:
    try:
        stops = [int(part.rstrip(" %")) for part in parted(answer)]
    except ValueError:
        raise ValueError("write per cent closed like this: 50, 75, 100") from None
    if not stops or sorted(set(stops)) != stops or stops[-1] != 100 or stops[0] < 1:
        raise ValueError("the stops must ascend from 1 or more to 100, fully closed")
    return stops


def whole_or_none(low: int) -> Callable[[str], int | None]:
    """A check of a whole number from `low` on, or none."""

    def check(answer: str) -> int | None:
        word = answer.strip().casefold()
        if word == "none":
            return None
        if not word.isascii() or not word.isdigit() or not low <= int(word) <= 10**6:
            raise ValueError(f"write a whole number, {low} or more, or none")
        return int(word)

    return check
