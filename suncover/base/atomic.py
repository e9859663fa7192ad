"""Files that appear whole or not at all.

The bytes go to a new file beside the target, which then takes the target's place in one step. A
target that is no ordinary file (a terminal, a pipe) is written to directly.
"""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from suncover.base.errors import RequestError

# Names of streams that are already open. Where one leads to a file, a new file in its place would
# miss what else the stream is given.
_STREAMS = ("/dev/stdout", "/dev/stderr", "/dev/fd/", "/proc/")

PathLike = str | os.PathLike[str]
Content = bytes | Iterable[bytes]
"""What a file shall hold, whole or in pieces."""


class _Staged(NamedTuple):
    """A file that is written and waits to take its target's place."""

    path: Path  # as it was named
    target: Path  # where that leads
    temporary: Path


def write_atomically(path: PathLike, content: bytes) -> None:
    """Writes a file, whole or not at all.

    An existing file keeps its permissions; a symbolic link stays, and the file that it leads to is
    written. Raises RequestError, which names the path and the remedy, when it cannot be written.
    """
    write_all({path: content})


def write_all(contents: Mapping[PathLike, Content]) -> None:
    """Writes several files, all of them or none, each as `write_atomically` does.

    Every file is first written out beside its target. Should one then fail to take its place, those
    that have are put back as they were. Raises RequestError with a line for each path that cannot
    be written or is named twice.
    """
    files = {Path(path): content for path, content in contents.items()}
    streams = [path for path in files if _is_stream(path)]
    targets = {path: Path(os.path.realpath(path)) for path in files if path not in streams}
    if faults := [*_doubles(targets), *(fault for path in targets for fault in _faults(path))]:
        raise RequestError("\n".join(faults))
    staged: list[_Staged] = []
    try:
        for path, target in targets.items():
            staged.append(_stage(path, target, files[path]))
        for path in streams:
            _write_stream(path, files[path])
        _put_in_place(staged)
    finally:
        for file in staged:
            with suppress(OSError):
                file.temporary.unlink()


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
        f"{path}: this is the same file as {first[target]}; name two different files"
        for path, target in targets.items()
        if first.setdefault(target, path) is not path
    ]


def _faults(path: Path) -> list[str]:
    """What keeps a file from being written, as far as it can be seen beforehand."""
    target = Path(os.path.realpath(path))
    if target.is_dir():
        return [f"{path}: this is a folder; name a file in it"]
    if not target.parent.is_dir():
        return [f"{path}: there is no folder {target.parent}; make it first, or name another"]
    if target.exists() and not os.access(target, os.W_OK):
        return [f"{path}: this file is write-protected; name another, or allow writing to it"]
    return []


def _failure(path: Path, error: OSError) -> RequestError:
    reason = error.strerror or str(error)
    return RequestError(
        f"{path}: it cannot be written ({reason}); check the folder's permissions and free space, "
        "or name another file"
    )


def _stage(path: Path, target: Path, content: Content) -> _Staged:
    temporary = target.parent / f".suncover-{secrets.token_hex(8)}.part"
    try:
        # The mode leaves the permissions of a new file to the user's umask.
        descriptor = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
        with os.fdopen(descriptor, "wb") as file:
            for piece in pieces_of(content):
                file.write(piece)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            temporary.chmod(target.stat().st_mode & 0o7777)
    except BaseException as error:
        with suppress(OSError):
            temporary.unlink()
        if isinstance(error, OSError):
            raise _failure(path, error) from error
        raise
    return _Staged(path, target, temporary)


def _put_in_place(staged: Sequence[_Staged]) -> None:
    done: list[tuple[_Staged, bytes | None]] = []
    for file in staged:
        try:
            keep = len(staged) > 1 and file.target.exists()
            before = file.target.read_bytes() if keep else None
            file.temporary.replace(file.target)
        except OSError as error:
            for earlier, content in reversed(done):
                _put_back(earlier, content)
            raise _failure(file.path, error) from error
        done.append((file, before))


def _put_back(file: _Staged, content: bytes | None) -> None:
    with suppress(OSError, RequestError):  # the failure that led here is what is reported
        if content is None:
            file.target.unlink()
        else:
            _stage(file.path, file.target, content).temporary.replace(file.target)


def _write_stream(path: Path, content: Content) -> None:
    try:
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_APPEND), "wb") as stream:
            for piece in pieces_of(content):
                stream.write(piece)
    except OSError as error:
        raise _failure(path, error) from error
