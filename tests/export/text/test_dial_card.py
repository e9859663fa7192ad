"""The card for a dial: what is on it are the settings, in clock times of the day they are for."""

import csv
import io
from datetime import date
from zoneinfo import ZoneInfo

from suncover.export.text.dial_card import CARD_COLUMNS, dial_card, dial_card_csv
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.timers.dial import Dial
from suncover.plan.timers.settings import Setting, TimerPlan
from suncover.site.model import Place

HOME = Place(name="Larkspur Lane", latitude=36.1, longitude=-79.95, timezone="America/New_York")
ZONE = ZoneInfo("America/New_York")
DAYS = (date(2027, 6, 7), date(2027, 6, 8))


def plan(shade: str, *times: tuple[int, int]) -> TimerPlan:
    settings = tuple(
        Setting(shade, "2027-W23", *DAYS, close, opens, DAYS) for close, opens in times
    )
    row = Closing(shade, DAYS[0], 1_812_000_000, 1_812_003_600, 0, "")
    daily = Closing(shade, DAYS[0], 1_812_000_600, 1_812_003_600, 0, "")
    return TimerPlan(shade, settings, (row,), (0,), (daily,))


MORNING, NIGHT, SMALL_HOURS = (32400, 43200), (77400, 86400 + 30600), (86400 + 18000, 86400 + 25205)


def test_times_are_the_clocks_and_a_closing_after_midnight_has_its_own_date():
    text = dial_card([plan("east", MORNING, NIGHT, SMALL_HOURS)], HOME, Dial(ZONE))
    lines = [line.split() for line in text.splitlines()]
    assert ["Mon", "7", "Jun", "2027", "Tue", "8", "Jun", "2027", "09:00", "12:00"] in lines
    assert ["Mon", "7", "Jun", "2027", "Tue", "8", "Jun", "2027", "21:30", "08:30", "+1"] in lines
    assert ["Tue", "8", "Jun", "2027", "Wed", "9", "Jun", "2027", "05:00", "07:00:05"] in lines
    assert "+1: on the next day." in text
    assert "change the timer's with them" in text
    assert "Down 10 min longer in all" in text
    assert all(len(line) <= 80 for line in text.splitlines())


def test_every_number_of_days_on_the_card_is_explained():
    days_down = (77400, 5 * 86400 + 30600)
    text = dial_card([plan("east", NIGHT, days_down)], HOME, Dial(ZONE))
    assert "08:30 +1" in text
    assert "08:30 +5" in text
    assert "+1: on the next day; +5: 5 days later." in text


def test_each_shade_has_a_page_of_its_own():
    plans = [plan("east", MORNING), TimerPlan("west", (), (), (), ())]
    pages = dial_card(plans, HOME, Dial(ZONE, -5 * 3600)).split("\f")
    assert [page.splitlines()[0] for page in pages] == [
        "east, Larkspur Lane",
        "west, Larkspur Lane",
    ]
    assert "a clock that stays at UTC-05:00 all the time: never change" in pages[0]
    assert "Stays up all the time." in pages[1]


def test_the_table_has_the_same_settings():
    data = dial_card_csv([plan("=east", MORNING, NIGHT, SMALL_HOURS)])
    rows = list(csv.reader(io.StringIO(data.decode(), newline="")))
    assert rows == [
        list(CARD_COLUMNS),
        ["'=east", "2027-W23", "2027-06-07", "2027-06-08", "09:00:00", "12:00:00", "0"],
        ["'=east", "2027-W23", "2027-06-07", "2027-06-08", "21:30:00", "08:30:00", "1"],
        ["'=east", "2027-W23", "2027-06-08", "2027-06-09", "05:00:00", "07:00:05", "0"],
    ]
