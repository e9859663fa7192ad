"""The decision: what is ordered, when, and what is not, in plain cases one by one."""

import itertools
from dataclasses import replace

import pytest
from keeper_house import (
    START,
    TRAVEL,
    House,
    agenda,
    even_runs,
    feed,
    is_silent,
    motor,
    obeys,
    spell,
)

from suncover.keeper.agenda import Sensor, SunRule, WindRule
from suncover.keeper.losses import AFTER_RUN_S
from suncover.keeper.messages import state_word
from suncover.keeper.news import (
    Ended,
    Hand,
    Hold,
    Linked,
    Reading,
    Report,
    Restarted,
    Stepped,
    Undelivered,
    Unlinked,
)
from suncover.keeper.reports import pause_after
from suncover.keeper.state import Order
from suncover.keeper.step import EVIDENCE_S
from suncover.plan.staircase import MotorRuns

DAY = [(1000, 5000, 100)]


def word(house: House, slug: str = "a") -> str:
    return state_word(
        house.agenda, house.agenda.by_slug[slug], house.state, house.now, house.waits.get(slug, "")
    )


def test_a_shade_closes_and_opens_when_the_plan_does():
    house = House(agenda(motor("a", DAY))).known(a=0).linked().until(6000)
    assert house.given() == [(1000, 100), (5000, 0)]
    directions = [(order.flight.direction, order.flight.seconds) for _, order in house.orders]
    assert directions == [("down", TRAVEL), ("up", TRAVEL)]
    assert word(house) == "as planned"


def test_orders_carry_their_expiry():
    house = House(agenda(motor("a", DAY), stale=60.0)).known(a=0).linked().until(1001)
    assert house.orders[0][1].flight.not_after == START + 1060


def test_what_was_missed_is_made_up_for_once():
    """A keeper that starts at noon orders what holds then, not what it missed."""
    many = [(1000, 2000, 100), (3000, 4000, 100), (5000, 9000, 100)]
    house = House(agenda(motor("a", many)), now=START + 6000.0).known(a=0).linked().until(6500)
    assert house.given() == [(6000, 100)]


def test_a_late_closing_that_would_not_be_over_before_the_opening_is_left_out():
    house = House(agenda(motor("a", DAY)), now=START + 4980.0).known(a=0).linked().until(6000)
    assert house.given() == []


def test_an_unknown_shade_finds_its_zero_at_once_if_a_need_waits():
    there = motor("a", [(0, 5000, 50)], end_stop="top")
    house = House(agenda(there)).linked().until(300)
    zero, run = house.orders[0][1].flight, house.orders[1][1].flight
    assert (zero.position, zero.zero, zero.seconds, zero.direction) == (0, True, 44.0, "up")
    assert (run.position, run.zero, run.seconds, run.direction) == (50, False, 20.0, "down")
    assert len(house.orders) == 2


def test_an_unknown_shade_waits_for_a_move_that_is_due_where_no_need_waits():
    house = House(agenda(motor("a", DAY))).linked().until(900)
    assert house.given() == []
    assert word(house) == "not known"
    assert house.until(6000).given() == [(1000, 100), (5000, 0)]
    assert house.orders[0][1].flight.zero


@pytest.mark.parametrize(
    ("stop", "position", "first"),
    [
        ("both", 100, 100),
        ("bottom", 100, 100),
        ("top", 100, 0),
        ("bottom", 50, 100),
        ("both", 50, 0),
    ],
)
def test_the_zero_is_found_where_a_stop_is(stop, position, first):
    there = motor("a", [(0, 5000, position)], end_stop=stop)
    house = House(agenda(there)).linked().until(300)
    assert next(order.flight.position for _, order in house.orders) == first
    assert house.orders[0][1].flight.zero
    assert house.state.of("a").position == position


