"""Modules import only what stands above them on the ladder in DEVELOPERS.md."""

from __future__ import annotations

import ast
import re
from fnmatch import fnmatchcase
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def modules() -> dict[str, Path]:
    """Every module by its name below the package; the package itself is `suncover`."""
    found = {}
    for file in sorted((ROOT / "suncover").rglob("*.py")):
        parts = file.relative_to(ROOT / "suncover").with_suffix("").parts
        name = ".".join(part for part in parts if part != "__init__") or "suncover"
        found[name] = file
    return found


MODULES = modules()


def imports_of(name: str) -> set[str]:
    """The modules of this package that a module names in an import, anywhere in it."""
    found = set()
    for node in ast.walk(ast.parse(MODULES[name].read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            assert node.level == 0, f"{name} has a relative import"
            for alias in node.names:
                whole = f"{node.module}.{alias.name}"
                known = whole.removeprefix("suncover.") in MODULES
                found.add(whole if known else node.module)
    ours = {full for full in found if full.split(".")[0] == "suncover"}
    return {full.removeprefix("suncover.") for full in ours} - {name}


def ladder() -> list[list[str]]:
    """The rungs, top first, each a list of names and patterns."""
    block = re.search(r"## The import ladder.*?```text\n(.*?)```", PAGE, re.DOTALL)
    assert block is not None
    return [line.split()[1:] for line in block[1].splitlines()]


def rung(name: str) -> int:
    """The rung of a module: that of its very name, else of a pattern or of its package."""
    head = name.split(".", maxsplit=1)[0]
    exact = [number for number, names in enumerate(ladder()) if head in names]
    loose = [
        number
        for number, names in enumerate(ladder())
        if any(fnmatchcase(head, pattern) for pattern in names)
    ]
    assert exact or loose, f"{name} has no rung; put it on the ladder in DEVELOPERS.md"
    return (exact or loose)[0]


@pytest.mark.parametrize("name", MODULES)
def test_a_module_imports_only_from_above(name: str) -> None:
    below = sorted(other for other in imports_of(name) if rung(other) > rung(name))
    assert below == []


def test_there_are_no_circles() -> None:
    graph = {name: imports_of(name) for name in MODULES}
    order = tuple(TopologicalSorter(graph).static_order())  # CycleError names the circle
    assert set(order) >= set(MODULES)


def test_every_name_on_the_ladder_is_a_module() -> None:
    heads = {name.split(".")[0] for name in MODULES}
    for name in (name for names in ladder() for name in names):
        assert any(fnmatchcase(head, name) for head in heads), name
