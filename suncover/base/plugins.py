"""No plugin of pydantic is looked for in a program of suncover's own."""

from __future__ import annotations

import os
import sys
from importlib import import_module
from types import ModuleType
from typing import Any

SETTING, LOADER = "PYDANTIC_DISABLE_PLUGINS", "pydantic.plugin._loader"


def without_plugins() -> None:
    """None has a say here, and to look for one reads the names of all installed packages.

    Only to load what could look for one takes a sixteenth of `suncover check`. So unless somebody
    has set which plugins there shall be, a module stands in for it that knows of none.
    """
    if os.environ.setdefault(SETTING, "__all__") == "__all__":
        sys.modules.setdefault(LOADER, _NoPlugins(LOADER))


class _NoPlugins(ModuleType):
    """Pydantic's loader of plugins where all of them are off."""

    @staticmethod
    def get_plugins() -> tuple[()]:
        return ()

    def __getattr__(self, name: str) -> Any:
        """What some version of pydantic asks for beside, its own module has."""
        if name.startswith("__"):  # as the import itself does
            raise AttributeError(name)
        if sys.modules.get(LOADER) is self:
            del sys.modules[LOADER]
        return getattr(import_module(LOADER), name)