def test_without_a_stop_no_run_goes_on_against_one():
    """Only a motor that knows its place can be sent, and no number of seconds goes with it."""
    house = House(agenda(motor("a", [(0, 5000, 100)], end_stop="none"))).linked().until(300)
    flight = house.orders[0][1].flight
    assert (flight.seconds, flight.zero) == (None, False)


def test_an_uncertain_place_is_put_right_at_a_move_that_is_due_anyway():
    """Two moves each for two closings part of the way: at the fourth, up to the top, its zero."""
    halves = [(t, t + 500, 50) for t in (1000, 2000, 3000)]
    there = motor("a", halves, end_stop="top", home_after=3)
    house = House(agenda(there)).known(a=0).linked().until(4000)
    assert [order.flight.zero for _, order in house.orders] == [False] * 3 + [True] + [False] * 2
    assert house.orders[3][1].flight.seconds == 20.0 + 4.0
    assert len(house.orders) == 6


def test_an_uncertain_place_is_put_right_below_where_there_is_no_stop_above():
    halves = [(t, t + 500, 50) for t in (1000, 2000)]
    there = motor("a", halves, end_stop="bottom", home_after=2)
    house = House(agenda(there)).known(a=0).linked().until(3000)
    runs = [(order.flight.position, order.flight.zero) for _, order in house.orders]
    assert runs == [(50, False), (0, False), (100, True), (50, False), (0, False)]


def test_a_zero_for_which_there_is_no_time_waits_for_another_move():
    """From half way to the top takes 20 s, and 4 s more to its zero: quiet hours come between."""
    halves = [(t, t + 500, 50) for t in (1000, 5000)]
    there = motor("a", halves, end_stop="top", home_after=1, quiet=(spell(1522, 4000),))
    house = House(agenda(there)).known(a=0).linked().until(6000)
    runs = [(at, order.flight.zero, order.flight.seconds) for at, order in house.orders]
    first_up, last_up = runs[1], runs[3]
    assert house.given() == [(1000, 50), (1500, 0), (5000, 50), (5500, 0)]
    assert first_up[1:] == (False, 20.0)
    assert last_up[1:] == (True, 24.0)


@pytest.mark.parametrize(
    ("stop", "seconds", "direction"), [("top", 54.0, "up"), ("bottom", 44.0, "down")]
)
def test_a_run_to_the_zero_is_a_whole_run_its_own_way_and_more(stop, seconds, direction):
    """Down in 40 s, up in 50 s, and 4 s against the stop."""
    there = motor("a", [(0, 5000, 50)], end_stop=stop, runs=even_runs(40.0, 1.25))
    zero = House(agenda(there)).linked().until(300).orders[0][1].flight
    assert (zero.zero, zero.seconds, zero.direction) == (True, seconds, direction)


@pytest.mark.parametrize("known", [{"a": 0.0}, {}])
def test_a_motor_whose_travel_nobody_timed_is_only_told_where_to_go(known):
    there = motor("a", [(1000, 5000, 50)], end_stop="top", home_after=1, runs=MotorRuns(None))
    house = House(agenda(there)).known(**known).linked().until(6000)
    assert house.given() == ([] if known else [(1000, 0)]) + [(1000, 50), (5000, 0)]
    flights = [order.flight for _, order in house.orders]
    assert all(flight.seconds is None and flight.until == flight.sent for flight in flights)
    assert flights[-1].zero
    assert {remark.text for remark in house.remarks if remark.event == "order"} >= {
        "told to go to 50 %: sun on a",
        "told to open, to find its zero: over: sun on a",
    }


def test_a_shade_that_stands_at_its_stop_already_does_not_run_against_it_first():
    there = motor("a", [(0, 5000, 50)], end_stop="bottom", home_after=1)
    house = House(agenda(there)).known(a=100)
    lost = replace(house.state.of("a"), halfway=3)
    house.state = house.state.having("a", lost)
    assert house.linked().until(1100).given() == [(0, 50)]


