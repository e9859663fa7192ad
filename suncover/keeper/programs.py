"""Runs a user's program for an order: no shell, a time limit, its exit status reported."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import threading
from collections.abc import Callable

from suncover.keeper.messages import plain_number
from suncover.keeper.news import Delivered, Ended, News
from suncover.keeper.state import Order

GRACE_S = 2.0  # between asking a program to end and ending it
_SHOWN = 200


def words_of(order: Order) -> list[str]:
    """The words of an order's program, with their placeholders filled."""
    flight = order.flight
    filled = {
        "shade": order.shade,
        "direction": flight.direction,
        "seconds": "" if flight.seconds is None else f"{flight.seconds:g}",
        "position": str(plain_number(flight.position)),
    }
    return [word.format(**filled) for word in order.program or ()]


class Programs:
    """The programs under way, one a shade; how they end is reported as news."""

    def __init__(self, tell: Callable[[News], None]) -> None:
        self._tell = tell
        self._lock = threading.Lock()
        self._running: dict[str, subprocess.Popen[bytes]] = {}
        self._stopped: set[int] = set()

    def run(self, order: Order, longest: float) -> None:
        """Starts an order's program, which may take `longest` seconds."""
        name = order.flight.order
        try:
            process = subprocess.Popen(
                words_of(order),
                stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.PIPE,
                start_new_session=True,
            )
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            program = (order.program or ("",))[0]
            self._tell(Ended(order.slug, name, f"{program}: {reason}"))
            return
        with self._lock:
            self._running[order.slug] = process
        self._tell(Delivered(order.slug, name))
        watcher = threading.Thread(
            target=self._watch, args=(order.slug, name, process, longest), daemon=True
        )
        watcher.start()

    def _watch(
        self, slug: str, name: str, process: subprocess.Popen[bytes], longest: float
    ) -> None:
        trouble = ""
        try:
            _, output = process.communicate(timeout=longest)
            if process.returncode != 0:
                lines = output.decode(errors="replace").split("\n")
                last = next((line for line in reversed(lines) if line.strip()), "")
                trouble = f"exit status {process.returncode}"
                trouble += f" ({last.strip()[:_SHOWN]})" if last else ""
        except subprocess.TimeoutExpired:
            _end_soon(process)
            process.communicate()
            trouble = f"it took longer than {longest:g} s and was ended"
        with self._lock:
            if self._running.get(slug) is process:
                del self._running[slug]
            stopped = process.pid in self._stopped
            self._stopped.discard(process.pid)
        self._tell(Ended(slug, name, trouble, stopped=stopped))

    def stop(self, slug: str) -> None:
        """Ends a shade's program, if one runs."""
        with self._lock:
            process = self._running.get(slug)
            if process is None:
                return
            self._stopped.add(process.pid)
        _end_soon(process)


def _end_soon(process: subprocess.Popen[bytes]) -> None:
    """Asks a program to end, so that it can let its relays go; ends it if it does not."""
    _end(process, signal.SIGTERM)
    hard = threading.Timer(GRACE_S, _end, (process, signal.SIGKILL))
    hard.daemon = True
    hard.start()


def _end(process: subprocess.Popen[bytes], sign: signal.Signals) -> None:
    if process.poll() is None:
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(process.pid, sign)
