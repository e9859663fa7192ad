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


def listed() -> dict[str, str]:
    """The public names as the stub lists them, each with its module."""
    tree = ast.parse((PACKAGE / "__init__.pyi").read_text(encoding="utf-8"))
    return {
        alias.name: f"suncover.{node.module}"
        for node in tree.body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }


def test_names_are_sorted_and_each_once():
    assert suncover.__all__ == sorted(set(suncover.__all__))


@pytest.mark.parametrize("name", suncover.__all__)
def test_a_name_leads_to_what_its_module_makes(name):
    value = getattr(suncover, name)
    module = importlib.import_module(listed()[name])
    assert value is getattr(module, name)
    assert value.__doc__
    assert not isinstance(value, ModuleType)


def test_each_name_is_listed_once_and_told_to_type_checkers():
    tree = ast.parse((PACKAGE / "__init__.pyi").read_text(encoding="utf-8"))
    imports = [node for node in tree.body if isinstance(node, ast.ImportFrom)]
    aliases = [alias for node in imports for alias in node.names]
    assert len(aliases) == len(listed())
    assert all(alias.asname == alias.name for alias in aliases)  # so that a stub offers it


def test_no_name_is_also_a_module_of_the_package():
    """Loading the module `suncover.x` would put it in the place of the function `suncover.x`."""
    modules = {path.stem for path in PACKAGE.glob("*.py")}
    modules |= {path.parent.name for path in PACKAGE.glob("*/__init__.py")}
    assert not modules & set(suncover.__all__)


def test_dir_lists_the_names():
    assert set(suncover.__all__) <= set(dir(suncover))


def test_a_star_import_brings_the_names():
    names: dict[str, object] = {}
    exec("from suncover import *", names)
    assert set(suncover.__all__) <= set(names)


def test_an_unknown_name_is_an_attribute_error():
    with pytest.raises(AttributeError, match=r"suncover.*nothing"):
        _ = suncover.nothing


def test_the_import_loads_little_but_the_standard_library():
    program = (
        "import sys; before = set(sys.modules); import suncover; "
        "print(*sorted({name.partition('.')[0] for name in set(sys.modules) - before}))"
    )
    run = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    loaded = set(run.stdout.split())
    assert "suncover" in loaded
    assert loaded - {"suncover", "lazy_loader"} <= set(sys.stdlib_module_names)
