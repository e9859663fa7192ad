"""A light log beside a plan, from made logs whose sun, sky and clouds are known."""

from dataclasses import replace
from datetime import date, timedelta
from functools import cache

import numpy as np
import pytest
from made_light import Logger, made_log
from made_sightings import changes, made_site

from suncover.base.clock import dates_bounds, day_bounds
from suncover.compare.seen_sun import SeenSun, seen_sun
from suncover.plan.closings.shade_plan import Closing
from suncover.site.light_log import LightLog
from suncover.site.model import Shade, Site

FIRST = date(2027, 2, 1)
DAYS = 14
HALF = FIRST + timedelta(days=7)


def house() -> Site:
    site = made_site(-35.0, 149.0, 600.0, azimuth=285.0)
    return site.model_copy(update={"shades": (Shade(name="roller", windows=("w",), travel=60),)})


def closed_in_the_first_week() -> list[Closing]:
    zone = house().place.zone
    days = [FIRST + timedelta(days=number) for number in range(7)]
    spans = [day_bounds(day, zone) for day in days]
    return [
        Closing("roller", day, round(span.start) + 36_000, round(span.end) - 600, 0, "sun")
        for day, span in zip(days, spans, strict=True)
    ]


@cache
def light(clear: float, **change: float) -> LightLog:
    logger = Logger(interval=600.0, clear=clear, noise=0.003, **change)
    return made_log(house(), logger, np.random.default_rng(7), FIRST, DAYS)


def study(log: LightLog) -> SeenSun:
    last = FIRST + timedelta(days=DAYS - 1)
    return seen_sun(house(), closed_in_the_first_week(), "w", log, (FIRST, last))


def test_clear_days_show_the_sun_for_as_long_as_it_is_there():
    result = study(light(1.0))
    for day in result.days[1:-1]:
        on, off = changes(house(), day.date)
        # Sky light hides the sun that grazes the wall or stands near the horizon.
        length = off[-1] - on[0]
        assert length - 4500.0 < day.sun_up + day.sun_down <= length + 600.0
        assert day.possible == pytest.approx(length, abs=600.0)
        assert (day.sun_up == 0) == (day.date < HALF)
    assert len(result.days) == DAYS


def test_sun_that_may_have_been_on_the_other_side_of_a_move_is_not_counted():
    """Closings that begin from when the log first shows the sun to an hour after."""
    site, log = house(), light(1.0)
    last, told = FIRST + timedelta(days=DAYS - 1), set()
    whole = {day.date: day.sun_down for day in study(log).days}
    for minutes in (0, 10, 20, 60):
        late = [
            replace(closing, close=round(changes(site, closing.date)[0][0]) + 60 * minutes)
            for closing in closed_in_the_first_week()
        ]
        result = seen_sun(site, late, "w", log, (FIRST, last))
        near = log.interval / 2 + 2 * 60 * result.clock.sd
        for day in result.days[1:7]:
            before = whole[day.date] - day.sun_down
            assert day.sun_up == (before if before > near + 1 else 0)
            told.add((before > 0, day.sun_up > 0))
    assert told == {(False, False), (True, False), (True, True)}


def test_overcast_days_show_none():
    log, covered = light(1.0), light(0.0)
    middle = dates_bounds(HALF, HALF, house().place.zone).start
    rest = log.times >= middle
    # A week of clear days and one that is half overcast, half of broken cloud.
    mixed = replace(log, values=np.where(rest, covered.values, log.values))
    result = study(mixed)
    seen = {day.date: day.sun_up + day.sun_down for day in result.days}
    cloudy = sum(seconds for day, seconds in seen.items() if day >= HALF)
    assert cloudy < 0.6 * sum(seconds for day, seconds in seen.items() if day < HALF)
    assert min(seconds for day, seconds in seen.items() if day >= HALF) < 300


def test_heat_is_the_beam_on_the_glass_in_that_time():
    day = study(light(1.0)).days[-2]
    # 7 h of beam at most 1 kW/m2 on 1.68 m2, its cosine's mean over the wall's half day 2/pi.
    assert 0.4 < day.up_kwh / (day.sun_up / 3600.0 * 1.68 * 2.0 / np.pi) < 1.0


def test_a_clock_an_hour_off_changes_little():
    right, late = study(light(1.0)), study(light(1.0, clock_min=60.0))
    assert late.moved_min == pytest.approx(60.0, abs=4.0)
    assert late.sun_up == pytest.approx(right.sun_up, rel=0.03)


def test_a_sensor_behind_the_shade_is_noticed():
    log = light(1.0)
    assert study(log).sun_by_day() is not None
    shut = log.times < dates_bounds(HALF, HALF, house().place.zone).start
    behind = replace(log, values=np.where(shut, 0.02 * log.values, log.values))
    assert study(behind).sun_by_day() is None
    assert study(behind).sun_down < 1800


def test_a_log_without_sun_says_why_and_one_of_other_days_too():
    # Shades that are closed from noon on, in front of the sensor: the window has sun after noon.
    assert "never brighter" in (study(light(1.0, shut=1.0)).why_not or "")
    log = light(1.0)
    other = replace(log, times=log.times + 365 * 86_400.0)
    assert study(other).why_not == "none of its days are of the plan's"
