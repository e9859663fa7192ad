"""A shade's plan: each rule by itself, then how they meet, as clock times that can be read."""

from __future__ import annotations

from datetime import date, datetime, time
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from suncover.base import clock
from suncover.base.spell import Spell
from suncover.plan.closings import reasons
from suncover.plan.closings.rules import Draft, keep_to_moves
from suncover.plan.closings.shade_plan import (
    Closing,
    ShadePlan,
    Uncovered,
    make_shade_plan,
    motor_moves_by_date,
)
from suncover.plan.motor import Motor, blocked_starts
from suncover.site.model import Shade

NEW_YORK = ZoneInfo("America/New_York")
NIGHT = (time(21, 30), time(7))
# A shade that closes just while the sun is there: each test sets the one rule that it is about.
PLAIN = {"travel": 0, "lead": 0, "lag": 0, "merge": 0, "shortest": 0}


def shade(**rules: Any) -> Shade:
    return Shade.model_validate({"name": "roller", "windows": ["kitchen"], **PLAIN, **rules})


def at(text: str, zone: ZoneInfo = NEW_YORK) -> int:
    """The instant of `6-1 09:12` or `6-1 09:12:40` in 2026, local time that comes once."""
    day, wall = text.split()
    month, number = day.split("-")
    moment = datetime.combine(date(2026, int(month), int(number)), time.fromisoformat(wall))
    return int(moment.replace(tzinfo=zone).timestamp())


def sun(*edges: str, zone: ZoneInfo = NEW_YORK) -> list[Spell]:
    """Spells from texts `6-1 09:12 - 11:40` or `6-1 22:00 - 6-2 03:00`."""
    spells = []
    for text in edges:
        start, end = text.split(" - ")
        spells.append(
            Spell(at(start, zone), at(end if " " in end else f"{start.split()[0]} {end}", zone))
        )
    return spells


def shown(closings: tuple[Closing, ...], zone: ZoneInfo = NEW_YORK) -> list[str]:
    """The closings as `6-1 09:12 - 11:40`, with seconds or another date only where they matter."""
    return [_interval(closing.close, closing.open, zone) for closing in closings]


def left(plan: ShadePlan, zone: ZoneInfo = NEW_YORK) -> list[str]:
    return [_interval(part.start, part.end, zone) for part in plan.uncovered]


def _interval(start: int, end: int, zone: ZoneInfo) -> str:
    first, last = (datetime.fromtimestamp(moment, zone) for moment in (start, end))
    texts = [f"{m.month}-{m.day} {m:%H:%M:%S}".removesuffix(":00") for m in (first, last)]
    if first.date() == last.date():
        texts[1] = texts[1].split()[1]
    return " - ".join(texts)


def plan(
    rules: Shade, *edges: str, season: clock.Season | None = None, zone: ZoneInfo = NEW_YORK
) -> ShadePlan:
    return make_shade_plan(rules, sun(*edges, zone=zone), zone, season)


def test_each_spell_gives_a_closing_from_travel_and_lead_before_to_lag_after() -> None:
    made = plan(shade(travel=75, lead=2, lag=3), "6-1 09:12 - 11:40")
    assert shown(made.closings) == ["6-1 09:08:45 - 11:43"]
    assert made.uncovered == ()
    assert made.remarks == ()


def test_fractions_of_minutes_and_seconds_are_rounded_to_whole_seconds() -> None:
    made = plan(shade(travel=12.5, lead=0.25, lag=0.01), "6-1 09:12 - 11:40")
    assert shown(made.closings) == ["6-1 09:11:32 - 11:40:01"]


def test_a_closing_knows_its_date_minutes_and_sun() -> None:
    (closing,) = plan(shade(travel=75, lead=2, lag=2), "6-1 09:12 - 11:40").closings
    assert closing == Closing(
        shade="roller",
        date=date(2026, 6, 1),
        close=at("6-1 09:08:45"),
        open=at("6-1 11:42"),
        sun_seconds=148 * 60,
        reason="sun 09:12–11:40",
        position=100,
    )
    assert closing.minutes == 153.25


