"""What is said about text that is no TOML: one fault, in words for people who do not know TOML."""

from __future__ import annotations

from pathlib import Path

import pytest
from site_texts import SMALL, edited, faults

BAD_SYNTAX = [
    pytest.param(
        edited("= 95", "95"),
        "8:9: here should be an equals sign: key = value",
        id="no equals sign",
    ),
    pytest.param(
        edited("= 95", "= 95 degrees"),
        "8:14: there is more on this line than one value; begin a new line, and put text in quotes",
        id="unit without quotes",
    ),
    pytest.param(
        edited("= 95", "= ninety"),
        "8:11: this is no value; text goes in quotes, a number has digits and a dot only",
        id="word without quotes",
    ),
    pytest.param(
        edited("1.20", "1,20"),
        "9:10: a number has a point, not a comma: 1.20",
        id="decimal comma",
    ),
    pytest.param(
        edited('"kitchen"', '"kitchen'),
        '7:16: the text is not closed with a quote: "',
        id="quote not closed",
    ),
    pytest.param(
        edited('"kitchen"', "“kitchen”"),
        "7:8: “ is a curly quote, as word processors and phones write it; TOML has straight ones: "
        '"text"',
        id="curly quotes",
    ),
    pytest.param(
        edited('"kitchen"', '"kitchen”'),
        "7:16: ” is a curly quote, as word processors and phones write it; TOML has straight ones: "
        '"text"',
        id="curly quote at the end",
    ),
    pytest.param(
        edited('"kitchen"', "‘kitchen’"),
        "7:8: ‘ is a curly quote, as word processors and phones write it; TOML has straight ones: "
        '"text"',
        id="curly single quotes",
    ),
    pytest.param(
        SMALL + 'skyline = ["21:30”, "07:00"]\n',
        "11:18: ” is a curly quote, as word processors and phones write it; TOML has straight "
        'ones: "text"',
        id="curly quote in a list",
    ),
    pytest.param(
        edited('"kitchen"', '"the “best” kitchen'),
        '7:27: the text is not closed with a quote: "',
        id="curly quotes inside a text that is not closed",
    ),
    pytest.param(
        edited("-79.95", "−79.95"),
        "4:13: this minus sign, −, is another character than TOML's; type a hyphen: -",
        id="minus sign of typesetting",
    ),
    pytest.param(
        edited("[[window]]", "[[window]"), "6:9: the closing brackets ]] are missing", id="bracket"
    ),
    pytest.param(
        edited("= 95", "= 95\nazimuth = 96"), "9:13: this key is given twice", id="key twice"
    ),
    pytest.param(
        edited("[[window]]", "[site]\n[[window]]"),
        "6:6: this table is given twice; one that may stand several times has [[double brackets]]",
        id="table twice",
    ),
    pytest.param(
        SMALL + "skyline = [[60, 12], [95, 8]",
        "11: the list that opens here or before is not closed with ]",
        id="list not closed",
    ),
    pytest.param(
        edited('"kitchen"', '"C:\\kitchen"'),
        "7:13: write a backslash twice, or put the text in single quotes",
        id="backslash",
    ),
    pytest.param(
        edited("= 95", "= 2026-02-30"),
        "8:11: 2026-02-30: February 2026 has no such day",
        id="no such date",
    ),
    pytest.param(
        edited("= 95", "= " + "9" * 5000),
        "8: there is a number with thousands of digits",
        id="5000 digits",
    ),
    pytest.param(
        edited("= 95", "= " + "[" * 5000), "lists or tables are nested too deeply", id="deep lists"
    ),
    pytest.param(
        edited("= 95", "= " + "{a=" * 5000),
        "lists or tables are nested too deeply",
        id="deep tables",
    ),
    pytest.param(
        edited("azimuth", "a." * 5000 + "azimuth"),
        "8: the file has too many dots in its keys to be read; write [tables] instead",
        id="deep dotted key",
    ),
    pytest.param(
        edited("kitchen", "k\0tchen"),
        "7:10: there is a NUL byte here, so this is not a text file",
        id="NUL",
    ),
    pytest.param(
        edited("kitchen", "küche").encode("latin-1"),
        '7:10: byte 0xFC (in Latin-1 it would be "ü") is not valid UTF-8 here; '
        "save the file as UTF-8",
        id="Latin-1",
    ),
]


@pytest.mark.parametrize(("text", "expected"), BAD_SYNTAX)
def test_text_that_is_no_toml_is_refused_where_it_ends_to_be(
    tmp_path: Path, text: str | bytes, expected: str
) -> None:
    assert faults(text, tmp_path) == [expected]
