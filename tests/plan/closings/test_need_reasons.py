"""What a plan says of closings that are for more than the sun on the windows."""

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


def plan(*wants, **keys):
    windows = {"study": [w.spell for w in wants if w.need == "heat"]}
    shade = Shade.model_validate({"name": "s", "windows": ["w"], "shortest": 0, **keys})
    spells = [w.spell for w in wants]
    return make_shade_plan(shade, spells, BERN, None, windows=windows, wants=wants)


HEAT = want("01T09:12", "01T11:40", "heat", "study")
GLARE = want("01T10:00", "01T10:45", "glare", "desk")
SLEEP = want("01T21:00", "02T07:00", "sleep", dawn=at("02T04:51"))
WHITE = want("01T21:00", "02T07:00", "sleep")
EVENING = want("01T21:58", "01T23:00", "privacy")
PIANO = want("01T10:10", "01T10:50", "glare", "piano")
FAR = want("01T10:00", "01T10:45", "glare", "study", beyond=1.5)
PAINTING = want("01T10:00", "01T10:45", "fading", "painting")
DARK = "dark for sleep 21:00 to 07:00 next day, as dawn comes at 04:51 next day"


@pytest.mark.parametrize(
    ("wants", "expected"),
    [
        ([GLARE], "glare 10:00–10:45 at desk"),
        ([GLARE, PIANO], "glare 10:00–10:50 at desk and piano"),
        ([FAR], "glare 10:00–10:45, more than 1.5 m into study"),
        ([PAINTING], "sun 10:00–10:45 on painting, which would fade"),
        ([SLEEP], DARK),
        ([WHITE], "dark for sleep 21:00 to 07:00 next day, as it stays light"),
        ([EVENING], "privacy 21:58–23:00"),
        ([HEAT, GLARE], "sun 09:12–11:40 on study; glare 10:00–10:45 at desk"),
        ([SLEEP, EVENING], f"{DARK}; privacy 21:58–23:00"),
        ([HEAT], "sun 09:12–11:40 on study"),
        (
            [want(f"01T10:{at}0", f"01T10:{at}5", "glare", f"spot {at}") for at in range(4)],
            "glare 10:00–10:35 in 4 spells at 4 spots; stays closed between 4 spells "
            "(longest gap 5 min)",
        ),
    ],
    ids=lambda text: text if isinstance(text, str) else "",
)
def test_reason(wants, expected):
    assert [closing.reason for closing in plan(*wants).closings] == [expected]


def test_a_stop_on_the_way_is_said():
    part = want("01T10:00", "01T10:45", "glare", "desk", position=40.0)
    (closing,) = plan(part, stops=[50, 100]).closings
    assert closing.reason == "glare 10:00–10:45 at desk; 50 % down keeps the sun off"


@pytest.mark.parametrize(
    ("wants", "keys", "sun", "why"),
    [
        ([want("01T21:58", "01T22:01", "privacy"), GLARE], {"shortest": 10}, False,
         "3 min, less than the 10 min to close for"),
        ([want("01T10:00", "01T10:03", "glare", "desk"), SLEEP], {"shortest": 10}, True,
         "3 min of sun, less than the 10 min to close for"),
        ([want("01T21:58", "01T22:00", "privacy"), want("01T22:02", "01T22:04", "heat")],
         {"shortest": 10}, True, "4 min of sun, less than the 10 min to close for"),
        ([EVENING], {"quiet": ["21:30", "07:00"], "in_quiet": "late"}, False,
         "quiet hours end at 07:00, when it is over"),
    ],
)  # fmt: skip
def test_what_is_let_in_is_sun_only_where_sun_is_meant(wants, keys, sun, why):
    parts = plan(*wants, **keys).uncovered
    assert {part.why for part in parts} == {why}
    assert parts[-1].sun == sun


def test_a_time_to_be_down_before_the_sun_comes_is_left_without_sun():
    """An exception from 21:00 on and the sun from 06:00 on, in one; quiet hours end at 07:00."""
    away, sun = (
        want("01T21:00", "02T06:00", "exception", "away"),
        want("02T06:00", "02T09:00", "heat"),
    )
    both = Spell(away.spell.start, sun.spell.end)
    rules = {"quiet": ("20:30", "07:00"), "in_quiet": "late", "shortest": 0}
    shade = Shade.model_validate({"name": "s", "windows": ["w"], **rules})
    made = make_shade_plan(shade, [both], BERN, None, wants=(away, sun))
    found = [(part.start, part.end, part.sun) for part in made.uncovered]
    assert found == [(both.start, at("02T06:00"), False), (at("02T06:00"), at("02T07:00"), True)]
