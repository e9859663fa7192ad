"""The few modules of pvlib that suncover needs, without the rest of its start-up.

`import pvlib` loads every model it has, with pandas and parts of scipy, in more than half a second.
The sun's place and the clear sky live in small modules of it. They are loaded here privately, with
an `__import__` of their own: what they take from each other comes from the same place, and in place
of pandas and scipy, which they name for uses that are mostly not ours, they meet stand-ins that
load the real ones when they are called. No other module, and no other thread, sees any of that. If
pvlib has been imported before, its own modules serve.
"""

from __future__ import annotations

import builtins
import importlib
import importlib.util
import sys
import threading
import types
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
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


class _Parts:
    """Modules of the pvlib that is installed in a folder, loaded as they are asked for."""

    def __init__(self, folder: Path) -> None:
        self._package = types.ModuleType("pvlib")
        self._package.__path__ = [str(folder)]
        self._known: dict[str, types.ModuleType] = {"pvlib": self._package}
        self._builtins = {**vars(builtins), "__import__": self._import}

    def load(self, name: str) -> types.ModuleType:
        """The module of the full name `name`, which is within pvlib."""
        if name in self._known:
            return self._known[name]
        parent, _, last = name.rpartition(".")
        spec = self._spec(name, self._folder(parent), last)
        module = importlib.util.module_from_spec(spec)
        module.__dict__["__builtins__"] = self._builtins
        self._known[name] = module
        try:
            assert spec.loader is not None  # it comes from a file
            spec.loader.exec_module(module)
        except BaseException:
            del self._known[name]
            raise
        setattr(self._known[parent], last, module)
        return module

    def _folder(self, name: str) -> types.ModuleType:
        """The package `name` as the folder that it is: its `__init__`, which gathers all that it
        has, is left alone.
        """
        if name not in self._known:
            outer, _, last = name.rpartition(".")
            spec = self._spec(name, self._folder(outer), last)
            module = types.ModuleType(name)
            module.__path__ = list(spec.submodule_search_locations or ())
            self._known[name] = module
        return self._known[name]

    def _spec(
        self, name: str, parent: types.ModuleType, last: str
    ) -> importlib.machinery.ModuleSpec:
        for folder in getattr(parent, "__path__", ()):
            for path in (Path(folder) / f"{last}.py", Path(folder) / last / "__init__.py"):
                spec = (
                    importlib.util.spec_from_file_location(name, path) if path.is_file() else None
                )
                if spec is not None:
                    return spec
        raise ImportError(f"no module named {name!r}", name=name)

    def _import(
        self,
        name: str,
        its_globals: Mapping[str, Any] | None = None,
        its_locals: Mapping[str, Any] | None = None,
        names: Sequence[str] | None = (),
        level: int = 0,
    ) -> types.ModuleType:
        """What an `import` in one of these modules does."""
        if level:
            package = (its_globals or {}).get("__package__")
            name, level = importlib.util.resolve_name("." * level + name, package), 0
        if name.partition(".")[0] == "pvlib":
            module = self.load(name)
            for each in names or ():
                if not hasattr(module, each):
                    self.load(f"{name}.{each}")
            return module if names else self._package
        if name in _LATER and name not in sys.modules:
            return _later(name, names)
        return builtins.__import__(name, its_globals, its_locals, names or (), level)


def _later(name: str, names: Sequence[str] | None) -> types.ModuleType:
    """A stand-in for a module, or as `import a.b` has it for the package that it is in."""
    package, _, last = name.rpartition(".")
    module = _Later(name)
    if names or not package:
        return module
    whole = types.ModuleType(package)
    setattr(whole, last, module)
    return whole


@cache
def _parts() -> _Parts:
    spec = importlib.util.find_spec("pvlib")
    if spec is None or not spec.submodule_search_locations:
        raise ImportError("pvlib is not installed: pip install pvlib")
    return _Parts(Path(next(iter(spec.submodule_search_locations))))


@cache
def pvlib_module(name: str) -> Any:
    """Return pvlib's module `name` ("spa", "clearsky", "irradiance", ...), loading no more than it
    asks for.

    Raises ImportError when pvlib is not installed.
    """
    with _LOCK:
        if "pvlib" in sys.modules:
            importlib.import_module("pvlib")  # to its end, if another thread is at it
            return importlib.import_module(f"pvlib.{name}")
        parts = _parts()
        try:
            return parts.load(f"pvlib.{name}")
        except (ImportError, AttributeError):
            # A later pvlib may lean on its package object: take the long way.
            return importlib.import_module(f"pvlib.{name}")
