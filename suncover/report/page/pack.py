"""The numbers that the page's sliders need, packed into a few kilobytes a window.

Whole numbers of few bytes, neighbours as differences where they are alike, all of it compressed
(RFC 1950) and written in 85 letters (RFC 1924, with `,` for `<`), after the number of its bytes.
A list at the front of the page says what is where:

    [name, kind, how many, row]    kind: u1, u2, i2 or i4, sign and bytes, little-endian

With a row of 0 they stand as they are, with 1 as what each differs by from the one before. Days of
more numbers than that are like the day before: from each its row's predecessor is taken first.

The page's script reads it with what every browser has had since 2023; where one has not, the
pictures stay as they are drawn.
"""

from __future__ import annotations

import base64
import zlib
from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any

import numpy as np
from numpy.typing import NDArray

from suncover.report.calendar_days import CELLS, SLOTS, Piece, by_day
from suncover.report.gather import ReportData
from suncover.report.window_year import PATCH_STEP, POWER_STEP, WindowYear

Entry = tuple[str, str, NDArray[Any], int]
"""Name, kind, values and row."""

ANGLE_STEP = 0.01  # degrees


def packed_numbers(data: ReportData) -> tuple[list[list[object]], str]:
    """The list of what there is, and the numbers as text."""
    entries: list[list[object]] = []
    chunks = []
    # The widest kinds come first, so that every array starts where its kind may start.
    for name, kind, values, row in sorted(_entries(data), key=lambda entry: -int(entry[1][1])):
        flat = np.ascontiguousarray(values).ravel().astype(np.int64)
        if row > 1:
            flat[row:] -= flat[:-row].copy()
        if row:
            flat = np.diff(flat, prepend=0)
        entries.append([name, kind, len(flat), row])
        # Differences may run over and come back: the script adds them up in the same few bytes.
        chunks.append(flat.astype(f"<{kind}").tobytes())
    # A level more takes four times as long and saves 2 %.
    data_bytes = zlib.compress(b"".join(chunks), 7)
    letters = base64.b85encode(data_bytes, pad=True).decode("ascii").replace("<", ",")
    return entries, f"{len(data_bytes)} {letters}"


def _entries(data: ReportData) -> Iterator[Entry]:
    # On and on around the compass: a step from 360 to 0 would be like nothing else.
    azimuth = np.degrees(np.unwrap(np.radians(data.sun.azimuth.ravel())))
    yield "azimuth", "i4", np.rint(azimuth / ANGLE_STEP), SLOTS
    yield "elevation", "i2", np.rint(data.sun.elevation / ANGLE_STEP), SLOTS
    days = len(data.calendar.days)
    yield from _spans("up", data.sun.up, days)
    for number, shade in enumerate(data.shades):
        yield from _spans(f"closed{number}", shade.closed, days)
    for number, spot in enumerate(data.spots):
        yield from _spans(f"spot{number}", spot.sun, days)
    for number, year in enumerate(data.windows):
        yield from _spans(f"sun{number}", year.pieces, days)
        yield f"power{number}", "u2", np.rint(year.power / POWER_STEP), CELLS
        yield from _patches(number, year)


def _spans(name: str, pieces: Sequence[Piece], days: int) -> Iterator[Entry]:
    """How many pieces each day has, and where they start and end, in seconds of the day."""
    lists = by_day(pieces, days)
    yield f"{name}.count", "u1", np.array([len(day) for day in lists]), 0
    yield f"{name}.start", "i4", np.array([piece.start for day in lists for piece in day]), 1
    yield f"{name}.end", "i4", np.array([piece.end for day in lists for piece in day]), 1


def _patches(number: int, year: WindowYear) -> Iterator[Entry]:
    """When there are patches (slot x 366 + day), how many rings each has, how many points each ring
    has, and the points.

    Rings of one time of the day are next to each other, day after day. Of those in a row that have
    as many points each, the first point of all comes first, then the second and so on, each as what
    it differs by from the one before.
    """
    keys = sorted((slot * 366 + day, (day, slot)) for day, slot in year.patches)
    patches = [year.patches[day_and_slot] for _, day_and_slot in keys]
    points = [np.rint(ring / PATCH_STEP) for rings in patches for ring in rings]
    runs = [np.stack(list(run), axis=1) for _, run in groupby(points, key=len)]
    steps = [np.diff(run, axis=1, prepend=0.0).reshape(-1, 2) for run in runs]
    corners = np.concatenate([*steps, np.zeros((0, 2))])
    yield f"patch{number}.key", "i4", np.array([key for key, _ in keys]), 1
    yield f"patch{number}.rings", "u1", np.array([len(rings) for rings in patches]), 0
    yield f"patch{number}.points", "u2", np.array([len(ring) for ring in points]), 0
    yield f"patch{number}.inward", "i2", corners[:, 0], 0
    yield f"patch{number}.right", "i2", corners[:, 1], 0
