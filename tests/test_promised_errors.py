"""Whatever goes wrong on purpose is a SuncoverError that says what would be right."""

from datetime import date
from typing import Any

import pytest

import suncover

HOME = suncover.site_from_tables(
    {
        "site": {"name": "Trial", "latitude": 60.4, "longitude": 22.3},
        "window": [{"name": "kitchen", "azimuth": 95, "width": 1.2, "height": 1.4}],
        "spot": [{"name": "desk", "window": "kitchen", "distance": 1.0, "height": 0.7}],
    }
)
A, B = date(2027, 6, 1), date(2027, 6, 5)
ZONE = HOME.place.zone
wrong: Any = "Europe/Paris"


@pytest.mark.parametrize(
    ("ask", "said"),
    [
        (lambda: suncover.load_site("none.toml"), "no such file"),
        (lambda: suncover.load_site(3), "no path"),  # type: ignore[arg-type]
        (lambda: suncover.site_from_tables([]), "give a dict"),  # type: ignore[arg-type]
        (lambda: suncover.site_from_text(b""), "is no text"),  # type: ignore[arg-type]
        (lambda: suncover.hours(HOME, A, B, windows=["kitchn"]), 'did you mean "kitchen"'),
        (lambda: suncover.hours(HOME, A, B, windows="kitchn"), 'did you mean "kitchen"'),
        (lambda: suncover.hours(HOME, A, B, beam=-1), "give 0 or more"),
        (lambda: suncover.hours(HOME, A, B, beam=wrong), "give 0 or more"),
        (lambda: suncover.hours(HOME, A, B, beam=float("nan")), "give 0 or more"),
        (lambda: suncover.reaches(HOME, {}, beam=float("inf")), "give 0 or more"),
        (lambda: suncover.spots(HOME, B, A), "swap them"),
        (lambda: suncover.hours(HOME, B, A), "swap them"),
        (lambda: suncover.season_plan(HOME, B, A), "swap them"),
        (lambda: suncover.doses(HOME, A, date(2200, 1, 1)), "give dates from 1900 to 2199"),
        (lambda: suncover.dates_bounds(A, B, wrong), "give one such as ZoneInfo"),
        (lambda: suncover.iso_local(0, wrong), "give one such as ZoneInfo"),
        (lambda: suncover.plan_day(HOME, wrong), "date.fromisoformat"),
        (lambda: suncover.sun_day(HOME.place, wrong), "date.fromisoformat"),
        (lambda: suncover.audit_plan(HOME, [], wrong, B), "date.fromisoformat"),
        (lambda: suncover.gather_report(HOME, A, B, wrong), "date.fromisoformat"),
        (lambda: suncover.gather_report(HOME, wrong, B, A), "date.fromisoformat"),
        (lambda: suncover.spot_scene(HOME, "dsk", HOME.need, 0, 1), 'did you mean "desk"'),
        (lambda: suncover.window_scene(HOME, "k", HOME.need, 0, 1), "no window is named"),
        (lambda: suncover.window_scene(HOME, "kitchen", HOME.need, 1, 0), "swap them"),
        (lambda: suncover.fin_plate(suncover.Glass(1, 1), wrong, 0.3), '"left" or "right"'),
        (lambda: suncover.Glass(0, 1), "above 0"),
        (lambda: suncover.read_plan("none.csv", [], ZONE), "no such file"),
        (lambda: suncover.vary(HOME, [], [], (wrong, B), suncover.Variant()), "fromisoformat"),
        (lambda: suncover.vary(HOME, [], [], (B, A), suncover.Variant()), "swap them"),
        (lambda: suncover.Variant(every=wrong), "give one of day, week, month"),
        (lambda: suncover.Variant(round_minutes=0), "give 1 or more"),
        (lambda: suncover.Variant(steady_minutes=-1), "give 0 or more"),
        (lambda: suncover.study_walls(HOME, [], wrong), "read it first"),
    ],
)
def test_a_wrong_request_is_told_with_the_remedy(ask, said):
    with pytest.raises(suncover.SuncoverError) as caught:
        ask()
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_place_by_name_is_the_place_itself():
    """Names serve where windows and spots do."""
    kitchen, desk = HOME.windows[0], HOME.spots[0]
    bounds = suncover.dates_bounds(A, B, ZONE)
    span = bounds.start, bounds.end
    sky = suncover.Daylight.at([bounds.start + 40_000.0], suncover.observer_of(HOME.place))
    for by_name, by_thing in (
        (suncover.window_scene(HOME, "kitchen", HOME.need, *span),
         suncover.window_scene(HOME, kitchen, HOME.need, *span)),
        (suncover.spot_scene(HOME, "desk", HOME.need, *span),
         suncover.spot_scene(HOME, desk, HOME.need, *span)),
    ):  # fmt: skip
        assert by_name.lit(sky).tolist() == by_thing.lit(sky).tolist()
    one = suncover.hours(HOME, A, B, windows="kitchen")
    assert one == suncover.hours(HOME, A, B)
