"""A shade's plan: each rule by itself, then how they meet, as clock times that can be read.

Times are of June 2026 in New York, where nothing else is said: `1 9:12-11:40, 22-2 3`, `3/8 9-10`.
A shade closes just while the sun is there; each row sets the rules that it is about.
"""

from datetime import date, datetime, time
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from suncover.base import clock
from suncover.base.spell import Spell
from suncover.plan.closings import reasons
from suncover.plan.closings.rules import Draft, obey_quiet
from suncover.plan.closings.shade_plan import Closing, make_shade_plan, motor_moves_by_date
from suncover.plan.motor import Motor, any_in, blocked_starts
from suncover.site.model import Shade

NEW_YORK = ZoneInfo("America/New_York")
NIGHT = (time(21, 30), time(7))
PLAIN = {"travel": 0, "lead": 0, "lag": 0, "merge": 0, "shortest": 0}


def shade(text=""):
    """A shade by rules such as `travel=75 night late`."""
    rules = {}
    for word in text.split():
        key, _, value = word.partition("=")
        if word == "night":
            rules["quiet"] = NIGHT
        elif word == "late":
            rules["in_quiet"] = "late"
        elif key == "quiet":
            rules[key] = [
                f"{edge:0>5}" if ":" in edge else f"{edge:0>2}:00" for edge in value.split("/")
            ]
        else:
            rules[key] = int(value) if key == "moves" else float(value)
    return Shade.model_validate({"name": "roller", "windows": ["kitchen"], **PLAIN, **rules})


def sun(text, zone=NEW_YORK):
    """Spells from `1 9:12-11:40, 22-2 3`; a day holds until another is named."""
    day, spells = "1", []
    for edges in filter(None, text.split(", ")):
        ends = []
        for edge in edges.split("-"):
            *days, wall = edge.split()
            day = days[0] if days else day
            parts = day.split("/")
            year, month, number = map(int, [2026, 6][: 3 - len(parts)] + parts)
            clocks = time(*map(int, wall.split(":")))
            moment = datetime.combine(date(year, month, number), clocks)
            ends.append(int(moment.replace(tzinfo=zone).timestamp()))
        spells.append(Spell(*ends))
    return spells


def at(text):
    return sun(f"{text}-{text}")[0].start


def shown(spans, zone=NEW_YORK):
    return ", ".join(
        "-".join(f"{datetime.fromtimestamp(end, zone):%m/%d %H:%M:%S}" for end in (s.start, s.end))
        for s in spans
    )


def plan(rules, spells, *, season=None, zone=NEW_YORK, **more):
    return make_shade_plan(shade(rules), sun(spells, zone), zone, season, **more)


def closed(made):
    return [Spell(closing.close, closing.open) for closing in made.closings]


def left(made):
    return [Spell(part.start, part.end) for part in made.uncovered]


