"""The search for when a scene is lit, on scenes whose times are known beforehand."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from suncover.facade.daylight import Daylight
from suncover.facade.search.crossings import (
    CHUNK_DAYS,
    LEVELS,
    TURN,
    clip,
    common,
    join,
    lit_intervals,
)
from suncover.sun.position import Observer, sun_directions

HERE = Observer(47.0, 8.5)
DAY = 86400
NEW_YEAR = int(datetime(2026, 1, 1, tzinfo=UTC).timestamp())
PRECISION = 0.05

Times = list[tuple[float, float]]


class Timed:
    """Lit at given times, whatever the sun does; counts what it is asked."""

    def __init__(self, times: Times) -> None:
        self._edges = np.array(times, dtype=float).ravel()
        self.asked = 0

    def lit(self, sun: Daylight) -> np.ndarray:
        self.asked += len(sun.seconds)
        return np.searchsorted(self._edges, sun.seconds, side="right") % 2 == 1

    def settled(self, sun: Daylight) -> np.ndarray:
        """Known where no edge falls within the time in which the sun moves by the radius."""
        self.asked += len(sun.seconds)
        half = sun.radius / TURN
        days = np.arange(-sun.days, sun.days + 1) * float(DAY)
        begin = np.searchsorted(self._edges, sun.seconds[:, None] + days - half, side="right")
        end = np.searchsorted(self._edges, sun.seconds[:, None] + days + half, side="left")
        state = np.where(begin != end, 0, np.where(begin % 2 == 1, 1, -1))
        return np.where((state == state[:, :1]).all(axis=1), state[:, 0], 0)


def assert_found(times: Times, start: float, end: float) -> Timed:
    scene = Timed(times)
    found = lit_intervals(scene, HERE, start, end)
    expected = np.array(times, dtype=float).reshape(-1, 2)
    assert found.shape == expected.shape
    assert np.abs(found - expected).max(initial=0.0) < PRECISION
    return scene


def at(day: float, second: float = 0.0) -> float:
    return NEW_YEAR + day * DAY + second


YEAR = (at(0), at(365))
KNOWN = {
    "one minute": [(at(5, 40_000.3), at(5, 40_060.3))],
    "one minute just before midnight": [(at(6, -60.7), at(6, -0.7))],
    "twelve seconds": [(at(7, 33.3), at(7, 45.3))],
    "gap of 15 s": [(at(8, 30_000), at(8, 31_000)), (at(8, 31_015), at(8, 32_000))],
    "slivers a minute apart": [(at(9, 100 * n + 0.9), at(9, 100 * n + 40)) for n in range(20)],
    "across midnight": [(at(30, 80_000), at(31, 9_000))],
    "from midnight to midnight": [(at(40), at(41))],
    "for many days": [(at(120, 1234.5), at(190, 5678.9))],
    "for the whole time": [(at(0), at(365))],
    "across the end of a block of nine days": [(at(9, -50.0), at(9, 50.0))],
    "a sliver every day": [(at(n, 40_000 + 31 * n), at(n, 40_061 + 31 * n)) for n in range(365)],
    "ends on whole minutes": [(at(3, 36_000), at(3, 36_600)), (at(4, 36_060), at(4, 36_120))],
    "never": [],
}


@pytest.mark.parametrize("name", KNOWN)
def test_known_times_are_found_to_a_twentieth_of_a_second(name):
    scene = assert_found(KNOWN[name], *YEAR)
    # Plain sampling every ten seconds would ask 3 million times.
    assert scene.asked < 200_000


@given(st.lists(st.floats(11.0, 40_000.0), max_size=60), st.floats(0.0, 86_400.0))
def test_random_times(lengths, first):
    edges = at(100, first) + np.cumsum(lengths[: len(lengths) // 2 * 2])
    times = [(float(a), float(b)) for a, b in edges.reshape(-1, 2)]
    assert_found(times, at(99), at(99 + 32))


@pytest.mark.parametrize("last", [1, 8, 9, 10, 369, 400])
def test_any_number_of_days(last):
    """A minute at the end of each day, and one at the very end of the time asked for."""
    times = [(at(n, 86_000), at(n, 86_060)) for n in range(last)] + [(at(last, -60), at(last))]
    assert_found(times, at(0), at(last))


def test_stretches_that_are_searched_one_after_the_other_join():
    """Long requests are cut; what is lit across the cut stays one."""
    cut = CHUNK_DAYS
    times = [
        (at(cut - 1, 500.0), at(cut - 1, 600.0)),
        (at(cut, -400.0), at(cut, 250.0)),
        (at(2 * cut - 20), at(2 * cut + 20)),
    ]
    assert_found(times, at(0), at(2 * cut + 30))


def test_starts_at_any_second_and_cuts_at_start_and_end():
    scene = Timed([(at(1, 3_000), at(1, 4_000)), (at(2, 3_000), at(2, 4_000))])
    found = lit_intervals(scene, HERE, at(1, 3_333.0), at(2, 3_600.0))
    expected = [[at(1, 3_333.0), at(1, 4_000)], [at(2, 3_000), at(2, 3_600.0)]]
    assert found == pytest.approx(np.array(expected), abs=PRECISION)
    for end in (at(3), at(2, 86_399.5), at(2)):  # no time
        assert lit_intervals(Timed([YEAR]), HERE, at(3), end).shape == (0, 2)
    found_less = lit_intervals(Timed([YEAR]), HERE, at(3), at(3, 4.0))  # than a sample
    assert found_less.tolist() == [[at(3), at(3, 4.0)]]
    # Where it is cut, it is cut exactly.
    assert found[0, 0] == at(1, 3_333.0)
    assert found[1, 1] == at(2, 3_600.0)


@pytest.mark.parametrize("latitude", [0.0, 23.4, 47.0, -66.0, 78.0, 90.0])
@pytest.mark.parametrize("level", LEVELS, ids=lambda level: f"{level.days} d x {level.slice} s")
def test_patches_hold_the_sun_of_all_their_days_and_minutes(level, latitude):
    """What the search takes for granted: the patch's radius is nowhere too small.

    Seen in the sky, that is where refraction does not end abruptly.
    """
    rng = np.random.default_rng(int(latitude + 100))
    middle = at(0) + rng.uniform(0, 366 * DAY, 1500)
    observer = Observer(latitude, 30.0)
    centre = sun_directions(middle, observer, smooth=True)
    days = np.array([-(level.days // 2), 0, level.days // 2])
    for day in days:
        for offset in (-0.5, -0.3, 0.0, 0.5):
            times = middle + day * DAY + offset * level.slice
            there = sun_directions(times, observer, smooth=True)
            apart = np.degrees(2 * np.arcsin(np.linalg.norm(there - centre, axis=0) / 2))
            up = (there[2] > 0) & (centre[2] > 0)
            assert apart[up].max(initial=0.0) <= level.radius


def brute(intervals: np.ndarray, length: int) -> set[int]:
    return {second for begin, end in intervals for second in range(int(begin), int(end))} & set(
        range(length)
    )


raw = st.lists(st.tuples(st.integers(0, 80), st.integers(1, 15)), max_size=8).map(
    lambda pairs: np.array([(a, a + b) for a, b in pairs], dtype=float).reshape(-1, 2)
)


@given(raw)
def test_join_holds_the_same_time_and_no_seams(intervals):
    joined = join(intervals)
    assert brute(joined, 100) == brute(intervals, 100)
    assert (joined[1:, 0] > joined[:-1, 1]).all()


@given(raw, st.integers(0, 50), st.integers(50, 100))
def test_clip_keeps_what_lies_between(intervals, start, end):
    cut = clip(join(intervals), start, end)
    assert brute(cut, 100) == brute(intervals, 100) & set(range(start, end))
    assert (cut[:, 1] > cut[:, 0]).all()


@given(raw, raw)
def test_common_holds_what_both_hold(first, second):
    both = common(join(first), join(second))
    assert brute(both, 100) == brute(first, 100) & brute(second, 100)
    assert (both[:, 1] > both[:, 0]).all()
    assert (both[1:, 0] >= both[:-1, 1]).all()
