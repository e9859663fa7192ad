"""Every module can be the first that is loaded: none counts on what another has loaded before."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

import suncover

PACKAGE = Path(suncover.__file__).parent
MODULES = [
    ".".join(("suncover", *path.relative_to(PACKAGE).with_suffix("").parts))
    for path in sorted(PACKAGE.rglob("*.py"))
    if path.name not in ("__init__.py", "__main__.py")  # the last runs the command line
]

# A process that holds what others made but nothing of ours, and for each module a copy of it: that
# takes a twentieth of the time of as many processes from nothing.
DRIVER = """
import os, sys
import click, numpy, pydantic
for module in sys.argv[1:]:
    assert not any(name.partition(".")[0] == "suncover" for name in sys.modules)
    child = os.fork()
    if not child:
        __import__(module)
        os._exit(0)
    if os.waitpid(child, 0)[1]:
        print(module, "does not load alone", file=sys.stderr)
"""


@pytest.mark.slow  # that there are no circles is tested always, and nearly implies it
@pytest.mark.skipif(not hasattr(os, "fork"), reason="processes are not copied here")
def test_every_module_loads_alone_in_a_fresh_process():
    assert len(MODULES) > 50
    command = [sys.executable, "-W", "error", "-c", DRIVER, *MODULES]
    said = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (said.returncode, said.stderr) == (0, "")
