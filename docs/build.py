"""All pages as one set that a browser opens, with the gallery run and every link followed.

    python docs/build.py [--offline] [FOLDER]

FOLDER is build/docs if left out; its page to begin with is index.html. Anything that is wrong ends
it with status 1: a script of the gallery that fails, a docstring or a page that does not read, a
link that leads nowhere. `--offline` follows no links to other sites. It needs the extra "docs":
pip install "suncover[docs]".
"""

from __future__ import annotations

import ast
import os
import shutil
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path
from types import FunctionType
from typing import Any
from urllib.parse import unquote, urlsplit

DOCS = Path(__file__).resolve().parent
ROOT = DOCS.parent
MADE = DOCS / "made"

STAGES = {
    "base": "Time, spells, errors",
    "site": "The site",
    "sun": "Sun, sky, weather",
    "facade": "Sun on the glass",
    "facing": "Which way windows face",
    "heat": "Light and heat",
    "plan": "Plans",
    "compare": "Overhang against shade",
    "export": "Files and frames",
    "report": "The report",
}


def public_names() -> dict[str, list[str]]:
    """The public names by stage, in the order of the one list."""
    tree = ast.parse((ROOT / "suncover" / "__init__.pyi").read_text(encoding="utf-8"))
    found: dict[str, list[str]] = {}
    for node in tree.body:
        if isinstance(node, ast.ImportFrom) and node.module:
            names = found.setdefault(node.module.partition(".")[0], [])
            names += [alias.name for alias in node.names]
    return found


def reference_page(stage: str, names: list[str]) -> str:
    """The page on the names of a stage, for sphinx to fill from their docstrings."""
    import suncover  # noqa: PLC0415 - only once the pages are made

    lines = [f"# {STAGES.get(stage, stage.capitalize())}", ""]
    for name in names:
        thing = getattr(suncover, name)
        lines += [f"## {name}", "", "```{eval-rst}"]
        if not isinstance(thing, type):
            kind = "autofunction" if callable(thing) else "autodata"
            lines += [f".. {kind}:: suncover.{name}", "```", ""]
            continue
        fields = getattr(thing, "model_fields", {})
        members = [
            member
            for member in vars(thing)
            if not member.startswith("_") and callable_or_property(thing, member)
        ]
        lines += [f".. autoclass:: suncover.{name}{signature(fields)}"]
        lines += [f"   :members: {', '.join(members)}"] if members else []
        lines += ["```", ""]
        if fields:
            lines += ["| Field | Meaning |", "| --- | --- |"]
            for key, field in fields.items():
                said = " ".join((field.description or "").split())
                lines.append(f"| `{key}` | {said} |")
            lines.append("")
    return "\n".join(lines)


def signature(fields: dict[str, Any]) -> str:
    """How a model is made, by its fields; none for other classes, whose own sphinx finds."""
    if not fields:
        return ""
    words = [key if field.is_required() else f"{key}=…" for key, field in fields.items()]
    return f"(*, {', '.join(words)})"


def callable_or_property(thing: type, member: str) -> bool:
    """Whether a class's own member is a method or property with a docstring, not a field."""
    value = vars(thing)[member]
    if isinstance(value, (classmethod, staticmethod)):
        value = value.__func__
    kinds = (property, FunctionType)
    found = isinstance(value, kinds) or type(value).__name__ == "cached_property"
    return found and bool(value.__doc__) and not getattr(value, "decorator_info", None)


def make_pages() -> None:
    """Write what sphinx reads beside the pages: the gallery's results, reference, sample sites."""
    shutil.rmtree(MADE, ignore_errors=True)
    (MADE / "reference").mkdir(parents=True)
    there = os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")])
    environment = {**os.environ, "PYTHONPATH": there}
    for script in sorted((DOCS / "gallery").glob("*.py")):
        print("gallery:", script.stem, flush=True)
        command = [sys.executable, str(script), str(MADE)]
        subprocess.run(command, check=True, env=environment, stdout=subprocess.DEVNULL)
    pages = public_names()
    for stage, names in pages.items():
        text = reference_page(stage, names)
        (MADE / "reference" / f"{stage}.md").write_text(text, encoding="utf-8")
    sites = ["# Sample sites", "", "Homes that are made up, each with something to learn from.", ""]
    for file in sorted((ROOT / "sample_sites").glob("*.toml")):
        where = os.path.relpath(file, MADE)
        sites += [f"## {file.stem.replace('_', ' ')}", "", f"```{{literalinclude}} {where}"]
        sites += [":language: toml", "```", ""]
    (MADE / "sample_sites.md").write_text("\n".join(sites), encoding="utf-8")


class _Page(HTMLParser):
    """The links of a page, and what may be linked to in it."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.ids: set[str] = set()
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for key, value in attrs:
            if value and key == "id":
                self.ids.add(value)
            if value and (key == "src" or (key == "href" and tag in ("a", "link"))):
                self.links.append(value)


def broken_links(folder: Path) -> list[str]:
    """Links within the set that lead nowhere, each with the page that it is on."""
    pages = {file: _Page(file.read_text(encoding="utf-8")) for file in folder.rglob("*.html")}
    wrong = []
    for file, page in pages.items():
        for link in page.links:
            parts = urlsplit(link)
            if parts.scheme or parts.netloc:
                continue
            target = (file.parent / unquote(parts.path)).resolve() if parts.path else file
            anchor = unquote(parts.fragment) if target in pages else ""
            if not target.exists() or (anchor and anchor not in pages[target].ids):
                wrong.append(f"{file.relative_to(folder)}: {link}")
    return wrong


def main() -> int:
    """Make the set; what it returns is the exit status."""
    given = [word for word in sys.argv[1:] if word != "--offline"]
    folder = Path(given[0] if given else ROOT / "build" / "docs").resolve()
    make_pages()
    sphinx = [sys.executable, "-m", "sphinx", "-q", "-W", "--keep-going", "-d", f"{folder}-read"]
    status = subprocess.run([*sphinx, "-b", "html", str(DOCS), str(folder)], check=False).returncode
    wrong = broken_links(folder)
    for link in wrong:
        print("leads nowhere:", link, file=sys.stderr)
    if "--offline" not in sys.argv:
        outside = [*sphinx, "-b", "linkcheck", str(DOCS), f"{folder}-links"]
        status = status or subprocess.run(outside, check=False).returncode
    print(folder / "index.html")
    return 1 if status or wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