@pytest.mark.parametrize(
    ("merge", "expected"),
    [
        pytest.param(30.02, ["6-1 09:00 - 12:00"], id="gap-is-shorter"),
        pytest.param(30, ["6-1 09:00 - 10:00", "6-1 10:30 - 12:00"], id="gap-is-as-long"),
    ],
)
def test_gaps_shorter_than_merge_are_bridged(merge: float, expected: list[str]) -> None:
    made = plan(shade(merge=merge), "6-1 09:00 - 10:00", "6-1 10:30 - 12:00")
    assert shown(made.closings) == expected


def test_the_gap_that_merge_means_lies_between_closings_not_between_spells() -> None:
    spells = ("6-1 09:00 - 10:00", "6-1 10:30 - 12:00")
    assert len(plan(shade(lead=2, lag=2, merge=26), *spells).closings) == 2
    assert len(plan(shade(lead=2, lag=2, merge=27), *spells).closings) == 1


@pytest.mark.parametrize("lead", [5, 10], ids=["touch", "overlap"])
def test_closings_that_touch_or_overlap_are_one_even_without_merge(lead: int) -> None:
    made = plan(shade(lead=lead, lag=5), "6-1 09:00 - 10:00", "6-1 10:10 - 12:00")
    assert shown(made.closings) == [f"6-1 08:{60 - lead} - 12:05"]


def test_the_sun_of_closings_that_touch_counts_together_for_shortest() -> None:
    made = plan(shade(lead=5, lag=5, shortest=10), "6-1 09:00 - 09:06", "6-1 09:16 - 09:22")
    assert shown(made.closings) == ["6-1 08:55 - 09:27"]


def test_sun_shorter_than_shortest_is_let_in_and_said_to_be() -> None:
    made = plan(
        shade(shortest=10), "6-1 09:00 - 09:09:59", "6-2 09:00 - 09:10", "6-3 09:00 - 09:00:40"
    )
    assert shown(made.closings) == ["6-2 09:00 - 09:10"]
    assert made.uncovered == (
        Uncovered(
            "roller",
            at("6-1 09:00"),
            at("6-1 09:09:59"),
            "9 min of sun, less than the 10 min to close for",
            "shortest",
        ),
        Uncovered(
            "roller",
            at("6-3 09:00"),
            at("6-3 09:00:40"),
            "40 s of sun, less than the 10 min to close for",
            "shortest",
        ),
    )


def test_shortest_counts_the_sun_of_a_closing_after_bridging_not_its_length() -> None:
    spells = ("6-1 09:00 - 09:06", "6-1 09:20 - 09:25")
    assert shown(plan(shade(merge=30, shortest=11), *spells).closings) == ["6-1 09:00 - 09:25"]
    made = plan(shade(merge=30, shortest=12), *spells)
    assert made.closings == ()
    assert left(made) == list(spells)


FOUR_SPELLS = ("6-1 07:00 - 08:00", "6-1 09:00 - 10:00", "6-1 12:00 - 13:00", "6-1 15:30 - 16:00")


@pytest.mark.parametrize(
    ("moves", "expected"),
    [
        pytest.param(8, list(FOUR_SPELLS), id="all-allowed"),
        pytest.param(7, ["6-1 07:00 - 10:00", *FOUR_SPELLS[2:]], id="shortest-gap-first"),
        pytest.param(6, ["6-1 07:00 - 10:00", *FOUR_SPELLS[2:]], id="six"),
        pytest.param(5, ["6-1 07:00 - 13:00", FOUR_SPELLS[3]], id="odd"),
        pytest.param(4, ["6-1 07:00 - 13:00", FOUR_SPELLS[3]], id="four"),
        pytest.param(2, ["6-1 07:00 - 16:00"], id="one-closing"),
    ],
)
def test_the_shortest_gaps_are_bridged_until_the_moves_fit(moves: int, expected: list[str]) -> None:
    made = plan(shade(moves=moves), *FOUR_SPELLS)
    assert shown(made.closings) == expected
    assert made.uncovered == ()


