"""What a time of day means that is written in another way than `"07:30"`."""

from __future__ import annotations

import re

# 7:30, 7.30, 7h30, 0730; with am or pm also the bare hour.
_TIME = r"([0-9]{1,2}) ?[:.h] ?([0-9]{2})|([0-9]{2})([0-9]{2})"
_TWELVE = r"([0-9]{1,2})(?:[:.]([0-9]{2}))? ?([ap])\.?m\.?"


def meant_time(text: str) -> str | None:
    """The time of day that a text surely means, as `"07:30"`; None where it is not sure.

    By the twelve-hour clock, 12 am begins a day and 12 pm is noon.
    """
    words = text.strip().casefold()
    if half := re.fullmatch(_TWELVE, words):
        hour, minute = int(half[1]), int(half[2] or 0)
        if not 1 <= hour <= 12:
            return None
        hour = hour % 12 + (12 if half[3] == "p" else 0)
    elif full := re.fullmatch(_TIME, words):
        hour, minute = int(full[1] or full[3]), int(full[2] or full[4])
    else:
        return None
    return f"{hour:02d}:{minute:02d}" if hour < 24 and minute < 60 else None
