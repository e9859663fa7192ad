"""The keeper in real time: the clock, the wire, programs, the store and the site's files around
the step.

Everything that happens comes in as news by one queue. The loop reads the UTC clock at each turn, at
least once a second, and asks the step when that is due or when there is news: it never sums up what
it has waited. What the step orders is on the disk before it leaves.
"""

from __future__ import annotations

import queue
import sqlite3
from collections.abc import Callable
from dataclasses import dataclass, replace
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from suncover.base.clock import DAY_S, iso_local
from suncover.base.errors import RequestError
from suncover.keeper import messages
from suncover.keeper.agenda import Agenda
from suncover.keeper.log import Log
from suncover.keeper.login import login_of
from suncover.keeper.news import (
    Delivered,
    Hold,
    Linked,
    News,
    Restarted,
    Stepped,
    Undelivered,
    Unlinked,
)
from suncover.keeper.plain import from_plain, to_plain
from suncover.keeper.planner import PlanFaultsError, Planner, agenda_by_process, signature, stamps
from suncover.keeper.programs import Programs
from suncover.keeper.state import Order, State
from suncover.keeper.step import Outcome, step
from suncover.keeper.store import DATABASE, FolderLock, Store
from suncover.keeper.wire import Callbacks, Wire

TURN_S = 1.0  # at the longest between two looks at the clock
STEPPED_S = 2.0  # the clock was set when it and the waited time differ by more
LOOK_S = 2.0  # between two looks at the site's files
ANEW_S = DAY_S // 2  # a plan is made anew after this long
RETRY_PLAN_S = 600.0


@dataclass(frozen=True)
class Clocks:
    """What the keeper reads: `utc`, unix seconds, and `steady`, which nobody sets."""

    utc: Callable[[], float]
    steady: Callable[[], float]


@dataclass(frozen=True)
class Snapshot:
    """What is known at a moment, for the page."""

    agenda: Agenda
    state: State
    waits: dict[str, str]


