"""pvlib's `spa` without the rest of pvlib.

`import pvlib` loads every model it has, with pandas and parts of scipy, in more than half a second.
Its algorithm for the sun's position (Reda and Andreas, 2008) is one file that needs numpy alone.
"""

from __future__ import annotations

import importlib.util
import sys
from functools import cache
from pathlib import Path
from types import ModuleType


@cache
def pvlib_folder() -> Path:
    """Where pvlib is installed, found without loading it.

    Raises ImportError when it is not installed.
    """
    spec = importlib.util.find_spec("pvlib")
    if spec is None or not spec.submodule_search_locations:
        raise ImportError("pvlib is not installed: pip install pvlib")
    return Path(next(iter(spec.submodule_search_locations)))


@cache
def spa_module() -> ModuleType:
    """pvlib's module `spa`: that of pvlib where it is loaded, else its file, loaded privately.

    Raises ImportError when pvlib is not installed.
    """
    loaded = sys.modules.get("pvlib.spa")
    if loaded is not None:
        return loaded
    spec = importlib.util.spec_from_file_location("pvlib_spa", pvlib_folder() / "spa.py")
    assert spec is not None
    assert spec.loader is not None  # it comes from a file
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
