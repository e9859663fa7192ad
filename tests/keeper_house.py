"""A house for the keeper's tests: agendas made by hand, and motors that obey, or do not."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace

from suncover.base.spell import Spell
from suncover.keeper.agenda import Agenda, Feed, Motor
from suncover.keeper.news import Delivered, Linked, News, Report
from suncover.keeper.state import Order, Remark, State
from suncover.keeper.step import fresh_state, step
from suncover.plan.staircase import MotorRuns, Step

START = 1_800_000_000  # a Friday in January 2027, 08:00 UTC
TRAVEL = 40.0
MOST_STEPS = 3000  # from one event to the next: more is a keeper that never rests


def even_runs(travel: float, up_share: float = 1.0) -> MotorRuns:
    """A motor that takes as long for each per cent."""
    return MotorRuns(tuple(travel * position / 100 for position in range(101)), up_share)


def motor(slug: str, closings: Iterable[tuple[int, int, int]] = (), **keys: object) -> Motor:
    """A shade with closings of (close, open, position), in seconds after START."""
    steps: list[Step] = []
    for close, opens, position in closings:
        steps += [
            Step(START + close, position, f"sun on {slug}"),
            Step(START + opens, 0, f"over: sun on {slug}"),
        ]
    keys = {"runs": even_runs(TRAVEL), "overrun": 4.0, **keys}
    return Motor(slug, slug, tuple(steps), **keys)  # type: ignore[arg-type]


def agenda(*motors: Motor, **keys: object) -> Agenda:
    """An agenda of a day and more."""
    keys = {"broker": "mqtt://127.0.0.1", **keys}
    return Agenda("home", "home", "UTC", START, START + 3 * 86400, motors, **keys)  # type: ignore[arg-type]


def feed(*slugs: str, at_once: int = 1, gap: float = 0.0) -> Feed:
    return Feed("supply", slugs, at_once, gap)


def spell(start: int, end: int) -> Spell:
    """A spell in seconds after START."""
    return Spell(START + start, START + end)


def obeys(order: Order) -> Sequence[tuple[float, Report]]:
    """A motor that answers at the end of its run."""
    flight = order.flight
    done = Report(order.slug, flight.order, flight.position, moving=False)
    return [((flight.seconds or 0.0) + 0.2, done)]


def is_silent(order: Order) -> Sequence[tuple[float, Report]]:
    """A motor that never answers."""
    return []


@dataclass
class House:
    """Runs the step over time, as the loop does, and lets motors answer.

    `motor_of` says, for an order, after how many seconds its motor answers and what; None for one
    that never does. `orders` has every order with its instant.
    """

    agenda: Agenda
    state: State = field(default_factory=lambda: fresh_state("test"))
    now: float = float(START)
    motor_of: Callable[[Order], Sequence[tuple[float, Report]]] = obeys
    orders: list[tuple[float, Order]] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)
    coming: list[tuple[float, News]] = field(default_factory=list)
    waits: dict[str, str] = field(default_factory=dict)

    def known(self, **positions: float) -> "House":
        """The house where these shades stand so."""
        for slug, position in positions.items():
            shade = replace(self.state.of(slug), position=position, seen=0, tried=1.0)
            self.state = self.state.having(slug, shade)
        return self

    def linked(self) -> "House":
        """The house with its broker."""
        self.tell(Linked())
        return self

    def tell(self, *news: News) -> None:
        """Some news now, and the step."""
        self._step(news)

    def at(self, after: float, *news: News) -> None:
        """News to come, in seconds after START."""
        self.coming += [(START + after, one) for one in news]

    def until(self, after: float) -> "House":
        """Time goes on to so many seconds after START."""
        end = START + after
        steps = 0
        while True:
            steps += 1
            assert steps < MOST_STEPS, f"it never rests: {self._wake - self.now} s, {self.waits}"
            due = [at for at, _ in self.coming]
            then = min([self._wake, *due, end])
            if then >= end:
                break
            self.now = max(then, self.now + 0.001)
            self._step(self._arrived())
        self.now = max(end, self.now)
        self._step(self._arrived())
        return self

    def _arrived(self) -> list[News]:
        here = [one for at, one in sorted(self.coming, key=lambda c: c[0]) if at <= self.now]
        self.coming = [(at, one) for at, one in self.coming if at > self.now]
        return here

    _wake: float = 0.0

    def _step(self, news: Sequence[News]) -> None:
        outcome = step(self.agenda, self.now, self.state, news)
        self.state, self._wake, self.waits = outcome.state, outcome.wake, outcome.waits
        self.remarks += outcome.remarks
        for order in outcome.orders:
            self.orders.append((self.now - START, order))
            self.coming.append((self.now + 0.01, Delivered(order.slug, order.flight.order)))
            self.coming += [(self.now + after, one) for after, one in self.motor_of(order)]

    def given(self, slug: str | None = None) -> list[tuple[int, float]]:
        """What was ordered: whole seconds after START, position."""
        return [
            (int(at), order.flight.position)
            for at, order in self.orders
            if slug is None or order.slug == slug
        ]