# Rules | sun | closings | what is left uncovered.
PLANS = """
# From travel and lead before each spell to lag after it; fractions to the nearest second.
travel=75 lead=2 lag=3         | 1 9:12-11:40 | 1 9:8:45-11:43
travel=12.5 lead=.25 lag=.01   | 1 9:12-11:40 | 1 9:11:32-11:40:1
travel=75                      | |
# Gaps between closings, not between spells, that are shorter than merge are bridged.
merge=30.02                    | 1 9-10, 10:30-12 | 1 9-12
merge=30                       | 1 9-10, 10:30-12 | 1 9-10, 10:30-12
lead=2 lag=2 merge=26          | 1 9-10, 10:30-12 | 1 8:58-10:2, 10:28-12:2
lead=2 lag=2 merge=27          | 1 9-10, 10:30-12 | 1 8:58-12:2
# They touch, and they overlap.
lead=5 lag=5                   | 1 9-10, 10:10-12 | 1 8:55-12:5
lead=10 lag=5                  | 1 9-10, 10:10-12 | 1 8:50-12:5
# A gap of a second is one.
travel=0                       | 1 9-10, 10:0:1-11 | 1 9-10, 10:0:1-11
# Only merge bridges: a motor that is still opening turns round.
travel=75 | 1 9-10, 10:2-11, 11:2:30-12 | 1 8:58:45-10, 10:0:45-11, 11:1:15-12
# What holds less sun than shortest, after bridging and whatever its length, is let in.
shortest=10           | 1 9-9:9:59, 2 9-9:10, 3 9-9:0:40 | 2 9-9:10 | 1 9-9:9:59, 3 9-9:0:40
lead=5 lag=5 shortest=10       | 1 9-9:6, 9:16-9:22 | 1 8:55-9:27
merge=30 shortest=11           | 1 9-9:6, 9:20-9:25 | 1 9-9:25
merge=30 shortest=12           | 1 9-9:6, 9:20-9:25 | | 1 9-9:6, 9:20-9:25
# The shortest gaps, the earliest of equals, are bridged until each date's moves fit.
moves=8                        | 1 7-8, 9-10, 12-13, 15:30-16 | 1 7-8, 9-10, 12-13, 15:30-16
moves=7                        | 1 7-8, 9-10, 12-13, 15:30-16 | 1 7-10, 12-13, 15:30-16
moves=6                        | 1 7-8, 9-10, 12-13, 15:30-16 | 1 7-10, 12-13, 15:30-16
moves=5                        | 1 7-8, 9-10, 12-13, 15:30-16 | 1 7-13, 15:30-16
moves=4                        | 1 7-8, 9-10, 12-13, 15:30-16 | 1 7-13, 15:30-16
moves=2                        | 1 7-8, 9-10, 12-13, 15:30-16 | 1 7-16
moves=4                        | 1 7-8, 9-10, 11-12 | 1 7-10, 11-12
# Each start counts on its own date: 1 June closes, opens, closes; 2 June opens, closes, opens.
# The gap of 5 hours goes before that of 12.
moves=3                        | 1 9-10, 22-2 4, 2 9-10 | 1 9-10, 22-2 4, 2 9-10
moves=2                        | 1 9-10, 22-2 4, 2 9-10 | 1 9-2 10
# 1 June has two moves and 2 June four: the gap of an hour over midnight takes one off each.
moves=3                        | 1 20-23:30, 2 0:30-1, 9-10 | 1 20-2 1, 2 9-10
# The shortest gap of all, on 2 June, stays: that date has no move too many.
moves=4                        | 1 7-8, 10-11, 14-15, 2 7-8, 9-10 | 1 7-11, 14-15, 2 7-8, 9-10
# Too short by itself, but in a gap that is bridged for the moves.
moves=2 shortest=10            | 1 7-8, 9-9:5, 10-11 | 1 7-11
# Early: closings go before quiet hours, so that the run ends as they begin; openings wait.
travel=75 night                | 2 6:41-9 | 1 21:28:45-2 9
travel=75 night                | 1 21:29-21:29:30 | 1 21:27:45-2 7
travel=75 night                | 1 21:30-21:45 | 1 21:28:45-2 7
travel=75 night                | 1 21:30:1-21:45 | 1 21:28:45-2 7
travel=75 night                | 2 7:1:15-9 | 2 7-9
travel=75 night                | 2 7:1:14-9 | 1 21:28:45-2 9
travel=75 night                | 1 19-21:28:45 | 1 18:58:45-21:28:45
travel=75 night                | 1 19-21:28:46 | 1 18:58:45-2 7
travel=75 night                | 1 19-2 6:59 | 1 18:58:45-2 7
night                          | 1 21:30-22, 3 7-8, 4 20-21:30 | 1 21:30-2 7, 3 7-8, 4 20-21:30
# Late: closings wait too; what has gone by then is left, even where lag lasts longer.
travel=75 night late           | 2 6:41-9 | 2 7-9 | 2 6:41-7
travel=75 night late           | 2 7:0:30-9 | 2 7-9
travel=75 night late           | 2 5-6:50 | | 2 5-6:50
travel=75 night late           | 2 5-7 | | 2 5-7
travel=75 night late           | 2 5-7:1 | 2 7-7:1 | 2 5-7
lag=15 night late              | 2 5-6:50 | | 2 5-6:50
# What overlaps or touches after that is one; merge has been before it and is not asked again.
travel=75 night                | 1 20-21:40, 2 5-5:30, 6:41-9 | 1 19:58:45-2 9
night late                     | 1 20-21:45, 2 6:41-9 | 1 20-2 9
merge=30 quiet=12/13           | 1 11-11:50, 12:40-14 | 1 11-11:50, 12-14
merge=30 quiet=12/13 late      | 1 11-11:50, 12:40-14 | 1 11-11:50, 13-14 | 1 12:40-13
travel=60 quiet=12/13:30       | 1 12:20-15 | 1 11:59-15
travel=60 quiet=12/13:30 late  | 1 12:20-15 | 1 13:30-15 | 1 12:20-13:30
# Over the new year: before the first day, gone, after the last day.
travel=75 night                | 1/1 6:41-9 | 2025/12/31 21:28:45-2026/1/1 9
travel=75 night late           | 12/31 21:31-23:30 | | 12/31 21:31-23:30
travel=75 night                | 12/31 20-21:29 | 12/31 19:58:45-2027/1/1 7
# No room on any day, and a minute's.
travel=75 quiet=10/9:59        | 1 9:12-11:40, 2 9:12-11:40 | | 1 9:12-11:40, 2 9:12-11:40
travel=75 quiet=10/9:59 late   | 1 9:12-11:40, 2 9:12-11:40 | | 1 9:12-11:40, 2 9:12-11:40
travel=60 quiet=10/9:59        | 1 9:12-11:40 | 5/31 9:59-2 9:59
# 02:00 to 03:00 is the only free hour; on 8 March 2026 New York has no such hour.
travel=75 quiet=3/2            | 3/8 9-10 | 3/7 2:58:45-3/9 2
"""
ROWS = [line.split("|") for line in PLANS.splitlines() if line and not line.startswith("#")]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: " ".join(row[0].split()))
def test_a_plan_by_its_rules(row):
    rules, spells, closings, uncovered = (text.strip() for text in (*row, "")[:4])
    made = plan(rules, spells)
    assert shown(closed(made)) == shown(sun(closings))
    assert shown(left(made)) == shown(sun(uncovered))
    assert {part.rule for part in made.uncovered} <= {
        "quiet" if "quiet" in rules or "night" in rules else "shortest"
    }
    never = "quiet=10" in rules and "travel=75" in rules  # no hour is free on any day
    assert made.remarks == (("quiet hours leave the motor no time to run",) if never else ())
    held = sun(spells)
    for closing in made.closings:
        parts = [Spell(max(s.start, closing.close), min(s.end, closing.open)) for s in held]
        assert closing.sun_seconds == sum(s.seconds for s in parts if s.start < s.end)


