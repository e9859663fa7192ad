"""Times of day that are written in other ways than the site file's."""

from __future__ import annotations

import pytest

from suncover.site.kinds.clock_words import meant_time


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("7:30", "07:30"),
        ("0:05", "00:05"),
        (" 07:30 ", "07:30"),
        ("7.30", "07:30"),
        ("21.30", "21:30"),
        ("7h30", "07:30"),
        ("0730", "07:30"),
        ("9 pm", "21:00"),
        ("9:30pm", "21:30"),
        ("9:30 p.m.", "21:30"),
        ("7 AM", "07:00"),
        # Noon and midnight by the twelve-hour clock, as the US National Institute of Standards and
        # Technology has them ("Times of Day FAQs"): 12 a.m. begins a day.
        ("12 am", "00:00"),
        ("12:15 pm", "12:15"),
    ],
)
def test_what_is_surely_a_time_is_known(text: str, meant: str) -> None:
    assert meant_time(text) == meant


@pytest.mark.parametrize(
    "text", ["dawn", "", "25:00", "7:60", "13 pm", "0 am", "7:3", "730 pm", "9", "²:30", "24:00"]
)
def test_what_may_be_anything_is_not_guessed_at(text: str) -> None:
    assert meant_time(text) is None
