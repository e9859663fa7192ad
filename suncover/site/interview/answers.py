"""The answers of an interview from a file, checked as a whole."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from typing import Any

from suncover.base.errors import Fault, FileFaults
from suncover.base.textfile import printable, read_text
from suncover.site.file.toml_places import TomlPlaces
from suncover.site.file.toml_reading import read_toml
from suncover.site.finding import Finding, Path, cut, place_of
from suncover.site.interview.compose import flat, implied
from suncover.site.interview.question import REPEATED, SINGLE
from suncover.site.interview.questions import HANGS_ON, KnownHome, Question, next_question

TABLES = (*(table for table in SINGLE if table != "rest"), *REPEATED)


def read_answers(
    path: str | os.PathLike[str], home: KnownHome
) -> tuple[dict[str, str], tuple[str, ...]]:
    """The answers in a file by their keys, with the defaults for what it leaves out; and remarks.

    A remark, with its place, is on an answer that may be right but that no house is likely to have.

    Raises
    ------
    FileFaults
        With every answer that is wrong, missing or not asked for.
    """
    text = read_text(path)
    reading = read_toml(text, path)
    reader = _Reader(printable(os.fspath(path)), reading.text, reading.raw)
    answers = reader.answers(home)
    if reading.faults:  # what a slip in the text brings with it is not reported as well
        separate = [fault for fault in reader.faults if fault.line not in reading.lines]
        reader.faults = [*reading.faults, *(() if reading.holes or reading.gaps else separate)]
    if reader.faults:
        reader.faults.sort(key=lambda fault: (fault.line or 0, fault.column or 0))
        raise FileFaults(reader.faults)
    return answers, tuple(map(str, reader.remarks))


def fault_of_answer(question: Question, answer: str) -> str | None:
    """What is wrong with an answer; None if nothing is."""
    try:
        question.check(answer)
    except ValueError as wrong:
        return str(wrong)
    return None


class _Reader:
    """A file of answers, and what has been found wrong in it so far."""

    def __init__(self, file: str, text: str, raw: Mapping[str, Any]) -> None:
        self.file = file
        self.faults: list[Fault] = []
        self.remarks: list[Fault] = []
        self._raw = raw
        self._places = TomlPlaces(text)
        self._names: dict[Path, str] = {
            (kind, index): entry["name"]
            for kind in REPEATED
            for index, entry in enumerate(
                raw.get(kind, ()) if isinstance(raw.get(kind), list) else ()
            )
            if isinstance(entry, dict) and isinstance(entry.get("name"), str)
        }

    def answers(self, home: KnownHome) -> dict[str, str]:
        """Every answer, right or in place of one that is wrong; all faults are noted on the way."""
        self._check_tables()
        if self.faults:
            return {}  # without its windows a file lacks answers that it may well have
        hints = implied(self._raw)
        all_answers = hints | flat(self._raw)
        answers = {key: hint for key, hint in hints.items() if key.endswith("deep")}
        wrong: set[str] = set()
        while (question := next_question(answers, home)) is not None:
            answer = all_answers.get(question.key, question.default)
            if answer is None or (fault := fault_of_answer(question, answer)):
                self._tell(question, None if answer is None else fault)
                wrong.add(question.key)
                stand_in = next(_stand_ins(question), None)
                if stand_in is None:
                    return answers  # what comes next hangs on it
                answer = stand_in
            elif doubt := question.doubt(answer):
                self.remarks.append(self._fault(_path(question.key), doubt, keep=-1))
            answers[question.key] = answer
        for key in all_answers:
            if key not in answers and key not in hints and not _hangs_on_wrong(key, wrong):
                self._not_asked_for(key, answers)
        return answers

    def _check_tables(self) -> None:
        for key, value in self._raw.items():
            if key not in TABLES:
                sentence = Finding((), f"nothing asks for `{cut(key)}`", key, TABLES, True).sentence
                self.faults.append(self._fault((key,), sentence, keep=-1, key=True))
            elif key in SINGLE and not isinstance(value, dict):
                self.faults.append(self._fault((key,), f"write [{key}] in single brackets"))
            elif key in REPEATED and not isinstance(value, list):
                sentence = f"there may be several; write [[{key}]] in double brackets"
                self.faults.append(self._fault((key,), sentence))

    def _tell(self, question: Question, fault: str | None) -> None:
        path = _path(question.key)
        if fault is not None:
            self.faults.append(self._fault(path, fault))
            return
        sentence = f"`{path[-1]}` is missing; it answers: {question.text}"
        self.faults.append(self._fault(path, sentence, keep=-1, key=True))

    def _not_asked_for(self, key: str, answers: Mapping[str, str]) -> None:
        path = _path(key)
        table = key.rpartition(".")[0]
        questions = [
            answered.rpartition(".")[2]
            for answered in answers
            if answered.startswith(f"{table}.") and not answered.endswith(("deep", ".more"))
        ]
        last = str(path[-1])
        finding = Finding(path, f"nothing asks for `{cut(last)}`", last, questions, at_key=True)
        self.faults.append(self._fault(path, finding.sentence, keep=-1, key=True))

    def _fault(
        self, path: Path, message: str, *, keep: int | None = None, key: bool = False
    ) -> Fault:
        """A fault at a path; the first `keep` parts of it (all if left out) are named."""
        line, column = self._places.find(path, key=key) or (None, None)
        place = printable(place_of(path[:keep], self._names))
        return Fault(self.file, printable(message), place, line, column)


def _path(key: str) -> Path:
    """Where an answer stands in the file: `window.1.width` in the first [[window]]."""
    kind, *parts = key.split(".")
    if kind in REPEATED:
        return kind, int(parts[0]) - 1, *parts[1:]
    return kind, *parts


def _stand_ins(question: Question) -> Iterator[str]:
    """Answers to go on with in place of a wrong one."""
    for answer in (question.default, question.example):
        if answer is not None and fault_of_answer(question, answer) is None:
            yield answer


def _hangs_on_wrong(key: str, wrong: set[str]) -> bool:
    """Whether a question might have been asked if another answer were right."""
    table, _, last = key.rpartition(".")
    return any(f"{table}.{parent}" in wrong for parent in HANGS_ON.get(last, ()))
