"""What `import suncover` offers: sorted names that all lead somewhere, and a quick import."""

from __future__ import annotations

import ast
import importlib
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

import suncover

PACKAGE = Path(suncover.__file__).parent


def typed_imports() -> dict[str, str]:
    """The names that a type checker is told, each with its module."""
    tree = ast.parse((PACKAGE / "__init__.py").read_text(encoding="utf-8"))
    return {
        alias.name: node.module or ""
        for branch in tree.body
        if isinstance(branch, ast.If)
        for node in branch.body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }


def test_names_are_sorted_and_each_once() -> None:
    assert suncover.__all__ == sorted(set(suncover.__all__))


@pytest.mark.parametrize("name", suncover.__all__)
def test_a_name_leads_to_what_its_module_makes(name: str) -> None:
    value = getattr(suncover, name)
    module = importlib.import_module(typed_imports()[name])
    assert value is getattr(module, name)
    assert value.__doc__
    assert not isinstance(value, ModuleType)


def test_type_checkers_are_told_the_same_names() -> None:
    assert sorted(typed_imports()) == suncover.__all__


def test_no_name_is_also_a_module_of_the_package() -> None:
    """Loading the module `suncover.x` would put it in the place of the function `suncover.x`."""
    modules = {path.stem for path in PACKAGE.glob("*.py")}
    modules |= {path.parent.name for path in PACKAGE.glob("*/__init__.py")}
    assert not modules & set(suncover.__all__)


def test_dir_lists_the_names() -> None:
    assert set(suncover.__all__) <= set(dir(suncover))


def test_a_star_import_brings_the_names() -> None:
    names: dict[str, object] = {}
    exec("from suncover import *", names)
    assert set(suncover.__all__) <= set(names)


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match=r"^module 'suncover' has no attribute 'nothing'$"):
        _ = suncover.nothing


def test_the_import_loads_nothing_but_the_standard_library() -> None:
    program = (
        "import sys; before = set(sys.modules); import suncover; "
        "print(*sorted({name.partition('.')[0] for name in set(sys.modules) - before}))"
    )
    run = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    loaded = set(run.stdout.split())
    assert "suncover" in loaded
    assert loaded - {"suncover"} <= set(sys.stdlib_module_names)
