"""The pages hold: links lead somewhere, site files load, every key of a site file is explained."""

import json
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from shown_commands import BLOCK, PAGES, ROOT, Workplace, rewritten

from suncover.site.file.sitefile import site_from_text

SCHEMA: dict[str, Any] = json.loads((ROOT / "docs/site-file.schema.json").read_text("utf-8"))
SITE_FILE_PAGE = (ROOT / "docs" / "site-file.md").read_text(encoding="utf-8")

by_page = pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)


def blocks(page: Path, language: str) -> list[str]:
    text = page.read_text(encoding="utf-8")
    return re.findall(rf"^```{language}\n(.*?)^```$", text, re.DOTALL | re.MULTILINE)


def links(page: Path) -> list[str]:
    """Targets of links, those in code left out."""
    text = re.sub(r"^```.*?^```$", "", page.read_text("utf-8"), flags=re.DOTALL | re.MULTILINE)
    return re.findall(r"\]\(([^)\s]+)\)", re.sub(r"`[^`\n]*`", "code", text))


def anchors(page: Path) -> set[str]:
    """What the headings of a page are called in links to them."""
    headings = re.findall(r"^#+ +(.*)$", page.read_text(encoding="utf-8"), re.MULTILINE)
    words = (re.sub(r"[^\w\- ]", "", heading.lower()) for heading in headings)
    return {heading.strip().replace(" ", "-") for heading in words}


@by_page
def test_links_lead_somewhere(page):
    for link in links(page):
        if link.startswith("https://"):
            continue
        target, _, anchor = link.partition("#")
        file = (page.parent / target).resolve() if target else page
        assert file.exists(), link
        assert file.is_relative_to(ROOT), link
        if anchor:
            assert anchor in anchors(file), link


def test_every_page_is_linked_from_another():
    linked = {
        (page.parent / link.partition("#")[0]).resolve() for page in PAGES for link in links(page)
    }
    assert {page for page in PAGES if page.name != "README.md"} <= linked


@by_page
def test_toml_is_toml_and_whole_site_files_load(page):
    for text in blocks(page, "toml"):
        if re.search(r"^\[site\]", text, re.MULTILINE):
            site_from_text(text)
        else:
            tomllib.loads(text)
    assert page.name != "site-file.md" or any("[site]" in text for text in blocks(page, "toml"))


def test_commands_print_what_is_shown(tmp_path):
    """The README's are checked in test_readme.py."""
    shown = [page for page in PAGES[1:] if BLOCK.search(page.read_text(encoding="utf-8"))]
    assert shown
    for page in shown:
        folder = tmp_path / page.stem
        folder.mkdir()
        text = page.read_text(encoding="utf-8")
        assert rewritten(text, Workplace(folder)) == text


@by_page
def test_no_page_names_a_path_of_one_machine(page):
    text = page.read_text(encoding="utf-8")
    assert re.findall(r"(?<![\w.])/(?:home|root|tmp|work|usr|Users)/\S*", text) == []


# --- the site file, key by key


def sections():
    """Of each table, by its path in the file: its keys with unit, default and meaning."""
    found = {}
    for part in re.split(r"^#{2,3} ", SITE_FILE_PAGE, flags=re.MULTILINE)[1:]:
        heading = re.match(r"`\[+([a-z_.]+)\]+`", part)
        if heading is None:
            continue
        rows = re.findall(r"^\| `(\w+)` \| (.*?) \| (.*?) \| ?(.*?) ?\|$", part, re.MULTILINE)
        assert len(rows) == len({row[0] for row in rows}), heading[1]
        found[heading[1]] = {key: (unit, default, text) for key, unit, default, text in rows}
    return found


def definition(node):
    """The name of the table that a property holds, once or in a list; None if it holds none."""
    name = node.get("items", node).get("$ref", "").removeprefix("#/$defs/")
    return name if SCHEMA["$defs"].get(name, {}).get("type") == "object" else None


def tables():
    """Every table of the schema by its path in the file: `window.overhang` and so on."""
    found, todo = {}, [("", SCHEMA)]
    while todo:
        path, node = todo.pop()
        for key, value in node.get("properties", {}).items():
            if name := definition(value):
                inner = f"{path}.{key}".lstrip(".")
                found[inner] = name
                todo.append((inner, SCHEMA["$defs"][name]))
    return found


SECTIONS, TABLES = sections(), tables()


def in_words(default):
    """A default of the schema as the page writes it."""
    if isinstance(default, list):
        if len(default) == 2 and default[0] == default[1]:  # a range without width
            return in_words(default[0])
        return f"[{', '.join(map(in_words, default))}]"
    return f'`"{default}"`' if isinstance(default, str) else f"{default:g}"


def test_every_table_is_explained():
    """One that stands in several places is explained in one of them."""
    assert set(SECTIONS) <= set(TABLES)
    assert {TABLES[path] for path in SECTIONS} == set(TABLES.values())


@pytest.mark.parametrize("path", SECTIONS)
def test_every_key_is_explained_with_its_default_and_its_choices(path):
    table, section = SCHEMA["$defs"][TABLES[path]], SECTIONS[path]
    assert set(section) == set(table["properties"])
    needed = {key for key, (_, default, _) in section.items() if default == "needed"}
    assert needed == set(table.get("required", []))
    for key, node in table["properties"].items():
        unit, default, meaning = section[key]
        assert unit, key
        assert default, key
        if "default" in node:
            assert default == in_words(node["default"]), key
        for word in [*node.get("enum", ()), *node.get("items", {}).get("enum", ())]:
            assert f'"{word}"' in unit + default + meaning, f"{key}: {word}"
