"""The questions that lead to a site file, one at a time, each answer checked at once.

Answers are texts by key: `site.name`, `window.1.azimuth`. Nothing here talks to anybody: whoever
does asks `next_question` what comes, and puts the answer where the next call finds it. So an
interview can be broken off, kept as its answers, and taken up again.

The short way asks for the place, the windows and their shades. Where the answers hold
`window.1.deep`, more is asked about that window; likewise for `site` (the house's walls), for a
window's shade (`window.1.shade_deep`) and for the `rest` (what stands around, and so on).
"""

from __future__ import annotations

from collections.abc import Iterator

from suncover.site.interview.around import rest_questions, topics_question
from suncover.site.interview.house import site_questions, wall_questions
from suncover.site.interview.kinds import yes_or_no
from suncover.site.interview.motors import KEEPER_KEYS, shade_questions
from suncover.site.interview.panes import window_questions
from suncover.site.interview.question import Answers, KnownHome, Question, is_deep
from suncover.site.interview.talk import Talk

__all__ = ["HANGS_ON", "Answers", "KnownHome", "Question", "next_question", "questions"]

MOST_WINDOWS = 1000

_SHADE = ("shade_place", "fabric", "stops", "lead", "lag", "moves", "home_after", "moved")
_DIRECTION = ("measured", "wall_left", "wall_right", "along", "beside", "where")
_PARENTS = {
    "azimuth": _DIRECTION,
    "overhang": ("gap", "overhang_left", "overhang_right"),
    "fin_left": ("fin_left_gap", "fin_left_above", "fin_left_below"),
    "fin_right": ("fin_right_gap", "fin_right_above", "fin_right_below"),
    "shade": ("shade_name", "travel", "quiet", *_SHADE, *KEEPER_KEYS),
    "file": ("stamp", "sunshine"),
    "for": ("dark", "until", "reach"),
    "end_stop": ("overrun",),
    "broker": ("user", "password_file", "ca_file"),
    "user": ("password_file",),
}
HANGS_ON = {
    child: frozenset(parent for parent, children in _PARENTS.items() if child in children)
    for children in _PARENTS.values()
    for child in children
}
"""The answers on which it hangs whether others are asked for, by the last part of their keys."""


def next_question(answers: Answers, home: KnownHome) -> Question | None:
    """The first question that has no answer yet; None when there is no more to ask."""
    return next((q for q in questions(answers, home) if q.key not in answers), None)


def questions(answers: Answers, home: KnownHome) -> Iterator[Question]:
    """All questions in their order. What comes later depends on the answers to those before.

    To be read on only once the last question has its answer.
    """
    talk = Talk(answers, home)
    if home.place is None:
        yield from site_questions(answers, home)
    if is_deep(answers, "site"):
        yield from wall_questions(talk)
    yield from _windows(talk)
    if is_deep(answers, "rest"):
        yield topics_question(home)
        yield from rest_questions(talk)


def _windows(talk: Talk) -> Iterator[Question]:
    answers = talk.answers
    for number in range(1, MOST_WINDOWS):
        key = f"window.{number}"
        yield from window_questions(talk, key, number + len(talk.home.windows))
        talk.add_window(key)
        yield from shade_questions(talk, key)
        talk.add_shade(key)
        yield Question(
            f"{key}.more",
            "Another window?",
            "yes or no. + asks about more when the windows are done: what stands around (houses, "
            "trees), places in rooms, what shades share, the season, money, weather. It can all be "
            "added later by the same command.",
            yes_or_no,
            default="no",
            deep="rest.deep",
        )
        if not yes_or_no(answers[f"{key}.more"]):
            return
