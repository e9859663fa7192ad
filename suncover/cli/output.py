"""Where results go: the screen, a pipe or files, and how far a long piece of work is."""

from __future__ import annotations

import os
import stat
import sys
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from suncover.base.atomic import Content, PathLike, pieces_of, write_all
from suncover.base.errors import RequestError
from suncover.base.textfile import printable

STDOUT = Path("-")
SLOW_S = 1.0  # work that takes longer shows how far it is

# What is written for the few characters beyond ASCII where the screen has nothing else.
_PLAIN = str.maketrans({"–": "-", "°": " deg", "²": "2", "×": "x", "…": "~", "−": "-"})


def say(text: str) -> None:
    """A text for a person, to standard output, as far as its encoding goes."""
    try:
        text.encode(sys.stdout.encoding or "utf-8")
    except UnicodeEncodeError:
        text = text.translate(_PLAIN)
    click.echo(text, nl=False)


def remark(text: str) -> None:
    """A line for a person, to standard error, so that it never gets among results."""
    click.echo(text, err=True)


def strong(text: str) -> str:
    """The text in bold on a terminal that shows it; plain in a pipe, or with NO_COLOR set."""
    return click.style(text, bold=True) if _has_style() else text


def _has_style() -> bool:
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    return not plain and sys.stdout.isatty()


def is_screen(path: Path | None) -> bool:
    """Whether an output is standard output: None, `-`, or another name of what that leads to."""
    return path is None or path == STDOUT or _is_stdout(path)


def _is_stdout(path: Path) -> bool:
    try:
        return os.path.samestat(path.stat(), os.fstat(sys.stdout.fileno()))
    except (OSError, ValueError):
        return False


def refuse_inputs(outputs: Iterable[Path], inputs: Iterable[PathLike]) -> None:
    """Refuses an output that is a file which is read, by whatever name.

    Raises
    ------
    RequestError
        With a line for each such output.
    """
    read = [(Path(path), marks) for path in inputs if (marks := _marks(Path(path)))]
    faults = [
        f"{printable(str(output))}: this is {printable(str(path))}, which is read; "
        "name another file to write to"
        for output in outputs
        for path in [next((path for path, marks in read if marks == _marks(output)), None)]
        if path is not None
    ]
    if faults:
        raise RequestError("\n".join(faults))


def _marks(path: Path) -> tuple[int, int] | None:
    """What tells an ordinary file from all others, whatever it is called; None for no such file."""
    try:
        info = path.stat()
    except (OSError, ValueError):
        return None
    return (info.st_dev, info.st_ino) if stat.S_ISREG(info.st_mode) else None


def deliver(inputs: Path | Iterable[PathLike], contents: Mapping[Path | None, Content]) -> None:
    """Writes each content to its file, and then what is for standard output.

    A content may come in pieces, each made when the one before it is written. `inputs` are the
    files that the command has read.

    None and `-` stand for standard output. Raises RequestError when a file cannot be written or is
    one of `inputs`.
    """
    files: dict[PathLike, Content] = {}
    shown: list[Content] = []
    for path, data in contents.items():
        if path is None or is_screen(path):
            shown.append(data)
        else:
            files[path] = data
    refuse_inputs(map(Path, files), [inputs] if isinstance(inputs, Path) else inputs)
    write_all(files)
    if shown:
        sys.stdout.flush()
        for data in shown:
            for piece in pieces_of(data):
                sys.stdout.buffer.write(piece)
        sys.stdout.buffer.flush()


def watch(pieces: Sequence[Any]) -> Iterator[Any]:
    """Goes through pieces of work; on a terminal, after a second, shows how many are done.

    The bar goes to standard error and vanishes at the end.
    """
    start = time.monotonic()
    at = 0
    while at < len(pieces):
        if time.monotonic() - start > SLOW_S and sys.stderr.isatty():
            yield from _with_bar(pieces, at)
            return
        yield pieces[at]
        at += 1


def _with_bar(pieces: Sequence[Any], done: int) -> Iterator[Any]:
    from rich.console import Console
    from rich.progress import Progress

    console = Console(stderr=True)
    with Progress(console=console, transient=True) as progress:
        task = progress.add_task("working", total=len(pieces), completed=done)
        for piece in pieces[done:]:
            yield piece
            progress.advance(task)