def test_of_gaps_as_long_as_each_other_the_earliest_is_bridged() -> None:
    made = plan(shade(moves=4), "6-1 07:00 - 08:00", "6-1 09:00 - 10:00", "6-1 11:00 - 12:00")
    assert shown(made.closings) == ["6-1 07:00 - 10:00", "6-1 11:00 - 12:00"]


def test_moves_count_on_the_date_on_which_the_motor_runs() -> None:
    """1 June closes, opens, closes; 2 June opens, closes, opens: the night's closing is shared."""
    spells = ("6-1 09:00 - 10:00", "6-1 22:00 - 6-2 04:00", "6-2 09:00 - 10:00")
    assert len(plan(shade(moves=3), *spells).closings) == 3
    made = plan(shade(moves=2), *spells)
    # The gap of 5 hours on 2 June goes before that of 12 hours on 1 June.
    assert shown(made.closings) == ["6-1 09:00 - 6-2 10:00"]


def test_a_gap_over_midnight_is_bridged_for_the_date_after_it() -> None:
    """1 June has two moves and 2 June four: the gap of an hour takes one off each."""
    spells = ("6-1 20:00 - 23:30", "6-2 00:30 - 01:00", "6-2 09:00 - 10:00")
    made = plan(shade(moves=3), *spells)
    assert shown(made.closings) == ["6-1 20:00 - 6-2 01:00", "6-2 09:00 - 10:00"]


def test_only_gaps_that_take_a_move_off_a_full_date_are_bridged() -> None:
    """The shortest gap of all, on 2 June, stays: that date has no move too many."""
    made = plan(
        shade(moves=4),
        "6-1 07:00 - 08:00",
        "6-1 10:00 - 11:00",
        "6-1 14:00 - 15:00",
        "6-2 07:00 - 08:00",
        "6-2 09:00 - 10:00",
    )
    assert shown(made.closings) == [
        "6-1 07:00 - 11:00",
        "6-1 14:00 - 15:00",
        "6-2 07:00 - 08:00",
        "6-2 09:00 - 10:00",
    ]


def test_sun_that_was_too_short_is_covered_when_its_gap_is_bridged_for_the_moves() -> None:
    made = plan(
        shade(moves=2, shortest=10), "6-1 07:00 - 08:00", "6-1 09:00 - 09:05", "6-1 10:00 - 11:00"
    )
    assert shown(made.closings) == ["6-1 07:00 - 11:00"]
    assert made.closings[0].sun_seconds == 125 * 60
    assert made.uncovered == ()


def test_a_limit_that_cannot_be_kept_ends_with_one_closing() -> None:
    """A site file asks for two moves or more; with fewer the rule still ends."""
    drafts = [Draft(at(f"6-1 {h:02d}:00"), at(f"6-1 {h:02d}:30"), h, h) for h in range(5, 20)]
    none = Shade.model_construct(**{**dict(Shade(name="r", windows=("w",))), "moves": 0})
    (whole,) = keep_to_moves(drafts, Motor(none, NEW_YORK))
    assert (whole.close, whole.open, whole.first, whole.last) == (
        at("6-1 05:00"),
        at("6-1 19:30"),
        5,
        19,
    )


