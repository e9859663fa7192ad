"""The library's page, and Python in others: examples run as they stand and print what they show."""

import re

import pytest
from shown_python import EXAMPLE, PAGES, ROOT, with_its_output

import suncover

PAGE = (ROOT / "docs" / "library.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_the_examples_print_what_is_shown(page, tmp_path):
    """Written anew by `python tests/shown_python.py`; read the difference before you keep it."""
    text = page.read_text(encoding="utf-8")
    assert with_its_output(text, tmp_path) == text


def test_every_page_with_python_is_run():
    pages = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *(ROOT / "docs").glob("*.md")]
    assert {page for page in pages if "```python\n" in page.read_text(encoding="utf-8")} == set(
        PAGES
    )


def test_every_block_is_run():
    assert len(EXAMPLE.findall(PAGE)) == PAGE.count("```python\n") >= 12
    assert sum(bool(shown) for _, _, shown in EXAMPLE.findall(PAGE)) == PAGE.count("```text\n")


def test_each_of_the_three_leading_uses_has_an_example():
    for heading in ("Hours of sun on each window", "A season's schedule", "Overhang against shade"):
        (section,) = re.findall(rf"^## {heading}.*?(?=^## )", PAGE, re.DOTALL | re.MULTILINE)
        assert "```text" in section


@pytest.mark.parametrize("name", sorted(set(re.findall(r"`([a-z]+_[a-z_]+)`", PAGE))))
def test_functions_that_the_text_names_are_public(name):
    """Those of other packages, fields and settings are listed here."""
    others = {"model_copy", "in_this_process", "closed_h"}
    assert name in {*suncover.__all__, *others}
