"""How sphinx makes the pages: Markdown as it stands, the reference from docstrings."""

from __future__ import annotations

import re
from pathlib import Path

from pygments.lexers.special import TextLexer

project = "suncover"
author = "the authors of suncover"
extensions = ["myst_parser", "sphinx.ext.autodoc", "sphinx.ext.napoleon"]
html_theme = "furo"
html_title = "suncover"
html_show_copyright = False
exclude_patterns = ["gallery", "made/*.txt"]
suppress_warnings = ["myst.header"]

myst_heading_anchors = 3
myst_enable_extensions = ["colon_fence"]

default_role = "literal"
autodoc_typehints_format = "short"
autodoc_type_aliases = {
    name: name for name in ("Floats", "Ints", "Bools", "Shapes", "Times", "Indexed", "Watch")
}
autodoc_member_order = "bysource"
napoleon_google_docstring = False
napoleon_use_rtype = False

linkcheck_timeout = 20
linkcheck_retries = 2


def _within_the_set(_app: object, page: str, source: list[str]) -> None:
    """Links to the sample sites lead to their page; pages that no list names come last."""
    source[0] = re.sub(r"\]\(\.\./sample_sites\)", "](made/sample_sites.md)", source[0])
    if page == "index":
        listed = set(source[0].split())
        pages = sorted(file.stem for file in Path(__file__).parent.glob("*.md"))
        others = [name for name in pages if name not in listed and name != "index"]
        source[0] = source[0].rstrip().removesuffix("```") + "\n".join([*others, "```", ""])


def _plain_drawings(
    _app: object, _kind: str, _name: str, _thing: object, _options: object, lines: list[str]
) -> None:
    """Drawings and tables of plain text in docstrings, which are indented, stay as they are."""
    found: list[str] = []
    for line in lines:
        drawn = line.startswith("    ") and line.strip()
        begins = not found or not found[-1].strip()
        if drawn and begins and (not found or not any(found[-3:]) or _is_prose(found)):
            found += ["::", ""]
        found.append(line)
    lines[:] = found


def _is_prose(lines: list[str]) -> bool:
    """Whether the last line that says something is a sentence, and no field or list."""
    last = next((line for line in reversed(lines) if line.strip()), "")
    return not last.startswith((" ", ":", "-", ".."))


def setup(app: object) -> None:
    """Sphinx calls this."""
    app.add_lexer("csv", TextLexer)  # type: ignore[attr-defined]  # no sphinx where types are checked
    app.connect("source-read", _within_the_set)  # type: ignore[attr-defined]  # no sphinx where types are checked
    app.connect("autodoc-process-docstring", _plain_drawings)  # type: ignore[attr-defined]  # no sphinx where types are checked
