"""The folder of a portfolio's results while it grows: what is asked, and each part that is done.

    OUT/manifest.json       what is asked, and how far it is
    OUT/parts/000000.gz     the results of a part, in one file that appears whole or not at all
    OUT/hours.csv …         the tables, made of the parts at the end

A part's file says what the part asked for. It counts as done only for the very same.
"""

from __future__ import annotations

import gzip
import json
import zlib
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Any

from suncover.base.atomic import write_atomically
from suncover.base.errors import RequestError
from suncover.base.textfile import printable
from suncover.portfolio.sources import Part
from suncover.portfolio.work import Request, Results, file_marks, versions

MANIFEST, PARTS = "manifest.json", "parts"


def _as_json(request: Request) -> dict[str, Any]:
    fields = {
        "from": request.first.isoformat(),
        "to": request.last.isoformat(),
        "plan": request.plan,
        "heat": request.heat,
    }
    return fields if request.map_file is None else {**fields, "map": request.map_file}


def kept_dates(folder: Path) -> tuple[date, date] | None:
    """The dates of the results that a folder holds; None if it holds none."""
    fields = _read_manifest(folder).get("asked")
    if not isinstance(fields, dict):
        return None
    try:
        return date.fromisoformat(fields["from"]), date.fromisoformat(fields["to"])
    except (KeyError, TypeError, ValueError):
        return None


def _read_manifest(folder: Path) -> dict[str, Any]:
    try:
        manifest = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return manifest if isinstance(manifest, dict) else {}


class Store:
    """A folder of results for one request; made if it is not there."""

    def __init__(self, folder: Path, request: Request) -> None:
        """Opens a folder.

        Raises
        ------
        RequestError
            When it holds something else, or cannot be made.
        """
        self.folder, self._request = folder, _as_json(request)
        name = printable(str(folder))
        try:
            folder.mkdir(parents=True, exist_ok=True)
            held = _read_manifest(folder).get("asked")
            if held is None and any(folder.iterdir()):
                raise RequestError(
                    f"{name}: this folder holds other things; name an empty or a new one"
                )
            if held is not None and held != self._request:
                raise RequestError(
                    f"{name}: it holds the results for {_words(held)}, and this asks for "
                    f"{_words(self._request)}; name another folder"
                )
            (folder / PARTS).mkdir(exist_ok=True)
        except OSError as error:
            raise RequestError(f"{name}: {error.strerror or error}; name another folder") from None
        if held is None:
            self.note({})

    def note(self, done: dict[str, Any]) -> None:
        """Writes the manifest: what is asked, and what has been done."""
        text = json.dumps({"asked": self._request, "done": done}, indent=2) + "\n"
        write_atomically(self.folder / MANIFEST, text.encode())

    def path_of(self, number: int) -> Path:
        """The file of a part."""
        return self.folder / PARTS / f"{number:06d}.gz"

    def has(self, part: Part) -> bool:
        """Whether that very part is done, by this program, from files that are as they were."""
        content = self._read(part.number)
        return (
            content is not None
            and content["digest"] == part.digest
            and content["asked"] == self._request
            and content["results"]["version"] == versions()
            and all(file_marks(mark[0]) == [mark] for mark in content["results"]["files"])
        )

    def keep(self, part: Part, results: Results) -> None:
        """Writes a part's results."""
        content = {"digest": part.digest, "asked": self._request, "results": asdict(results)}
        data = json.dumps(content, separators=(",", ":")).encode()
        # Without a time stamp: the same results are the same bytes.
        write_atomically(self.path_of(part.number), gzip.compress(data, 6, mtime=0))

    def results(self, numbers: range) -> Iterator[Results]:
        """The results of parts, in their order; none for a part that is not there."""
        for number in numbers:
            if (content := self._read(number)) is not None:
                yield Results(**content["results"])

    def drop(self, number: int) -> None:
        """Removes a part that is no longer good."""
        with suppress(FileNotFoundError):
            self.path_of(number).unlink()

    def drop_from(self, count: int) -> None:
        """Removes the parts past the last, left from when there were more sites."""
        for path in (self.folder / PARTS).glob("*.gz"):
            if path.stem.isdigit() and int(path.stem) >= count:
                path.unlink(missing_ok=True)

    def _read(self, number: int) -> dict[str, Any] | None:
        """A part's file; None if there is none that can be used."""
        try:
            content = json.loads(gzip.decompress(self.path_of(number).read_bytes()))
        except (OSError, ValueError, EOFError, zlib.error):  # damaged: it is worked out again
            return None
        return content if isinstance(content, dict) and "results" in content else None


def _words(fields: Any) -> str:
    """A request as a person would say it."""
    if not isinstance(fields, dict):
        return "another request"
    tables = [name for name in ("plan", "heat") if fields.get(name)]
    among = f" among the neighbours of {printable(str(fields['map']))}" if fields.get("map") else ""
    return f"{fields.get('from')} to {fields.get('to')} with hours" + "".join(
        [*(f", {name}" for name in tables), among]
    )
