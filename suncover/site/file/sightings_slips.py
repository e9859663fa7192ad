"""What nobody is likely to have seen: sun later than now, a patch as far off as no room is long."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from suncover.site.rules.sizes import size_doubt
from suncover.site.sightings import Sighting

SLACK_S = 60.0  # two clocks may differ by so much
SIZES = ("distance", "offset", "minutes")


def slips(sighting: Sighting, now: datetime) -> Iterator[tuple[str, str]]:
    """Where a sighting must be a slip: each time the key at fault, and a sentence.

    `now` has its time zone, by which times are told.
    """
    when = datetime.fromtimestamp(sighting.time, now.tzinfo)
    if sighting.time > now.timestamp() + SLACK_S:
        moment = now.replace(microsecond=0).isoformat()
        yield "time", f"{when.isoformat()} is still to come: it is {moment} now"
    for key in SIZES:
        value = getattr(sighting, key)
        if value is not None and (doubt := size_doubt(f"sighting.{key}", value)):
            end = "" if doubt.endswith("?") else "."
            yield key, f"it {doubt}{end} What is right can be written into the file by hand"
