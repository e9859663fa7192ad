"""The few modules of pvlib that suncover needs, without the rest of its start-up.

`import pvlib` loads every model it has, with parts of scipy, in about a second. The sun's place and
the clear sky live in small modules of it. They are loaded here under a bare package object that
only knows where pvlib's files lie, and that object leaves `sys.modules` again, so that a program
that imports the whole of pvlib later gets the real thing. If pvlib has been imported before, its
own modules serve.

These modules name parts of pandas and scipy for uses that are mostly not ours. In place of those
packages they meet stand-ins, which load the real ones when they are called.
"""

from __future__ import annotations

import importlib
import importlib.util
import sys
import threading
import types
from functools import cache
from typing import Any

_LOCK = threading.RLock()
_LATER = ("pandas", "scipy.interpolate", "scipy.linalg", "scipy.optimize")


class _LaterName(type):
    """What stands for a function or class of a module until that is asked for.

    Nothing can be an instance of a class whose module has not been loaded, so that such questions
    need not load it.
    """

    def real(cls) -> Any:
        return getattr(importlib.import_module(cls.__module__), cls.__name__)

    def __call__(cls, *args: Any, **options: Any) -> Any:
        return cls.real()(*args, **options)

    def __getattr__(cls, name: str) -> Any:
        return getattr(cls.real(), name)

    def __instancecheck__(cls, instance: object) -> bool:
        return cls.__module__ in sys.modules and isinstance(instance, cls.real())


class _Later(types.ModuleType):
    """A module whose functions and classes load the real one when they are called."""

    def __getattr__(self, name: str) -> Any:
        if name.startswith("__"):
            raise AttributeError(name)
        return _LaterName(name, (), {"__module__": self.__name__})


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
