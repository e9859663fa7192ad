"""Questions about the site and the walls of the house."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from suncover.site.aspect import Day
from suncover.site.interview.kinds import (
    by_kind,
    direction,
    near_house,
    new_name,
    time_zone,
    wall_end,
    whereabouts,
    yes_or_no,
)
from suncover.site.interview.question import Answers, KnownHome, Line, Question
from suncover.site.interview.sheet import Sheet
from suncover.site.interview.talk import Talk
from suncover.site.interview.values import facing_meaning, toml_measure, toml_number, toml_text
from suncover.site.kinds.azimuth import bearing_from_wall, declination_at, ends_doubt, geodesic
from suncover.site.kinds.coordinates import EXAMPLE, parse_place, place_text
from suncover.site.kinds.zones import zone_at, zone_doubt

MOST_WALLS = 200
FACING_HOW = (
    "The way you look when you look straight out: degrees from true north (90 is east, 180 south) "
    'or words such as east-north-east. Or "wall" for two ends of its wall off a map, which is '
    'best. Or "compass 101.5" for a magnetic compass, two steps away from the wall and from iron.'
)


def site_questions(answers: Answers, home: KnownHome) -> Iterator[Question]:
    """The table [site]."""
    site = Sheet("site", "[site]", "site.deep")
    yield site.ask(
        "name",
        "What is the home called?",
        "A name for your own use; it will name the calendar. At every question an empty line takes "
        "the answer in brackets, < goes back, and + asks for more about the same thing where there "
        "is more: here, for the walls of the house, to measure along.",
        "Home",
    )
    yield site.plain(
        "place",
        "Where is it? Latitude, longitude",
        "Press on your house in any map on a phone: it shows two numbers, such as 47.38, 8.54. "
        "South and west have a minus sign, or write 30.03 S, 51.22 W.",
        parse_place,
        doubt=whereabouts(home.clocks),
        example=EXAMPLE,
        meaning=_place_meaning,
        lines=_place_lines,
    )
    yield site.ask(
        "elevation",
        "How high above the sea, in metres?",
        "A map with contour lines says; fifty metres more or less do not matter.",
        "0",
        "above sea level",
    )
    place = parse_place(answers["site.place"])
    yield site.ask(
        "timezone",
        "Which time zone?",
        "The one found from the place is offered; another is written like Europe/Berlin.",
        zone_at(*place),
        check=time_zone,
        doubt=lambda answer: zone_doubt(*place, answer.strip()),
    )


def _place_meaning(answer: str) -> str:
    place = parse_place(answer)
    return f"that is {place_text(*place)}, by the clocks of {zone_at(*place)}"


def _place_lines(answer: str) -> tuple[Line, ...]:
    latitude, longitude = parse_place(answer)
    words = answer.strip()
    typed = f"; said: {words}" if any(c.isalpha() for c in words) and words.isprintable() else ""
    return (
        ("latitude", toml_number(latitude), f"north positive{typed}"),
        ("longitude", toml_number(longitude), "east positive"),
    )


def wall_questions(talk: Talk) -> Iterator[Question]:
    """The house's walls, one after another to the right as seen from outdoors."""
    for number in range(1, MOST_WALLS):
        wall = Sheet(f"wall.{number}", "[[wall]]")
        before = talk.walls[-1] if talk.walls else None
        yield wall.ask(
            "name",
            f"Wall {number}: what is it called?",
            "Walk round the house, facing it, from left to right: each wall goes on where the one "
            "before it ended. A name such as street side.",
            f"wall {number}",
            check=new_name(frozenset(talk.walls)),
            example=wall.key,
        )
        name = talk.get(f"{wall.key}.name")
        yield wall.ask(
            "length",
            f"How long is {name}?",
            "From corner to corner, along its outer face.",
            comment="from corner to corner",
            example="5",
        )
        if before is None:
            yield wall.plain(
                "azimuth",
                f"Which way does {name} face?",
                FACING_HOW,
                direction,
                example="90",
                meaning=azimuth_meaning,
                lines=azimuth_lines,
            )
            yield from form_questions(talk, wall)
            talk.add_wall(wall.key, _said_azimuth(talk, wall.key))
        else:
            yield _corner_question(talk, wall, name, before)
            talk.add_wall(wall.key, _turned(talk, before, talk.get(f"{wall.key}.corner")))
        yield Question(
            f"{wall.key}.more",
            "Another wall?",
            "yes or no; only walls with windows in them are needed, and those between them.",
            yes_or_no,
            default="no",
        )
        if not yes_or_no(talk.answers[f"{wall.key}.more"]):
            return


