"""Lines and columns of values in TOML text."""

import sys
import tomllib

import pytest

from suncover.site.file import toml_places
from suncover.site.file.toml_places import TomlPlaces

# Every whole number is different, so that each can be recognised where it stands.
TEXT = """\
# a comment
top = 100
dotted.a.b = 101
"quoted key" = 102
'single "quoted"' = 103
"caf\\u00e9" = 104

[one]
a = 110 # a comment
 indented   =   111
"é" = 112
list = [120, 121, # inside
  122,
  [123, 124], {x = 125, y.z = 126}]

[one.two.three]
a = 130

[[many]]
a = 140
[many.inner]
a = 141
[[many.more]]
a = 142
[[many.more]]
a = 143
[many.more.deep]
a = 144

[[many]]
a = 150
inner.a = 151
inner.b = { c = 152, d = [153] }
[[many.more]]
a = 154

[ spaced . "key" ]
a = 160
text = '''
[fake]
a = 999'''
b = 161
"""


def leaves(value, path=()):
    """The paths and values of all whole numbers."""
    if isinstance(value, dict | list):
        inner = value.items() if isinstance(value, dict) else enumerate(value)
        return [leaf for key, part in inner for leaf in leaves(part, (*path, key))]
    return [(path, value)] if isinstance(value, int) else []


def at(text, place):
    """The text from a line and column on."""
    line, column = place
    return "\n".join(text.split("\n")[line - 1 :])[column - 1 :]


@pytest.mark.parametrize("ends", ["\n", "\r\n"], ids=["LF", "CRLF"])
def test_every_value_is_found_where_it_stands(ends):
    text = TEXT.replace("\n", ends)
    places = TomlPlaces(text)
    found = leaves(tomllib.loads(text))
    assert len(found) == 28
    for path, value in found:
        assert at(text, places.find(path)).startswith(str(value)), path


@pytest.mark.parametrize(
    ("path", "beginning"),
    [
        (("top",), "top = 100"),
        (("dotted", "a", "b"), "dotted.a.b"),
        (("quoted key",), '"quoted key"'),
        (("café",), '"caf'),
        (("one", "indented"), "indented   ="),
        (("one", "é"), '"é" = 112'),
        (("one", "list", 4, "y", "z"), "y.z = 126"),
        (("many", 1, "inner", "b", "d"), "d = [153]"),
    ],
)
def test_a_key_is_found_where_it_stands(path, beginning):
    assert at(TEXT, TomlPlaces(TEXT).find(path, key=True)).startswith(beginning)


@pytest.mark.parametrize(
    ("path", "beginning"),
    [
        (("one",), "[one]"),
        (("one", "two"), "[one]"),
        (("one", "two", "three"), "[one.two.three]"),
        (("many",), "[[many]]\na = 140"),
        (("many", 0), "[[many]]\na = 140"),
        (("many", 1), "[[many]]\na = 150"),
        (("many", 0, "inner"), "[many.inner]"),
        (("many", 1, "inner"), "inner.a"),
        (("many", 0, "more", 1), "[[many.more]]\na = 143"),
        (("many", 1, "more", 0), "[[many.more]]\na = 154"),
        (("spaced", "key"), '[ spaced . "key" ]'),
        # What is not there has the place of what is around it.
        (("one", "missing"), "[one]"),
        (("many", 0, "inner", "missing"), "[many.inner]"),
        (("many", 1, "inner", "missing"), "inner.a"),
        (("one", "list", 99), "[120"),
    ],
)
def test_a_table_is_found_by_its_header_or_its_first_key(path, beginning):
    assert at(TEXT, TomlPlaces(TEXT).find(path)).startswith(beginning)


def test_what_has_nothing_around_it_has_no_place(monkeypatch):
    for path in ((), ("nowhere",), ("nowhere", 0, "a")):
        assert TomlPlaces(TEXT).find(path) is None
    monkeypatch.setitem(sys.modules, "tree_sitter_toml", None)  # nor has anything without a parser
    assert TomlPlaces(TEXT).find(("top",)) is None


def test_huge_tables_fall_back_to_what_is_around(monkeypatch):
    text = "[a]\n" + "".join(f"k{i} = {i}\n" for i in range(50)) + "[b]\nc = 1\n"
    assert TomlPlaces(text).find(("a", "k49")) == (51, 7)
    monkeypatch.setattr(toml_places, "MOST_VISITED", 20)
    places = TomlPlaces(text)
    assert places.find(("a", "k49")) == (1, 1)
    assert places.find(("b", "c")) == (53, 5)


def test_a_dotted_key_of_any_length_is_followed():
    parts = tuple(f"k{i}" for i in range(3000))
    assert TomlPlaces(".".join(parts) + " = 1\n").find(parts) is not None