def test_a_closing_knows_its_date_minutes_and_sun():
    (closing,) = plan("travel=75 lead=2 lag=2", "1 09:12-11:40").closings
    assert closing == Closing(
        shade="roller", date=date(2026, 6, 1), close=at("1 09:08:45"), open=at("1 11:42"),
        sun_seconds=148 * 60, reason="sun 09:12–11:40", position=100,
    )  # fmt: skip
    assert closing.minutes == 153.25


@pytest.mark.parametrize(
    ("rules", "spells", "why"),
    [
        ("shortest=10", "1 09:00-09:09:59", "9 min of sun, less than the 10 min to close for"),
        ("shortest=10", "3 09:00-09:00:40", "40 s of sun, less than the 10 min to close for"),
        ("night late", "2 05:00-06:50", "quiet hours end at 07:00, when the sun has gone"),
    ],
)
def test_what_is_let_in_is_told(rules, spells, why):
    (part,) = plan(rules, spells).uncovered
    assert (part.shade, part.why) == ("roller", why)


@pytest.mark.parametrize("rules", ["", "night"])
def test_a_closing_that_opens_as_it_closes_is_of_no_use(rules):
    none = Draft(at("1 9:00"), at("1 9:00"), 0, 0)
    outcome = obey_quiet([none], sun("1 9-10"), Motor(shade(rules), NEW_YORK))
    assert (outcome.drafts, outcome.dropped) == ([], [none])


def test_quiet_hours_on_the_nights_when_clocks_jump():
    """New York, 2026: 02:30 does not exist on 8 March and 01:30 comes twice on 1 November."""
    for end, spells, close in (
        ("02:30", "3/8 01:00-09:00", "2026-03-08T03:00:00-04:00"),
        ("01:30", "11/1 00:30-09:00", "2026-11-01T01:30:00-04:00"),
    ):
        (closing,) = plan(f"quiet=22:00/{end} late", spells).closings
        assert clock.iso_local(closing.close, NEW_YORK) == close


def test_blocked_times_leave_their_two_ends_free():
    blocked = blocked_starts(NIGHT, 75, date(2026, 6, 1), date(2026, 6, 2), NEW_YORK)
    low, high = at("1 21:28:45"), at("2 07:00")
    whole = Spell(low, high)
    found = [blocked.around(moment) for moment in (low, low + 1, high - 1, high)]
    assert found == [None, whole, whole, None]
    motor = Motor(shade("travel=75 night"), NEW_YORK)
    edges = [motor.at_quiet_edge(moment) for moment in (low - 1, low, high, high + 1)]
    assert edges == [False, True, True, False]


