"""What `import suncover` offers: sorted names that all lead somewhere, and a quick import."""

import ast
import importlib
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

import suncover

PACKAGE = Path(suncover.__file__).parent
STUB = ast.parse((PACKAGE / "__init__.pyi").read_text(encoding="utf-8"))
LISTED = [
    (alias, f"suncover.{node.module}")
    for node in STUB.body
    if isinstance(node, ast.ImportFrom)
    for alias in node.names
]


def test_names_are_sorted_each_once_and_lead_to_what_their_modules_make():
    modules = {alias.name: module for alias, module in LISTED}
    assert len(modules) == len(LISTED)
    assert all(alias.asname == alias.name for alias, _ in LISTED)  # so that a stub offers it
    assert suncover.__all__ == sorted(set(suncover.__all__))
    assert len(suncover.__all__) > 100
    for name in suncover.__all__:
        value = getattr(suncover, name)
        assert value is getattr(importlib.import_module(modules[name]), name)
        assert value.__doc__, name
        assert not isinstance(value, ModuleType)


def test_no_name_is_also_a_module_of_the_package():
    """Loading the module `suncover.x` would put it in the place of the function `suncover.x`."""
    modules = {path.stem for path in PACKAGE.glob("*.py")}
    modules |= {path.parent.name for path in PACKAGE.glob("*/__init__.py")}
    assert not modules & set(suncover.__all__)


def test_dir_and_a_star_import_have_the_names_and_others_are_unknown():
    assert set(suncover.__all__) <= set(dir(suncover))
    names = {}
    exec("from suncover import *", names)
    assert set(suncover.__all__) <= set(names)
    with pytest.raises(AttributeError, match=r"suncover.*nothing"):
        _ = suncover.nothing


def test_the_import_loads_nothing_but_the_standard_library():
    program = (
        "import sys; before = set(sys.modules); import suncover, suncover.base; "
        "print(*sorted({name.partition('.')[0] for name in set(sys.modules) - before}))"
    )
    command = [sys.executable, "-c", program]
    loaded = set(subprocess.run(command, capture_output=True, text=True, check=True).stdout.split())
    assert "suncover" in loaded
    assert loaded - {"suncover"} <= set(sys.stdlib_module_names)