@pytest.mark.parametrize(
    ("spell", "expected"),
    [
        pytest.param("6-2 06:41 - 09:00", "6-1 21:28:45 - 6-2 09:00", id="morning-sun"),
        pytest.param(
            "6-1 21:29 - 21:29:30", "6-1 21:27:45 - 6-2 07:00", id="run-would-end-in-them"
        ),
        pytest.param("6-1 21:30 - 21:45", "6-1 21:28:45 - 6-2 07:00", id="run-ends-as-they-begin"),
        pytest.param("6-1 21:30:01 - 21:45", "6-1 21:28:45 - 6-2 07:00", id="a-second-too-late"),
        pytest.param("6-2 07:01:15 - 09:00", "6-2 07:00 - 09:00", id="run-starts-as-they-end"),
        pytest.param("6-2 07:01:14 - 09:00", "6-1 21:28:45 - 6-2 09:00", id="a-second-too-early"),
        pytest.param("6-1 19:00 - 21:28:45", "6-1 18:58:45 - 21:28:45", id="opening-just-fits"),
        pytest.param("6-1 19:00 - 21:28:46", "6-1 18:58:45 - 6-2 07:00", id="opening-waits"),
        pytest.param("6-1 19:00 - 6-2 06:59", "6-1 18:58:45 - 6-2 07:00", id="waits-a-minute"),
    ],
)
def test_early_closes_before_quiet_hours_and_openings_wait(spell: str, expected: str) -> None:
    made = plan(shade(travel=75, quiet=NIGHT), spell)
    assert shown(made.closings) == [expected]
    assert made.uncovered == ()


@pytest.mark.parametrize(
    ("spell", "expected", "uncovered"),
    [
        pytest.param(
            "6-2 06:41 - 09:00", ["6-2 07:00 - 09:00"], ["6-2 06:41 - 07:00"], id="morning-sun"
        ),
        pytest.param("6-2 07:00:30 - 09:00", ["6-2 07:00 - 09:00"], [], id="motor-still-runs"),
        pytest.param("6-2 05:00 - 06:50", [], ["6-2 05:00 - 06:50"], id="gone-by-then"),
        pytest.param("6-2 05:00 - 07:00", [], ["6-2 05:00 - 07:00"], id="gone-just-then"),
        pytest.param(
            "6-2 05:00 - 07:01", ["6-2 07:00 - 07:01"], ["6-2 05:00 - 07:00"], id="a-minute-left"
        ),
    ],
)
def test_late_waits_for_the_end_of_quiet_hours(
    spell: str, expected: list[str], uncovered: list[str]
) -> None:
    made = plan(shade(travel=75, quiet=NIGHT, in_quiet="late"), spell)
    assert shown(made.closings) == expected
    assert left(made) == uncovered
    assert {part.rule for part in made.uncovered} <= {"quiet"}


def test_late_does_not_close_for_sun_that_went_while_it_waited_though_lag_lasts_longer() -> None:
    made = plan(shade(lag=15, quiet=NIGHT, in_quiet="late"), "6-2 05:00 - 06:50")
    assert made.closings == ()
    assert [part.why for part in made.uncovered] == [
        "quiet hours end at 07:00, when the sun has gone"
    ]


def test_without_travel_the_motor_may_move_at_the_very_moments_quiet_hours_begin_and_end() -> None:
    made = plan(shade(quiet=NIGHT), "6-1 21:30 - 22:00", "6-3 07:00 - 08:00", "6-4 20:00 - 21:30")
    assert shown(made.closings) == [
        "6-1 21:30 - 6-2 07:00",
        "6-3 07:00 - 08:00",
        "6-4 20:00 - 21:30",
    ]


def test_closings_that_meet_because_of_quiet_hours_become_one() -> None:
    made = plan(
        shade(travel=75, quiet=NIGHT), "6-1 20:00 - 21:40", "6-2 05:00 - 05:30", "6-2 06:41 - 09:00"
    )
    assert shown(made.closings) == ["6-1 19:58:45 - 6-2 09:00"]
    assert made.closings[0].sun_seconds == (100 + 30 + 139) * 60


def test_closings_that_touch_when_quiet_hours_end_become_one() -> None:
    made = plan(shade(quiet=NIGHT, in_quiet="late"), "6-1 20:00 - 21:45", "6-2 06:41 - 09:00")
    assert shown(made.closings) == ["6-1 20:00 - 6-2 09:00"]


