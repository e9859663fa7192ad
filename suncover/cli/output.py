"""Where results go: the screen, a pipe or files, and how far a long piece of work is."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
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


def deliver(site: Path, contents: Mapping[Path | None, Content]) -> None:
    """Writes each content to its file, all of them or none, and then what is for standard output.

    A content may come in pieces, each made when the one before it is written.

    None and `-` stand for standard output. Raises RequestError when a file cannot be written or is
    the site file itself.
    """
    files: dict[PathLike, Content] = {}
    shown: list[Content] = []
    for path, data in contents.items():
        if path is None or path == STDOUT:
            shown.append(data)
        elif _is_same(path, site):
            name = printable(str(path))
            raise RequestError(f"{name}: this is the site file; name another file to write to")
        else:
            files[path] = data
    write_all(files)
    if shown:
        sys.stdout.flush()
        for data in shown:
            for piece in pieces_of(data):
                sys.stdout.buffer.write(piece)
        sys.stdout.buffer.flush()


def _is_same(path: Path, site: Path) -> bool:
    try:
        return path.samefile(site)
    except (OSError, ValueError):
        return False


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
