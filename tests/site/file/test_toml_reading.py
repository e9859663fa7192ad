"""Slips that are no TOML: each is told, and what stands after them is read and judged as well."""

import re

import pytest
from site_texts import SHADE, SMALL, WHOLE, faults

from suncover.base.errors import FileFaults
from suncover.site.file import toml_reading
from suncover.site.file.toml_reading import MOST_SLIPS, read_toml

LATER = SHADE.replace("kitchen", "kitchn")
LATER_FAULT = (
    'shade "roller": windows, name 1: no window is named "kitchn", did you mean "kitchen"?'
)


def test_all_kinds_of_slips_are_told_at_once():
    text = """\
[site]
name = “Home”
latitude = -30,03
longitude = −51.22

[[window]
name = kitchen
azimuth: 95
height = 1,4
width = 1.2
skyline = [[60, 12], [95, 8]

[window.overhang]
depth = 2026-02-30
depth = 0.5

[[shade]]
name = "roller
windows = ["kitchn"]
travel 75
moves = 1
"""
    told = faults(text)
    lines = [2, 3, 4, 6, 7, 8, 9, 13, 14, 15, 18, 19, 20, 21]
    assert [int(fault.split(":")[0]) for fault in told] == lines
    assert told[-3].endswith(LATER_FAULT)


@pytest.mark.parametrize(
    ("old", "new", "line"),
    [
        ("height = 1.40", "height = 1,40", 10),
        ("height = 1.40", "height 1.40", 10),
        ("height = 1.40", "height = about 1.4", 10),
        ("height = 1.40", "height = = 2", 10),
        ("height = 1.40", "height = 1.40\n? ?? ???", 11),
        ("height = 1.40", "height = 1.40\nheight = 2", 11),
        ("[[window]]", "[[window", 6),
        ("[[window]]", "[[window]] # }\n[[ ]]", 7),
        ("height = 1.40", 'height = 1.40\nskyline = """', 13),
    ],
)
def test_one_slip_hides_nothing_after_it(old, new, line):
    told = faults(SMALL.replace(old, new) + LATER)
    assert told[0].startswith(f"{line}:") or (len(told) == 1 and '"""' in new)
    if '"""' not in new and "[[ ]]" not in new:  # an open text or a lost table swallows the rest
        assert [fault.partition(": ")[2] for fault in told[1:]] == [LATER_FAULT]


@pytest.mark.parametrize("end", ["\n", "\r\n"], ids=["LF", "CRLF"])
def test_a_long_list_that_is_not_closed_is_one_slip(tmp_path, end):
    text = SMALL + "skyline = [\n  [60, 12],\n  [95, 8\n]\n" + LATER
    told = faults(text.replace("\n", end).encode(), tmp_path)
    assert [fault.partition(": ")[2] for fault in told] == [
        "the list that opens here or before is not closed with ]",
        LATER_FAULT,
    ]


def test_a_slip_brings_no_false_faults_in_its_train():
    """A mended name still meets what refers to it, and nothing is asked of a lost table."""
    for name in ("kitchen", "“kitchen”", '"kitchen'):
        assert len(faults(SMALL.replace('"kitchen"', name) + SHADE)) == 1
    [fault] = faults(SMALL.replace("[[window]]", "[[win dow]]") + SHADE)
    assert fault.startswith("6:")


def test_reading_on_is_bounded(monkeypatch):
    for text in ("# a page\n\nOnce upon a time\nthere was\n", "a,b,c\n1,2,3\n" * 500):
        with pytest.raises(FileFaults) as caught:
            read_toml(text, "page.md")
        assert len(caught.value.faults) == 1, "it is no site file"
    text = SMALL + "".join(f"k{number} = 1,4\n" for number in range(100))
    assert len(read_toml(text, "home.toml").faults) == MOST_SLIPS
    monkeypatch.setattr(toml_reading, "MOST_READ", 5 * len(text))
    assert 1 <= len(read_toml(text, "home.toml").faults) <= 6


def test_a_sound_text_is_read_as_it_is():
    reading = read_toml(SMALL, "home.toml")
    assert (reading.text, reading.faults, reading.lines) == (SMALL, (), frozenset())


SPOILERS = {
    "a colon": lambda line: line.replace(" = ", ": ", 1),
    "no equals sign": lambda line: line.replace(" = ", " ", 1),
    "no first quote": lambda line: line.replace('"', "", 1),
    "no quotes": lambda line: line.replace('"', ""),
    "curly quotes": lambda line: line.replace('"', "”"),
    "no end": lambda line: line[:-1] if line.endswith(("]", '"')) else line,
    "decimal comma": lambda line: re.sub(r"(= -?\d)\.(\d)", r"\1,\2", line),
}


@pytest.mark.parametrize("spoiler", SPOILERS)
def test_each_line_of_a_whole_file_spoilt_is_one_fault(spoiler):
    """Whatever is done to a line, it is told, and brings no false faults with it."""
    lines = WHOLE.split("\n")
    for number, line in enumerate(lines):
        spoilt = SPOILERS[spoiler](line)
        if spoilt != line:
            text = "\n".join([*lines[:number], spoilt, *lines[number + 1 :]])
            assert len(faults(text)) == 1, spoilt
