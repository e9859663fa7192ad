"""A site file from nothing: the questions of the interview, one at a time."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from suncover.base.errors import RequestError
from suncover.site.interview.answers import fault_of_answer
from suncover.site.interview.compose import site_file
from suncover.site.interview.questions import KnownHome, Question, next_question

Json = dict[str, Any]
MOST_ANSWERS = 2000
LONGEST = 2000
MORE = "+"
"""An answer that asks for more about the same thing."""


def ask(answers: object, today: date) -> Json:
    """What comes after these answers: a `question`, or the `text` of the file when all is said.

    An answer that is wrong is the question again, with a `fault` that says why.
    """
    if (
        not isinstance(answers, list)
        or len(answers) > MOST_ANSWERS
        or not all(isinstance(text, str) and len(text) <= LONGEST for text in answers)
    ):
        raise RequestError("answers are a list of texts, in the order of the questions")
    home = KnownHome(today)
    taken: dict[str, str] = {}
    meaning: str | None = None
    for number, answer in enumerate(answers):
        question = next_question(taken, home)
        if question is None:
            raise RequestError("there are more answers than questions")
        text = answer.strip() or (question.default or "")
        if text == MORE and question.deep is not None and taken.get(question.deep) != "yes":
            taken[question.deep] = "yes"
            continue
        fault = fault_of_answer(question, text)
        if fault is not None:
            return {"question": _shown(question, taken), "fault": fault, "answered": number}
        doubt = question.doubt(text)
        meaning = " ".join(part for part in (question.meaning(text), doubt) if part) or None
        taken[question.key] = text
    question = next_question(taken, home)
    if question is None:
        return {"text": site_file(taken, home)}
    return {"question": _shown(question, taken), "meaning": meaning, "answered": len(answers)}


def _shown(question: Question, taken: Mapping[str, str]) -> Json:
    return {
        "key": question.key,
        "text": question.text,
        "how": question.how,
        "default": question.default,
        "more": question.deep is not None and taken.get(question.deep) != "yes",
    }