def test_what_is_ordered_is_told_with_its_reason():
    there = agenda(motor("a", [(0, 5000, 50)], end_stop="top"))
    house = House(there).linked().until(6000)
    assert [remark.text for remark in house.remarks if remark.event == "order"] == [
        "told to open, 44 s up, to find its zero: to find its zero, then 50 %: sun on a",
        "told to go to 50 %, 20 s down: sun on a",
        "told to open, 20 s up: over: sun on a",
    ]
    assert house.waits == {}


def test_a_run_up_may_take_longer():
    house = House(agenda(motor("a", DAY, runs=even_runs(40.0, 1.25)))).known(a=0).linked()
    seconds = [order.flight.seconds for _, order in house.until(6000).orders]
    assert seconds == [40.0, 50.0]


def test_pauses_triple_up_to_an_hour():
    assert [pause_after(n) for n in (1, 2, 3, 4, 5, 6, 7, 30)] == [
        10, 30, 90, 270, 810, 2430, 3600, 3600,
    ]  # fmt: skip


def test_a_silent_motor_is_tried_again_and_the_others_go_on():
    there = agenda(
        motor("a", [(1000, 50000, 100)], end_stop="both"), motor("b", [(1500, 50000, 100)])
    )
    house = House(there, motor_of=lambda o: is_silent(o) if o.slug == "a" else obeys(o))
    house.known(a=0, b=0).linked().until(1700)
    times = [at for at, _ in house.given("a")]
    # The first run is 40 s, those that find the zero 44 s; 20 s for the answer, then the pause.
    assert times == [1000, 1000 + 60 + 10, 1070 + 64 + 30, 1164 + 64 + 90, 1318 + 64 + 270]
    assert word(house) == "no answer"
    assert house.given("b") == [(1500, 100)]
    assert word(house, "b") == "as planned"


def test_a_motor_that_comes_back_is_ordered_at_once():
    house = House(agenda(motor("a", [(1000, 50000, 100)])), motor_of=is_silent)
    house.known(a=0).linked().until(2000)
    house.motor_of = obeys
    house.tell(Report("a", None, 0.0, moving=False))
    assert house.given()[-1] == (2000, 100)
    assert house.until(2100)
    assert word(house) == "as planned"


@pytest.mark.parametrize(
    ("answers", "until", "given"),
    [
        ([(TRAVEL, {}), (TRAVEL + 1, {}), (TRAVEL + 4100, {})], 9000, [(1000, 100), (5000, 0)]),
        ([(TRAVEL + 25, {})], 2000, [(1000, 100)]),
        ([(15, {"position": None, "moving": True}), (TRAVEL + 25, {})], 2000, [(1000, 100)]),
        ([(TRAVEL, {}), (TRAVEL + 1, {"moving": True})], 4000, [(1000, 100)]),
        ([(TRAVEL, {"position": None})], 3000, [(1000, 100)]),
    ],
    ids=["twice", "too late", "that it runs, then late", "then that it runs", "without a place"],
)
def test_an_answer_is_believed_however_it_comes(answers, until, given):
    def motor_of(order):
        [(_, done)] = obeys(order)
        return [(after, replace(done, **changes)) for after, changes in answers]

    house = House(agenda(motor("a", DAY)), motor_of=motor_of).known(a=0).linked().until(until)
    shade = house.state.of("a")
    assert house.given() == given
    assert (word(house), shade.position, shade.silences) == ("as planned", given[-1][1], 0)


def test_a_motor_that_ends_elsewhere_is_sent_again_after_a_pause():
    def short(order: Order) -> list[tuple[float, Report]]:
        after = order.flight.seconds or 0.0
        return [(after, Report(order.slug, order.flight.order, 60.0, moving=False))]

    house = House(agenda(motor("a", [(1000, 50000, 100)])), motor_of=short).known(a=0).linked()
    house.until(1210)
    assert [at for at, _ in house.given()] == [1000, 1050, 1096, 1202]
    assert house.orders[1][1].flight.seconds == pytest.approx(0.4 * TRAVEL)


