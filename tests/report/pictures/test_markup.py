"""Markup cannot be broken into by what a person writes."""

from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suncover.report.pictures.markup import Markup, as_markup, short, tag


class Reader(HTMLParser):
    """The elements, attributes and texts that a browser's parser would find."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.text += data


def read(markup: str) -> Reader:
    reader = Reader()
    reader.feed(markup)
    reader.close()
    return reader


@given(st.text(st.characters(codec="utf-8", categories=["L", "M", "N", "P", "S", "Zs"])))
def test_any_printable_text_shows_as_it_is_written(text):
    """Read back by the standard library's parser of HTML."""
    found = read(tag("p", text, title=text))
    assert [name for name, _ in found.tags] == ["p"]
    assert found.text == as_markup(text).replace("&lt;", "<").replace("&gt;", ">").replace(
        "&quot;", '"'
    ).replace("&#x27;", "'").replace("&amp;", "&")
    if text.isprintable():
        assert found.text == text
        assert found.tags[0][1]["title"] == text


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        pytest.param("a\x00b", r"a\x00b", id="null"),
        pytest.param("a\u202eb", r"a\u202eb", id="turned round"),
        pytest.param("a\x1b[31mb", r"a\x1b[31mb", id="terminal code"),
        pytest.param("two\nlines", "two\nlines", id="line break stays"),
    ],
)
def test_characters_that_hide_or_turn_text_show_as_escapes(text, shown):
    assert read(tag("p", text)).text == shown


def test_attributes_without_value_are_left_out_or_empty():
    assert tag("p", hidden=True, title=None, lang=False) == '<p hidden=""></p>'


def test_markup_goes_in_as_it_stands_and_lists_are_joined():
    assert tag("p", ["a<", Markup("<b>"), None, 3]) == "<p>a&lt;<b>3</p>"


def test_void_elements_have_no_end():
    assert tag("br") == "<br>"


@pytest.mark.parametrize(
    ("value", "text"),
    [(12.0, "12"), (0.5, "0.5"), (-3.25, "-3.25"), (-0.001, "0"), (1e-9, "0"), (100.0, "100")],
)
def test_numbers_are_short(value, text):
    assert short(value) == text
