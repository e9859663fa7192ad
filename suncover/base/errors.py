"""What can go wrong, as one small tree.

SuncoverError          everything that suncover raises on purpose
├── FileFaults         a file is wrong: every fault in it, each with its place and remedy
└── RequestError       what was asked for makes no sense (a date range backwards, an unknown window)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


class SuncoverError(Exception):
    """Base of all errors raised on purpose; its text is fit for a person to read."""


@dataclass(frozen=True)
class Fault:
    """One thing wrong in a file.

    `line` and `column` count from 1 and are None where the place has no line (the whole file).
    `place` names the entry as a person would: `window "kitchen": overhang.depth`.
    `message` says what is wrong and what would be right.
    """

    file: str
    message: str
    place: str = ""
    line: int | None = None
    column: int | None = None

    def __str__(self) -> str:
        place = self.file
        if self.line is not None:
            place += f":{self.line}"
            if self.column is not None:
                place += f":{self.column}"
        parts = [place, self.place, self.message]
        return ": ".join(part for part in parts if part)


MOST_TOLD = 100
"""Faults that are told of one file; of the rest only the number is."""


class FileFaults(SuncoverError):
    """A file has faults; they are in `faults`, in the order of the file.

    Of more than `MOST_TOLD` the first are, and one that tells how many more there are: those left
    out here, and `more` that were not given.
    """

    def __init__(self, faults: Sequence[Fault], more: int = 0) -> None:
        more += len(faults[MOST_TOLD:])
        last = [Fault(faults[0].file, f"… and {more} more")] if more else []
        self.faults = (*faults[:MOST_TOLD], *last)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class RequestError(SuncoverError):
    """The request is wrong, the files may be right."""
