"""Days by a rule of recurrence, held against the examples of RFC 5545 and against dateutil."""
# ruff: noqa: E501  (a case to a line)

import random
from datetime import date, datetime, time, timedelta
from time import process_time

import pytest
from dateutil import rrule

from suncover.site.calendar.ics_values import Rule
from suncover.site.calendar.recurrence import days_of

MO, TU, WE, TH, FR, SA, SU = ((0, day) for day in range(7))


def days(text):
    """`1997-09: 2 4; 1997-10: 1` as dates."""
    found = []
    for part in text.split(";"):
        month, _, numbers = part.strip().partition(":")
        year, number = (int(piece) for piece in month.split("-"))
        found += [date(year, number, int(day)) for day in numbers.split()]
    return found


# Most examples of RFC 5545, 3.8.5.3, begin on Tuesday, 2 September 1997.
@pytest.mark.parametrize(
    ("rule", "start", "expected"),
    [
        (Rule("DAILY", interval=10, count=5), (1997, 9, 2), "1997-9: 2 12 22; 1997-10: 2 12"),
        (Rule("WEEKLY", count=10, weekdays=(TU, TH), week_start=6), (1997, 9, 2), "1997-9: 2 4 9 11 16 18 23 25 30; 1997-10: 2"),
        (Rule("WEEKLY", interval=2, count=8, weekdays=(TU, TH), week_start=6), (1997, 9, 2), "1997-9: 2 4 16 18 30; 1997-10: 2 14 16"),
        (Rule("WEEKLY", interval=2, count=4, weekdays=(TU, SU), week_start=0), (1997, 8, 5), "1997-8: 5 10 19 24"),
        (Rule("WEEKLY", interval=2, count=4, weekdays=(TU, SU), week_start=6), (1997, 8, 5), "1997-8: 5 17 19 31"),
        (Rule("MONTHLY", interval=2, count=10, weekdays=((1, 6), (-1, 6))), (1997, 9, 7),
         "1997-9: 7 28; 1997-11: 2 30; 1998-1: 4 25; 1998-3: 1 29; 1998-5: 3 31"),
        (Rule("MONTHLY", count=10, month_days=(1, -1)), (1997, 9, 30),
         "1997-9: 30; 1997-10: 1 31; 1997-11: 1 30; 1997-12: 1 31; 1998-1: 1 31; 1998-2: 1"),
        (Rule("YEARLY", interval=3, count=10, year_days=(1, 100, 200)), (1997, 1, 1),
         "1997-1: 1; 1997-4: 10; 1997-7: 19; 2000-1: 1; 2000-4: 9; 2000-7: 18; 2003-1: 1; 2003-4: 10; 2003-7: 19; 2006-1: 1"),
        (Rule("YEARLY", weekdays=((20, 0),), count=3), (1997, 5, 19), "1997-5: 19; 1998-5: 18; 1999-5: 17"),
        (Rule("YEARLY", week_numbers=(20,), weekdays=(MO,), count=3), (1997, 5, 12), "1997-5: 12; 1998-5: 11; 1999-5: 17"),
        (Rule("MONTHLY", count=3, weekdays=(TU, WE, TH), positions=(3,)), (1997, 9, 4), "1997-9: 4; 1997-10: 7; 1997-11: 6"),
        # The days of elections in the USA.
        (Rule("YEARLY", interval=4, months=(11,), weekdays=(TU,), month_days=(2, 3, 4, 5, 6, 7, 8), count=3), (1996, 11, 5),
         "1996-11: 5; 2000-11: 7; 2004-11: 2"),
    ],
)  # fmt: skip
def test_the_examples_of_rfc_5545(rule, start, expected):
    assert days_of(rule, date(*start), date(1990, 1, 1), date(2010, 1, 1)) == days(expected)


