"""Questions about the site and the walls of the house."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from suncover.site.aspect import Day
from suncover.site.interview.kinds import (
    by_kind,
    coordinates,
    direction,
    doubtful_size,
    length_at_home,
    near_house,
    new_name,
    outside_of,
    time_zone,
    wall_end,
    whereabouts,
    yes_or_no,
    zone_of,
)
from suncover.site.interview.question import Answers, Known, Line, Question
from suncover.site.interview.talk import Talk
from suncover.site.interview.values import (
    facing_meaning,
    length_meaning,
    measure,
    number_check,
    place_meaning,
    text,
    toml_measure,
    toml_number,
    toml_text,
)
from suncover.site.kinds.azimuth import bearing_from_wall, declination_at, geodesic
from suncover.site.kinds.values import Name, Quantity
from suncover.site.kinds.zones import zone_at

MOST_WALLS = 200
FACING_HOW = (
    "The way you look when you look straight out: degrees from true north (90 is east, 180 south) "
    'or words such as east-north-east. Or "wall" for two ends of its wall off a map, which is '
    'best. Or "compass 101.5" for a magnetic compass, two steps away from the wall and from iron.'
)


def site_questions(answers: Answers, known: Known) -> Iterator[Question]:
    """The table [site]."""
    yield Question(
        "site.name",
        "What is the home called?",
        "A name for your own use; it will name the calendar. At every question an empty line takes "
        "the answer in brackets, < goes back, and + asks for more about the same thing where there "
        "is more: here, for the walls of the house, to measure along.",
        by_kind(Name),
        default="Home",
        table="[site]",
        lines=text("name"),
        deep="site.deep",
    )
    yield Question(
        "site.place",
        "Where is it? Latitude, longitude",
        "Press on your house in any map on a phone: it shows two numbers, such as 47.38, 8.54. "
        "South and west have a minus sign, or write 30.03 S, 51.22 W.",
        coordinates,
        doubt=whereabouts(known.clocks),
        example="47.38, 8.54",
        meaning=place_meaning,
        table="[site]",
        lines=_place_lines,
        deep="site.deep",
    )
    yield Question(
        "site.elevation",
        "How high above the sea, in metres?",
        "A map with contour lines says; fifty metres more or less do not matter.",
        by_kind(Quantity(-500, 9000, length=True)),
        default="0",
        doubt=doubtful_size("site.elevation", "elevation"),
        meaning=length_meaning,
        table="[site]",
        lines=measure("elevation", "above sea level"),
        deep="site.deep",
    )
    place = coordinates(answers["site.place"])
    yield Question(
        "site.timezone",
        "Which time zone?",
        "The one found from the place is offered; another is written like Europe/Berlin.",
        time_zone,
        default=zone_at(*place),
        doubt=zone_of(place),
        table="[site]",
        lines=text("timezone"),
        deep="site.deep",
    )


def _place_lines(answer: str) -> tuple[Line, ...]:
    latitude, longitude = coordinates(answer)
    words = answer.strip()
    said = f"; said: {words}" if any(c.isalpha() for c in words) and words.isprintable() else ""
    return (
        ("latitude", toml_number(latitude), f"north positive{said}"),
        ("longitude", toml_number(longitude), "east positive"),
    )


def wall_questions(talk: Talk) -> Iterator[Question]:
    """The house's walls, one after another to the right as seen from outdoors."""
    answers = talk.answers
    for number in range(1, MOST_WALLS):
        key = f"wall.{number}"
        before = talk.walls[-1] if talk.walls else None
        yield Question(
            f"{key}.name",
            f"Wall {number}: what is it called?",
            "Walk round the house, facing it, from left to right: each wall goes on where the one "
            "before it ended. A name such as street side.",
            new_name(frozenset(talk.walls)),
            default=f"wall {number}",
            example=key,
            table="[[wall]]",
            lines=text("name"),
        )
        name = talk.get(f"{key}.name")
        yield Question(
            f"{key}.length",
            f"How long is {name}?",
            "From corner to corner, along its outer face.",
            by_kind(length_at_home(over=True)),
            doubt=doubtful_size("wall.length", "length"),
            example="5",
            meaning=length_meaning,
            table="[[wall]]",
            lines=measure("length", "from corner to corner"),
        )
        if before is None:
            yield facing_question(key, f"Which way does {name} face?", FACING_HOW, "[[wall]]")
            yield from form_questions(talk, key, "[[wall]]")
        else:
            yield _corner_question(talk, key, name, before)
        talk.add_wall(key, _azimuth_of(talk, key, before))
        yield Question(
            f"{key}.more",
            "Another wall?",
            "yes or no; only walls with windows in them are needed, and those between them.",
            yes_or_no,
            default="no",
        )
        if not yes_or_no(answers[f"{key}.more"]):
            return


def _azimuth_of(talk: Talk, key: str, before: str | None) -> float | None:
    """Which way a wall faces, by its answers; None if that is not known here."""
    if before is None:
        return _said_azimuth(talk, key)
    return _turned(talk, before, talk.get(f"{key}.corner"))


