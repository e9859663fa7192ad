"""A table of messages for a rehearsal: CSV with the columns `time,topic,payload`."""

from __future__ import annotations

import csv
import io
import os
from zoneinfo import ZoneInfo

from suncover.base.errors import Fault, FileFaults
from suncover.base.instant_text import parse_instant
from suncover.base.textfile import one_fault, printable, read_text
from suncover.keeper.rehearse import Message

EVENTS_COLUMNS = ("time", "topic", "payload")
MOST_BYTES = 200_000_000
MOST_FAULTS = 100


def read_events(path: str | os.PathLike[str], zone: ZoneInfo) -> list[Message]:
    """The messages of a file, in its order; times without an offset are by the clocks of `zone`.

    Raises
    ------
    FileFaults
        When it cannot be read, lacks a column, or a time is none; all faults, with their lines.
    """
    name = printable(os.fspath(path))
    reader = csv.DictReader(io.StringIO(read_text(path, MOST_BYTES), newline=""))
    columns = reader.fieldnames or []
    lacking = [column for column in EVENTS_COLUMNS if column not in columns]
    if lacking:
        header = ",".join(EVENTS_COLUMNS)
        raise one_fault(path, f"the column {lacking[0]} is missing; the first line is {header}", 1)
    messages: list[Message] = []
    faults: list[Fault] = []
    for row in reader:
        try:
            at = parse_instant(row["time"] or "", zone)
            if not row["topic"]:
                raise ValueError("there is no topic")
        except ValueError as error:
            faults.append(Fault(name, printable(str(error)), line=reader.line_num))
            continue
        messages.append(Message(at, row["topic"], (row["payload"] or "").encode()))
    if faults:
        raise FileFaults(faults[:MOST_FAULTS])
    return messages
