"""The threads that work runs in; in a module of its own, so that other processes find it."""

import threading

from suncover.base import cores
from suncover.base.cores import on_threads


def threads_used() -> tuple[int, set[int]]:
    """The thread that this runs in, and those that many pieces of work run in."""
    return threading.get_ident(), set(on_threads(lambda _: threading.get_ident(), range(9)))


def threads_used_with_three_cores() -> tuple[int, set[int]]:
    """The same in a process of its own, which nothing has to be put back in."""
    cores.cores = lambda: 3
    return threads_used()
