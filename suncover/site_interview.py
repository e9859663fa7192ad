"""The questions that lead to a site file, one at a time, each answer checked at once.

Answers are texts by key: `site.name`, `window.1.azimuth`. Nothing here talks to anybody: whoever
does asks `next_question` what comes, and puts the answer where the next call finds it. So an
interview can be broken off, kept as its answers, and taken up again.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from pydantic_core import PydanticCustomError

from suncover.clock_words import meant_time
from suncover.site_aspect import AzimuthOrWords, Day
from suncover.value_kind import Kind
from suncover.values import ClockTime, Named, Quantity
from suncover.zones import zone_at, zone_fault

Answers = Mapping[str, str]
Check = Callable[[str], object]
"""Reads an answer; raises ValueError with a sentence if it is wrong."""

MOST_WINDOWS = 1000


@dataclass(frozen=True)
class Question:
    """One question: its key, what is asked, and a sentence on how to find out.

    `default` is the answer of an empty line; None if there must be one.
    """

    key: str
    text: str
    how: str
    check: Check
    default: str | None = None


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
        _by(Named()),
        default="Home",
    )
    yield Question(
        "site.place",
        "Where is it? Latitude, longitude",
        "Press on your house in any map on a phone: it shows two numbers, such as 47.38, 8.54. "
        "South and west have a minus sign.",
        coordinates,
    )
    yield Question(
        "site.elevation",
        "How high above the sea, in metres?",
        "A map with contour lines says; fifty metres more or less do not matter.",
        _by(Quantity(-500, 9000, length=True)),
        default="0",
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
        _new_name(frozenset(taken)),
        default=f"window {number}",
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
    )
    yield from _form_questions(answers, key, known.today)
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
        yield Question(f"{key}.{last}", text, how, _by(_length(over=over)), default=default)
    if _by(_length())(answers[f"{key}.overhang"]):
        yield Question(
            f"{key}.gap",
            "How far above the glass is its underside?",
            "From the upper edge of the glass, not of the frame, straight up.",
            _by(_length()),
            default="0.2",
        )


def _form_questions(answers: Answers, key: str, today: date) -> Iterator[Question]:
    """What has to be known besides, for a compass or a wall."""
    match direction(answers[f"{key}.azimuth"]):
        case ("compass", _):
            yield Question(
                f"{key}.measured",
                "On which day was the compass read?",
                "Magnetic north moves from year to year. YYYY-MM-DD.",
                _by(Day()),
                default=today.isoformat(),
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
            )
            yield Question(
                f"{key}.wall_right",
                "And the right end?",
                how,
                coordinates,
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
        _new_name(frozenset(taken)),
        default=f"{name} shade"[:100],
    )
    yield Question(
        f"{key}.travel",
        "How many seconds does it take to close?",
        "Time the full run with a watch.",
        _by(Quantity(0, 3600)),
        default="60",
    )
    yield Question(
        f"{key}.quiet",
        "Between which times must it not run?",
        "Such as 21:30-07:00, so that it wakes nobody; none if it may always run.",
        quiet_hours,
        default="none",
    )


def coordinates(text: str) -> tuple[float, float]:
    """Latitude and longitude of a text such as `47.38, 8.54`.

    Raises
    ------
    ValueError
        When it is no such pair.
    """
    parts = re.findall(r"[-+−]?\d+(?:\.\d+)?", text)
    if len(parts) != 2 or re.search(r"[^-+−\d.,;\s°NE]", text):
        raise ValueError("write latitude and longitude like this: 47.38, 8.54")
    latitude, longitude = (float(part.replace("−", "-")) for part in parts)
    if abs(latitude) > 90:
        raise ValueError(f"latitude {latitude:g} is not between -90 and 90")
    if abs(longitude) > 180:
        raise ValueError(f"longitude {longitude:g} is not between -180 and 180")
    return latitude, longitude


def direction(text: str) -> tuple[str, float]:
    """The form and the degrees of an answer on direction: `azimuth`, `compass` or `wall`.

    Raises
    ------
    ValueError
        When it is none of them.
    """
    word = text.strip().casefold()
    if word == "wall":
        return "wall", 0.0
    compass = re.fullmatch(r"compass[ :=]*(.*)", word)
    if compass is not None:
        return "compass", _degrees(compass[1], 'write the reading after it: "compass 101.5"')
    try:
        return "azimuth", _degrees(word, "")
    except ValueError:
        if re.fullmatch(r"[-+\d.,°\s]+", word):
            raise
        return "azimuth", float(_read(AzimuthOrWords(), text.strip()))  # type: ignore[arg-type]


def _degrees(text: str, hint: str) -> float:
    try:
        number = float(text.strip().rstrip("°").replace(",", "."))
    except ValueError:
        raise ValueError(hint or f'"{text}" is not a number of degrees') from None
    if not 0 <= number <= 360:
        raise ValueError(f"{number:g} is not between 0 and 360 degrees")
    return number


def yes_or_no(text: str) -> bool:
    """Whether an answer says yes.

    Raises
    ------
    ValueError
        When it says neither.
    """
    word = text.strip().casefold()
    if word in ("y", "yes", "true"):
        return True
    if word in ("n", "no", "false", "none"):
        return False
    raise ValueError("answer yes or no")


def quiet_hours(text: str) -> tuple[str, str] | None:
    """Two clock times of an answer such as `21:30-07:00`; None for `none`.

    Raises
    ------
    ValueError
        When it is neither.
    """
    if text.strip().casefold() in ("none", "no", "-"):
        return None
    parts = [part.strip() for part in re.split(r"[-–,]| to ", text) if part.strip()]
    parts = [meant_time(part) or part for part in parts]  # a person need not know the file's form
    if len(parts) != 2:
        raise ValueError("write two times like this: 21:30-07:00, or none")
    for part in parts:
        _read(ClockTime(), part)
    if parts[0] == parts[1]:
        raise ValueError("quiet hours start and end at the same time; write none for none")
    return parts[0], parts[1]


def time_zone(text: str) -> str:
    """The name of a time zone.

    Raises
    ------
    ValueError
        When there is no such zone; its text names the nearest.
    """
    if wrong := zone_fault(text.strip()):
        raise ValueError(wrong)
    return text.strip()


def _new_name(taken: Collection[str]) -> Check:
    def check(text: str) -> str:
        name = str(_read(Named(), text.strip()))
        if name in taken:
            raise ValueError(f'there is a "{name}" already; give each its own name')
        return name

    return check


def _length(*, over: bool = False) -> Quantity:
    return Quantity(0.001 if over else 0, 1000, length=True)


def _by(kind: Kind) -> Check:
    """A check by one of the site file's kinds of value; a bare number is a number."""

    def check(text: str) -> object:
        answer = text.strip()
        if not isinstance(kind, Quantity):
            return _read(kind, answer)
        try:
            number = float(answer.replace(",", "."))
        except ValueError:
            if kind.length:
                return _read(kind, answer)
            raise ValueError(f'"{answer}" is not a number') from None
        return _read(kind, number)

    return check


def _read(kind: Kind, value: object) -> object:
    try:
        return kind.read(value)
    except PydanticCustomError as wrong:
        raise ValueError(wrong.message()) from None
