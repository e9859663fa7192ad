"""What a keeper promises, as properties: over random plans, motors, losses, hands and restarts."""

import itertools
import json
from collections.abc import Sequence
from dataclasses import replace

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from keeper_house import START, House, agenda, even_runs, feed, motor, spell

from suncover.keeper.agenda import Agenda, Motor, steps_around
from suncover.keeper.limits import SLACK_S
from suncover.keeper.news import Hand, Hold, Linked, Report, Restarted, Unlinked
from suncover.keeper.plain import from_plain, to_plain
from suncover.keeper.state import Order, State

SLUGS = "abc"
LENGTH = 20000
CALM_S = 9000  # longer than the longest pause, answers and runs for all

KINDS = ("obeys", "late", "twice", "silent", "wrong", "blind", "tells")


@st.composite
def motors(draw: st.DrawFn, slug: str) -> Motor:
    """A shade with some closings, quiet hours, a time to stay up, and any kind of stops."""
    at, closings = 500, []
    while at < LENGTH:
        close = at + draw(st.integers(0, 4000))
        opens = close + draw(st.integers(150, 5000))
        closings.append((close, opens, draw(st.sampled_from((50, 100, 100)))))
        at = opens + draw(st.integers(150, 2000))
    quiet = draw(st.one_of(st.none(), st.tuples(st.integers(0, LENGTH), st.integers(100, 4000))))
    up = draw(st.one_of(st.none(), st.tuples(st.integers(0, LENGTH), st.integers(100, 2000))))
    return motor(
        slug,
        closings,
        runs=even_runs(draw(st.sampled_from((0.5, 20.0, 60.0)))),
        quiet=() if quiet is None else (spell(quiet[0], sum(quiet)),),
        up=() if up is None else (spell(up[0], sum(up)),),
        end_stop=draw(st.sampled_from(("both", "top", "bottom", "none"))),
        home_after=draw(st.sampled_from((None, 3))),
        after_hand=draw(st.sampled_from((None, 700.0))),
    )


@st.composite
def houses(draw: st.DrawFn) -> tuple[Agenda, list[tuple[int, str]], list[str]]:
    """An agenda, what befalls it and when, and how its motors behave, order by order."""
    there = agenda(
        *(draw(motors(slug)) for slug in SLUGS),
        feeds=(feed("a", "b", at_once=1, gap=draw(st.sampled_from((0.0, 30.0)))),),
    )
    kinds = st.sampled_from(
        ("restart", "restart", "broker", "hold", "hand", "stop", "look", "power cut")
    )
    events = draw(st.lists(st.tuples(st.integers(1, LENGTH), kinds), max_size=10))
    return there, sorted(events), draw(st.lists(st.sampled_from(KINDS), max_size=30))


class Shades:
    """The motors as they really are: where each shade stands, and when its motor runs."""

    def __init__(self, kinds: Sequence[str]) -> None:
        self.kinds = list(kinds)
        self.runs: list[tuple[float, float, Order]] = []
        self.held: list[tuple[float, float]] = []

    def answers(self, house: House, order: Order) -> Sequence[tuple[float, Report]]:
        kind = self.kinds.pop(0) if self.kinds else "obeys"
        seconds = order.flight.seconds or 0.0
        self.runs.append((house.now, house.now + seconds, order))
        done = Report(order.slug, order.flight.order, order.flight.position, moving=False)
        answers: dict[str, list[tuple[float, Report]]] = {
            "obeys": [(seconds, done)],
            "late": [(seconds + house.agenda.answer + 7, done)],
            "twice": [(seconds, done), (seconds + 40, done), (seconds + 900, done)],
            "silent": [],
            "wrong": [(seconds, replace(done, position=37.0))],
            "blind": [(seconds, replace(done, position=None))],
            "tells": [(0.1, replace(done, position=None, moving=True)), (seconds, done)],
        }
        return answers[kind]


