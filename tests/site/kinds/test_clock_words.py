"""Times of day that are written in other ways than the site file's."""

from suncover.site.kinds.clock_words import meant_time

# Noon and midnight by the twelve-hour clock, as the US National Institute of Standards and
# Technology has them ("Times of Day FAQs"): 12 a.m. begins a day.
MEANT = {
    "07:30": ("7:30", " 07:30 ", "7.30", "7h30", "0730", "7:30 AM"),
    "21:30": ("21.30", "9:30pm", "9:30 p.m."),
    "00:05": ("0:05",),
    "21:00": ("9 pm",),
    "00:00": ("12 am",),
    "12:15": ("12:15 pm",),
}
UNSURE = ["dawn", "", "25:00", "7:60", "13 pm", "0 am", "7:3", "730 pm", "9", "²:30", "24:00"]


def test_what_is_surely_a_time_is_known_and_nothing_else_guessed_at():
    for meant, texts in MEANT.items():
        assert {meant_time(text) for text in texts} == {meant}
    assert {meant_time(text) for text in UNSURE} == {None}