@pytest.mark.parametrize(
    ("in_quiet", "spell", "close", "open_"),
    [
        ("early", "1-1 06:41 - 09:00", "2025-12-31T21:28:45-05:00", "2026-01-01T09:00:00-05:00"),
        ("late", "12-31 21:31 - 23:30", None, None),
        ("early", "12-31 20:00 - 21:29", "2026-12-31T19:58:45-05:00", "2027-01-01T07:00:00-05:00"),
    ],
    ids=["before-the-first-day", "gone", "after-the-last-day"],
)
def test_quiet_hours_over_the_new_year(
    in_quiet: str, spell: str, close: str | None, open_: str | None
) -> None:
    made = plan(shade(travel=75, quiet=NIGHT, in_quiet=in_quiet), spell)
    found = [clock.iso_local(m, NEW_YORK) for c in made.closings for m in (c.close, c.open)]
    assert found == ([close, open_] if close else [])


def test_a_gap_shorter_than_the_motor_run_is_a_gap_all_the_same() -> None:
    """Only `merge` bridges gaps: a motor that is still opening turns round."""
    made = plan(shade(travel=75), "6-1 09:00 - 10:00", "6-1 10:02 - 11:00", "6-1 11:02:30 - 12:00")
    assert shown(made.closings) == [
        "6-1 08:58:45 - 10:00",
        "6-1 10:00:45 - 11:00",
        "6-1 11:01:15 - 12:00",
    ]


@pytest.mark.parametrize("in_quiet", ["early", "late"])
def test_a_gap_after_quiet_hours_is_not_bridged_again(in_quiet: str) -> None:
    """`merge` comes before quiet hours: ten minutes between two closings stay."""
    made = plan(
        shade(merge=30, quiet=(time(12), time(13)), in_quiet=in_quiet),
        "6-1 11:00 - 11:50",
        "6-1 12:40 - 14:00",
    )
    assert len(made.closings) == 2


def test_quiet_hours_in_the_middle_of_the_day() -> None:
    quiet = (time(12), time(13, 30))
    early = plan(shade(travel=60, quiet=quiet), "6-1 12:20 - 15:00")
    late = plan(shade(travel=60, quiet=quiet, in_quiet="late"), "6-1 12:20 - 15:00")
    assert shown(early.closings) == ["6-1 11:59 - 15:00"]
    assert shown(late.closings) == ["6-1 13:30 - 15:00"]


@pytest.mark.parametrize("in_quiet", ["early", "late"])
def test_quiet_hours_that_leave_the_motor_no_time_leave_everything_uncovered(in_quiet: str) -> None:
    made = plan(
        shade(travel=75, quiet=(time(10), time(9, 59)), in_quiet=in_quiet),
        "6-1 09:12 - 11:40",
        "6-2 09:12 - 11:40",
    )
    assert made.closings == ()
    assert left(made) == ["6-1 09:12 - 11:40", "6-2 09:12 - 11:40"]
    assert made.remarks == ("quiet hours leave the motor no time to run",)


def test_quiet_hours_that_leave_a_minute_are_kept_to_that_minute() -> None:
    made = plan(shade(travel=60, quiet=(time(10), time(9, 59))), "6-1 09:12 - 11:40")
    assert shown(made.closings) == ["5-31 09:59 - 6-2 09:59"]


def test_a_night_without_room_because_clocks_jump_waits_for_the_next() -> None:
    """02:00 to 03:00 is the only free hour; on 8 March 2026 New York has no such hour."""
    made = plan(shade(travel=75, quiet=(time(3), time(2))), "3-8 09:00 - 10:00")
    assert shown(made.closings) == ["3-7 02:58:45 - 3-9 02:00"]
    assert made.remarks == ()


