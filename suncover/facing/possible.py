"""What nobody can have seen: sun later than now, sun by night, a patch in another unit."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

import numpy as np

from suncover.exposure import observer_of
from suncover.sightings import Sighting
from suncover.site import Site
from suncover.site_sizes import size_doubt
from suncover.sun import sun_position

SLACK_S = 60.0  # two clocks may differ by so much
TWILIGHT_S = 900.0  # and so far off from daylight is no longer a slip of minutes
BY_NIGHT = ("not-yet-on", "already-off")  # what is true by night as well
SIZES = ("distance", "offset", "minutes")


def impossible(
    sighting: Sighting, now: datetime, site: Site | None = None
) -> Iterator[tuple[str, str]]:
    """Why nobody can have seen that, or is likely to: the key at fault, and a sentence, of each.

    `now` has its time zone, by which times are told. Without a site it is not known when it is
    night.
    """
    when = datetime.fromtimestamp(sighting.time, now.tzinfo)
    if sighting.time > now.timestamp() + SLACK_S:
        yield (
            "time",
            f"{when.isoformat()} is still to come: it is "
            f"{now.replace(microsecond=0).isoformat()} now",
        )
    if site is not None and sighting.seen not in BY_NIGHT:
        around = sighting.time + TWILIGHT_S * np.array([0.0, -1.0, 1.0])
        heights = sun_position(around, observer_of(site.place)).apparent_elevation
        if heights.max() <= 0.0:
            yield (
                "time",
                f"at {when.isoformat()} the sun was {-heights[0]:.0f}° below the horizon, so it "
                "was on no window",
            )
    for key in SIZES:
        value = getattr(sighting, key)
        if value is not None and (doubt := size_doubt(f"sighting.{key}", value)):
            end = "" if doubt.endswith("?") else "."
            yield key, f"it {doubt}{end} What is right can be written into the file by hand"