class Keeper:
    """Keeps a site's shades where its plan has them, from `run` until `stop`."""

    def __init__(self, path: Path, folder: Path, clocks: Clocks, log: Log) -> None:
        """Takes the folder and makes the first agenda.

        Raises
        ------
        SuncoverError
            When the site file is faulty, or the folder cannot be used or is another keeper's.
        """
        self._path, self._clocks, self._log = path, clocks, log
        self._wire: Wire | None = None
        self._store: Store | None = None
        # Where nothing is kept yet, a faulty site file leaves no folder behind.
        is_new = not (folder / DATABASE).exists()
        self._fresh = agenda_by_process(path, clocks.utc()) if is_new else None
        self._lock = FolderLock(folder)
        try:
            self._begin(folder)
        except BaseException:
            self.close()
            raise

    def _begin(self, folder: Path) -> None:
        log, now = self._log, self._clocks.utc()
        self._store = Store(folder, iso_local(int(now), log.utc)[:19].replace(":", ""))
        if self._store.damage:
            log.tell("state", self._store.damage)
        self._events: queue.SimpleQueue[News | Callable[[], None] | None] = queue.SimpleQueue()
        self._planner = Planner(self._path)
        self._agenda, self._made_at = self._first_agenda(now)
        log.zone = self._agenda.zone
        self._stamps = self._stamps_of(self._agenda)
        self._state = self.store.state
        self._since = now
        self._looked = self._not_before = 0.0
        self._published: dict[str, bytes] = {}
        self._programs = Programs(self._events.put)
        self._wire = self._new_wire(self._agenda)
        self._save_trouble = ""
        self._outcome: Outcome | None = None

    @property
    def store(self) -> Store:
        """The database, while the keeper is not closed."""
        assert self._store is not None
        return self._store

    def _first_agenda(self, now: float) -> tuple[Agenda, float]:
        """The agenda of the last run if it is still good, or a new one."""
        try:
            stored = self.store.value("agenda")
            if stored is not None:
                agenda = from_plain(Agenda, stored["agenda"])
                in_time = agenda.start + DAY_S <= now <= stored["made"] + 2 * DAY_S
                same_file = agenda.files[:1] == (str(self._path.absolute()),)
                if in_time and same_file and agenda.signature == signature(agenda.files):
                    return agenda, stored["made"]
        except (sqlite3.Error, ValueError, TypeError, KeyError):
            pass  # it was of another version
        agenda = self._fresh or agenda_by_process(self._path, now)
        self._keep_agenda(agenda, now)
        return agenda, now

    def _stamps_of(self, agenda: Agenda) -> tuple[tuple[int, int, int], ...]:
        """When an agenda's files were changed last; nothing where that was after they were read."""
        current = stamps(agenda.files)
        return current if signature(agenda.files) == agenda.signature else ()

    def _keep_agenda(self, agenda: Agenda, now: float) -> None:
        record = {"made": now, "agenda": to_plain(agenda)}
        try:
            self.store.keep("agenda", record)
        except sqlite3.Error as error:
            self._log.tell("state", f"the plan could not be kept on disk: {error}")

    # What comes in, from any thread.

    def tell(self, news: News) -> None:
        """Takes in something that happened."""
        self._events.put(news)

    def stop(self) -> None:
        """Ends `run` soon. Safe in a signal handler."""
        self._events.put(None)

    def hold(self, news: Hold) -> None:
        """Holds everything, or no more, and lets all know by the broker."""
        members: dict[str, Any] = {"off": True} if news.off else {"until": None}
        if news.until is not None:
            members = {"until": iso_local(int(news.until), self._agenda.zone)}
        wire = self._wire
        if wire is not None:
            wire.say(f"{self._agenda.topic}/hold", messages.encoded(members))
        self._events.put(news)

    def snapshot(self) -> Snapshot:
        """What is known now."""
        outcome = self._outcome
        return Snapshot(self._agenda, self._state, outcome.waits if outcome else {})

    def now(self) -> float:
        """The keeper's clock, unix seconds."""
        return self._clocks.utc()

    # The wire.

    def _new_wire(self, agenda: Agenda) -> Wire | None:
        if agenda.broker is None:
            return None
        if find_spec("paho") is None:
            raise RequestError(
                "orders by messages need more packages: pip install 'suncover[keeper]'"
            )
        topic, since = agenda.topic, iso_local(int(self._since), agenda.zone)
        ears = Callbacks(
            linked=lambda: self._events.put(Linked()),
            unlinked=lambda why: self._events.put(lambda: self._unlinked(why)),
            message=lambda topic, payload: self._events.put(lambda: self._heard(topic, payload)),
            delivered=lambda slug, order: self._events.put(Delivered(slug, order)),
            refused=lambda slug, order, why: self._events.put(Undelivered(slug, order, why)),
            trouble=lambda why: self._log.tell("broker", why),
        )
        login_of(agenda)  # a file that cannot be read is refused at once, for those who set it up
        wire = Wire(
            lambda: login_of(agenda),
            f"suncover-{topic.replace('/', '-')}",
            messages.topics_heard(agenda),
            alive_topic=f"{topic}/keeper",
            alive=lambda alive: messages.encoded({"alive": alive, "since": since}),
            ears=ears,
        )
        wire.start()
        return wire

    def _unlinked(self, why: str) -> None:
        self._log.tell("broker", f"{why}; tried again until it is there")
        self._news.append(Unlinked())

    def _heard(self, topic: str, payload: bytes) -> None:
        try:
            self._news += messages.news_of(self._agenda, topic, payload)
        except messages.NotUnderstoodError as error:
            self._log.tell("message", f"a message on {topic} is passed over: {error}")

    # The loop.

    def run(self) -> None:
        """Keeps the shades until `stop`."""
        count = len(self._agenda.motors)
        shades = f"{count} shade{'' if count == 1 else 's'}"
        self._log.tell("keeper", f"keeps {shades} of {self._agenda.site}")
        self._news: list[News] = [Restarted()]
        utc, steady = self._clocks.utc(), self._clocks.steady()
        wake = utc
        try:
            while self._wait(wake - self._clocks.utc()):
                now, passed = self._clocks.utc(), self._clocks.steady()
                drift = (now - utc) - (passed - steady)
                utc, steady = now, passed
                if abs(drift) > STEPPED_S:
                    self._log.tell("clock", f"the clock was set by {drift:+.0f} s, or slept")
                    self._news.append(Stepped(drift))
                renewed = self._look_at_files(now)
                if self._news or renewed or now >= wake:
                    wake = self._turn(now)
        finally:
            self.close()
            self._log.tell("keeper", "stopped")

    def _wait(self, seconds: float) -> bool:
        """Waits for an event, at most so long; takes in all that are there. False at the end."""
        timeout = min(max(seconds, 0.001), TURN_S)
        try:
            event = self._events.get(timeout=timeout)
            while True:
                if event is None:
                    return False
                if callable(event):
                    event()
                else:
                    self._news.append(event)
                event = self._events.get_nowait()
        except queue.Empty:
            return True

    def _turn(self, now: float) -> float:
        """One step, and what follows from it; when the next is due."""
        news, self._news = self._news, []
        outcome = step(self._agenda, now, self._state, news)
        self._save(outcome)
        self._state, self._outcome = outcome.state, outcome
        for remark in outcome.remarks:
            motor = self._agenda.by_slug.get(remark.slug or "")
            self._log.tell(remark.event, remark.text, motor.name if motor else None)
        for slug in outcome.stop:
            self._programs.stop(slug)
        for order in outcome.orders:
            self._give(order, now)
        if any(isinstance(event, Linked) for event in news):
            self._log.tell("broker", "the broker is there")
            self._published = {}
        self._publish(now, outcome)
        return outcome.wake

    def _save(self, outcome: Outcome) -> None:
        try:
            self.store.save(outcome.state, outcome.orders)
            trouble = ""
        except sqlite3.OperationalError as error:  # a full disk, or one that cannot be written
            trouble = f"what is known cannot be written to disk ({error}); it goes on without"
        except sqlite3.Error as error:
            trouble = self._begin_anew(error, outcome.state)
        if trouble and trouble != self._save_trouble:
            self._log.tell("state", trouble)
        self._save_trouble = trouble

    def _begin_anew(self, error: sqlite3.Error, state: State) -> str:
        try:
            self.store.begin_anew(error, state)
        except (sqlite3.Error, OSError) as worse:
            return f"what is known cannot be written to disk ({worse}); it goes on without"
        return self.store.damage

    def _give(self, order: Order, now: float) -> None:
        flight = order.flight
        if order.program is not None:
            self._programs.run(order, (flight.seconds or 0.0) + self._agenda.answer)
            return
        topic = f"{self._agenda.topic}/{order.slug}/go"
        payload = messages.encoded(messages.go_members(flight, self._agenda))
        expiry = max(round(flight.not_after - now), 1)
        wire = self._wire
        if wire is None or not wire.send(
            topic, payload, slug=order.slug, order=flight.order, expiry=expiry
        ):
            self._events.put(Undelivered(order.slug, flight.order, "the broker is not there"))

    def _publish(self, now: float, outcome: Outcome) -> None:
        """Tells what is new of each shade."""
        wire = self._wire
        if wire is None or self._state.linked is None:
            return
        for motor in self._agenda.motors:
            reason = outcome.waits.get(motor.slug, "")
            members = messages.next_members(self._agenda, motor, self._state, now, reason)
            payload = messages.encoded(members)
            if self._published.get(motor.slug) != payload:
                wire.say(f"{self._agenda.topic}/{motor.slug}/next", payload)
                self._published[motor.slug] = payload

    # The site's files and the days ahead.

    def _look_at_files(self, now: float) -> bool:
        """Makes the plan anew where a file changed or the days move on; whether there is a new one.

        A faulty file is reported, and the last good plan goes on.
        """
        steady = self._clocks.steady()
        if steady < self._looked + LOOK_S and not self._planner.is_busy:
            return False
        self._looked = steady
        plan = self._planner.take()
        if plan is None:
            current = stamps(self._agenda.files)
            due = abs(now - self._made_at) >= ANEW_S and steady >= self._not_before
            if (current != self._stamps or due) and not self._planner.is_busy:
                self._stamps = current
                self._not_before = steady + RETRY_PLAN_S
                self._planner.begin(now)
            return False
        if isinstance(plan, PlanFaultsError):
            for line in str(plan).splitlines():
                self._log.tell("site", line)
            self._log.tell("site", "the last good site file goes on")
            return False
        self._take_agenda(plan)
        return True

    def _take_agenda(self, agenda: Agenda) -> None:
        before, self._agenda = self._agenda, agenda
        # The clock may have been set while it was made: then another one is due at once.
        self._made_at, self._not_before = self._planner.made_for, 0.0
        self._log.zone = agenda.zone
        self._stamps = self._stamps_of(agenda)
        self._keep_agenda(agenda, self._made_at)
        if _of_files(agenda) != _of_files(before):
            self._log.tell("site", "the site file has changed; it is taken from now on")
        heard = messages.topics_heard(agenda), agenda.topic
        if (*heard, *_login(agenda)) != (
            messages.topics_heard(before),
            before.topic,
            *_login(before),
        ):
            if self._wire is not None:
                self._wire.close()
                self._news.append(Unlinked())
            try:
                self._wire = self._new_wire(agenda)
            except RequestError as error:
                self._wire = None
                self._log.tell("broker", str(error))

    def close(self) -> None:
        """Lets everything go; what is known stays on the disk."""
        if self._wire is not None:
            self._wire.close()
            self._wire = None
        if self._store is not None:
            self._store.close()
            self._store = None
        self._lock.close()


def _of_files(agenda: Agenda) -> Any:
    """The parts of an agenda that come from the site's files, whatever the day."""
    motors = tuple(replace(motor, steps=(), sunlit=(), quiet=(), up=()) for motor in agenda.motors)
    return replace(agenda, start=0, end=0, calendar="", motors=motors)


def _login(agenda: Agenda) -> tuple[str | None, ...]:
    return agenda.broker, agenda.user, agenda.password_file, agenda.ca_file
