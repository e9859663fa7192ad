"""What a plan says of closings that are for more than the sun on the windows."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from suncover.base.spell import Spell
from suncover.plan.closings.shade_plan import make_shade_plan
from suncover.plan.needs import Want
from suncover.site.model import Shade

BERN = ZoneInfo("Europe/Zurich")


def at(text):
    return int(datetime.fromisoformat(f"2026-06-{text}:00+02:00").timestamp())


def want(start, end, need, what="", **keys):
    return Want(Spell(at(start), at(end)), need, what, **keys)


def shade(**keys):
    return Shade.model_validate({"name": "s", "windows": ["w"], "shortest": 0, **keys})


def plan(*wants, **keys):
    return make_shade_plan(shade(**keys), [w.spell for w in wants], BERN, None, wants=wants)


HEAT = want("01T09:12", "01T11:40", "heat", "study")
GLARE = want("01T10:00", "01T10:45", "glare", "desk")
SLEEP = want("01T21:00", "02T07:00", "sleep", dawn=at("02T04:51"))
WHITE = want("01T21:00", "02T07:00", "sleep")


@pytest.mark.parametrize(
    ("wants", "expected"),
    [
        pytest.param([GLARE], "glare 10:00–10:45 at desk", id="glare on a spot"),
        pytest.param(
            [GLARE, want("01T10:10", "01T10:50", "glare", "piano")],
            "glare 10:00–10:50 at desk and piano",
            id="on two spots",
        ),
        pytest.param(
            [want("01T10:00", "01T10:45", "glare", "study", beyond=1.5)],
            "glare 10:00–10:45, more than 1.5 m into study",
            id="far into the room",
        ),
        pytest.param(
            [want("01T10:00", "01T10:45", "fading", "painting")],
            "sun 10:00–10:45 on painting, which would fade",
            id="fading",
        ),
        pytest.param(
            [SLEEP],
            "dark for sleep 21:00 to 07:00 next day, as dawn comes at 04:51 next day",
            id="sleep",
        ),
        pytest.param(
            [WHITE], "dark for sleep 21:00 to 07:00 next day, as it stays light", id="no dusk"
        ),
        pytest.param(
            [want("01T21:58", "01T23:00", "privacy")], "privacy 21:58–23:00", id="privacy"
        ),
        pytest.param(
            [HEAT, GLARE],
            "sun 09:12–11:40 on study; glare 10:00–10:45 at desk",
            id="heat and glare together",
        ),
        pytest.param(
            [SLEEP, want("01T21:58", "01T23:00", "privacy")],
            "dark for sleep 21:00 to 07:00 next day, as dawn comes at 04:51 next day; "
            "privacy 21:58–23:00",
            id="two needs of a night",
        ),
        pytest.param([HEAT], "sun 09:12–11:40 on study", id="heat alone reads as ever"),
    ],
)
def test_reason(wants, expected):
    windows = {"study": [w.spell for w in wants if w.need == "heat"]}
    made = make_shade_plan(
        shade(), [w.spell for w in wants], BERN, None, windows=windows, wants=wants
    )
    assert [closing.reason for closing in made.closings] == [expected]


def test_a_stop_on_the_way_is_said():
    part = want("01T10:00", "01T10:45", "glare", "desk", position=40.0)
    (closing,) = plan(part, stops=[50, 100]).closings
    assert closing.reason == "glare 10:00–10:45 at desk; 50 % down keeps the sun off"


def test_what_is_too_short_is_sun_only_where_sun_is_meant():
    evening = want("01T21:58", "01T22:01", "privacy")
    (left,) = plan(evening, GLARE, shortest=10).uncovered
    assert not left.sun
    assert left.why == "3 min, less than the 10 min to close for"
    (glare,) = plan(want("01T10:00", "01T10:03", "glare", "desk"), SLEEP, shortest=10).uncovered
    assert glare.sun
    assert glare.why == "3 min of sun, less than the 10 min to close for"


def test_an_evening_that_is_over_when_quiet_hours_end():
    evening = want("01T21:58", "01T23:00", "privacy")
    made = plan(evening, quiet=["21:30", "07:00"], in_quiet="late")
    assert made.closings == ()
    assert [part.why for part in made.uncovered] == ["quiet hours end at 07:00, when it is over"]