def test_a_report_without_an_order_is_the_truth():
    house = House(agenda(motor("a", DAY))).known(a=0).linked().until(2000)
    house.tell(Report("a", None, 30.0, moving=False))
    assert house.given()[-1] == (2000, 100)


def test_a_motor_that_never_knows_its_place_may_say_so_again_and_again():
    def blind(order: Order) -> list[tuple[float, Report]]:
        return [(TRAVEL, Report(order.slug, order.flight.order, None, moving=False))]

    house = House(agenda(motor("a", DAY)), motor_of=blind).known(a=0).linked().until(2000)
    house.tell(Report("a", None, None, moving=False))
    assert house.until(3000).given() == [(1000, 100)]
    house.tell(Report("a", None, 90.0, moving=False), Report("a", None, None, moving=False))
    assert house.state.of("a").position is None  # it knew, and does no more


def test_a_motor_that_says_for_ever_that_it_runs_is_silent():
    def runs(order: Order) -> list[tuple[float, Report]]:
        begun = Report(order.slug, order.flight.order, None, moving=True)
        return [(at, begun) for at in range(0, 120, 5)]

    house = House(agenda(motor("a", [(1000, 50000, 100)])), motor_of=runs).known(a=0).linked()
    house.until(3000)
    assert word(house) == "no answer"
    assert len(house.orders) <= 6  # by pauses that triple, not one after the other


def test_a_shade_that_leaves_its_place_by_itself_is_not_chased():
    def sinks(order: Order) -> list[tuple[float, Report]]:
        [(after, done)] = obeys(order)
        return [(after, done), (after + 1, Report(order.slug, None, 96.0, moving=False))]

    house = House(agenda(motor("a", [(1000, 50000, 100)])), motor_of=sinks).known(a=0).linked()
    house.until(1300)
    assert len(house.orders) <= 2 + 3  # at once, then after 10, 30 and 90 s


def test_an_answer_that_went_with_the_broker_is_no_silence():
    house = House(agenda(motor("a", [(1000, 50000, 100)])), motor_of=is_silent).known(a=0)
    house.linked().until(1010)
    house.tell(Unlinked())
    house.until(1600).linked()
    house.motor_of = obeys
    house.until(1700)
    assert house.given() == [(1000, 100), (1605, 100)]
    assert house.state.of("a").silences == 0


def test_what_the_broker_kept_from_before_an_order_does_not_end_its_run():
    house = House(agenda(motor("a", [(1000, 50000, 100)]))).known(a=0).linked().until(1010)
    house.tell(Restarted(), Linked(), Report("a", None, 0.0, moving=False))
    assert house.until(2000).given() == [(1000, 100)]


def test_a_plan_that_has_no_such_day_moves_nothing():
    house = House(agenda(motor("a", DAY))).known(a=0).linked()
    house.now = START + 300 * 86400.0
    house.tell(Stepped(300 * 86400.0))
    house.now = START - 30 * 86400.0
    house.tell(Stepped(-330 * 86400.0))
    assert house.orders == []


def test_a_hand_wins_until_the_plans_next_move():
    twice = [(1000, 5000, 100), (7000, 9000, 100)]
    house = House(agenda(motor("a", twice))).known(a=0).linked().until(2000)
    house.tell(Hand("a", 0.0))
    assert word(house) == "by hand"
    house.until(6900)
    assert house.given() == [(1000, 100)]  # at 5000 it stands open already
    assert house.until(7100).given()[-1] == (7000, 100)


def test_a_hand_wins_for_as_long_as_the_shade_says():
    house = House(agenda(motor("a", DAY, after_hand=600.0))).known(a=0).linked().until(2000)
    house.tell(Hand("a", 0.0))
    assert house.until(3000).given() == [(1000, 100), (2600, 100)]


