"""How far down a shade goes in each closing, when it makes a full run, and for how long it runs."""

from datetime import datetime
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from suncover.base.spell import Spell, union
from suncover.plan.closings.shade_plan import make_shade_plan
from suncover.plan.closings.stops import positions_of, run_seconds, wants_in_each
from suncover.plan.needs import Want
from suncover.site.model import Shade

BERN = ZoneInfo("Europe/Zurich")


def shade(**keys):
    plain = {"name": "s", "windows": ["w"], "lead": 0, "lag": 0, "merge": 0, "shortest": 0}
    return Shade.model_validate({**plain, **keys})


def at(text):
    return int(datetime.fromisoformat(f"2026-06-{text}:00+02:00").timestamp())


def want(start, end, need="glare", position=100.0, **keys):
    return Want(Spell(at(start), at(end)), need, keys.pop("what", "desk"), position, **keys)


def plan(own, *wants):
    return make_shade_plan(own, [w.spell for w in wants], BERN, None, wants=wants)


def test_a_closing_goes_to_the_highest_stop_that_meets_all_it_holds():
    own = shade(stops=[25, 50, 75, 100], merge=60)
    closings = plan(
        own,
        want("01T09:00", "01T10:00", position=20),
        want("01T10:30", "01T11:00", position=50.1),
        want("01T15:00", "01T16:00", position=25),
        want("02T09:00", "02T10:00", position=75.5),
        want("03T09:00", "03T10:00", position=10),
        want("03T09:30", "03T09:40", "heat"),
    ).closings
    assert [closing.position for closing in closings] == [75, 25, 100, 100]


def test_without_wants_or_stops_a_closing_is_full():
    spells = [Spell(at("01T09:00"), at("01T10:00"))]
    own = shade(stops=[50, 100])
    assert make_shade_plan(own, spells, BERN, None).closings[0].position == 100
    assert plan(shade(), want("01T09:00", "01T10:00", position=20)).closings[0].position == 100


def test_a_full_run_after_so_many_moves_part_of_the_way():
    """Down and up again are two moves: after four of them the third closing is a full run."""
    own = shade(stops=[50, 100], home_after=4)
    days = [want(f"{day:02d}T09:00", f"{day:02d}T10:00", position=30) for day in range(1, 9)]
    closings = plan(own, *days).closings
    assert [c.position for c in closings] == [50, 50, 100, 50, 50, 100, 50, 50]
    assert closings[2].reason.endswith(
        "; closes fully, to find its place again after 4 moves part of the way"
    )
    # A full closing for another reason is a full run too, and the count starts anew.
    days[1] = want("02T09:00", "02T10:00", "heat")
    assert [c.position for c in plan(own, *days).closings] == [50, 100, 50, 50, 100, 50, 50, 100]


@given(
    asked=st.lists(st.floats(0, 100), max_size=40),
    stops=st.sets(st.integers(1, 99), max_size=4),
    home_after=st.none() | st.integers(1, 9),
)
def test_no_closing_falls_short_and_no_run_is_longer_than_allowed(asked, stops, home_after):
    own = shade(stops=[*sorted(stops), 100])
    own = own.model_copy(update={"home_after": home_after})
    held = [[want("01T09:00", "01T10:00", position=position)] for position in asked]
    downs = positions_of(own, held)
    moves = 0
    for down, position in zip(downs, asked, strict=True):
        assert down.position in own.stops
        assert down.position >= position - 1e-9
        higher = [stop for stop in own.stops if stop < down.position]
        if not down.home and higher:
            assert max(higher) < position
        if home_after is not None and down.position < 100:
            assert moves < home_after
        assert down.home == (moves if down.home else 0)
        moves = 0 if down.position == 100 else moves + 2


@given(
    wants=st.lists(st.tuples(st.integers(0, 500), st.integers(1, 60)), max_size=30),
    closings=st.lists(st.tuples(st.integers(0, 500), st.integers(1, 60)), max_size=12),
)
def test_each_closing_holds_the_wants_that_it_meets(wants, closings):
    some = [Want(Spell(a, a + n), "glare") for a, n in wants]
    covered = union(Spell(a, a + n) for a, n in closings)
    held = wants_in_each(some, covered)
    for closing, got in zip(covered, held, strict=True):
        met = [w for w in some if w.spell.start < closing.end and closing.start < w.spell.end]
        assert sorted(map(repr, got)) == sorted(map(repr, met))


ROLLER = {"tube": 0.05, "thickness": 0.0005, "drop": 2.4}


def test_seconds_to_a_stop_follow_the_roll():
    """D = √(d² + 4 t L / π): 63.47 mm all up, 57.14 mm half way, 50 mm down; 13.466 turns."""
    own = shade(stops=[50, 100], travel=30, roller=ROLLER)
    assert run_seconds(own, 100) == 30
    assert run_seconds(own, 50) == 14.1  # 30 * (63.4715 - 57.1370) / 13.4715, to a tenth
    (closing,) = plan(own, want("01T09:00", "01T10:00", position=30)).closings
    assert closing.run_seconds == run_seconds(own, 50)
    assert closing.close == at("01T09:00") - 30  # a full run before, whatever the stop
    turned = shade(stops=[50, 100], roller={**ROLLER, "turns_per_minute": 28})
    assert run_seconds(turned, 100) == 28.9  # 13.466 / 28 * 60
    assert turned.travel == 29  # the full run, seconds begun, is what the plan allows for
    assert run_seconds(shade(travel=30), 100) is None