@pytest.mark.parametrize(
    ("up", "start", "way"),
    [("2 7:0:30", "1 21:28:45", "sooner"), ("2 7:1:15", "2 7", "waits"), ("1 21", "2 7", "waits")],
    ids=["amid its run", "as its run is over", "until quiet hours begin"],
)
def test_an_opening_waits_unless_its_run_would_be_too_late(up, start, way):
    """For a time to stay up, half an hour long, in quiet hours that end at 07:00."""
    begins = at(up)
    motor = Motor(shade("travel=75 night"), NEW_YORK, [Spell(begins, begins + 1800)])
    assert motor.free_to_open(at("1 22")) == (at(start), way)


def test_no_time_has_no_part_in_a_spell():
    spells = [Spell(0, 10), Spell(20, 30)]
    pairs = [(5, 5), (5, 6), (10, 20), (9, 20), (10, 21), (30, 40)]
    assert [any_in(spells, *pair) for pair in pairs] == [False, True, False, True, True, False]


SEASONS = {
    "by its date": ("", "1 9-10, 2 9-10, 3 22-4 3, 9-10", "2 9-10, 3 22-4 3", ""),
    # That for the 4th closes on the 3rd, so it stays; that for the 2nd closes on the 1st.
    "brought forward": ("night", "1 6-9, 2 6-9, 3 6-9, 4 6-9", "2 21:30-3 9, 21:30-4 9", "2 6-9"),
    # Of a spell that runs into the season only the part in it is asked for.
    "into it": ("", "1 22-2 3", "", "2 0-3"),
}


@pytest.mark.parametrize("row", SEASONS.values(), ids=SEASONS)
def test_a_closing_belongs_to_the_season_when_its_date_does(row):
    rules, spells, closings, uncovered = row
    made = plan(rules, spells, season=((6, 2), (6, 3)))
    assert (closed(made), left(made)) == (sun(closings), sun(uncovered))
    for part in made.uncovered:
        assert part.rule == "season"
        assert rules == "" or part.why == "its closing would be on 1 Jun, outside the season"


def test_a_season_over_the_new_year():
    """From its first day to its last, and on the first and the last of the year."""
    spells = "1/1 9-10, 3/1 9-10, 3/2 9-10, 10/31 9-10, 11/1 9-10, 12/31 9-10"
    made = plan("", spells, season=((11, 1), (3, 1)))
    assert closed(made) == sun("1/1 9-10, 3/1 9-10, 11/1 9-10, 12/31 9-10")
    assert left(made) == []


def test_days_of_midnight_sun_are_one_closing():
    tromso = ZoneInfo("Europe/Oslo")
    made = plan("travel=60 moves=2 night", "5/19 1:30-7/25 23:10", zone=tromso)
    assert closed(made) == sun("5/18 21:29-7/26 7", tromso)
    assert made.closings[0].reason == (
        "sun 01:30 next day to 23:10 on 25 Jul; closes 21:29, before quiet hours; "
        "opens 07:00 on 26 Jul, after quiet hours"
    )


def test_sun_minutes_may_count_other_sun_than_that_which_closes():
    """A shade with a need of its own closes for less than what the site counts as sun."""
    made = plan("lead=5 lag=5", "1 09:00-10:00", sun=sun("1 08:00-10:02, 1 10:04-11:00"))
    assert made.closings[0].sun_seconds == (67 + 1) * 60


REASONS = """
merge=30 | 1 9-10, 10:14:50-12 | 9:00–12:00 on kitchen; stays closed between 2 spells (gap 14 min)
merge=60 | 1 9-10, 10:14-11, 11:45-12 | 9:00–12:00 on kitchen; stays closed between 3 spells \
(longest gap 45 min)
moves=2 | 1 9-10, 12:5-14 | 9:00–14:00 on kitchen; stays closed between 2 spells \
(gap 2 h 5 min, to keep to 2 moves a day)
night travel=75 | 2 6:41-9:10 | 6:41–09:10 next day on kitchen; closes 21:28, before quiet hours
night late | 2 6:41-9:10 | 6:41–09:10 on kitchen; closes 07:00, after quiet hours
night | 1 9-21:45 | 9:00–21:45 on kitchen; opens 07:00 next day, after quiet hours
night | 1 9-21:45, 2 5-8 | 9:00 to 08:00 next day on kitchen; stays closed between 2 spells \
(gap 7 h 15 min); stays closed over quiet hours
night moves=2 | 1 9-21:45, 2 5-6:45, 8-9, 10-12 | 9:00 to 12:00 next day on kitchen; \
stays closed between 4 spells (longest gap 7 h 15 min, to keep to 2 moves a day); \
stays closed over quiet hours
"""


