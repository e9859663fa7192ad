"""The text of a site file from the answers of an interview, with comments for whoever edits it."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from suncover.site.interview.around import TOPICS
from suncover.site.interview.motors import KEEPER_KEYS
from suncover.site.interview.once import hot_months
from suncover.site.interview.question import REPEATED, SINGLE, Answers, KnownHome, Line
from suncover.site.interview.questions import questions
from suncover.site.interview.values import toml_list, toml_text
from suncover.site.kinds.coordinates import parse_place

COLUMN = 28  # where comments begin
ORDER = (*SINGLE, *REPEATED)
"""Tables of answers, in the order in which the file has what comes of them."""

HEAD = (
    "# Change anything here; `suncover check` says whether it is right.",
    '# Lengths are in metres, or text with a unit: "48 in". Angles are in degrees. Left and right',
    "# are as seen from outdoors, facing the window.",
)


def site_file(answers: Answers, home: KnownHome) -> str:
    """The whole text of a new site file."""
    head, *tables = _tables(answers, home)
    return "\n".join([*HEAD, "", head, *tables])


def added_tables(answers: Answers, home: KnownHome) -> list[str]:
    """The text of each table to add to a site file that is there."""
    return _tables(answers, home)


def _tables(answers: Answers, home: KnownHome) -> list[str]:
    """The text of each table, those of one thing together."""
    things: dict[str, dict[str, list[Line]]] = {}
    for question in questions(answers, home):
        if question.table and question.key in answers:
            thing = question.key.rpartition(".")[0]
            lines = list(question.lines(answers[question.key]))
            if lines:
                things.setdefault(thing, {}).setdefault(question.table, []).extend(lines)
    _place_the_origin(things)
    if home.place is None:
        _complete_need(things, parse_place(answers["site.place"])[0])
    return [_thing_text(things[thing]) for thing in sorted(things, key=_in_order)]


def _thing_text(tables: Mapping[str, Sequence[Line]]) -> str:
    """The tables of one thing: a window, its overhang, its shade."""
    blocks = []
    for table in sorted(tables, key=_within):
        header = table.partition("]] ")[0] + "]]" if "]] " in table else table
        blocks.append("\n".join([header, *(_line(*line) for line in tables[table])]) + "\n")
    return "\n".join(blocks)


def _within(table: str) -> int:
    """A shade comes after all the tables of its window."""
    return 1 if table.startswith("[[shade") else 0


def _place_the_origin(things: dict[str, dict[str, list[Line]]]) -> None:
    """A window that others are measured from, and that is nowhere, is the plan's origin."""
    keys = ("from", "right_of", "left_of")
    meant = {
        value
        for tables in things.values()
        for lines in tables.values()
        for key, value, _ in lines
        if key in keys
    }
    for thing, tables in things.items():
        lines = tables.get("[[window]]", [])
        keys_here = {key for key, _, _ in lines}
        if thing.startswith("window.") and lines[0][1] in meant and not keys_here & {
            "position", "along", *keys
        }:  # fmt: skip
            lines.append(("position", "[0, 0]", "the plan counts from here"))


def _complete_need(things: dict[str, dict[str, list[Line]]], latitude: float) -> None:
    """The need of a new file, with the season to choose if no answer was about it."""
    tables = things.setdefault("need", {})
    lines = tables.get("[need]", [])
    beam = ("beam", "120", "W/m²: weaker sun is not counted; 0 counts all")
    if not any(key == "season" for key, _, _ in lines):
        days = toml_list(hot_months(latitude))
        lines = [*lines, ("# season", days, "the days on which shades work; all year if left out")]
    things["need"] = {
        "[need]": [beam, *lines],
        **{k: v for k, v in tables.items() if k != "[need]"},
    }


def _line(key: str, value: str, comment: str) -> str:
    pair = f"{key} = {value}"
    if not comment:
        return pair
    return f"{pair:<{COLUMN}}# {comment}" if len(pair) < COLUMN else f"{pair}  # {comment}"


# --- answers as a file


def answers_text(answers: Answers) -> str:
    """Answers as the text of a TOML file."""
    tables: dict[str, list[str]] = {}
    for key, value in answers.items():
        thing, _, last = key.rpartition(".")
        tables.setdefault(thing, []).append(f"{last} = {toml_text(value)}")
    lines = ["# Answers for `suncover new`."]
    for thing in sorted(tables, key=_in_order):
        kind = thing.partition(".")[0]
        header = f"[{kind}]" if kind in SINGLE else f"[[{kind}]]"
        lines += ["", header, *tables[thing]]
    return "\n".join(lines) + "\n"


def _in_order(thing: str) -> tuple[int, int]:
    kind, _, number = thing.partition(".")
    return ORDER.index(kind), int(number or 0)


def flat(tables: Mapping[str, Any]) -> dict[str, str]:
    """Answers by key from the tables of such a file; values that are no texts become texts."""
    answers: dict[str, str] = {}
    for kind in SINGLE:
        table = tables.get(kind)
        if isinstance(table, dict):
            answers |= {f"{kind}.{key}": _answer(value) for key, value in table.items()}
    for kind in REPEATED:
        entries = tables.get(kind)
        for number, entry in enumerate(entries if isinstance(entries, list) else [], 1):
            if isinstance(entry, dict):
                answers |= {f"{kind}.{number}.{key}": _answer(v) for key, v in entry.items()}
    return answers


def implied(tables: Mapping[str, Any]) -> dict[str, str]:
    """Answers that a file of answers need not give, as its tables tell: how much there is."""
    answers: dict[str, str] = {}
    for kind in REPEATED:
        entries = tables.get(kind)
        count = len(entries) if isinstance(entries, list) else 0
        answers |= {f"{kind}.{number}.more": "yes" for number in range(1, count)}
        if kind == "window":
            answers |= {f"{kind}.{number}.deep": "yes" for number in range(1, count + 1)}
            answers |= {f"{kind}.{number}.shade_deep": "yes" for number in range(1, count + 1)}
            answers |= {
                f"{kind}.{number}.moved": "yes"
                for number, entry in enumerate(entries or (), 1)
                if isinstance(entry, dict) and KEEPER_KEYS & entry.keys()
            }
    topics = [topic for topic, (kind, _) in TOPICS.items() if _has(tables, topic, kind)]
    if topics:
        answers |= {"rest.deep": "yes", "rest.topics": ", ".join(topics)}
    if tables.get("wall"):
        answers["site.deep"] = "yes"
    return answers


def _has(tables: Mapping[str, Any], topic: str, kind: str) -> bool:
    table = tables.get(kind)
    if kind != "need" or not isinstance(table, dict):
        return bool(table)
    return ("season" in table) if topic == "season" else bool(set(table) - {"season"})


def _answer(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(
            re.sub(r"[\[\],]", " ", str(part)).strip() if isinstance(part, list) else str(part)
            for part in value
        )
    return str(value)
