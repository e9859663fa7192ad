"""Homes by their tables; shades, spells of sun and zones about jumps of clocks, drawn at random."""

from collections.abc import Iterable
from datetime import date, time
from typing import Any
from zoneinfo import ZoneInfo

from hypothesis import strategies as st

from suncover.base import clock
from suncover.base.spell import Spell, union
from suncover.plan.closings.shade_plan import Closing
from suncover.site.model import Shade, Site

# A zone and a date on which, or near which, its clocks jump (IANA time zone database).
JUMPS = [
    ("Australia/Lord_Howe", date(2026, 4, 5)),
    ("Australia/Lord_Howe", date(2026, 10, 4)),
    ("America/Santiago", date(2026, 4, 4)),
    ("America/Santiago", date(2026, 9, 6)),
    ("Africa/Cairo", date(2026, 4, 24)),
    ("Africa/Cairo", date(2026, 10, 29)),
    ("Pacific/Apia", date(2011, 12, 30)),
    ("America/St_Johns", date(2006, 10, 29)),
    ("America/New_York", date(2026, 3, 8)),
    ("America/New_York", date(2026, 11, 1)),
    ("Europe/Oslo", date(2026, 6, 21)),
    ("Pacific/Auckland", date(2026, 12, 31)),
]


ZURICH = (47.0, 8.5, "Europe/Zurich")


def home(
    windows: dict[str, Any],
    shades: dict[str, dict[str, Any]] | None = None,
    place: tuple[float, float, str] = ZURICH,
    **tables: Any,
) -> Site:
    """A home by the tables of its file. A window is its azimuth or all its keys, 1.2 m by 1.4 m
    where it does not say; a shade is over the window of its own name where it names none.
    """
    latitude, longitude, zone = place
    panes = {
        name: {"azimuth": keys} if isinstance(keys, int | float) else keys
        for name, keys in windows.items()
    }
    return Site.model_validate(
        {
            "site": {"name": "A", "latitude": latitude, "longitude": longitude, "timezone": zone},
            "window": [{"name": n, "width": 1.2, "height": 1.4, **k} for n, k in panes.items()],
            "shade": [{"name": n, "windows": [n], **k} for n, k in (shades or {}).items()],
            **tables,
        }
    )


def spans(rows: Iterable[Closing]) -> tuple[Spell, ...]:
    """When some closings have their shades down, in order and once."""
    return union(Spell(row.close, row.open) for row in rows)


TEN_DAYS_S = 10 * clock.DAY_S

Case = tuple[Shade, tuple[Spell, ...], ZoneInfo, clock.Season | None]

clock_times = st.integers(0, 24 * 60 - 1).map(lambda minute: time(minute // 60, minute % 60))

quiet_hours = st.none() | st.tuples(clock_times, clock_times).filter(
    lambda pair: pair[0] != pair[1]
)

lengths = st.one_of(st.integers(1, 1800), st.integers(1, 8 * 3600), st.integers(1, TEN_DAYS_S // 2))

seasons = st.none() | st.tuples(
    st.dates(date(2024, 1, 1), date(2024, 12, 31)).map(lambda day: (day.month, day.day)),
    st.dates(date(2024, 1, 1), date(2024, 12, 31)).map(lambda day: (day.month, day.day)),
)

shades = st.builds(
    Shade,
    name=st.just("roller"),
    windows=st.just(("kitchen",)),
    travel=st.sampled_from([0, 20, 75, 100, 600]),
    lead=st.sampled_from([0, 0.5, 2, 20]),
    lag=st.sampled_from([0, 2, 15]),
    merge=st.sampled_from([0, 1, 30, 120]),
    shortest=st.sampled_from([0, 10, 45]),
    moves=st.none() | st.integers(2, 6),
    quiet=quiet_hours,
    in_quiet=st.sampled_from(["early", "late"]),
)


@st.composite
def cases(draw: st.DrawFn) -> Case:
    """A shade, spells of sun in the days about a jump of the clocks, the zone and a season."""
    name, day = draw(st.sampled_from(JUMPS))
    zone = ZoneInfo(name)
    start = clock.day_bounds(day, zone).start - 3 * clock.DAY_S
    parts = draw(st.lists(st.tuples(st.integers(0, TEN_DAYS_S), lengths), max_size=14))
    spells = union(Spell(start + after, start + after + length) for after, length in parts)
    return draw(shades), spells, zone, draw(seasons)
