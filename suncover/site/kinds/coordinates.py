"""A place on Earth as people have it: off a map, out of a message, from a plate on a monument.

    47.38, 8.54                       decimal degrees, north and east positive
    30.03 S, 51.22 W                  with letters or words, in front or behind
    30°01'48"S 51°13'12"W             degrees, minutes, seconds, in any of their signs
    geo:-30.03,-51.22;u=20            a `geo:` URI (RFC 5870)

Letters decide which is which, so that they may come in either order; without them, latitude comes
first.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NamedTuple

Place = tuple[float, float]
"""Latitude and longitude in degrees, north and east positive."""

EXAMPLE = "47.38, 8.54"
_LONGEST_TEXT = 200
_WANTED = f"write latitude and longitude like this: {EXAMPLE} or 30.03 S, 51.22 W"

# Not every crs of RFC 5870 is known here; without one it is WGS 84 (section 3.4.1).
_GEO_CRS = "wgs84"
_NUMBER = r"\d+(?:\.\d+)?"
_GEO = rf"geo:(-?{_NUMBER}),(-?{_NUMBER})(?:,-?{_NUMBER})?((?:;[^;\s]*)*)"
# The signs and words that may stand behind degrees, minutes and seconds.
_STROKE = "['′’ʹ‘´`]"
_UNITS = (
    r"[°º˚ᵒ]|(?:degrees?|deg|d)(?![a-z])",
    rf"{_STROKE}|(?:minutes|min|m)(?![a-z])",
    rf"[\"″”ʺ“]|{_STROKE}{{1,2}}|(?:seconds|sec)(?![a-z])",
)
_DEGREES, _MINUTES, _SECONDS = (rf" ?({_NUMBER})(?![\d.]) ?({unit})?" for unit in _UNITS)
_LETTER = r"(?:north|south|east|west|[nsew])(?![a-z])"


def _angle(front: str) -> str:
    """The pattern of one coordinate: its letter in front, in a group of that name, or behind."""
    return (
        rf" ?(?:(?:latitude|lat|longitude|long|lon)(?![a-z]))? ?([-+]?) ?(?P<{front}>{_LETTER})?"
        rf" ?([-+]?){_DEGREES}(?:{_MINUTES}(?:{_SECONDS})?)?(?({front})| ?({_LETTER})?)"
    )


_END = r"[ ,;/]*"
_ONE = _angle("front") + _END
_TWO = rf"{_angle('first')}(?P<between>{_END}){_angle('second')}{_END}"


def parse_place(text: str) -> Place:
    """Latitude and longitude of a text.

    Raises
    ------
    ValueError
        When it is no such pair, or one that is not on Earth; its text says what would be right.

    References
    ----------
    RFC 5870, A Uniform Resource Identifier for Geographic Locations ('geo' URI), section 3.
    """
    if len(text) > _LONGEST_TEXT:
        raise ValueError(_WANTED)
    if text.strip().casefold().startswith("geo:"):
        return _checked(*_geo_uri(text.strip()))
    first, second = _pair(text)
    axes = (first.axis, second.axis)
    if axes in (("E", "N"), ("E", None), (None, "N")):
        first, second = second, first
    elif axes in (("N", "N"), ("E", "E")):
        axis_name = "latitude (N or S)" if first.axis == "N" else "longitude (E or W)"
        raise ValueError(f"both numbers are called {axis_name}; {_WANTED}")
    return _checked(first.degrees, second.degrees)


def parse_coordinate(text: str, axis: str) -> float:
    """One coordinate of a text such as `30.03 S` or `51°13'12" W`, in degrees.

    `axis` is `latitude` or `longitude`.

    Raises
    ------
    ValueError
        As `parse_place`; also for a letter of the other axis.
    """
    letters = "N or S" if axis == "latitude" else "E or W"
    tidy = _tidied(text[: _LONGEST_TEXT + 1])
    angles = _angles(re.fullmatch(_ONE, tidy)) if len(text) <= _LONGEST_TEXT else []
    if not angles or (angles[0].is_loose and angles[0].is_led):
        example = f'write {axis} in degrees, such as 30.03 or "30.03 {letters[-1]}"'
        raise ValueError(_east_or_west(tidy) or example)
    [angle] = angles
    if angle.axis is None and not angle.marked:
        raise ValueError(f'as text it needs a letter, {letters}: "{text.strip()} {letters[0]}"')
    if angle.axis is not None and angle.axis != ("N" if axis == "latitude" else "E"):
        raise ValueError(f"this is not a {axis}, which has {letters} behind it")
    return angle.degrees


def place_text(latitude: float, longitude: float) -> str:
    """A place in words: `30.03° south, 51.22° west`."""
    north = f"{abs(latitude):.7g}° {'north' if latitude >= 0 else 'south'}"
    east = f"{abs(longitude):.7g}° {'east' if longitude >= 0 else 'west'}"
    return f"{north}, {east}"


def _checked(latitude: float, longitude: float) -> Place:
    if abs(latitude) > 90:
        raise ValueError(f"latitude {latitude:g} is not between -90 and 90")
    if abs(longitude) > 180:
        raise ValueError(f"longitude {longitude:g} is not between -180 and 180")
    return latitude, longitude


def _geo_uri(text: str) -> Place:
    match = re.fullmatch(_GEO, text, re.IGNORECASE)
    if match is None:
        raise ValueError("a geo: URI is written like this: geo:47.38,8.54")
    parameters = dict(part.partition("=")[::2] for part in match[3].casefold().split(";") if part)
    if (crs := parameters.get("crs", _GEO_CRS)) != _GEO_CRS:
        raise ValueError(f"this geo: URI counts by {crs[:20]}; give one in WGS 84, as maps do")
    return float(match[1]), float(match[2])


class _Angle(NamedTuple):
    """One coordinate of a text: its sign, its letter, and its degrees, minutes and seconds."""

    sign: str
    letter: str
    parts: tuple[Fraction, ...]
    marked: bool  # whether it has the sign of a unit
    is_led: bool  # whether its letter stands in front

    @property
    def is_loose(self) -> bool:
        """Whether it is several bare numbers, of which nobody knows whether they go together."""
        return len(self.parts) > 1 and not self.marked and (self.is_led or not self.letter)

    @property
    def axis(self) -> str | None:
        return {"n": "N", "s": "N", "e": "E", "w": "E"}.get(self.letter)

    @property
    def degrees(self) -> float:
        if any(part >= 60 for part in self.parts[1:]):
            raise ValueError("minutes and seconds of a degree are below 60")
        if any(part.denominator != 1 for part in self.parts[:-1]):
            raise ValueError("only the last of degrees, minutes and seconds has decimals")
        size = sum((part / 60**power for power, part in enumerate(self.parts)), Fraction(0))
        if self.letter and self.sign == "-":
            raise ValueError("a minus and a letter say it twice; leave out one of them")
        return float(-size if self.letter in ("s", "w") or self.sign == "-" else size)


def _pair(text: str) -> tuple[_Angle, _Angle]:
    tidy = _tidied(text)
    match = re.fullmatch(_TWO, tidy)
    angles = _angles(match)
    loose = any(angle.is_loose for angle in angles)
    if match is None or not angles or loose or not (match["between"].strip() or _are_two(*angles)):
        raise ValueError(_east_or_west(tidy) or _WANTED)
    return angles[0], angles[1]


def _are_two(first: _Angle, second: _Angle) -> bool:
    """Whether two coordinates with nothing between them are two: not `48°01`, which goes on."""
    if second.sign or second.is_led or (first.letter and not first.is_led):
        return True
    return not first.marked and (first.is_led or not (second.marked or second.letter))


def _angles(match: re.Match[str] | None) -> list[_Angle]:
    """The coordinates in a match of `_ONE` or `_TWO`."""
    angles = []
    for group in ("front", "first", "second"):
        if match is None or group not in match.re.groupindex:
            continue
        at = match.re.groupindex[group]
        before, front, sign, *amount, behind = match.groups()[at - 2 : at + 8]
        if before and sign:
            return []
        parts = tuple(Fraction(number) for number in amount[::2] if number)
        letter = (front or behind or "")[:1]
        angles.append(_Angle(before + sign, letter, parts, any(amount[1::2]), bool(front)))
    return angles


def _east_or_west(tidy: str) -> str | None:
    if re.search(r"(?<![a-z])[oö](?![a-z])", tidy):
        return "O is east in some languages and west in others; write E or W"
    return None


def _tidied(text: str) -> str:
    """In small letters, with points and hyphens for what stands for them, and single blanks."""
    points = _decimal_points(text.replace("−", "-").replace("–", "-"))
    return " ".join(points.casefold().split())


def _decimal_points(text: str) -> str:
    """Commas that stand for decimal points written as points: `30,03 S, 51,22 W`, `47,38; 8,54`.

    Only where a semicolon or letters part the two numbers; `47,38` alone is a pair.
    """
    commas = re.findall(r"\d,\d", text)
    parted = ";" in text or re.search(r"\d[^\d,]*[A-Za-z][^\d]*\d", text)
    if len(commas) in (1, 2) and parted and "." not in text:
        return re.sub(r"(\d),(\d)", r"\1.\2", text)
    return text