def through_the_disk(state: State) -> State:
    """The state as a keeper that was killed and started again has it."""
    kept = from_plain(State, json.loads(json.dumps(to_plain(state))))
    return State(kept.key, kept.number, kept.shades, kept.hold)


def live(there: Agenda, events: Sequence[tuple[int, str]], kinds: Sequence[str]) -> House:
    """All of it, and then calm: the broker there, nothing held, motors that obey."""
    shades = Shades(kinds)
    house = House(there)
    house.motor_of = lambda order: shades.answers(house, order)
    house.linked()
    for at, what in events:
        house.until(at)
        befall(house, shades, what)
    house.until(LENGTH)
    shades.kinds = []
    house.tell(Hold(off=True), Linked())
    house.until(LENGTH + CALM_S)
    house.shades = shades  # type: ignore[attr-defined]
    return house


def befall(house: House, shades: Shades, what: str) -> None:
    match what:
        case "restart":
            house.state = through_the_disk(house.state)
            house.now += 3
            house.tell(Restarted())
            house.linked()
        case "power cut":  # answers are lost as well
            house.state = through_the_disk(house.state)
            house.coming = []
            house.now += 60
            house.tell(Restarted())
            house.linked()
        case "broker":
            house.tell(Unlinked())
            house.until(house.now - START + 200)
            house.linked()
        case "hold":
            start = house.now
            house.tell(Hold())
            house.until(house.now - START + 600)
            shades.held.append((start, house.now))
            house.tell(Hold(off=True))
        case "hand":
            house.tell(Hand("a", 10.0))
        case "stop":
            house.tell(Hand("b", stop=True))
        case _:
            house.tell()


RANDOM = settings(
    max_examples=25,
    phases=(Phase.explicit, Phase.generate),  # a failure is shown as it is, at once
    deadline=None,
    derandomize=True,  # the same cases every time
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


def check(house: House) -> None:
    shades: Shades = house.shades  # type: ignore[attr-defined]
    for start, end, order in shades.runs:
        there = house.agenda.by_slug[order.slug]
        for hours in there.quiet:
            assert end <= hours.start + SLACK_S or start >= hours.end
        if order.flight.direction == "down":
            for stay in there.up:
                assert end <= stay.start + SLACK_S or start >= stay.end
        assert not any(begun < start < over for begun, over in shades.held)
        assert order.flight.not_after >= start
    names = [order.flight.order for _, order in house.orders if not order.again]
    assert len(set(names)) == len(names)
    pair = sorted((s, e) for s, e, order in shades.runs if order.slug in "ab" and not order.again)
    gap = house.agenda.feeds[0].gap
    for (start, end), (later, _) in itertools.pairwise(pair):
        assert later >= end
        assert later - start >= gap
    for there in house.agenda.motors:
        shade = house.state.of(there.slug)
        step, _ = steps_around(there, house.now)
        planned = step.position if step else 0
        if shade.hand is None and shade.position is not None:
            assert shade.flight is None
            assert shade.position == planned


@RANDOM
@given(houses())
def test_the_promises_hold(case):
    check(live(*case))


@RANDOM
@given(houses())
def test_no_order_is_given_twice_for_one_difference(case):
    """With motors that obey, no two orders in a row are for one position."""
    there, events, _ = case
    calm = [(at, what) for at, what in events if what in ("restart", "look")]
    house = live(there, calm, [])
    for one in there.motors:
        given = [o.flight for _, o in house.orders if o.slug == one.slug and not o.again]
        assert sum(flight.zero for flight in given) <= 1 + len(one.steps) // 2
        positions = [flight.position for flight in given]
        assert all(a != b for a, b in itertools.pairwise(positions))


@RANDOM
@given(houses())
def test_looking_more_often_changes_nothing(case):
    there, events, kinds = case
    some = [(at, what) for at, what in events if what != "look"]
    looks = [(at, "look") for at in range(7, LENGTH, 997)]
    once, often = live(there, some, kinds), live(there, sorted([*some, *looks]), kinds)
    assert [o.flight.position for _, o in once.orders] == [
        o.flight.position for _, o in often.orders
    ]
