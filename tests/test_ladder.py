"""Modules import only what stands above them on the list of stages in DEVELOPERS.md, and variables
are named after what they hold.
"""

import ast
import re
from graphlib import TopologicalSorter
from pathlib import Path

ROOT = Path(__file__).parent.parent
PAGE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
# The stages, first to last.
LADDER = re.findall(
    r"^(\w+) ", re.search(r"## The stages.*?```text\n(.*?)```", PAGE, re.S)[1], re.M
)


def modules():
    """Every module by its name below the package; the package itself is `suncover`."""
    for file in sorted((ROOT / "suncover").rglob("*.py")):
        parts = file.relative_to(ROOT / "suncover").with_suffix("").parts
        yield ".".join(part for part in parts if part != "__init__") or "suncover", file


MODULES = dict(modules())


def imports_of(name):
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


def rung(name):
    """The stage of a module by its place in the list; the package's own front comes last."""
    head = name.split(".", maxsplit=1)[0]
    return len(LADDER) if head in ("suncover", "__main__") else LADDER.index(head)


def test_a_module_imports_only_from_above_and_there_are_no_circles():
    graph = {name: imports_of(name) for name in MODULES}
    for name, imports in graph.items():
        assert not [other for other in imports if rung(other) > rung(name)], name
    order = tuple(TopologicalSorter(graph).static_order())  # CycleError names the circle
    assert set(order) >= set(MODULES)


def test_every_stage_is_a_folder_and_every_folder_a_stage():
    folders = {path.parent.name for path in (ROOT / "suncover").glob("*/__init__.py")}
    assert set(LADDER) == folders
    assert len(LADDER) == len(folders) > 10


PRONOUNS = {"one", "ones", "each", "some", "mine", "ours", "theirs", "found", "it", "this", "that"}


def bound_names(module):
    """Every argument, variable and field that a module binds, with its line."""
    for node in ast.walk(ast.parse(MODULES[module].read_text(encoding="utf-8"))):
        if isinstance(node, ast.arg):
            yield node.arg, node.lineno
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            yield node.id, node.lineno


def test_names_say_what_they_hold_and_are_no_pronouns():
    wrong = [
        f"{module}:{line} {name}"
        for module in MODULES
        for name, line in bound_names(module)
        if name in PRONOUNS
    ]
    assert not wrong, "; ".join(wrong)