def random_rule(draw):
    frequency = draw.choice(["DAILY", "WEEKLY", "MONTHLY", "YEARLY"])
    wide = frequency in ("MONTHLY", "YEARLY")

    def some(values, share):
        if draw.random() > share:
            return ()
        return tuple(sorted(draw.sample(values, draw.randint(1, min(3, len(values))))))

    # dateutil takes weekdays with a number and without one together for a rule that both have to
    # fulfil, where RFC 5545 means either.
    numbers = [1, 2, -1, -2] if wide and draw.random() < 0.5 else [0]
    weekdays = tuple((draw.choice(numbers), day) for day in some(list(range(7)), 0.5))
    month_days = some([*range(1, 32), *range(-5, 0)], 0.3) if frequency != "WEEKLY" else ()
    return Rule(
        frequency,
        interval=draw.choice([1, 1, 2, 3, 7]),
        count=draw.choice([None, 1, 5, 40]),
        until=draw.choice([None, date(2028, 3, 1) + timedelta(days=draw.randint(0, 1500))]),
        months=some(list(range(1, 13)), 0.3),
        month_days=month_days,
        year_days=some([1, 60, 200, 366, -1, -100], 0.15) if frequency == "YEARLY" else (),
        weekdays=weekdays,
        positions=some([1, 2, -1, -2], 0.2) if wide and (weekdays or month_days) else (),
        week_start=draw.choice([0, 6, 2]),
    )


def by_dateutil(rule, start, first, last):
    """The same by dateutil, with the day of the start counted as RFC 5545 wants."""
    names = (rrule.MO, rrule.TU, rrule.WE, rrule.TH, rrule.FR, rrule.SA, rrule.SU)
    other = rrule.rrule(
        getattr(rrule, rule.frequency),
        dtstart=datetime.combine(start, time.min),
        interval=rule.interval,
        until=datetime.combine(last, time.min),
        bymonth=rule.months or None,
        bymonthday=rule.month_days or None,
        byyearday=rule.year_days or None,
        byweekday=[names[day](n) if n else names[day] for n, day in rule.weekdays] or None,
        bysetpos=rule.positions or None,
        wkst=rule.week_start,
    )
    found = [moment.date() for moment in other if rule.until is None or moment.date() <= rule.until]
    found = sorted({start, *found})[: rule.count]
    return [day for day in found if first <= day <= last]


def test_the_same_days_as_dateutil():
    draw = random.Random(5545)
    some = 0
    for _ in range(60):
        rule = random_rule(draw)
        start = date(2026, 1, 1) + timedelta(days=draw.randint(0, 800))
        first = start + timedelta(days=draw.randint(-100, 900))
        last = first + timedelta(days=draw.choice([0, 30, 400, 700]))
        expected = by_dateutil(rule, start, first, last)
        assert days_of(rule, start, first, last) == expected, (rule, start, first, last)
        some += bool(expected)
    assert some > 18


@pytest.mark.parametrize("number", [1, 20, 52, 53, -1, -53])
def test_weeks_are_those_of_iso_8601(number):
    """As the standard library counts them; dateutil has 2 January 2039 in a week 53 of 52."""
    first, last = date(2026, 1, 5), date(2045, 12, 31)
    days = [first + timedelta(days=n) for n in range((last - first).days + 1)]
    for weekday in (0, 3, 6):
        expected = []
        for day in days[weekday::7]:
            year, week, _ = day.isocalendar()
            weeks = date(year, 12, 28).isocalendar().week  # that day is in a year's last week
            expected += [day] if number in (week, week - weeks - 1) else []
        rule = Rule("YEARLY", week_numbers=(number,), weekdays=((0, weekday),))
        assert days_of(rule, date(2025, 12, 1), first, last) == expected


@pytest.mark.parametrize(
    "rule",
    [
        Rule("DAILY", months=(2,), month_days=(30,)),
        Rule("YEARLY", months=(2,), month_days=(30,)),
        Rule("MONTHLY", weekdays=(MO,), positions=(30,)),
        Rule("WEEKLY", interval=10**9),
        Rule("DAILY", count=10**9, months=(2,), month_days=(30,)),
    ],
    ids=["30 February", "each year", "30th Monday", "a long wait", "counted"],
)
def test_a_rule_that_never_fits_ends_soon(rule):
    before = process_time()
    assert days_of(rule, date(1900, 1, 1), date(2000, 1, 1), date(2199, 12, 31)) == []
    assert process_time() - before < 2.0  # far more than it takes; it must not be forever


def test_the_ends_of_the_calendar():
    year = date(2027, 1, 1), date(2027, 12, 31)
    assert days_of(Rule("YEARLY"), date(1, 1, 1), *year) == [year[0]]
    last = date(9999, 12, 31)
    assert days_of(Rule("MONTHLY"), date(9999, 1, 31), last, last) == [last]
