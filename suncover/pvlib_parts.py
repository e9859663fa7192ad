"""The few modules of pvlib that suncover needs, without the rest of its start-up.

`import pvlib` loads every model it has, with parts of scipy, in about a second. The sun's place and
the clear sky live in small modules of it. They are loaded here under a bare package object that
only knows where pvlib's files lie, and that object leaves `sys.modules` again, so that a program
that imports the whole of pvlib later gets the real thing. If pvlib has been imported before, its
own modules serve.

These modules name functions of scipy for uses that are not ours. In place of scipy's modules they
meet stand-ins, whose functions load the real ones when they are called.
"""

from __future__ import annotations

import importlib
import importlib.util
import sys
import threading
import types
from collections.abc import Callable
from functools import cache
from typing import Any

_LOCK = threading.RLock()
_LATER = ("scipy.interpolate", "scipy.linalg", "scipy.optimize")


class _Later(types.ModuleType):
    """A module whose functions load the real one when they are called."""

    def __getattr__(self, function: str) -> Callable[..., Any]:
        if function.startswith("__"):
            raise AttributeError(function)

        def call(*args: Any, **options: Any) -> Any:
            return getattr(importlib.import_module(self.__name__), function)(*args, **options)

        return call


@cache
def pvlib_module(name: str) -> Any:
    """Return pvlib's module `name` ("spa", "clearsky", "irradiance", ...), loading no more than it
    asks for.

    Raises ImportError when pvlib is not installed.
    """
    with _LOCK:
        if "pvlib" in sys.modules:
            return importlib.import_module(f"pvlib.{name}")
        spec = importlib.util.find_spec("pvlib")
        if spec is None or not spec.submodule_search_locations:
            raise ImportError("pvlib is not installed: pip install pvlib")
        bare = types.ModuleType("pvlib")
        bare.__path__ = list(spec.submodule_search_locations)
        bare.__spec__ = spec
        sys.modules["pvlib"] = bare
        stand_ins = {name: _Later(name) for name in _LATER if name not in sys.modules}
        sys.modules.update(stand_ins)
        try:
            return importlib.import_module(f"pvlib.{name}")
        except (ImportError, AttributeError):
            # A later pvlib may lean on its package object: take the long way.
            _forget_pvlib()
            for later in stand_ins:
                del sys.modules[later]
            return importlib.import_module(f"pvlib.{name}")
        finally:
            for later, module in stand_ins.items():
                if sys.modules.get(later) is module:
                    del sys.modules[later]
            if sys.modules.get("pvlib") is bare:
                _forget_pvlib()


def _forget_pvlib() -> None:
    for key in [k for k in sys.modules if k == "pvlib" or k.startswith("pvlib.")]:
        del sys.modules[key]
