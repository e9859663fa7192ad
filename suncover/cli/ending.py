"""How commands that run on and on are ended: asked by a signal, they end well."""

from __future__ import annotations

import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def ended_by_signals() -> Iterator[list[Callable[[], object]]]:
    """SIGTERM and SIGINT call the last of the list: at first one that ends the program at once."""
    ending: list[Callable[[], object]] = [lambda: sys.exit(0)]
    signals = (signal.SIGTERM, signal.SIGINT)
    before = [signal.signal(one, lambda *_: ending[-1]()) for one in signals]
    try:
        yield ending
    finally:
        for one, handler in zip(signals, before, strict=True):
            signal.signal(one, handler)