@pytest.mark.parametrize("row", REASONS.strip().splitlines())
def test_reasons_say_why_and_what_was_bent(row):
    rules, spells, reason = row.split(" | ")
    made = plan(rules, spells, windows={"kitchen": sun(spells)})
    assert [closing.reason for closing in made.closings] == [f"sun 0{reason}"]


def test_reasons_name_the_windows_that_have_sun_and_count_many():
    """Sun on several windows at once counts once."""
    first, second = sun("1 09:00-11:00"), sun("1 12:00-13:00")
    both = [*first, *second]
    windows = {"kitchen": sun("1 09:00-10:30"), "study": second}
    windows |= {"hall": both, "bath": both, "loft": both}
    made = make_shade_plan(shade(), [*both, *windows["kitchen"]], NEW_YORK, None, windows=windows)
    found = [(closing.reason, closing.sun_seconds) for closing in made.closings]
    assert found == [("sun 09:00–11:00 on 4 windows", 7200), ("sun 12:00–13:00 on 4 windows", 3600)]
    del windows["loft"]
    made = make_shade_plan(shade(), both, NEW_YORK, None, windows=windows)
    assert made.closings[0].reason == "sun 09:00–11:00 on kitchen, hall and bath"
    made = make_shade_plan(shade(), second, NEW_YORK, None, windows={"hall": both, "bath": second})
    assert made.closings[0].reason == "sun 12:00–13:00 on hall and bath"


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(45, "45 s"), (60, "1 min"), (7199, "119 min"), (7200, "2 h"), (7500, "2 h 5 min")],
)
def test_lengths_as_people_say_them(seconds, text):
    assert reasons.length_text(seconds) == text


def test_quiet_hours_that_bring_too_many_moves_to_a_date_are_remarked():
    """2 June has six moves, so its shortest gap goes; its first closing then moves to 1 June."""
    made = plan("moves=4 night", "1 9-10, 12-13, 2 5-8, 9-10, 12-13")
    assert closed(made) == sun("1 9-10, 12-13, 21:30-2 10, 12-13")
    days = {date(2026, 6, 1): 5, date(2026, 6, 2): 3}
    assert motor_moves_by_date(made.closings, NEW_YORK) == days
    assert made.remarks == (
        "more than 4 moves on 1 day, first on 2026-06-01 (5 moves): "
        "quiet hours moved closings or openings to another day",
    )


@pytest.mark.parametrize("rules", ["moves=2", "moves=2 night"])
def test_an_hour_to_stay_up_that_takes_more_moves_is_remarked(rules):
    """Whether the shade has quiet hours or not: they did not do it."""
    made = plan(rules, "1 09:00-10:00, 1 11:00-12:00", up=sun("1 10:00-11:00"))
    assert len(made.closings) == 2
    assert made.remarks == (
        "more than 2 moves on 1 day, first on 2026-06-01 (4 moves): "
        "it has to be up for a while, whatever the sun does",
    )


def test_every_cause_of_too_many_moves_is_named():
    days = [date(2026, 6, day) for day in (1, 2, 3)]
    counts = dict(zip(days, (5, 4, 6), strict=True))
    assert reasons.too_many_moves(counts, 3, days[1:2], days[:1]) == (
        "more than 3 moves on 3 days, first on 2026-06-01 (5 moves): "
        "quiet hours moved closings or openings to another day, or "
        "it has to be up for a while, whatever the sun does, or "
        "what it shares with other shades moved them to another day"
    )


def test_the_limit_is_kept_as_if_gaps_were_bridged_one_by_one():
    """Against the rule word by word: after each gap bridged, everything is counted afresh."""
    spells = sun(
        "1 5-6, 9-10:10, 12-13, 20-23, 2 5-6, 7-8:30, 22-3 1, 2:30-4, 7-8, 9:1-10, 4 23-5 2"
    )
    for moves in (2, 3, 4, 5, 6):
        closings = [(spell.start, spell.end) for spell in spells]
        while True:
            days = [clock.local_date(edge, NEW_YORK) for pair in closings for edge in pair]
            full = {day for day in days if days.count(day) > moves}
            gaps = [
                (after[0] - before[1], number)
                for number, (before, after) in enumerate(pairwise(closings))
                if {clock.local_date(edge, NEW_YORK) for edge in (before[1], after[0])} & full
            ]
            if not gaps:
                break
            _, gap = min(gaps)
            closings[gap : gap + 2] = [(closings[gap][0], closings[gap + 1][1])]
        assert not full
        made = make_shade_plan(shade(f"moves={moves}"), spells, NEW_YORK, None)
        assert [(closing.close, closing.open) for closing in made.closings] == closings
