"""Reading a file that a person names, whatever it turns out to be.

Whatever is at the path, reading ends soon: with the text, or with a fault that says what is wrong.
"""

from __future__ import annotations

import errno
import os
import stat

from suncover.base.errors import Fault, FileFaults

_UTF8_MARK = b"\xef\xbb\xbf"
_UTF16_MARKS = (b"\xff\xfe", b"\xfe\xff")

_TROUBLE = {
    errno.ENOENT: "there is no such file",
    errno.ENOTDIR: "there is no such file: a part of its path is not a folder",
    errno.EACCES: "you are not allowed to read this file",
    errno.EPERM: "you are not allowed to read this file",
    errno.EISDIR: "this is a folder; name a file in it",
    errno.ENAMETOOLONG: "there is no such file: its name is too long",
    errno.ELOOP: "there is no such file: its links go round in a circle",
}


def printable(text: str) -> str:
    """The text with every control or invisible character written as an escape (`\\n`, `\\x1b`).

    So that text out of a file can neither break a message's line nor steer a terminal.
    """
    if text.isprintable():
        return text
    return "".join(
        character if character.isprintable() else character.encode("unicode_escape").decode("ascii")
        for character in text
    )


def one_fault(
    file: str | os.PathLike[str], message: str, line: int | None = None, column: int | None = None
) -> FileFaults:
    """The error for a file with a single fault."""
    return FileFaults([Fault(printable(os.fspath(file)), printable(message), "", line, column)])


MOST_BYTES = 5_000_000
"""Size of the largest file that is read of those that people write."""


def read_text(path: str | os.PathLike[str], most_bytes: int = MOST_BYTES) -> str:
    """The text of an ordinary UTF-8 file of at most `most_bytes`; a byte order mark is dropped.

    Raises
    ------
    FileFaults
        As `read_bytes`, or when it is not text in UTF-8.
    """
    return _decoded(path, read_bytes(path, most_bytes))


def read_bytes(path: str | os.PathLike[str], most_bytes: int = MOST_BYTES) -> bytes:
    """The bytes of an ordinary file of at most `most_bytes`.

    Raises
    ------
    FileFaults
        When there is no such file, it is no ordinary file (a folder, a pipe, a device), or it is
        too large.
    """
    try:
        # Opening a pipe would wait for a writer; not so with O_NONBLOCK, which Windows lacks (and
        # needs not: it has no pipes among its files).
        flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
        with os.fdopen(os.open(path, flags), "rb") as file:
            mode = os.fstat(file.fileno()).st_mode
            if stat.S_ISDIR(mode):
                raise OSError(errno.EISDIR, os.strerror(errno.EISDIR))
            if not stat.S_ISREG(mode):
                raise one_fault(path, "it is not an ordinary file (but a pipe or a device)")
            data = file.read(most_bytes + 1)
    except OSError as error:
        trouble = _TROUBLE.get(error.errno or 0, f"it cannot be read: {error.strerror or error}")
        raise one_fault(path, trouble) from None
    except ValueError:  # a NUL in the path
        raise one_fault(path, "this is not the name of a file") from None
    if len(data) > most_bytes:
        limit = f"{most_bytes / 1e6:.10g} MB"
        raise one_fault(path, f"the file is too large; at most {limit} are read")
    return data


def _decoded(path: str | os.PathLike[str], data: bytes) -> str:
    if data.startswith(_UTF16_MARKS):
        raise one_fault(path, "the file is in UTF-16; save it as UTF-8", 1)
    data = data.removeprefix(_UTF8_MARK)
    nul = data.find(b"\0")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        at = error.start if nul < 0 else min(nul, error.start)
    else:
        if nul < 0:
            return text
        at = nul
    line, column = _line_and_column(data, at)
    if at == nul:
        message = "there is a NUL byte here, so this is not a text file"
    else:
        byte = data[at]
        latin = f' (in Latin-1 it would be "{chr(byte)}")' if byte >= 0xA0 else ""
        message = f"byte 0x{byte:02X}{latin} is not valid UTF-8 here; save the file as UTF-8"
    raise one_fault(path, message, line, column)


def _line_and_column(data: bytes, at: int) -> tuple[int, int]:
    """Line and column, both from 1, of a byte; all before it is UTF-8."""
    start = data.rfind(b"\n", 0, at) + 1
    return data.count(b"\n", 0, at) + 1, len(data[start:at].decode("utf-8", "replace")) + 1
