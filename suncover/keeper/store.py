"""What a keeper knows, on disk: an SQLite database in a folder of its own, one keeper a folder.

Every change is written before the orders that it belongs to leave, and is on the disk by then
(write-ahead log, `synchronous = FULL`): a keeper that dies at any moment has either not ordered, or
knows that it has. A database that cannot be read is set aside under another name, for whoever wants
to look into it, and a new one begins.
"""

from __future__ import annotations

import contextlib
import fcntl
import json
import secrets
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any

from suncover.base.errors import RequestError
from suncover.keeper.plain import from_plain, to_plain
from suncover.keeper.state import Held, Order, ShadeState, State

DATABASE, LOCK = "keeper.sqlite", "keeper.lock"
MOST_ORDERS = 5000  # kept of those that were given
_TABLES = """
create table if not exists known (name text primary key, value text not null);
create table if not exists shades (slug text primary key, state text not null);
create table if not exists orders (
    number integer primary key, name text, sent real, shade text, position real, direction text,
    seconds real, zero integer, reason text);
"""
_FAILURES = (sqlite3.Error, ValueError, TypeError, KeyError)


class FolderLock:
    """Holds a folder for one keeper, until it is closed or its process ends."""

    def __init__(self, folder: Path) -> None:
        """Raises RequestError when the folder cannot be used, or another keeper has it."""
        try:
            folder.mkdir(parents=True, exist_ok=True)
            self._file: IO[str] = (folder / LOCK).open("a")
        except OSError as error:
            reason = error.strerror or str(error)
            raise RequestError(
                f"{folder}: this folder cannot be used ({reason}); name another with --state"
            ) from error
        try:
            fcntl.flock(self._file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            self._file.close()
            raise RequestError(
                f"{folder}: another keeper runs with this folder; stop it, or name another folder "
                "with --state"
            ) from None

    def close(self) -> None:
        """Lets the folder go."""
        self._file.close()


class Store:
    """The database of one keeper."""

    def __init__(self, folder: Path, stamp: str) -> None:
        """Opens it; `stamp` goes into the name of a damaged one that is set aside.

        `damage` says what was found wrong, if anything.
        """
        self.path = folder / DATABASE
        self.damage = ""
        self._saved: dict[str, ShadeState] = {}
        self._stamp = stamp
        try:
            self._base = self._open()
            self.state = self._read()
        except _FAILURES as error:
            self._set_aside(error)
            self._base = self._open()
            self.state = self._read()

    def _open(self) -> sqlite3.Connection:
        base = sqlite3.connect(self.path, isolation_level=None)
        try:
            base.execute("pragma journal_mode = wal")
            base.execute("pragma synchronous = full")
            verdict = base.execute("pragma quick_check").fetchone()[0]
            if verdict != "ok":
                raise sqlite3.DatabaseError(str(verdict))
            base.executescript(_TABLES)
        except sqlite3.Error:
            base.close()
            raise
        return base

    def _set_aside(self, error: Exception) -> None:
        with contextlib.suppress(AttributeError, sqlite3.Error):
            self._base.close()
        aside = self.path.with_name(f"{self.path.name}.damaged-{self._stamp}")
        for end in ("", "-wal", "-shm"):
            with contextlib.suppress(FileNotFoundError):
                Path(f"{self.path}{end}").replace(f"{aside}{end}")
        self.damage = (
            f"{self.path} is damaged ({error}); it is set aside as {aside.name}, and where the "
            "shades stand is not known"
        )

    def _read(self) -> State:
        key = self.value("key")
        if key is None:
            key = secrets.token_hex(4)
            self.keep("key", key)
        rows = self._base.execute("select slug, state from shades").fetchall()
        self._saved = {slug: from_plain(ShadeState, json.loads(text)) for slug, text in rows}
        hold = self.value("hold")
        return State(
            key=str(key),
            number=int(self.value("number") or 0),
            shades=dict(self._saved),
            hold=None if hold is None else from_plain(Held, hold),
        )

    def value(self, name: str) -> Any:
        """Something kept by name; None where there is no such thing."""
        row = self._base.execute("select value from known where name = ?", (name,)).fetchone()
        return None if row is None else json.loads(row[0])

    def keep(self, name: str, value: Any) -> None:
        """Keeps something that JSON can hold."""
        self._base.execute("insert or replace into known values (?, ?)", (name, json.dumps(value)))

    def save(self, state: State, orders: tuple[Order, ...]) -> None:
        """Writes what has changed, and the orders that are about to leave; all of it or nothing.

        Raises
        ------
        sqlite3.Error
            When it cannot be written.
        """
        changed = {
            slug: shade for slug, shade in state.shades.items() if self._saved.get(slug) != shade
        }
        before = self.state
        if (
            not changed
            and not orders
            and (before.hold, before.number) == (state.hold, state.number)
        ):
            return
        with self._transaction():
            self.keep("number", state.number)
            self.keep("hold", to_plain(state.hold))
            self._base.executemany(
                "insert or replace into shades values (?, ?)",
                [(slug, json.dumps(to_plain(shade))) for slug, shade in changed.items()],
            )
            for order in orders:
                flight = order.flight
                self._base.execute(
                    "insert or replace into orders values (?, ?, ?, ?, ?, ?, ?, ?, ?)",
                    (
                        flight.number,
                        flight.order,
                        flight.sent,
                        order.shade,
                        flight.position,
                        flight.direction,
                        flight.seconds,
                        flight.zero,
                        flight.reason,
                    ),
                )
            if orders:
                oldest = state.number - MOST_ORDERS
                self._base.execute("delete from orders where number <= ?", (oldest,))
        self._saved |= changed
        self.state = state

    @contextlib.contextmanager
    def _transaction(self) -> Iterator[None]:
        self._base.execute("begin immediate")
        try:
            yield
            self._base.execute("commit")
        except BaseException:
            with contextlib.suppress(sqlite3.Error):
                self._base.execute("rollback")
            raise

    def begin_anew(self, error: Exception, state: State) -> None:
        """Sets a database aside that went bad while in use, and writes all that is known anew."""
        self._set_aside(error)
        self._base = self._open()
        self._saved = {}
        self.keep("key", state.key)
        self.state = State(state.key, number=-1)
        self.save(state, ())

    def close(self) -> None:
        """Closes the database."""
        self._base.close()
