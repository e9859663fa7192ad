"""The example program for relays is Python that compiles; the pins it moves are not there."""

import ast
import re
from pathlib import Path

PAGE = (Path(__file__).parents[2] / "docs" / "keeper.md").read_text(encoding="utf-8")


def test_the_relay_example_is_python_that_never_drives_both_ways():
    (program,) = re.findall(r"^```py\n(.*?)^```$", PAGE, re.DOTALL | re.MULTILINE)
    tree = ast.parse(program)
    assert any(isinstance(node, ast.Try) and node.finalbody for node in ast.walk(tree))
    assert "example" in PAGE[: PAGE.index(program)].lower()[-1500:]
    assert "electrician" in PAGE
