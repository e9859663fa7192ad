"""Files that appear whole or not at all.

The bytes go to a new file beside the target, which then takes the target's place in one step. A
target that is no ordinary file (a terminal, a pipe) is written to directly.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from suncover.base.errors import RequestError
from suncover.base.textfile import printable

# Names of streams that are already open. Where one leads to a file, a new file in its place would
# miss what else the stream is given.
_STREAMS = ("/dev/stdout", "/dev/stderr", "/dev/fd/", "/proc/")

PathLike = str | os.PathLike[str]
Content = bytes | Iterable[bytes]
"""What a file shall hold, whole or in pieces."""


def write_atomically(path: PathLike, content: Content) -> None:
    """Writes a file, whole or not at all.

    An existing file keeps its permissions; a symbolic link stays, and the file that it leads to is
    written. Raises RequestError, which names the path and the remedy, when it cannot be written.
    """
    write_all({path: content})


def write_all(contents: Mapping[PathLike, Content]) -> None:
    """Writes several files, each whole or not at all, as `write_atomically` does.

    All are written out beside their targets before the first takes its place, so that a full disk
    leaves every target as it was. Raises RequestError with a line for each path that cannot be
    written or is named twice; where others have taken their places by then, it names those.
    """
    files = {Path(path): content for path, content in contents.items()}
    streams = [path for path in files if _is_stream(path)]
    targets = {path: Path(os.path.realpath(path)) for path in files if path not in streams}
    if faults := [*_doubles(targets), *(fault for path in targets for fault in _faults(path))]:
        raise RequestError("\n".join(faults))
    temporary = {path: _beside(target) for path, target in targets.items()}
    written: list[str] = []
    try:
        for path, target in targets.items():
            with _naming(path, written):
                _stage(temporary[path], target, files[path])
        for path in streams:
            with _naming(path, written):
                _write_stream(path, files[path])
        for path, target in targets.items():
            with _naming(path, written):
                temporary[path].replace(target)
            written.append(printable(str(path)))
    finally:
        for left in temporary.values():
            with suppress(OSError):
                left.unlink()


def pieces_of(content: Content) -> Iterable[bytes]:
    """The pieces of a content, one after the other."""
    return [content] if isinstance(content, bytes) else content


def _is_stream(path: Path) -> bool:
    if str(path).startswith(_STREAMS):
        return True
    try:
        return path.exists() and not path.is_file() and not path.is_dir()
    except OSError:  # it will be reported when it is written
        return False


def _doubles(targets: Mapping[Path, Path]) -> list[str]:
    first: dict[Path, Path] = {}
    return [
        f"{printable(str(path))}: this is the same file as {printable(str(first[target]))}; "
        "name two different files"
        for path, target in targets.items()
        if first.setdefault(target, path) is not path
    ]


def _faults(path: Path) -> list[str]:
    """What keeps a file from being written, as far as it can be seen beforehand."""
    name = printable(str(path))
    try:
        target = Path(os.path.realpath(path))
        if target.is_dir():
            return [f"{name}: this is a folder; name a file in it"]
        if not target.parent.is_dir():
            folder = printable(str(target.parent))
            return [f"{name}: there is no folder {folder}; make it first, or name another"]
        if target.exists() and not os.access(target, os.W_OK):
            return [f"{name}: this file is write-protected; name another, or allow writing to it"]
    except OSError as error:  # a name that is too long
        return [f"{name}: no file can have this name ({error.strerror}); name another"]
    return []


@contextmanager
def _naming(path: Path, written: list[str]) -> Iterator[None]:
    """Turns what goes wrong with a file into an error that names it, and what was written."""
    try:
        yield
    except OSError as error:
        note = f"; {' and '.join(written)} had been written by then" if written else ""
        raise RequestError(
            f"{printable(str(path))}: it cannot be written ({error.strerror or error}); check the "
            f"folder's permissions and free space, or name another file{note}"
        ) from error


def _beside(target: Path) -> Path:
    return target.parent / f".suncover-{os.urandom(8).hex()}.part"


def _stage(temporary: Path, target: Path, content: Content) -> None:
    # The mode leaves the permissions of a new file to the user's umask.
    descriptor = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
    with os.fdopen(descriptor, "wb") as file:
        for piece in pieces_of(content):
            file.write(piece)
        file.flush()
        os.fsync(file.fileno())
    if target.exists():
        temporary.chmod(target.stat().st_mode & 0o7777)


def _write_stream(path: Path, content: Content) -> None:
    with os.fdopen(os.open(path, os.O_WRONLY | os.O_APPEND), "wb") as stream:
        for piece in pieces_of(content):
            stream.write(piece)
