"""Agendas made in the background, by a process that gives its memory back."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
import threading
from collections.abc import Sequence
from pathlib import Path

from suncover.base.errors import SuncoverError
from suncover.keeper.agenda import Agenda
from suncover.keeper.plain import from_plain

LONGEST_S = 600.0


class PlanFaultsError(SuncoverError):
    """No agenda could be made; a line for each fault."""


def agenda_by_process(path: Path, now: float) -> Agenda:
    """The agenda of a site file for the days around an instant (unix seconds).

    Raises
    ------
    PlanFaultsError
        When the file is faulty.
    """
    command = [sys.executable, "-m", "suncover.keeper.plan_process", str(path), str(int(now))]
    try:
        process = subprocess.run(command, capture_output=True, timeout=LONGEST_S, check=False)
    except (OSError, subprocess.TimeoutExpired) as error:
        raise PlanFaultsError(f"{path}: the plan could not be made: {error}") from error
    if process.returncode != 0:
        fault = process.stderr.decode(errors="replace").strip()
        if process.returncode != 2:
            fault = fault.splitlines()[-1] if fault else f"exit status {process.returncode}"
            fault = f"{path}: the plan could not be made: {fault}"
        raise PlanFaultsError(fault)
    return from_plain(Agenda, json.loads(process.stdout))


def signature(files: Sequence[str | os.PathLike[str]]) -> str:
    """What changes when any of some files does: their contents' hash; of a missing one, that."""
    total = hashlib.sha256()
    for file in files:
        try:
            content = Path(file).read_bytes()
        except OSError:
            content = b"\0missing"
        total.update(hashlib.sha256(content).digest())
    return total.hexdigest()


def stamps(files: Sequence[str | os.PathLike[str]]) -> tuple[tuple[int, int, int], ...]:
    """When some files were changed last, cheap to ask for again and again."""
    seen = []
    for file in files:
        try:
            status = Path(file).stat()
            seen.append((status.st_mtime_ns, status.st_size, status.st_ino))
        except OSError:
            seen.append((0, 0, 0))
    return tuple(seen)


class Planner:
    """Makes one agenda at a time in a thread; the latest is there to be taken."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self.made_for = 0.0  # the instant around which the last one was asked for
        self._thread: threading.Thread | None = None
        self._result: Agenda | PlanFaultsError | None = None

    @property
    def is_busy(self) -> bool:
        """Whether one is being made, or waits to be taken."""
        return self._thread is not None

    def begin(self, now: float) -> None:
        """Begins to make an agenda, unless one is being made."""
        if self._thread is None:
            self._result = None
            self.made_for = now
            self._thread = threading.Thread(target=self._make, args=(now,), daemon=True)
            self._thread.start()

    def _make(self, now: float) -> None:
        try:
            self._result = agenda_by_process(self._path, now)
        except PlanFaultsError as error:
            self._result = error

    def take(self) -> Agenda | PlanFaultsError | None:
        """What has become of it, once; None while there is nothing."""
        if self._thread is None or self._thread.is_alive():
            return None
        self._thread = None
        return self._result
