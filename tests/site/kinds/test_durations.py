"""Lengths of time with their units, in the site file and by themselves."""

import re

import pytest
from site_texts import SHADE, SMALL

from suncover.site.file.sitefile import site_from_text
from suncover.site.kinds.durations import (
    DURATION_PATTERN,
    duration_in,
    duration_text,
    parse_duration,
)

TIMES = {"45 s": 45, "45s": 45, "1 min 15 s": 75, "1 min, 15 sec": 75, "1.5 min": 90, ".5 h": 1800}
TIMES |= {"2 h": 7200, "1 hour 30 minutes": 5400, "1 h 1 min 1 s": 3661, " 20 seconds ": 20}


def test_times_with_units():
    for text, seconds in TIMES.items():
        assert parse_duration(text) == seconds
        assert re.search(DURATION_PATTERN, text), "an editor takes it as well"
    for seconds in (0, 1, 45, 60, 75, 3600, 3661, 5400, 86400, 0.5):
        assert float(parse_duration(duration_text(seconds))) == seconds
    assert duration_text(75) == "1 min 15 s"
    assert duration_in("90 s", "minutes") == 1.5


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "is not a length of time"),
        ("45", 'has no unit; add s, min or h (such as "45 s")'),
        ("45 x", "a unit that is not known: x"),
        ("15 s 1 min", "is not a length of time"),
        ("-5 s", "is not a length of time"),
        ("1,5 min", '"1,5 min" has a decimal comma; write "1.5 min"'),
        ("5 s\n", "is not a length of time"),
        ("1" * 80, "too long"),
    ],
)
def test_what_is_no_time(text, sentence):
    with pytest.raises(ValueError, match=re.escape(sentence)):
        parse_duration(text)


def test_every_time_of_the_file_is_in_its_keys_own_unit():
    keys = 'travel = "1 min 15 s"\nlead = "45 s"\nlag = "1 min 30 s"\nmerge = "1 h"\n'
    more = '[[supply]]\nname = "box"\nshades = ["roller"]\ngap = "0.1 min"\n[best]\nmove = "90 s"\n'
    site = site_from_text(SMALL + SHADE + keys + 'shortest = "600 s"\n' + more)
    [shade] = site.shades
    assert (shade.travel, shade.lead, shade.lag) == (75.0, 0.75, 1.5)
    assert (shade.merge, shade.shortest) == (60.0, 10.0)
    assert (site.supplies[0].gap, site.best.move) == (6.0, 1.5)