def _turned(talk: Talk, before: str, corner: str) -> float | None:
    """Which way a wall faces that comes after another at a corner; None if that is not known."""
    if before not in talk.facing:
        return None
    return round((talk.facing[before] - 180 + float(corner.replace(",", "."))) % 360, 1)


def _said_azimuth(talk: Talk, key: str) -> float:
    """Which way the first wall faces, by its answers."""
    form, degrees = direction(talk.get(f"{key}.azimuth"))
    if form == "compass":
        day = date.fromisoformat(talk.get(f"{key}.measured"))
        degrees = (degrees + declination_at(*talk.place, 0.0, day).degrees) % 360
    elif form == "wall":
        left, right = (parse_place(talk.get(f"{key}.{end}")) for end in ("wall_left", "wall_right"))
        degrees = bearing_from_wall(left, right).azimuth
    return round(degrees, 1)


def _corner_question(talk: Talk, wall: Sheet, name: str, before: str) -> Question:
    def meaning(answer: str) -> str | None:
        azimuth = _turned(talk, before, answer)
        return None if azimuth is None else facing_meaning(azimuth)

    def lines(answer: str) -> tuple[Line, ...]:
        after = ("after", toml_text(before), "it starts at that wall's right end")
        if answer.strip() == "90":
            return (after,)
        return after, ("corner", toml_measure(answer), "degrees between them, indoors")

    return wall.ask(
        "corner",
        f"What is the angle between {before} and {name}, measured indoors?",
        "90 degrees in most houses; 270 where the house turns inward; 225, 135, 135, 225 along the "
        "walls of a bay.",
        "90",
        meaning=meaning,
        lines=lines,
    )


def azimuth_meaning(answer: str) -> str | None:
    """A direction in degrees and words; None where more is asked about it."""
    form, degrees = direction(answer)
    return facing_meaning(degrees) if form == "azimuth" else None


def azimuth_lines(answer: str) -> tuple[Line, ...]:
    """The direction as it was typed; a compass or a wall on a map has further questions."""
    form, degrees = direction(answer)
    if form == "wall":
        return ()
    if form == "compass":
        return (("compass", toml_number(degrees), "degrees from magnetic north"),)
    words = answer.strip()
    if any(letter.isalpha() for letter in words):
        return (("azimuth", toml_text(words), "words are good to 11°; sightings do better"),)
    return (("azimuth", toml_number(degrees), "from true north: 90 east, 180 south"),)


def form_questions(talk: Talk, sheet: Sheet) -> Iterator[Question]:
    """What has to be known besides, for a compass or a wall on a map."""
    answers, site = talk.answers, talk.place
    form, degrees = direction(answers[f"{sheet.key}.azimuth"])
    if form == "compass":
        yield sheet.plain(
            "measured",
            "On which day was the compass read?",
            "Magnetic north moves from year to year. YYYY-MM-DD.",
            by_kind(Day),
            default=talk.home.today.isoformat(),
            meaning=lambda answer: _compass_meaning(degrees, answer, site),
            lines=lambda answer: [("measured", answer.strip(), "")],
        )
    elif form == "wall":
        instruction = (
            "Latitude, longitude with six decimals, off an aerial picture; long walls do best."
        )
        yield Question(
            f"{sheet.key}.wall_left",
            "Where is the left end of its wall, seen from outdoors?",
            instruction,
            parse_place,
            doubt=near_house(site),
            example=answers.get("site.place", EXAMPLE),
        )
        first = parse_place(answers[f"{sheet.key}.wall_left"])
        yield sheet.plain(
            "wall_right",
            "And the right end?",
            instruction,
            wall_end(first, site),
            doubt=lambda answer: ends_doubt(first, parse_place(answer), site),
            meaning=lambda answer: _ends_meaning(first, parse_place(answer)),
            lines=lambda answer: [_ends_line(first, parse_place(answer))],
        )


def _compass_meaning(degrees: float, day: str, site: tuple[float, float]) -> str:
    """What a compass reading is from true north."""
    declination = declination_at(*site, 0.0, date.fromisoformat(day.strip())).degrees
    side = "east" if declination >= 0 else "west"
    facing = facing_meaning(round((degrees + declination) % 360, 1))
    return f"{facing}, as magnetic north lies {abs(declination):.1f}° {side} of true north there"


def _ends_meaning(first: tuple[float, float], second: tuple[float, float]) -> str:
    facing = facing_meaning(round(bearing_from_wall(first, second).azimuth, 1))
    return f"{facing}; the wall is {geodesic(first, second)[0]:.1f} m long"


def _ends_line(first: tuple[float, float], second: tuple[float, float]) -> Line:
    shown = ", ".join(f"[{toml_number(a)}, {toml_number(b)}]" for a, b in (first, second))
    return "wall", f"[{shown}]", "its ends; the outside is on the right of the way"
