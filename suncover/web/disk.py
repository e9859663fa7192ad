"""The site file on disk: read, and written only where nobody else has changed it meanwhile."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path
from threading import Lock

from suncover.base.atomic import write_atomically
from suncover.base.textfile import read_bytes, read_text

MARK = b"\xef\xbb\xbf"
NONE = ""
"""The digest of a file that is not there."""


@dataclass(frozen=True)
class OnDisk:
    """What the file holds, and a digest of its bytes by which a change is noticed."""

    text: str
    digest: str


class Changed(Exception):
    """The file on disk is not what it was when it was read; `now` is what it is."""

    def __init__(self, now: OnDisk) -> None:
        super().__init__("the file was changed on disk meanwhile")
        self.now = now


class SiteFile:
    """One site file, which may not be there yet."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._lock = Lock()

    def read(self) -> OnDisk:
        """What it holds; raises `FileFaults` where it cannot be read."""
        if not self.path.exists():
            return OnDisk("", NONE)
        data = read_bytes(self.path)
        return OnDisk(read_text(self.path), hashlib.sha256(data).hexdigest())

    def save(self, text: str, digest: str) -> OnDisk:
        """Writes a text in place of what had that digest; a mark at its start stays.

        Raises
        ------
        Changed
            When the file holds something else.
        RequestError, FileFaults
            When it cannot be written or read.
        """
        with self._lock:
            now = self.read()
            if now.digest != digest:
                raise Changed(now)
            marked = digest != NONE and read_bytes(self.path).startswith(MARK)
            data = (MARK if marked else b"") + text.encode()
            write_atomically(self.path, data)
            return OnDisk(text, hashlib.sha256(data).hexdigest())