def test_a_stop_by_hand_leaves_the_place_unknown_unless_the_motor_tells():
    house = House(agenda(motor("a", DAY, after_hand=100.0)), motor_of=is_silent).known(a=0)
    house.linked().until(1010)
    house.tell(Hand("a", stop=True))
    house.motor_of = obeys
    assert house.state.of("a").position is None
    assert house.until(2000).given()[1:] == [(1110, 100)]
    assert house.orders[1][1].flight.zero
    house.tell(Hand("a", stop=True), Report("a", None, 70.0, moving=False))
    assert house.state.of("a").position == 70.0
    assert word(house) == "by hand"


def test_a_hold_stops_everything_and_its_end_makes_up_for_it():
    house = House(agenda(motor("a", DAY))).known(a=0).linked().until(500)
    house.tell(Hold())
    assert house.until(1500).given() == []
    assert word(house) == "held"
    house.tell(Hold(off=True))
    assert house.given() == [(1500, 100)]
    house.until(1600).tell(Hold(START + 5500))
    assert house.until(6000).given() == [(1500, 100), (5500, 0)]


def test_no_move_in_quiet_hours_whatever_it_is_for():
    there = motor("a", [(1000, 20000, 100)], quiet=(spell(1020, 3000),))
    house = House(agenda(there)).linked().until(2000)
    # The closing is planned so that its run does not fit: it waits for their end.
    assert house.given() == []
    assert word(house) == "not known"
    assert house.until(4000).given() == [(3000, 100)]


def test_a_planned_run_may_end_as_quiet_hours_begin():
    there = motor("a", [(960, 20000, 100)], quiet=(spell(1000, 3000),))
    house = House(agenda(there)).known(a=0).linked().until(3500)
    assert house.given() == [(960, 100)]
    # An order has two seconds to arrive, however near its latest start is.
    assert house.orders[0][1].flight.not_after == pytest.approx(START + 962, abs=0.01)


def test_trying_again_keeps_out_of_quiet_hours():
    there = motor("a", [(900, 20000, 100)], quiet=(spell(1000, 3000),))
    house = House(agenda(there), motor_of=is_silent).known(a=0).linked().until(3001)
    assert [at for at, _ in house.given()] == [900, 3000]


def test_nothing_comes_down_while_it_has_to_stay_up():
    there = motor("a", [(1000, 20000, 100)], up=(spell(1030, 3000),))
    house = House(agenda(there)).known(a=0).linked().until(4000)
    assert house.given() == [(3000, 100)]


def test_a_supply_runs_no_more_motors_than_it_can():
    there = agenda(
        *(motor(slug, [(1000, 50000, 100)]) for slug in "abc"), feeds=(feed("a", "b", "c"),)
    )
    house = House(there).known(a=0, b=0, c=0).linked().until(2000)
    starts = [at for at, _ in house.given()]
    assert len(starts) == 3
    assert all(late - soon >= TRAVEL for soon, late in itertools.pairwise(starts))


def test_a_silent_motor_may_still_run_and_keeps_its_supply_for_its_answers_time():
    there = agenda(*(motor(slug, [(1000, 50000, 100)]) for slug in "ab"), feeds=(feed("a", "b"),))
    house = House(there, motor_of=lambda o: is_silent(o) if o.slug == "a" else obeys(o))
    house.known(a=0, b=0).linked().until(1200)
    assert house.given("b") == [(1060, 100)]


def test_starts_on_a_supply_are_a_gap_apart():
    there = agenda(
        *(motor(slug, [(1000, 50000, 100)]) for slug in "ab"),
        feeds=(feed("a", "b", at_once=2, gap=15.0),),
    )
    house = House(there).known(a=0, b=0).linked().until(2000)
    assert [at for at, _ in house.given()] == [1000, 1015]


