"""TOML text into plain values, in bounded time, with plain words for what is no TOML."""

from __future__ import annotations

import os
import re
import tomllib
from typing import Any

from suncover.base.errors import FileFaults
from suncover.base.textfile import one_fault
from suncover.site.kinds.values import no_such_day

MOST_MARKS = 500_000
"""Commas, opening brackets, equals signs (each twice) and, line by line, the number of dots that
join keys, squared: a measure of the time that the TOML reader takes, about a second at this size.
Ten thousand windows with a shade each have fewer."""

_DECIMAL = r"""(?<![\w.'"-])[+-]?\d[\d_]*\.\d[\d_]*(?:[eE][+-]?\d+)?(?![\w.'"-])"""
_LEADER = r"\.{2,}"  # ..... as people draw it; no key has two dots in a row
_WHERE = r" \(at (?:line (\d+), column (\d+)|end of document)\)$"
# `sill = 1,5`, as many countries write it; and `name = "bath`.
_COMMA = r"[^\"'#=]*=\s*([+-]?\d+)(?=,(\d+)\s*(?:#|$))"
_OPEN_TEXT = r'[^"\'#=]*=\s*"(?!"")[^"]*$'
_CURLY_DOUBLE = "“”„‟"
_CURLY = _CURLY_DOUBLE + "‘’‚‛«»"
_DASHES = "−–—"
_LONG_NUMBER = r"[0-9][0-9_]{4000}"

# Beginnings of the reader's messages, and what they say to someone who does not know TOML.
_PLAIN = {
    "Expected '=' after a key": "here should be an equals sign: key = value",
    "Expected newline or end of document": "there is more on this line than one value; "
    "begin a new line, and put text in quotes",
    "Expected ']' at the end of a table": "the closing bracket ] is missing",
    "Expected ']]' at the end of an array": "the closing brackets ]] are missing",
    "Invalid initial character for a key": "here should be a key (letters, digits, - or _)",
    "Invalid statement": "this is neither key = value nor a [table] in brackets",
    "Invalid value": "this is no value; text goes in quotes, a number has digits and a dot only",
    "Invalid date": "this is not a valid date or time",
    "Unclosed array": "the list that opens here or before is not closed with ]",
    "Unclosed inline table": "the table that opens here or before is not closed with }",
    "Unterminated string": "the text is not closed with a quote",
    "Unescaped": "write a backslash twice, or put the text in single quotes",
    "Duplicate inline table key": "this key is given twice",
    "Cannot overwrite a value": "this key is given twice",
    "Cannot declare": "this table is given twice; "
    "one that may stand several times has [[double brackets]]",
    "Cannot mutate immutable namespace": "this adds to a table that is already complete",
    "Cannot define namespace": "this adds to a table that is already complete",
    "Illegal character": "there is a character here that TOML does not allow",
    "Found invalid character": "there is a character here that TOML does not allow",
}


def parse_toml(text: str, file: str | os.PathLike[str]) -> dict[str, Any]:
    """The tables of a TOML text, as dicts and lists.

    Raises
    ------
    FileFaults
        With line and column, when the text is no TOML, or holds more than can be read in a second
        or two. `file` is the name in the message.
    """
    _refuse_monsters(text, file)
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise one_fault(file, "lists or tables are nested too deeply") from None
    except tomllib.TOMLDecodeError as error:
        raise _syntax_fault(str(error), text, file) from None
    except ValueError:  # Python turns down whole numbers of more than 4300 digits
        match = re.search(_LONG_NUMBER, text)
        line = text.count("\n", 0, match.start()) + 1 if match else None
        raise one_fault(file, "there is a number with thousands of digits", line) from None


def _refuse_monsters(text: str, file: str | os.PathLike[str]) -> None:
    """Refuse what the reader would take minutes for: very long dotted keys, millions of values."""
    marks = text.count(",") + text.count("[") + 2 * text.count("=")
    if marks > MOST_MARKS:
        raise one_fault(file, "the file holds too many values to be read; split it into several")
    for number, line in enumerate(text.split("\n"), 1):
        dots = line.count(".")
        if dots == 1:
            dots = line.count(".", 0, line.find("=") if "=" in line else None)
        elif dots > 1:
            dots -= len(re.findall(_DECIMAL, line)) + sum(map(len, re.findall(_LEADER, line)))
        marks += dots**2
        if marks > MOST_MARKS:
            message = "the file has too many dots in its keys to be read; write [tables] instead"
            raise one_fault(file, message, number)


def _slip(line: str, column: int | None) -> tuple[str, int | None] | None:
    """What is wrong in a line where it is one of the common slips, and at which column."""
    if curly := _curly_quote(line, column):
        mark = line[curly - 1]
        return (
            f"{mark} is a curly quote, as word processors and phones write it; TOML has straight "
            'ones: "text"',
            curly,
        )
    at = line[column - 1 : column] if column else ""
    if at and at in _DASHES:
        return f"this minus sign, {at}, is another character than TOML's; type a hyphen: -", column
    if column and (day := no_such_day(line[column - 1 : column + 9])):
        return day, column
    if (comma := re.match(_COMMA, line)) and comma.end() == (column or 0) - 1:
        return f"a number has a point, not a comma: {comma[1]}.{comma[2]}", column
    if re.match(_OPEN_TEXT, line) and column is not None and column > line.find('"'):
        return 'the text is not closed with a quote: "', column
    return None


def _curly_quote(line: str, column: int | None) -> int | None:
    """The column of a curly quote that stands for a straight one in a line that is wrong."""
    if column is None:
        return None
    if (at := line[column - 1 : column]) and at in _CURLY:
        return column
    # A text that begins with a straight quote and ends with a curly one: neither comes in pairs.
    places = [place for place, mark in enumerate(line, 1) if mark in _CURLY_DOUBLE]
    return places[0] if len(places) % 2 and line.count('"') % 2 else None


def _syntax_fault(message: str, text: str, file: str | os.PathLike[str]) -> FileFaults:
    """The reader's complaint with its line and column, in plain words."""
    match = re.search(_WHERE, message)
    line: int | None = None
    column: int | None = None
    if match:
        message = message[: match.start()]
        if match[1]:
            line, column = int(match[1]), int(match[2])
        else:
            line = text.rstrip("\n").count("\n") + 1
    words_for = next((words for start, words in _PLAIN.items() if message.startswith(start)), None)
    if line is not None and (slip := _slip(text.split("\n")[line - 1], column)):
        words_for, column = slip
    return one_fault(file, words_for or f"this is not TOML: {message}", line, column)
