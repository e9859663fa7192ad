"""The picture of a light log on the days on which clocks change."""

from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from made_sightings import made_site
from svg_reading import numbers, parsed, with_class

from suncover.facing.light.rhythm import ClockError
from suncover.facing.light.study import LightStudy
from suncover.report.pictures.axes import LEFT, RIGHT
from suncover.report.pictures.light_log import light_picture
from suncover.site.light_log import LightLog
from suncover.site.sightings import Sighting

BERLIN = ZoneInfo("Europe/Berlin")


@pytest.mark.parametrize("day", [(2027, 3, 28), (2027, 10, 31), (2027, 6, 1)])
def test_marks_and_light_lie_where_the_clock_has_them(day):
    """Fifteen hours by the clock is fifteen hours on the axis, on a day of 23, 25 or 24 hours."""
    site = made_site(52.5, 13.4, azimuth=262.0)
    place = site.place.model_copy(update={"timezone": BERLIN.key})
    site = site.model_copy(update={"place": place})
    start, seen = (datetime(*day, hour, tzinfo=BERLIN).timestamp() for hour in (0, 15))
    end = datetime(*day, 23, 55, tzinfo=BERLIN).timestamp()
    times = np.arange(start, end, 600.0)
    log = LightLog(times, np.where(times < seen, 1.0, 9.0), 600.0)
    clock = ClockError(0.0, 1.0, 9)
    sighting = Sighting(window="w", time=round(seen), seen="on", minutes=1.0)
    study = LightStudy("w", log, None, None, clock, None, (sighting,), 1, 1, 1)
    drawn = parsed(str(light_picture(site, study).body).join(("<svg>", "</svg>")))
    [mark] = with_class(drawn, "rise")
    there = LEFT + (RIGHT - LEFT) * 15.0 / 24.0
    assert numbers(mark.get("d"))[0] == pytest.approx(there, abs=0.1)
    lines = []
    for path in with_class(drawn, "sunline"):
        points = np.array(numbers(path.get("d"))).reshape(-1, 2)
        lines.append(points)
        assert np.all(np.diff(points[:, 0]) > 0.0)  # no line runs back
    step = np.concatenate(lines)
    rises = step[step[:, 1] < step[:, 1].mean(), 0].min()
    assert abs(rises - there) < 1.1 * (RIGHT - LEFT) / 144.0
