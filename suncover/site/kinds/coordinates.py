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

Place = tuple[float, float]
"""Latitude and longitude in degrees, north and east positive."""

EXAMPLE = "47.38, 8.54"
_LONGEST_TEXT = 200
_DEGREE_SIGNS = "°º˚ᵒ"
_MINUTE_SIGNS = "'′’ʹ‘´`"
_SECOND_SIGNS = '"″”ʺ“'
_LETTERS = {"N": "N", "S": "S", "E": "E", "W": "W"}
_WORDS = {"NORTH": "N", "SOUTH": "S", "EAST": "E", "WEST": "W"}
_WANTED = f"write latitude and longitude like this: {EXAMPLE} or 30.03 S, 51.22 W"

# Not every crs of RFC 5870 is known here; without one it is WGS 84 (section 3.4.1).
_GEO_CRS = "wgs84"
_GEO = r"geo:(-?\d+(?:\.\d+)?),(-?\d+(?:\.\d+)?)(?:,-?\d+(?:\.\d+)?)?((?:;[^;\s]*)*)"
_NUMBER = r"\d+(?:\.\d+)?"
_TOKEN = (
    rf"(?P<number>{_NUMBER})|(?P<sign>[-+])"
    rf"|(?P<unit>[{_DEGREE_SIGNS}{_MINUTE_SIGNS}{_SECOND_SIGNS}])"
    r"|(?P<word>[A-Za-z]+)|(?P<mark>[,;/])|(?P<blank>\s+)|(?P<other>.)"
)


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
    first, second = _angles(text)
    axes = (first.axis, second.axis)
    if axes in (("E", "N"), ("E", None), (None, "N")):
        first, second = second, first
    elif axes in (("N", "N"), ("E", "E")):
        both = "latitude (N or S)" if first.axis == "N" else "longitude (E or W)"
        raise ValueError(f"both numbers are called {both}; {_WANTED}")
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
    angles = _split(text) if len(text) <= _LONGEST_TEXT else []
    if len(angles) != 1:
        raise ValueError(f'write {axis} in degrees, such as 30.03 or "30.03 {letters[-1]}"')
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


class _Angle:
    """One coordinate on the way through a text: its degrees so far, its sign and its axis."""

    def __init__(self) -> None:
        self.parts: list[Fraction] = []
        self.sign: int | None = None
        self.letter: str | None = None
        self.unit: int | None = None  # of the last number: 0 degrees, 1 minutes, 2 seconds
        self.marked = False  # whether a degree sign has been seen

    @property
    def axis(self) -> str | None:
        return None if self.letter is None else "N" if self.letter in "NS" else "E"

    @property
    def degrees(self) -> float:
        if len(self.parts) > 3 or any(part >= 60 for part in self.parts[1:]):
            raise ValueError("minutes and seconds of a degree are below 60")
        if any(part.denominator != 1 for part in self.parts[:-1]):
            raise ValueError("only the last of degrees, minutes and seconds has decimals")
        size = sum((part / 60**power for power, part in enumerate(self.parts)), Fraction(0))
        if self.letter is not None and self.sign == -1:
            raise ValueError("a minus and a letter say it twice; leave out one of them")
        south = self.letter in ("S", "W") or self.sign == -1
        return float(-size if south else size)

    def add(self, number: str) -> None:
        self.parts.append(Fraction(number))
        self.unit = None

    def mark(self, sign: str) -> None:
        """Take in the sign of a unit, which must be that of its place."""
        if not self.parts:
            raise ValueError(_WANTED)
        unit = 0 if sign in _DEGREE_SIGNS else 1 if sign in _MINUTE_SIGNS else 2
        if unit == 1 and self.unit == 1 and len(self.parts) == 3:
            unit = 2  # two strokes for seconds
        if unit != len(self.parts) - 1 and not (unit == 1 and len(self.parts) == 3):
            raise ValueError(_WANTED)
        self.unit = unit
        self.marked = True


def _angles(text: str) -> tuple[_Angle, _Angle]:
    angles = _split(text)
    if len(angles) == 1 and len(angles[0].parts) == 2 and not angles[0].marked:
        angles = _pair(angles[0])
    loose = any(len(a.parts) > 1 and not a.marked and a.letter is None for a in angles)
    if len(angles) != 2 or loose:  # of four bare numbers nobody knows which belong together
        raise ValueError(_WANTED)
    return angles[0], angles[1]


def _pair(angle: _Angle) -> list[_Angle]:
    """Two plain numbers with only a blank between them."""
    if angle.letter is not None:
        return []
    first, second = _Angle(), _Angle()
    first.parts, second.parts = [angle.parts[0]], [angle.parts[1]]
    first.sign = angle.sign
    return [first, second]


def _split(text: str) -> list[_Angle]:
    """The coordinates of a text, each ended by its letter, a mark, a sign or the text's end."""
    angles: list[_Angle] = []
    now = _Angle()
    plain = _decimal_points(text.replace("−", "-").replace("–", "-"))
    for match in re.finditer(_TOKEN, plain):
        kind, token = match.lastgroup, match[0]
        if kind == "number":
            if len(now.parts) == 3 or (now.letter is not None and now.parts and not now.marked):
                now = _next(now, angles)  # a letter in front has had its number
            now.add(token)
        elif kind == "sign":
            now = _next(now, angles)
            if now.sign is not None:
                raise ValueError(_WANTED)
            now.sign = -1 if token == "-" else 1
        elif kind == "unit":
            now.mark(token)
        elif kind == "word":
            now = _take_word(token.upper(), now, angles)
        elif kind == "mark" and (now.parts or angles):
            now = _next(now, angles)
        elif kind != "blank":
            raise ValueError(_WANTED)
    if not now.parts and (now.letter is not None or now.sign is not None):
        raise ValueError(_WANTED)
    _next(now, angles)
    return angles


def _next(now: _Angle, angles: list[_Angle]) -> _Angle:
    """Puts an angle that has numbers to the others; the one that comes next, or else itself."""
    if not now.parts:
        return now
    angles.append(now)
    return _Angle()


def _take_word(word: str, now: _Angle, angles: list[_Angle]) -> _Angle:
    """Take in a letter or a word; the angle that goes on."""
    if word in ("D", "DEG", "DEGREE", "DEGREES") and now.parts:
        now.mark("°")
        return now
    if word in ("M", "MIN", "MINUTES") and now.parts:
        now.mark("'")
        return now
    if word in ("SEC", "SECONDS") and now.parts:
        now.mark('"')
        return now
    if word in ("LAT", "LATITUDE", "LON", "LONG", "LONGITUDE") and not now.parts:
        return now
    letter = _WORDS.get(word) or _LETTERS.get(word)
    if letter is None:
        if word in ("O", "Ö"):
            raise ValueError("O is east in some languages and west in others; write E or W")
        raise ValueError(_WANTED)
    if now.letter is not None and now.parts:  # a letter in front of the next one
        angles.append(now)
        now = _Angle()
    if now.letter is not None:
        raise ValueError(_WANTED)
    now.letter = letter
    if now.parts:
        angles.append(now)
        return _Angle()
    return now


def _decimal_points(text: str) -> str:
    """Commas that stand for decimal points written as points: `30,03 S, 51,22 W`, `47,38; 8,54`.

    Only where a semicolon or letters part the two numbers; `47,38` alone is a pair.
    """
    commas = re.findall(r"\d,\d", text)
    parted = ";" in text or re.search(r"\d[^\d,]*[A-Za-z][^\d]*\d", text)
    if len(commas) in (1, 2) and parted and "." not in text:
        return re.sub(r"(\d),(\d)", r"\1.\2", text)
    return text
