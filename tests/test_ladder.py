"""Modules import only what stands above them on the list of stages in DEVELOPERS.md."""

import ast
import re
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


def ladder() -> list[str]:
    """The stages, first to last."""
    block = re.search(r"## The stages.*?```text\n(.*?)```", PAGE, re.DOTALL)
    assert block is not None
    return [line.split()[0] for line in block[1].splitlines()]


def rung(name: str) -> int:
    """The stage of a module by its place in the list; the package's own front comes last."""
    head = name.split(".", maxsplit=1)[0]
    return len(ladder()) if head in ("suncover", "__main__") else ladder().index(head)


@pytest.mark.parametrize("name", MODULES)
def test_a_module_imports_only_from_above(name):
    below = sorted(other for other in imports_of(name) if rung(other) > rung(name))
    assert below == []


def test_there_are_no_circles():
    graph = {name: imports_of(name) for name in MODULES}
    order = tuple(TopologicalSorter(graph).static_order())  # CycleError names the circle
    assert set(order) >= set(MODULES)


def test_every_stage_is_a_folder_and_every_folder_a_stage():
    folders = {path.parent.name for path in (ROOT / "suncover").glob("*/__init__.py")}
    assert set(ladder()) == folders
