"""The cores of this machine, and how many threads this process may use on them."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

Piece = TypeVar("Piece")
Result = TypeVar("Result")


def cores() -> int:
    """The cores that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _is_one_of_several_processes() -> bool:
    # A process that another one made for a part of its work has this module, and no other needs it.
    multiprocessing = sys.modules.get("multiprocessing")
    return multiprocessing is not None and multiprocessing.parent_process() is not None


def on_threads(work: Callable[[Piece], Result], pieces: Sequence[Piece]) -> Iterator[Result]:
    """`work` on each piece, in order; on all cores, unless other processes do their share on them.

    It serves for work that spends its time in numpy on large arrays, which lets other threads run.
    """
    threads = 1 if len(pieces) < 2 or _is_one_of_several_processes() else cores()
    if threads == 1:
        yield from map(work, pieces)
        return
    from concurrent.futures import ThreadPoolExecutor  # noqa: PLC0415 - short work needs none

    pool = ThreadPoolExecutor(min(threads, len(pieces)))
    try:
        yield from pool.map(work, pieces)
    finally:
        pool.shutdown(cancel_futures=True)
