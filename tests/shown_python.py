"""The Python that the pages show, and what it prints: run here, compared by the tests.

The blocks of `python` of a page are one program, run from top to bottom in a folder that has the
sample sites in it. A block of `text` right after one is what it prints. `python
tests/shown_python.py` writes that anew.
"""

import contextlib
import io
import re
import shutil
import tempfile
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parent.parent
PAGES = [ROOT / "docs" / name for name in ("library.md", "arrays.md", "report.md")]
EXAMPLE = re.compile(r"^(```python\n(.*?)^```\n)(?:\n```text\n(.*?)^```\n)?", re.DOTALL | re.M)


def with_its_output(page: str, folder: Path) -> str:
    """The page with what its Python prints now. It runs in `folder`, which gets the samples."""
    shutil.copytree(ROOT / "sample_sites", folder / "sample_sites")
    names: dict[str, Any] = {"__name__": "__main__"}

    def block(found: re.Match[str]) -> str:
        line = page[: found.start()].count("\n") + 1
        # So that a traceback names the page's own lines.
        program = compile("\n" * line + found[2], "<page>", "exec")
        with contextlib.redirect_stdout(io.StringIO()) as printed, contextlib.chdir(folder):
            exec(program, names)
        said = printed.getvalue()
        return f"{found[1]}\n```text\n{said}```\n" if said else found[1]

    return EXAMPLE.sub(block, page)


def main() -> None:
    """Write the output in all pages anew."""
    for path in PAGES:
        with tempfile.TemporaryDirectory() as folder:
            page = with_its_output(path.read_text(encoding="utf-8"), Path(folder))
        path.write_text(page, encoding="utf-8")


if __name__ == "__main__":
    main()
