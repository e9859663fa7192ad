"""A file held by one process alone while it is read and written anew."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from suncover.base.errors import RequestError
from suncover.base.textfile import printable

if sys.platform != "win32":
    import fcntl

_LONGEST_S = 10.0  # a file is held for milliseconds; what lasts longer is left from a crash


@contextmanager
def held(path: str | os.PathLike[str]) -> Iterator[None]:
    """Lets other processes that hold the same file wait until this one is done with it.

    Where the system has locks, the folder is locked, as the file itself is replaced; it ends with
    the process, whatever happens. Elsewhere a file beside it stands for the lock.

    Raises
    ------
    RequestError
        When the file's folder cannot be used for it.
    """
    target = Path(os.path.realpath(path))
    if sys.platform == "win32":
        with _held_by_name(target):
            yield
        return
    try:
        folder = os.open(target.parent, os.O_RDONLY)
    except OSError as error:
        message = f"its folder cannot be opened ({error.strerror})"
        raise RequestError(f"{printable(os.fspath(path))}: {message}; name another file") from None
    try:
        with suppress(OSError):  # a network folder may know no locks
            fcntl.flock(folder, fcntl.LOCK_EX)
        yield
    finally:
        os.close(folder)


@contextmanager
def _held_by_name(target: Path) -> Iterator[None]:
    lock = target.with_name(f".{target.name}.lock")
    until = time.monotonic() + _LONGEST_S
    while True:
        try:
            os.close(os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY))
        except (FileExistsError, PermissionError) as error:  # Windows: just being removed
            if time.monotonic() > until:
                raise RequestError(
                    f"{printable(str(target))}: another program holds it ({error.strerror}); if "
                    f"none does, remove {printable(str(lock))}"
                ) from None
            time.sleep(0.02)
        else:
            break
    try:
        yield
    finally:
        with suppress(OSError):
            lock.unlink()