def test_quiet_hours_on_the_nights_when_clocks_jump() -> None:
    """New York, 2026: 02:30 does not exist on 8 March and 01:30 comes twice on 1 November."""
    spring = plan(shade(quiet=(time(22), time(2, 30)), in_quiet="late"), "3-8 01:00 - 09:00")
    assert [clock.iso_local(c.close, NEW_YORK) for c in spring.closings] == [
        "2026-03-08T03:00:00-04:00"
    ]
    autumn = plan(shade(quiet=(time(22), time(1, 30)), in_quiet="late"), "11-1 00:30 - 09:00")
    assert [clock.iso_local(c.close, NEW_YORK) for c in autumn.closings] == [
        "2026-11-01T01:30:00-04:00"
    ]


def test_blocked_times_leave_their_two_ends_free() -> None:
    blocked = blocked_starts(NIGHT, 75, date(2026, 6, 1), date(2026, 6, 2), NEW_YORK)
    low, high = at("6-1 21:28:45"), at("6-2 07:00")
    assert [blocked.around(moment) for moment in (low, low + 1, high - 1, high)] == [
        None,
        Spell(low, high),
        Spell(low, high),
        None,
    ]


SUMMER = ((6, 2), (6, 3))


def test_a_closing_belongs_to_the_season_when_its_date_does() -> None:
    made = plan(
        shade(),
        "6-1 09:00 - 10:00",
        "6-2 09:00 - 10:00",
        "6-3 22:00 - 6-4 03:00",
        "6-4 09:00 - 10:00",
        season=SUMMER,
    )
    assert shown(made.closings) == ["6-2 09:00 - 10:00", "6-3 22:00 - 6-4 03:00"]
    assert made.uncovered == ()


def test_a_closing_brought_forward_out_of_the_season_leaves_its_sun_uncovered() -> None:
    made = plan(
        shade(quiet=NIGHT),
        "6-1 06:00 - 09:00",
        "6-2 06:00 - 09:00",
        "6-3 06:00 - 09:00",
        "6-4 06:00 - 09:00",
        season=SUMMER,
    )
    # That for the 4th closes on the 3rd, so it stays; that for the 2nd closes on the 1st.
    assert shown(made.closings) == ["6-2 21:30 - 6-3 09:00", "6-3 21:30 - 6-4 09:00"]
    (part,) = made.uncovered
    assert (left(made), part.rule) == (["6-2 06:00 - 09:00"], "season")
    assert part.why == "its closing would be on 1 Jun, outside the season"


def test_of_a_spell_that_runs_into_the_season_only_the_part_in_it_is_asked_for() -> None:
    made = plan(shade(), "6-1 22:00 - 6-2 03:00", season=SUMMER)
    assert made.closings == ()
    assert left(made) == ["6-2 00:00 - 03:00"]


def test_a_season_over_the_new_year() -> None:
    made = plan(
        shade(),
        "2-1 09:00 - 10:00",
        "7-1 09:00 - 10:00",
        "12-1 09:00 - 10:00",
        season=((11, 1), (3, 1)),
    )
    assert shown(made.closings) == ["2-1 09:00 - 10:00", "12-1 09:00 - 10:00"]


def test_days_of_midnight_sun_are_one_closing() -> None:
    tromso = ZoneInfo("Europe/Oslo")
    made = plan(shade(travel=60, moves=2, quiet=NIGHT), "5-19 01:30 - 7-25 23:10", zone=tromso)
    assert shown(made.closings, tromso) == ["5-18 21:29 - 7-26 07:00"]
    (closing,) = made.closings
    assert closing.reason == (
        "sun 01:30 next day to 23:10 on 25 Jul; closes 21:29, before quiet hours; "
        "opens 07:00 on 26 Jul, after quiet hours"
    )


def test_no_sun_is_an_empty_plan() -> None:
    assert make_shade_plan(shade(), [], NEW_YORK, None) == ShadePlan("roller", ())


def test_overlapping_spells_of_several_windows_count_once() -> None:
    kitchen, study = sun("6-1 09:00 - 11:00"), sun("6-1 10:00 - 12:00")
    made = make_shade_plan(
        shade(), kitchen + study, NEW_YORK, None, windows={"kitchen": kitchen, "study": study}
    )
    assert shown(made.closings) == ["6-1 09:00 - 12:00"]
    assert made.closings[0].sun_seconds == 3 * 3600
    assert made.closings[0].reason == "sun 09:00–12:00 on kitchen and study"


