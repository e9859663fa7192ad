"""The questions that lead to a site file, one at a time, each answer checked at once.

Answers are texts by key: `site.name`, `window.1.azimuth`. Nothing here talks to anybody: whoever
does asks `next_question` what comes, and puts the answer where the next call finds it. So an
interview can be broken off, kept as its answers, and taken up again.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from suncover.site.aspect import Day
from suncover.site.interview.kinds import (
    Check,
    Doubt,
    by_kind,
    coordinates,
    direction,
    doubtful_size,
    length_at_home,
    new_name,
    no_doubt,
    quiet_hours,
    sea_doubt,
    time_zone,
    wall_end,
    yes_or_no,
)
from suncover.site.kinds.values import Name, Quantity
from suncover.site.kinds.zones import zone_at

Answers = Mapping[str, str]
MOST_WINDOWS = 1000

HANGS_ON = {
    "measured": "azimuth",
    "wall_left": "azimuth",
    "wall_right": "azimuth",
    "gap": "overhang",
    "shade_name": "shade",
    "travel": "shade",
    "quiet": "shade",
}
"""The answers on which it hangs whether others are asked for, by the last part of their keys."""


@dataclass(frozen=True)
class Question:
    """One question: its key, what is asked, and a sentence on how to find out.

    `default` is the answer of an empty line; None if there must be one. `example` is a right answer
    to go on with where a file has a wrong one.
    """

    key: str
    text: str
    how: str
    check: Check
    default: str | None = None
    doubt: Doubt = no_doubt
    example: str | None = None


@dataclass(frozen=True)
class Known:
    """What an interview need not ask: the file's entries so far, and today's date.

    `place` is the site's latitude and longitude if the file has them; then only windows are asked.
    """

    today: date
    windows: Collection[str] = ()
    shades: Collection[str] = ()
    place: tuple[float, float] | None = None


def next_question(answers: Answers, known: Known) -> Question | None:
    """The first question that has no answer yet; None when all is said."""
    return next((q for q in questions(answers, known) if q.key not in answers), None)


def questions(answers: Answers, known: Known) -> Iterator[Question]:
    """All questions in their order. What comes later depends on the answers to those before.

    To be read on only once the last question has its answer.
    """
    if known.place is None:
        yield from _site_questions(answers)
    windows, shades = set(known.windows), set(known.shades)
    for number in range(1, MOST_WINDOWS):
        key = f"window.{number}"
        yield from _window_questions(answers, key, number + len(known.windows), windows, known)
        windows.add(answers[f"{key}.name"].strip())
        yield from _shade_questions(answers, key, shades)
        shades.add(answers.get(f"{key}.shade_name", "").strip())
        yield Question(
            f"{key}.more",
            "Another window?",
            "More can be added later by the same command. yes or no.",
            yes_or_no,
            default="no",
        )
        if not yes_or_no(answers[f"{key}.more"]):
            return


def _site_questions(answers: Answers) -> Iterator[Question]:
    yield Question(
        "site.name",
        "What is the home called?",
        "A name for your own use; it will name the calendar.",
        by_kind(Name),
        default="Home",
    )
    yield Question(
        "site.place",
        "Where is it? Latitude, longitude",
        "Press on your house in any map on a phone: it shows two numbers, such as 47.38, 8.54. "
        "South and west have a minus sign.",
        coordinates,
        doubt=sea_doubt,
        example="47.38, 8.54",
    )
    yield Question(
        "site.elevation",
        "How high above the sea, in metres?",
        "A map with contour lines says; fifty metres more or less do not matter.",
        by_kind(Quantity(-500, 9000, length=True)),
        default="0",
        doubt=doubtful_size("site.elevation", "elevation"),
    )
    yield Question(
        "site.timezone",
        "Which time zone?",
        "The one found from the place is offered; another is written like Europe/Berlin.",
        time_zone,
        default=zone_at(*coordinates(answers["site.place"])),
    )


def _window_questions(
    answers: Answers, key: str, number: int, taken: Collection[str], known: Known
) -> Iterator[Question]:
    yield Question(
        f"{key}.name",
        f"Window {number}: what is it called?",
        "Each window has its own name, such as kitchen or study left.",
        new_name(frozenset(taken)),
        default=f"window {number}",
        example=key,
    )
    name = answers[f"{key}.name"]
    yield Question(
        f"{key}.azimuth",
        f"Which way does {name} face?",
        "The way you look when you look straight out: degrees from true north (90 is east, 180 "
        'south) or words such as east-north-east. Or "wall" for two ends of its wall off a map, '
        'which is best. Or "compass 101.5" for a magnetic compass, two steps away from the wall '
        "and from iron.",
        direction,
        example="90",
    )
    yield from _form_questions(answers, key, known)
    lengths = (
        ("width", "How wide is the glass?", "Without the frame. Metres, or with a unit: 48 in, "
         "4 ft 2 in, 120 cm.", "1.2", True),
        ("height", "How high is the glass?", "From its lower to its upper edge.", "1.4", True),
        ("sill", "How high above the floor is its lower edge?", "Indoors, from the floor up.",
         "0.9", False),
        ("reveal", "How far back from the wall's outer face is the glass?", "Open the window and "
         "measure from the outside of the wall to the glass; 0 if it is flush.", "0.1", False),
        ("overhang", "How deep is a roof or balcony over it?", "From the wall's face to its outer "
         "edge; 0 if there is none.", "0", False),
    )  # fmt: skip
    for last, text, how, default, over in lengths:
        size = "overhang.depth" if last == "overhang" else f"window.{last}"
        yield Question(
            f"{key}.{last}",
            text,
            how,
            by_kind(length_at_home(over=over)),
            default=default,
            doubt=doubtful_size(size, last),
        )
    if by_kind(length_at_home())(answers[f"{key}.overhang"]):
        yield Question(
            f"{key}.gap",
            "How far above the glass is its underside?",
            "From the upper edge of the glass, not of the frame, straight up.",
            by_kind(length_at_home()),
            default="0.2",
            doubt=doubtful_size("overhang.gap", "gap"),
        )


def _form_questions(answers: Answers, key: str, known: Known) -> Iterator[Question]:
    """What has to be known besides, for a compass or a wall."""
    match direction(answers[f"{key}.azimuth"]):
        case ("compass", _):
            yield Question(
                f"{key}.measured",
                "On which day was the compass read?",
                "Magnetic north moves from year to year. YYYY-MM-DD.",
                by_kind(Day),
                default=known.today.isoformat(),
            )
        case ("wall", _):
            how = (
                "Latitude, longitude with six decimals, off an aerial picture; long walls do best."
            )
            yield Question(
                f"{key}.wall_left",
                "Where is the left end of its wall, seen from outdoors?",
                how,
                coordinates,
                example=answers.get("site.place", "47.38, 8.54"),
            )
            yield Question(
                f"{key}.wall_right",
                "And the right end?",
                how,
                wall_end(
                    coordinates(answers[f"{key}.wall_left"]),
                    known.place or coordinates(answers["site.place"]),
                ),
            )


def _shade_questions(answers: Answers, key: str, taken: Collection[str]) -> Iterator[Question]:
    name = answers[f"{key}.name"]
    yield Question(
        f"{key}.shade",
        f"Is there a motor shade on {name}?",
        "yes, or no for a window that has none.",
        yes_or_no,
        default="yes",
    )
    if not yes_or_no(answers[f"{key}.shade"]):
        return
    yield Question(
        f"{key}.shade_name",
        "What is the shade called?",
        "Its name in the calendar.",
        new_name(frozenset(taken)),
        default=f"{name} shade"[:100],
        example=f"{key} shade",
    )
    yield Question(
        f"{key}.travel",
        "How many seconds does it take to close?",
        "Time the full run with a watch.",
        by_kind(Quantity(0, 3600)),
        default="60",
        doubt=doubtful_size("shade.travel", "travel"),
    )
    yield Question(
        f"{key}.quiet",
        "Between which times must it not run?",
        "Such as 21:30-07:00, so that it wakes nobody; none if it may always run.",
        quiet_hours,
        default="none",
    )
