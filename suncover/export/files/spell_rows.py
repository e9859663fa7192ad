"""Many rows of a table of spells at once: the bytes are laid out as a matrix, then packed.

A row has a beginning of its own (names, quoted as they have to be), and after it the date on which
the spell starts, its start and end in local time, and its minutes: as `iso_local` of
`base.clock` and `minutes_text` of `base.csv_text` write them one at a time.
"""

from __future__ import annotations

from collections.abc import Sequence
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from suncover.base.clock import DAY_S, iso_local, offsets_between

Ints = NDArray[np.int64]
Bytes = NDArray[np.uint8]
Bools = NDArray[np.bool_]

_TWO_DIGITS = np.array([list(f"{n:02d}".encode()) for n in range(100)], dtype=np.uint8)
_ZERO, _COMMA, _POINT = (ord(mark) for mark in "0,.")
_LINE_END = b"\r\n"


def spell_rows(
    heads: Sequence[bytes], counts: Sequence[int], spells: Ints, zone: ZoneInfo
) -> bytes:
    """The rows of `spells` (n, 2), unix seconds, of which the first counts[0] begin with heads[0],
    the next counts[1] with heads[1], and so on.
    """
    if len(spells) == 0:
        return b""
    days, clocks = _local(spells, zone)
    comma = np.full((len(spells), 1), _COMMA, dtype=np.uint8)
    fixed = [comma, days[:, 0], comma, clocks[:, 0], comma, clocks[:, 1], comma]
    minutes, minutes_shown = _minutes(spells[:, 1] - spells[:, 0])
    end = np.tile(np.frombuffer(_LINE_END, dtype=np.uint8), (len(spells), 1))
    names, names_shown = _heads(heads, counts)
    row = np.concatenate([names, *fixed, minutes, end], axis=1)
    shown = np.ones(row.shape, dtype=bool)
    shown[:, : names.shape[1]] = names_shown
    stop = row.shape[1] - len(_LINE_END)
    shown[:, stop - minutes.shape[1] : stop] = minutes_shown
    return row[shown].tobytes()


def _heads(heads: Sequence[bytes], counts: Sequence[int]) -> tuple[Bytes, Bools]:
    """The beginnings of all rows, each at the left of its row, and where they are."""
    length = np.array([len(head) for head in heads])
    width = int(length.max())
    table = np.frombuffer(b"".join(head.ljust(width) for head in heads), dtype=np.uint8)
    head_of = np.repeat(np.arange(len(heads)), counts)
    return table.reshape(len(heads), width)[head_of], np.arange(width) < length[head_of, None]


def _local(instants: Ints, zone: ZoneInfo) -> tuple[Bytes, Bytes]:
    """Dates (n, 2, 10) and full local times (n, 2, 25) of instants (n, 2)."""
    changes = offsets_between(int(instants.min()), int(instants.max()), zone)
    change_of = np.searchsorted([begin for begin, _ in changes], instants, side="right") - 1
    days, seconds = np.divmod(
        instants + np.array([offset for _, offset in changes])[change_of], DAY_S
    )
    first = int(days.min())
    dates = np.arange(first, int(days.max()) + 1).astype("datetime64[D]")
    names = np.datetime_as_string(dates).astype("S10").view(np.uint8).reshape(-1, 10)
    endings = np.frombuffer(
        "".join(iso_local(begin, zone)[19:] for begin, _ in changes).encode(), dtype=np.uint8
    ).reshape(len(changes), -1)
    times = np.empty((*instants.shape, 25), dtype=np.uint8)
    times[..., :10] = names[days - first]
    times[..., 10:19] = np.frombuffer(b"T00:00:00", dtype=np.uint8)
    times[..., 11:13] = _TWO_DIGITS[seconds // 3600]
    times[..., 14:16] = _TWO_DIGITS[seconds // 60 % 60]
    times[..., 17:19] = _TWO_DIGITS[seconds % 60]
    times[..., 19:] = endings[change_of]
    return times[..., :10], times


def _minutes(seconds: Ints) -> tuple[Bytes, Bools]:
    """Minutes with up to two decimals, and which of the digits are written."""
    minutes, hundredths = np.divmod((10 * seconds + 3) // 6, 100)
    places = 10 ** np.arange(len(str(int(minutes.max()))))[::-1]
    digits = np.empty((len(seconds), len(places) + 3), dtype=np.uint8)
    digits[:, :-3] = minutes[:, None] // places % 10 + _ZERO
    digits[:, -3] = _POINT
    digits[:, -2:] = _TWO_DIGITS[hundredths]
    shown = np.empty(digits.shape, dtype=bool)
    shown[:, :-3] = (minutes[:, None] >= places) | (places == 1)
    shown[:, -3] = shown[:, -2] = hundredths > 0
    shown[:, -1] = hundredths % 10 > 0
    return digits, shown
