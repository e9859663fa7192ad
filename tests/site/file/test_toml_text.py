"""What is said about text that is no TOML: one fault, in words for people who do not know TOML."""
# ruff: noqa: E501  (a case to a line)

import pytest
from site_texts import SMALL, edited, faults

BAD_SYNTAX = [
    (edited("= 95", "95"), "8:9: here should be an equals sign: key = value"),
    (edited("= 95", "= 95 degrees"), "8:14: there is more on this line than one value; begin a new line, and put text in quotes"),
    (edited("= 95", "= ninety"), "8:11: this is no value; text goes in quotes, a number has digits and a dot only"),
    (edited("1.20", "1,20"), "9:10: a number has a point, not a comma: 1.20"),
    (edited('"kitchen"', '"kitchen'), '7:16: the text is not closed with a quote: "'),
    (edited('"kitchen"', "“kitchen”"), '7:8: “ is a curly quote, as word processors and phones write it; TOML has straight ones: "text"'),
    (edited('"kitchen"', '"kitchen”'), '7:16: ” is a curly quote, as word processors and phones write it; TOML has straight ones: "text"'),
    (edited('"kitchen"', "‘kitchen’"), '7:8: ‘ is a curly quote, as word processors and phones write it; TOML has straight ones: "text"'),
    (SMALL + 'skyline = ["21:30”, "07:00"]\n', '11:18: ” is a curly quote, as word processors and phones write it; TOML has straight ones: "text"'),
    (edited('"kitchen"', '"the “best” kitchen'), '7:27: the text is not closed with a quote: "'),
    (edited("-79.95", "−79.95"), "4:13: this minus sign, −, is another character than TOML's; type a hyphen: -"),
    (edited("[[window]]", "[[window]"), "6:9: the closing brackets ]] are missing"),
    (edited("= 95", "= 95\nazimuth = 96"), "9:13: this key is given twice"),
    (edited("[[window]]", "[site]\n[[window]]"), "6:6: this table is given twice; one that may stand several times has [[double brackets]]"),
    (SMALL + "skyline = [[60, 12], [95, 8]", "11: the list that opens here or before is not closed with ]"),
    (edited('"kitchen"', '"C:\\kitchen"'), "7:13: write a backslash twice, or put the text in single quotes"),
    (edited("= 95", "= 2026-02-30"), "8:11: 2026-02-30: February 2026 has no such day"),
    (edited("= 95", "= " + "9" * 5000), "8: there is a number with thousands of digits"),
    (edited("= 95", "= " + "[" * 5000), "lists or tables are nested too deeply"),
    (edited("= 95", "= " + "{a=" * 5000), "lists or tables are nested too deeply"),
    (edited("azimuth", "a." * 5000 + "azimuth"), "8: the file has too many dots in its keys to be read; write [tables] instead"),
    (edited("kitchen", "k\0tchen"), "7:10: there is a NUL byte here, so this is not a text file"),
    (edited("kitchen", "küche").encode("latin-1"), '7:10: byte 0xFC (in Latin-1 it would be "ü") is not valid UTF-8 here; save the file as UTF-8'),
]  # fmt: skip


@pytest.mark.parametrize(("text", "expected"), BAD_SYNTAX)
def test_text_that_is_no_toml_is_refused_where_it_ends_to_be(tmp_path, text, expected):
    assert faults(text, tmp_path) == [expected]