def test_nothing_leaves_without_a_broker():
    house = House(agenda(motor("a", DAY))).known(a=0).until(2000)
    assert house.given() == []
    assert house.linked().until(2010).given() == [(2000, 100)]


@pytest.mark.parametrize(
    ("travel", "after"), [(TRAVEL, EVIDENCE_S), (2.0, 2.0 + AFTER_RUN_S)], ids=["long", "short"]
)
def test_an_order_that_may_have_left_keeps_its_name(travel, after):
    """Killed just when it was sent: nobody knows. Its motor gets it again under the same name, once
    it would have been heard of.
    """
    there = agenda(motor("a", DAY, runs=even_runs(travel)))
    house = House(there, motor_of=is_silent).known(a=0).linked().until(1000.005)
    name = house.orders[0][1].flight.order
    house.coming = []  # the broker's receipt is lost with the keeper
    house.now += 1
    house.tell(Restarted())
    house.motor_of = obeys
    house.linked().until(1100)
    again = house.orders[1][1]
    assert (again.flight.order, again.again) == (name, True)
    assert house.orders[1][0] == pytest.approx(1001.005 + after, abs=0.01)
    assert len(house.orders) == 2


def test_an_order_that_its_motor_has_is_not_given_again():
    house = House(agenda(motor("a", DAY)), motor_of=is_silent).known(a=0).linked().until(1000.005)
    name = house.orders[0][1].flight.order
    house.coming = []
    house.tell(Restarted(), Linked(), Report("a", name, None, moving=True))
    house.at(1060, Report("a", name, 100.0, moving=False))
    assert len(house.until(2000).orders) == 1


def test_an_order_gone_stale_is_forgotten():
    house = House(agenda(motor("a", DAY)), motor_of=is_silent).known(a=0).linked().until(1000.005)
    house.coming = []
    house.tell(Unlinked())
    house.now += 600
    house.motor_of = obeys
    house.linked().until(1700)
    assert len(house.orders) == 2
    assert house.orders[1][1].flight.order != house.orders[0][1].flight.order


def test_an_order_that_never_left_is_no_silence():
    house = House(agenda(motor("a", DAY)), motor_of=is_silent).known(a=0).linked().until(1000)
    order = house.orders[0][1]
    house.motor_of = obeys
    house.tell(Undelivered("a", order.flight.order, "the broker went"))
    house.until(1100)
    assert len(house.orders) == 2
    assert house.state.of("a").silences == 0


def test_a_clock_set_ahead_gives_no_false_silence():
    house = House(agenda(motor("a", [(1000, 90000, 100)])), motor_of=is_silent).known(a=0).linked()
    house.until(1010)
    house.now += 7200
    house.tell(Stepped(7200.0))
    flight = house.state.of("a").flight
    assert flight.deadline == pytest.approx(START + 1000 + 60 + 7200)


@pytest.mark.parametrize("by", [-7200.0, 7200.0])
def test_a_clock_that_is_set_is_obeyed(by):
    plan = [(500, 5000, 100), (11000, 15000, 100)]
    house = House(agenda(motor("a", plan)), now=START + 8000.0).known(a=0).linked().until(8010)
    house.now += by
    house.tell(Stepped(by))
    house.until(house.now - START + 100)
    standing = 100 if by < 0 else 0
    assert house.state.of("a").position == standing


def test_a_program_that_fails_is_tried_again():
    there = agenda(motor("a", [(1000, 50000, 100)], program=("relay",)), broker=None)
    house = House(there, motor_of=is_silent).known(a=0).until(1001)
    house.tell(Ended("a", house.orders[0][1].flight.order, "exit status 3"))
    house.until(1050)
    assert [at for at, _ in house.given()] == [1000, 1011]
    house.tell(Ended("a", house.orders[1][1].flight.order))
    assert house.until(2000).state.of("a").position == 100
    assert len(house.orders) == 2


SUN = {
    "sensors": (Sensor("roof", "roof/light", "light"),),
    "sunny": SunRule("roof", 30000.0, 120.0, 1200.0),
}


