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
    before = [signal.signal(number, lambda *_: ending[-1]()) for number in signals]
    try:
        yield ending
    finally:
        for number, handler in zip(signals, before, strict=True):
            signal.signal(number, handler)