def _turned(talk: Talk, before: str, corner: str) -> float | None:
    """Which way a wall faces that comes after another at a corner."""
    if before not in talk.facing:
        return None
    return round((talk.facing[before] - 180 + float(corner.replace(",", "."))) % 360, 1)


def _said_azimuth(talk: Talk, key: str) -> float:
    form, degrees = direction(talk.get(f"{key}.azimuth"))
    if form == "compass":
        site = talk.known.place or coordinates(talk.answers["site.place"])
        day = date.fromisoformat(talk.get(f"{key}.measured"))
        degrees = (degrees + declination_at(*site, 0.0, day).degrees) % 360
    elif form == "wall":
        left, right = (coordinates(talk.get(f"{key}.{end}")) for end in ("wall_left", "wall_right"))
        degrees = bearing_from_wall(left, right).azimuth
    return round(degrees, 1)


def _corner_question(talk: Talk, key: str, name: str, before: str) -> Question:
    def meaning(answer: str) -> str | None:
        azimuth = _turned(talk, before, answer)
        return None if azimuth is None else facing_meaning(azimuth)

    def lines(answer: str) -> tuple[Line, ...]:
        after = ("after", toml_text(before), "it starts at that wall's right end")
        if answer.strip() == "90":
            return (after,)
        return after, ("corner", toml_measure(answer), "degrees between them, indoors")

    return Question(
        f"{key}.corner",
        f"What is the angle between {before} and {name}, measured indoors?",
        "90 degrees in most houses; 270 where the house turns inward; 225, 135, 135, 225 along the "
        "walls of a bay.",
        number_check(0, 360, over=True),
        default="90",
        meaning=meaning,
        table="[[wall]]",
        lines=lines,
    )


def facing_question(key: str, question: str, how: str, table: str) -> Question:
    """Which way a wall faces, in one of the forms."""
    return Question(
        f"{key}.azimuth",
        question,
        how,
        direction,
        example="90",
        meaning=azimuth_meaning,
        table=table,
        lines=azimuth_lines,
    )


def azimuth_meaning(answer: str) -> str | None:
    """A direction in degrees and words; None where more is asked about it."""
    form, degrees = direction(answer)
    return facing_meaning(degrees) if form == "azimuth" else None


def azimuth_lines(answer: str) -> tuple[Line, ...]:
    """The direction as it was said; a compass or a wall on a map has further questions."""
    form, degrees = direction(answer)
    if form == "wall":
        return ()
    if form == "compass":
        return (("compass", toml_number(degrees), "degrees from magnetic north"),)
    words = answer.strip()
    if any(letter.isalpha() for letter in words):
        return (("azimuth", toml_text(words), "words are good to 11°; sightings do better"),)
    return (("azimuth", toml_number(degrees), "from true north: 90 east, 180 south"),)


def form_questions(talk: Talk, key: str, table: str) -> Iterator[Question]:
    """What has to be known besides, for a compass or a wall on a map."""
    answers, known = talk.answers, talk.known
    form, degrees = direction(answers[f"{key}.azimuth"])
    if form == "azimuth":
        return
    site = known.place or coordinates(answers["site.place"])
    if form == "compass":
        yield Question(
            f"{key}.measured",
            "On which day was the compass read?",
            "Magnetic north moves from year to year. YYYY-MM-DD.",
            by_kind(Day),
            default=known.today.isoformat(),
            meaning=lambda answer: _compass_meaning(degrees, answer, site),
            table=table,
            lines=lambda answer: (
                ("measured", date.fromisoformat(answer.strip()).isoformat(), ""),
            ),
        )
        return
    how = "Latitude, longitude with six decimals, off an aerial picture; long walls do best."
    yield Question(
        f"{key}.wall_left",
        "Where is the left end of its wall, seen from outdoors?",
        how,
        coordinates,
        doubt=near_house(site),
        example=answers.get("site.place", "47.38, 8.54"),
    )
    first = coordinates(answers[f"{key}.wall_left"])
    yield Question(
        f"{key}.wall_right",
        "And the right end?",
        how,
        wall_end(first, site),
        doubt=outside_of(first, site),
        meaning=lambda answer: _ends_meaning(first, coordinates(answer)),
        table=table,
        lines=lambda answer: (_ends_line(first, coordinates(answer)),),
    )


def _compass_meaning(degrees: float, day: str, site: tuple[float, float]) -> str:
    """What a compass reading is from true north."""
    found = declination_at(*site, 0.0, date.fromisoformat(day.strip()))
    side = "east" if found.degrees >= 0 else "west"
    facing = facing_meaning(round((degrees + found.degrees) % 360, 1))
    return f"{facing}, as magnetic north lies {abs(found.degrees):.1f}° {side} of true north there"


def _ends_meaning(first: tuple[float, float], second: tuple[float, float]) -> str:
    facing = facing_meaning(round(bearing_from_wall(first, second).azimuth, 1))
    return f"{facing}; the wall is {geodesic(first, second)[0]:.1f} m long"


def _ends_line(first: tuple[float, float], second: tuple[float, float]) -> Line:
    shown = ", ".join(f"[{toml_number(a)}, {toml_number(b)}]" for a, b in (first, second))
    return "wall", f"[{shown}]", "its ends; the outside is on the right of the way"