def test_sun_minutes_may_count_other_sun_than_that_which_closes() -> None:
    """A shade with a need of its own closes for less than what the site counts as sun."""
    made = make_shade_plan(
        shade(lead=5, lag=5),
        sun("6-1 09:00 - 10:00"),
        NEW_YORK,
        None,
        sun=sun("6-1 08:00 - 10:02", "6-1 10:04 - 11:00"),
    )
    assert made.closings[0].sun_seconds == (67 + 1) * 60


@pytest.mark.parametrize(
    ("rules", "spells", "reasons"),
    [
        pytest.param(
            {"merge": 30},
            ["6-1 09:00 - 10:00", "6-1 10:14:50 - 12:00"],
            ["sun 09:00–12:00 on kitchen; stays closed between 2 spells (gap 14 min)"],
            id="bridged",
        ),
        pytest.param(
            {"merge": 60},
            ["6-1 09:00 - 10:00", "6-1 10:14 - 11:00", "6-1 11:45 - 12:00"],
            ["sun 09:00–12:00 on kitchen; stays closed between 3 spells (longest gap 45 min)"],
            id="bridged-twice",
        ),
        pytest.param(
            {"moves": 2},
            ["6-1 09:00 - 10:00", "6-1 12:05 - 14:00"],
            [
                "sun 09:00–14:00 on kitchen; "
                "stays closed between 2 spells (gap 2 h 5 min, to keep to 2 moves a day)"
            ],
            id="bridged-for-moves",
        ),
        pytest.param(
            {"quiet": NIGHT, "travel": 75},
            ["6-2 06:41 - 09:10"],
            ["sun 06:41–09:10 next day on kitchen; closes 21:28, before quiet hours"],
            id="early",
        ),
        pytest.param(
            {"quiet": NIGHT, "in_quiet": "late"},
            ["6-2 06:41 - 09:10"],
            ["sun 06:41–09:10 on kitchen; closes 07:00, after quiet hours"],
            id="late",
        ),
        pytest.param(
            {"quiet": NIGHT},
            ["6-1 19:00 - 21:45"],
            ["sun 19:00–21:45 on kitchen; opens 07:00 next day, after quiet hours"],
            id="opening-waits",
        ),
        pytest.param(
            {"quiet": NIGHT},
            ["6-1 19:00 - 21:45", "6-2 05:00 - 08:00"],
            [
                "sun 19:00 to 08:00 next day on kitchen; stays closed between 2 spells "
                "(gap 7 h 15 min); stays closed over quiet hours"
            ],
            id="over-the-night",
        ),
        pytest.param(
            {"quiet": NIGHT, "moves": 2},
            ["6-1 21:00 - 21:45", "6-2 05:00 - 06:45", "6-2 08:00 - 09:00", "6-2 10:00 - 12:00"],
            [
                "sun 21:00 to 12:00 next day on kitchen; stays closed between 4 spells "
                "(longest gap 7 h 15 min, to keep to 2 moves a day); stays closed over quiet hours"
            ],
            id="over-the-night-and-for-moves",
        ),
    ],
)
def test_reasons_say_why_and_what_was_bent(
    rules: dict[str, Any], spells: list[str], reasons: list[str]
) -> None:
    made = make_shade_plan(
        shade(**rules), sun(*spells), NEW_YORK, None, windows={"kitchen": sun(*spells)}
    )
    assert [closing.reason for closing in made.closings] == reasons


