"""The commands that the pages show, and what they print: run here, compared by the tests.

A block of `console` in README.md or docs/ holds commands, each on a line that begins with `$ `, and
under each what it prints. They run one after the other in a folder that has the sample sites in it.
`python tests/shown_commands.py` writes the output in all pages anew.
"""

import contextlib
import io
import os
import re
import shlex
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from unittest.mock import patch

from suncover.cli import main as main_of_suncover

ROOT = Path(__file__).parent.parent
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").glob("*.md"))]
BLOCK = re.compile(r"^```console\n(.*?)^```$", re.DOTALL | re.MULTILINE)


def commands_in(block: str) -> list[tuple[str, str]]:
    """Each command of a block with what is shown under it."""
    first, *rest = re.split(r"^\$ ", block, flags=re.MULTILINE)
    assert not first.strip(), f"a block of console begins with a command, not with {first!r}"
    return [(command, shown) for command, _, shown in (part.partition("\n") for part in rest)]


class Workplace:
    """A folder with the sample sites, in which `suncover` is the one under test.

    It runs in this process, which takes a fifth of the time of one of its own.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        shutil.copytree(ROOT / "sample_sites", folder / "sample_sites")
        programs = folder / ".programs"
        programs.mkdir()
        program = programs / "suncover"
        program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m suncover "$@"\n')
        program.chmod(0o755)
        self._environment = {
            **os.environ,
            "PATH": f"{programs}{os.pathsep}{os.environ['PATH']}",
            "PYTHONPATH": os.pathsep.join(path for path in sys.path if path),
            "PYTHONUTF8": "1",
            "NO_COLOR": "1",
        }
        self._environment.pop("COLUMNS", None)

    def run(self, command: str) -> str:
        """What the command prints, both streams as they come; it must succeed."""
        if command.startswith("suncover "):
            return self._here(command)
        done = subprocess.run(
            ["sh", "-c", command],
            cwd=self._folder,
            env=self._environment,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            encoding="utf-8",
            check=False,
        )
        assert done.returncode == 0, f"{command}: status {done.returncode}\n{done.stdout}"
        return done.stdout

    def _here(self, command: str) -> str:
        said = io.BytesIO()
        screen = io.TextIOWrapper(said, encoding="utf-8", newline="", write_through=True)
        with (
            contextlib.chdir(self._folder),
            patch.dict(os.environ, self._environment, clear=True),
            contextlib.redirect_stdout(screen),
            contextlib.redirect_stderr(screen),
        ):
            status = 0
            try:
                main_of_suncover(shlex.split(command)[1:])
            except SystemExit as end:
                status = end.code
        text = said.getvalue().decode().replace("\r\n", "\n")
        assert not status, f"{command}: status {status}\n{text}"
        return text


def rewritten(page: str, workplace: Workplace) -> str:
    """The page with the output that its commands have now."""

    def block(found: re.Match[str]) -> str:
        shown = [f"$ {command}\n{workplace.run(command)}" for command, _ in commands_in(found[1])]
        return f"```console\n{''.join(shown)}```"

    return BLOCK.sub(block, page)


def main() -> None:
    """Write the output in all pages anew."""
    for path in PAGES:
        page = path.read_text(encoding="utf-8")
        with tempfile.TemporaryDirectory() as folder:
            new = rewritten(page, Workplace(Path(folder)))
        if new != page:
            path.write_text(new, encoding="utf-8")
            print(f"{path.relative_to(ROOT)}: written anew")


if __name__ == "__main__":
    main()
