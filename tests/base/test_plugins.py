"""In a program of suncover's own no plugin of pydantic is looked for unless somebody wants one."""

import json
import os
import subprocess
import sys

import pytest

PROGRAM = """
import json, sys
from suncover.base.plugins import LOADER, without_plugins

without_plugins()
without_plugins()
from pydantic import BaseModel

class Table(BaseModel):
    width: int

wide = Table(width="3").width
looked = "importlib.metadata" in sys.modules
from pydantic.plugin._loader import PYDANTIC_ENTRY_POINT_GROUP as group, get_plugins

print(json.dumps([wide, looked, group, "__file__" in vars(sys.modules[LOADER])]))
"""


@pytest.mark.parametrize(("setting", "looked"), [(None, False), ("__all__", False), ("some", True)])
def test_plugins_are_looked_for_only_where_some_may_be_on(setting, looked):
    """What stands in for pydantic's loader gives way where more is asked of it."""
    environment = {key: text for key, text in os.environ.items() if not key.startswith("PYDANTIC")}
    if setting is not None:
        environment["PYDANTIC_DISABLE_PLUGINS"] = setting
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM], capture_output=True, text=True, check=True, env=environment
    )
    assert json.loads(done.stdout) == [3, looked, "pydantic", True]
    assert done.stderr == ""
