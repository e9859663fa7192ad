"""Tables of text: in step, no wider than a screen, and safe whatever a name holds."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from rich.cells import cell_len

from suncover.export.text.text_table import (
    WIDTH,
    Column,
    cut,
    fit,
    joined,
    table,
    width_of,
    wrapped,
)

texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=120)


@pytest.mark.parametrize(
    "text",
    ["kitchen", "Küche", "窓", "キッチン", "주방", "e\u0301", "🪟", "[bold]x[/]", "—", "95°"],
)
def test_widths_are_those_of_a_table_of_character_cells(text):
    """rich's table of cell widths, made from Unicode's East Asian Width."""
    assert width_of(text) == cell_len(text)


@given(texts, st.integers(2, 60))
def test_a_cell_has_exactly_its_width(text, width):
    assert width_of(fit(text, width)) == width
    assert width_of(fit(text, width, right=True)) == width


def test_a_text_that_fits_is_left_as_it_is():
    assert cut("kitchen", 7) == "kitchen"
    assert cut("kitchen", 6) == "kitch…"
    assert fit("no", 4) == "no  "
    assert fit("no", 4, right=True) == "  no"


@given(texts)
def test_nothing_in_a_name_reaches_the_terminal_as_a_command(text):
    for line in (cut(text, 40), *wrapped(text)):
        assert line.isprintable()


@given(st.lists(st.tuples(texts, texts, texts), max_size=6))
def test_no_line_is_wider_than_a_screen(rows):
    columns = (Column("one", most=20), Column("two", right=True, most=20), Column("x", wrap=True))
    for line in table(columns, rows):
        assert width_of(line) <= WIDTH


@example("0" * 75 + "窓" * 40)  # the word is cut before a wide character, with one column left
@given(texts)
def test_wrapped_lines_are_no_wider_than_a_screen(text):
    assert all(0 < width_of(line) <= WIDTH for line in wrapped(text, first="  - "))


def test_a_table_as_it_looks():
    columns = (Column("shade"), Column("moves", right=True), Column("why", wrap=True))
    rows = [
        ("kitchen", "12", "sun " * 20),
        ("窓", "4", "short"),
    ]
    assert list(table(columns, rows, strong=str.upper)) == [
        "  SHADE    MOVES  WHY",
        f"  kitchen     12  {('sun ' * 15).strip()}",
        f"                  {('sun ' * 5).strip()}",
        "  窓           4  short",
    ]


def test_a_table_without_rows_is_its_headings():
    assert list(table((Column("shade"), Column("why", wrap=True)), [])) == ["  shade  why"]


def test_lines_joined_end_in_a_line_feed():
    assert joined(["a", "b"]) == "a\nb\n"
    assert joined([]) == ""
