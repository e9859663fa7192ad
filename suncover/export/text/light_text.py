"""What a light log shows, as a page for a person."""

from __future__ import annotations

import math
from collections.abc import Iterator

from suncover.base.clock import local_date
from suncover.export.text.text_table import Style, joined, wrapped
from suncover.export.text.words import long_date, number
from suncover.facing.estimate import WELL_KNOWN
from suncover.facing.light.rhythm import ClockError
from suncover.facing.light.study import LightStudy
from suncover.site.kinds.azimuth import azimuth_words
from suncover.site.model import Site

FAR_OFF = 60.0  # degrees from where the file has the window
VAGUE_CLOCK_MIN = 15.0  # a standard deviation with which a clock may be anything
RIGHT_CLOCK = 2.0  # standard deviations within which a clock may just as well be right
AN_HOUR_MIN = (50.0, 70.0)
SHADED = (
    "the edge of a shadow comes to each point of the glass at another time, and where the sensor "
    "lies is not known, so that more days hardly help. On the wall's face beside the window, two "
    "weeks tell the wall to a degree; give that log with a copy of the site file in which the "
    "window has no reveal, overhang and fins"
)


def light_text(site: Site, study: LightStudy, *, strong: Style = str) -> str:
    """The page."""
    lines = wrapped(f"What the light on {study.window} shows")
    lines[0] = strong(lines[0])
    lines.append("")
    for sentence in light_sentences(site, study):
        lines += wrapped(sentence, first="  ")
    return joined(lines)


def light_sentences(site: Site, study: LightStudy) -> Iterator[str]:
    """What the log shows, sentence by sentence: the direction, the clock, the days."""
    facing = study.facing
    if facing is None:
        yield f"Nothing can be said: {study.too_few}."
    else:
        way = azimuth_words(facing.azimuth)
        count = number(len(facing.checks), "coming and leaving", "comings and leavings")
        yield f"It faces {facing.azimuth:.1f}° ({way}), ± {facing.sd:.1f}°, by {count}."
        window = site.window(study.window)
        present, unshaded = window.azimuth, not (window.reveal or window.overhang or window.fins)
        turned = (facing.azimuth - present + 180.0) % 360.0 - 180.0
        if abs(turned) >= 0.05:
            side = "clockwise" if turned > 0 else "anticlockwise"
            yield f"The file has {present:g}°; that is {abs(turned):.1f}° to be turned {side}."
        if abs(turned) > FAR_OFF:
            yield (
                "So far off, look by a compass or a map which of them is right: light that a wall "
                "opposite throws back comes and goes like the sun's."
            )
        if doubt := facing.doubt:
            shaded = facing.sd > WELL_KNOWN and not facing.others and not unshaded
            yield f"Not to be relied on yet: {SHADED if shaded else doubt}."
    yield clock_sentence(study.clock)
    if study.jump is not None:
        day = long_date(local_date(int(study.jump.time), site.place.zone))
        yield f"It was set by an hour about {day}; that was allowed for, too."
    yield days_sentence(study)


def clock_sentence(clock: ClockError) -> str:
    """How far the logger's clock is off, for a person."""
    if clock.days == 0:
        return "No night in the log tells whether its clock is right; it was taken to be."
    if clock.sd > VAGUE_CLOCK_MIN:
        return "The log tells too little of whether its clock is right; it was taken to be."
    off, sd = clock.minutes, max(math.ceil(clock.sd), 1)
    if abs(off) <= RIGHT_CLOCK * clock.sd:
        return f"The logger's clock is right, within {2 * sd} min."
    side = "ahead" if off > 0 else "behind"
    sentence = f"The logger's clock is {abs(off):.0f} min {side} (± {sd}); that was allowed for."
    if AN_HOUR_MIN[0] <= abs(off) <= AN_HOUR_MIN[1]:
        sentence += " About an hour: it may not know of summer time, or not of its end."
    return sentence


def days_sentence(study: LightStudy) -> str:
    """Which days were used, and how many were left out."""
    left = study.days - study.used
    return (
        f"Of {number(study.days, 'day')} in the log, {study.used} told when the sun came or left; "
        f"{left} did not."
    )