def cloudy(house: House, start: int, end: int, value: float) -> None:
    """A reading a minute."""
    for at in range(start, end, 60):
        house.at(at, Reading("roof", value))


def sunlit(slug: str = "a", **keys: object):
    return motor(slug, [(1000, 50000, 100)], sunlit=(spell(1000, 50000),), **keys)


def test_a_closing_waits_for_real_sun():
    house = House(agenda(sunlit(), **SUN)).known(a=0).linked()
    cloudy(house, -3000, 10000, 100.0)
    house.now -= 3000
    assert house.until(9000).given() == []
    cloudy(house, 10020, 20000, 50000.0)
    assert house.until(15000).given() == [(10140, 100)]


def test_clouds_open_it_after_a_while_but_not_for_what_the_sun_is_not_needed_for():
    there = agenda(sunlit(), motor("b", [(1000, 50000, 100)]), **SUN)
    house = House(there).known(a=0, b=0).linked()
    cloudy(house, 0, 3000, 50000.0)
    cloudy(house, 3000, 9000, 100.0)
    house.until(8000)
    assert house.given("a") == [(1000, 100), (3000 + 1200, 0)]
    assert house.given("b") == [(1000, 100)]


def test_a_sensors_switching_keeps_to_the_days_moves():
    """Four moves a day: after closing, opening and closing again none but the last is left."""
    there = agenda(sunlit(moves=4, shortest=0.0, merge=0.0), **SUN)
    house = House(there).known(a=0).linked()
    for hour in range(0, 48000, 6000):
        cloudy(house, hour, hour + 3000, 50000.0)
        cloudy(house, hour + 3000, hour + 6000, 100.0)
    assert len(house.until(47000).orders) <= 4


def test_a_silent_sensor_is_told_and_the_clear_sky_holds():
    house = House(agenda(sunlit(), **SUN)).known(a=0).linked()
    cloudy(house, -3000, 2000, 100.0)
    house.now -= 3000
    house.until(2100)
    assert house.given() == []
    house.until(2300)  # last heard at 1980, usually every 60 s
    assert [at for at, _ in house.given()] == [1980 + 180]
    assert sum("silent" in remark.text for remark in house.remarks) == 1


WIND = {"sensors": (Sensor("mast", "mast", "wind"),), "windy": WindRule("mast", 9.0, 900.0)}


def blown(house, end=3000):
    """A reading a minute: a storm from 2000 to `end`."""
    for at in range(0, 20000, 60):
        house.at(at, Reading("mast", 12.0 if 2000 < at < end else 3.0))
    return house


def test_strong_wind_raises_shades_outdoors_and_keeps_them_up():
    there = agenda(
        motor("a", [(1000, 50000, 100)], outdoors=True), motor("b", [(1000, 50000, 100)]), **WIND
    )
    house = House(there).known(a=0, b=0).linked()
    blown(house).until(10000)
    assert house.given("a") == [(1000, 100), (2040, 0), (3000 + 900, 100)]
    assert house.given("b") == [(1000, 100)]


def test_after_the_wind_it_comes_down_only_where_the_days_moves_allow():
    for moves, positions in ((4, [100, 0, 100]), (3, [100, 0])):
        there = agenda(motor("a", [(1000, 50000, 100)], outdoors=True, moves=moves), **WIND)
        house = House(there).known(a=0).linked()
        assert [position for _, position in blown(house).until(10000).given()] == positions


def test_a_silent_motor_in_the_wind_is_tried_with_pauses_too():
    house = House(agenda(motor("a", [(1000, 50000, 100)], outdoors=True), **WIND))
    house.known(a=0).linked()
    blown(house).until(1900)
    house.motor_of = is_silent
    house.until(2300)
    assert [at for at, _ in house.given()] == [1000, 2040, 2040 + 60 + 10, 2110 + 64 + 30]