def test_reasons_name_the_windows_that_have_sun_and_count_many() -> None:
    first, second = sun("6-1 09:00 - 10:00"), sun("6-1 12:00 - 13:00")
    both = [*first, *second]
    windows = {"kitchen": first, "study": second, "hall": both, "bath": both, "loft": both}
    made = make_shade_plan(shade(), both, NEW_YORK, None, windows=windows)
    assert [closing.reason for closing in made.closings] == [
        "sun 09:00–10:00 on 4 windows",
        "sun 12:00–13:00 on 4 windows",
    ]
    del windows["loft"]
    made = make_shade_plan(shade(), both, NEW_YORK, None, windows=windows)
    assert made.closings[0].reason == "sun 09:00–10:00 on kitchen, hall and bath"


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(45, "45 s"), (60, "1 min"), (7199, "119 min"), (7200, "2 h"), (7500, "2 h 5 min")],
)
def test_lengths_as_people_say_them(seconds: int, text: str) -> None:
    assert reasons.length_text(seconds) == text


def test_quiet_hours_that_bring_too_many_moves_to_a_date_are_remarked() -> None:
    made = plan(
        shade(moves=4, quiet=NIGHT),
        "6-1 09:00 - 10:00",
        "6-1 12:00 - 13:00",
        "6-2 05:00 - 08:00",
        "6-2 09:00 - 10:00",
        "6-2 12:00 - 13:00",
    )
    # 2 June had six moves, so its shortest gap went; its first closing then moves to 1 June.
    assert shown(made.closings) == [
        "6-1 09:00 - 10:00",
        "6-1 12:00 - 13:00",
        "6-1 21:30 - 6-2 10:00",
        "6-2 12:00 - 13:00",
    ]
    assert motor_moves_by_date(made.closings, NEW_YORK) == {
        date(2026, 6, 1): 5,
        date(2026, 6, 2): 3,
    }
    assert made.remarks == (
        "more than 4 moves on 1 day, first on 2026-06-01 (5 moves): "
        "quiet hours moved closings or openings to another day",
    )


def test_an_hour_to_stay_up_that_takes_more_moves_is_remarked() -> None:
    """Whether the shade has quiet hours or not: they did not do it."""
    spells, up = sun("6-1 09:00 - 10:00", "6-1 11:00 - 12:00"), sun("6-1 10:00 - 11:00")
    for quiet in (None, NIGHT):
        made = make_shade_plan(shade(moves=2, quiet=quiet), spells, NEW_YORK, None, up=up)
        assert len(made.closings) == 2
        assert made.remarks == (
            "more than 2 moves on 1 day, first on 2026-06-01 (4 moves): "
            "it has to be up for a while, whatever the sun does",
        )


def test_the_limit_is_kept_as_if_gaps_were_bridged_one_by_one() -> None:
    """Against the rule word by word: after each gap bridged, everything is counted afresh."""
    spells = sun(
        "6-1 05:00 - 06:00", "6-1 09:00 - 10:10", "6-1 12:00 - 13:00", "6-1 20:00 - 23:00",
        "6-2 05:00 - 06:00", "6-2 07:00 - 08:30", "6-2 22:00 - 6-3 01:00", "6-3 02:30 - 04:00",
        "6-3 07:00 - 08:00", "6-3 09:01 - 10:00", "6-4 23:00 - 6-5 02:00",
    )  # fmt: skip
    for moves in (2, 3, 4, 5, 6):
        closings = [(spell.start, spell.end) for spell in spells]
        while True:
            days = [clock.local_date(edge, NEW_YORK) for pair in closings for edge in pair]
            full = {day for day in days if days.count(day) > moves}
            gaps = [
                (after[0] - before[1], before[1])
                for before, after in pairwise(closings)
                if {clock.local_date(edge, NEW_YORK) for edge in (before[1], after[0])} & full
            ]
            if not gaps:
                break
            _, edge = min(gaps)
            at_gap = next(n for n, pair in enumerate(closings) if pair[1] == edge)
            closings[at_gap : at_gap + 2] = [(closings[at_gap][0], closings[at_gap + 1][1])]
        assert not full
        made = make_shade_plan(shade(moves=moves), spells, NEW_YORK, None)
        assert [(closing.close, closing.open) for closing in made.closings] == closings
