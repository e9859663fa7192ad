"""Rows of spells laid out all at once, against those written one at a time."""

from zoneinfo import ZoneInfo

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from suncover.base.clock import iso_local
from suncover.base.csv_text import minutes_text
from suncover.export.files.spell_rows import spell_rows

# Three years in which all of these zones but one changed their clocks, one across the date line.
INSTANTS = st.integers(1_262_304_000, 1_356_998_400)
ZONES = ["UTC", "America/St_Johns", "Australia/Lord_Howe", "Pacific/Apia", "Africa/Monrovia"]


@given(
    st.lists(
        st.tuples(
            st.text(max_size=9),
            st.lists(st.tuples(INSTANTS, st.integers(1, 3_000_000)), max_size=4),
        ),
        max_size=4,
    ),
    st.sampled_from(ZONES),
)
def test_rows_as_one_at_a_time(named, key):
    zone = ZoneInfo(key)
    expected = ""
    for name, spells in named:
        for start, seconds in spells:
            begin, end = iso_local(start, zone), iso_local(start + seconds, zone)
            expected += f"{name},{begin[:10]},{begin},{end},{minutes_text(seconds)}\r\n"
    ends = [(start, start + seconds) for _, spells in named for start, seconds in spells]
    rows = spell_rows(
        [name.encode() for name, _ in named],
        [len(spells) for _, spells in named],
        np.array(ends, dtype=np.int64).reshape(-1, 2),
        zone,
    )
    assert rows == expected.encode()
