"""What a shade of a group does in place of the group's closings in which it has to stay up."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from suncover.base.spell import Spell
from suncover.plan.closings.shade_plan import Closing, ShadePlan
from suncover.plan.closings.unit_plans import own_way, with_own_way
from suncover.plan.motor import Motor
from suncover.plan.timers.varied import whole_of
from suncover.site.model import Shade

UTC_ZONE = ZoneInfo("Etc/UTC")
DAY = int(datetime(2026, 6, 1, tzinfo=UTC).timestamp())
DATE = date(2026, 6, 1)


def at(text: str) -> int:
    return DAY + 3600 * int(text[:2]) + 60 * int(text[3:])


def rows(*spans: str, shade: str = "r") -> tuple[Closing, ...]:
    """Closings such as "08:00-09:00"."""
    ends = (span.split("-") for span in spans)
    return tuple(Closing(shade, DATE, at(a), at(b), 0, f"sun {a}") for a, b in ends)


def spells(*spans: str) -> tuple[Spell, ...]:
    return tuple(Spell(at(a), at(b)) for a, b in (span.split("-") for span in spans))


GROUP = ("08:00-09:00", "10:00-12:00", "13:00-14:00")


@pytest.mark.parametrize(
    ("own", "up", "kept", "instead", "keys"),
    [
        ((), (), (0, 1, 2), (), {}),
        (("10:30-11:30",), ("09:10-09:50",), (0, 1, 2), (), {}),
        ((), ("10:30-11:00",), (0, 2), (), {}),
        (
            ("08:10-08:50", "10:00-10:20", "11:10-12:00", "13:20-13:40"),
            ("10:30-11:00",), (0, 2), (1, 2), {},
        ),
        # 60 s from the start of opening, at 09:00, its motor still runs.
        ((), ("09:00-09:10",), (1, 2), (), {}),
        ((), ("09:01-09:10",), (0, 1, 2), (), {}),
        ((), ("09:50-10:00",), (0, 1, 2), (), {}),
        (("08:30-12:00",), ("10:30-11:00",), (2,), (0,), {}),
        (("10:00-12:59",), ("10:30-11:00",), (0, 2), (0,), {}),
        (("10:00-12:59", "13:10-13:20"), ("10:30-11:00",), (0,), (0, 1), {"travel": 61}),
        (
            ("10:00-10:20", "11:10-12:00", "13:20-13:40"),
            ("10:30-11:00",), (), (0, 1, 2), {"moves": 6},
        ),
    ],
    ids=[
        "never up", "in a gap", "nothing of its own", "in the midst of one", "as the motor opens",
        "once it has opened", "until it closes", "into another", "a run apart",
        "less than a run apart", "too many moves together",
    ],
)  # fmt: skip
def test_what_a_shade_does_in_place_of_the_closings_of_its_group(own, up, kept, instead, keys):
    shade = Shade.model_validate({"name": "r", "windows": ["w"], "travel": 60, **keys})
    found = own_way(Motor(shade, UTC_ZONE, spells(*up)), rows(*GROUP), rows(*own))
    assert (found.from_group, found.from_own) == (kept, instead)


def test_its_full_runs_come_as_its_own_motor_needs_them():
    """The group's full run was in the closing that it leaves out: the next one is its own."""
    keys = {"name": "r", "windows": ["w"], "stops": [50, 100], "home_after": 4}
    shade = Shade.model_validate(keys)
    half = [
        Closing("r", DATE, r.close, r.open, 0, "glare; 50 % down keeps the sun off", 50)
        for r in rows("06:00-07:00", "08:00-09:00", "10:00-11:00", "12:00-13:00")
    ]
    full = half[2].__class__("r", DATE, half[2].close, half[2].open, 0, "sun")
    group = ShadePlan("r", (*half[:2], full, half[3]))
    found = with_own_way(Motor(shade, UTC_ZONE, spells("10:10-10:20")), group, ShadePlan("r", ()))
    assert [row.position for row in found.closings] == [50, 50, 100]
    assert found.closings[2].reason == (
        "glare; closes fully, to find its place again after 4 moves part of the way"
    )
    assert found.closings[:2] == group.closings[:2]


def test_the_closings_of_a_group_are_put_beside_each_other():
    one = rows("08:00-09:00", "10:00-12:00", shade="a")
    other = (*rows("08:00-09:00", shade="b"), *rows("13:00-14:00", shade="b"))
    found = whole_of([one, other])
    assert found is not None
    times = [[(row.close, row.open) for row in mine] for mine in found]
    assert times == [[(r.close, r.open) for r in rows("08:00-09:00", *GROUP[1:])]] * 2
    assert [row.shade for row in found[0]] == ["a", "a", "b"]
    # A supply has joined two of one shade: no way to tell which belongs to which.
    assert whole_of([one, rows("08:00-12:00", shade="b")]) is None
