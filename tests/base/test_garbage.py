"""At a program's end nothing is looked through for garbage, and what ends with it still does."""

import subprocess
import sys

PROGRAM = """
import atexit, gc, sys, tempfile
from pathlib import Path
from suncover.base.garbage import look_seldom

# What is registered first comes last.
atexit.register(lambda: print(gc.get_freeze_count() > 1000, Path(folder.name).exists()))
look_seldom()
look_seldom()
folder = tempfile.TemporaryDirectory()
circle = [folder]
circle.append(circle)
print(gc.get_freeze_count(), Path(folder.name).exists())
"""


def test_at_the_end_all_there_is_is_left_out_of_the_look_for_garbage():
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM], capture_output=True, text=True, check=True
    )
    assert done.stdout.split() == ["0", "True", "True", "False"]
    assert done.stderr == ""
