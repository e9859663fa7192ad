"""Questions about the shades and their motors."""

from __future__ import annotations

import shlex
from collections.abc import Iterator

from suncover.site.interview.kinds import (
    is_word,
    new_name,
    parted,
    quiet_hours,
    yes_or_no,
)
from suncover.site.interview.question import Line, Question
from suncover.site.interview.sheet import Sheet
from suncover.site.interview.talk import Talk
from suncover.site.interview.values import shortlist, toml_list, toml_text

KEEPER_KEYS = frozenset({"travel_up", "end_stop", "overrun", "after_hand", "program"})
"""What is asked of a shade only where a program moves it."""


def shade_questions(talk: Talk, key: str) -> Iterator[Question]:
    """The shade of a window, if it has one."""
    shade = Sheet(key, "[[shade]]", f"{key}.shade_deep")
    name = talk.get(f"{key}.name")
    shared = talk.own_shades
    also = f" Or the name of a shade that covers it as well: {shortlist(shared)}." * bool(shared)
    yield Question(
        f"{key}.shade",
        f"Is there a motor shade on {name}?",
        f"yes, or no for a window that has none.{also}",
        lambda answer: shade_answer(answer, shared),
        default="yes",
    )
    if shade_answer(talk.answers[f"{key}.shade"], shared) is not True:
        return
    yield shade.plain(
        "shade_name",
        "What is the shade called?",
        "Its name in the calendar. + asks more about it: where it hangs, its cloth, stops, limits, "
        "its motor.",
        new_name(frozenset(talk.shades)),
        default=f"{name} shade"[:100],
        example=f"{key} shade",
        lines=lambda answer: (
            ("name", toml_text(answer), ""),
            ("windows", toml_list(_covered(talk, key, answer.strip())), ""),
        ),
    )
    yield shade.ask(
        "travel",
        "How many seconds does it take to close?",
        "Time the full run with a watch; 75, or 1 min 15 s.",
        "60",
        "to close",
    )
    yield shade.plain(
        "quiet",
        "Between which times must it not run?",
        "Such as 21:30-07:00, so that it wakes nobody; none if it may always run.",
        quiet_hours,
        default="none",
        meaning=_quiet_meaning,
        lines=_quiet_lines,
    )
    if talk.answers.get(f"{key}.shade_deep") == "yes":
        yield from _deep_shade_questions(shade)
        yield from _keeper_questions(talk, shade)


def shade_answer(answer: str, shared: list[str]) -> bool | str:
    """Whether a window has a shade of its own, or the name of one that covers it as well.

    Raises
    ------
    ValueError
        When it is neither.
    """
    name = next((name for name in shared if is_word(answer, name.casefold())), None)
    return yes_or_no(answer) if name is None else name


def _covered(talk: Talk, key: str, shade: str) -> list[str]:
    """The windows of a shade: its first, and those whose answers name it."""
    windows = [talk.get(f"{key}.name")]
    for question, answer in talk.answers.items():
        is_shade = question.startswith("window.") and question.endswith(".shade")
        if is_shade and is_word(answer, shade.casefold()):
            windows.append(talk.get(f"{question.removesuffix('.shade')}.name"))
    return windows


def _quiet_meaning(answer: str) -> str | None:
    hours = quiet_hours(answer)
    if hours is None:
        return None
    night = ", over midnight" if hours[0] > hours[1] else ""
    return f"the motor rests from {hours[0]} to {hours[1]}{night}"


def _quiet_lines(answer: str) -> tuple[Line, ...]:
    hours = quiet_hours(answer)
    return (("quiet", toml_list(hours), "it does not run between these"),) if hours else ()


def _deep_shade_questions(shade: Sheet) -> Iterator[Question]:
    yield shade.ask(
        "shade_place", "Where does it hang?", default="inside", key="place", nothing="inside"
    )
    yield shade.ask("fabric", "What colour is its cloth?", default="light", nothing="light")
    yield shade.plain(
        "stops",
        "At which places can it stop?",
        "In per cent closed, such as 50, 75, 100; only 100 for a shade without stops on the way.",
        _stops_lines,
        default="100",
        lines=_stops_lines,
    )
    for last, question, comment in (
        ("lead", "How long should it be closed before the sun comes?", "before the sun comes"),
        ("lag", "How long should it stay closed after the sun has left?", "after it has left"),
    ):
        instruction = "Minutes, or with a unit: 45 s, 1 min 30 s."
        yield shade.ask(last, question, instruction, "2", comment, nothing="2")
    yield shade.ask(
        "moves",
        "How many moves may it make a day, at the most?",
        "A closing and an opening count one each; none for no limit.",
        "none",
        "a day at the most",
        nothing="none",
    )
    yield shade.ask(
        "home_after",
        "After how many moves to a stop on the way does it lose its place?",
        "For motors without end switches, which find it again by a full run; none for others.",
        "none",
        "moves, then a full run",
        nothing="none",
    )


def _keeper_questions(talk: Talk, shade: Sheet) -> Iterator[Question]:
    """What the program that moves shades has to know of this one."""
    moved = f"{shade.key}.moved"
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
    yield shade.ask(
        "travel_up",
        "How many seconds does it take to open?",
        "Many take longer up than down. Time the full run; same if it takes as long.",
        "same",
        "to open",
        nothing="same",
    )
    yield shade.ask(
        "end_stop",
        "At which end may it go on for some seconds against a stop?",
        "There it finds its place again, after a power cut too: top, bottom, both (as motors "
        "do that switch themselves off at their ends), or none, where that could harm the motor, "
        "the shade or its wiring. Ask whoever installed it.",
        "both",
        nothing="both",
    )
    if not is_word(talk.answers[f"{shade.key}.end_stop"], "none"):
        yield shade.ask(
            "overrun",
            "For how many seconds may it go on there?",
            "Seconds, few but enough to be sure of the stop; tenth for a tenth of the full run.",
            "tenth",
            "against the stop",
            nothing="tenth",
        )
    yield shade.ask(
        "after_hand",
        "How long is it left alone when somebody has moved it by hand?",
        "A time with its unit, such as 2 h; next for until the plan's next move.",
        "next",
        "left alone for so long after a hand",
        nothing="next",
    )
    yield shade.plain(
        "program",
        "Which program of yours moves it?",
        "none if it listens to messages of a broker. Else the words that start it, with {shade}, "
        "{direction}, {seconds} and {position} for what they stand for: python3 relay.py {shade} "
        "{direction} {seconds} {position}.",
        _program_lines,
        default="none",
        lines=_program_lines,
    )


def _program_lines(answer: str) -> tuple[Line, ...]:
    """The words of a program's call."""
    if is_word(answer, "none"):
        return ()
    try:
        words = shlex.split(answer)
    except ValueError:
        raise ValueError("a quotation mark is missing its partner") from None
    if any(word.endswith(",") for word in words):
        raise ValueError("write the words as at a prompt, with blanks between them, no commas")
    return (("program", toml_list(words), "run for an order, by no shell"),)


def _stops_lines(answer: str) -> tuple[Line, ...]:
    try:
        stops = [int(part.rstrip(" %")) for part in parted(answer)]
    except ValueError:
        raise ValueError("write per cent closed like this: 50, 75, 100") from None
    if stops == [100]:
        return ()
    return (("stops", f"[{', '.join(map(str, stops))}]", "per cent closed at which it can stop"),)
