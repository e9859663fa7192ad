"""The text of a site file from the answers of an interview, with comments for whoever edits it."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from typing import Any

from suncover.site.interview.kinds import coordinates, direction, quiet_hours, yes_or_no
from suncover.site.interview.questions import Answers

COLUMN = 28  # where comments begin


def site_head(answers: Answers) -> str:
    """The tables before the first window."""
    latitude, longitude = coordinates(answers["site.place"])
    lines = [
        "# Change anything here; `suncover check` says whether it is right.",
        '# Lengths are in metres, or text with a unit: "48 in". Angles are in degrees.',
        "",
        "[site]",
        f"name = {_text(answers['site.name'])}",
        _line("latitude", _number(latitude), "north positive"),
        _line("longitude", _number(longitude), "east positive"),
        _line("elevation", _length(answers["site.elevation"]), "above sea level"),
        _line("timezone", _text(answers["site.timezone"]), ""),
        "",
        "[need]",
        _line("beam", "120", "W/m²: weaker sun is not counted; 0 counts all"),
        f"# season = {_summer(latitude)}   # the days on which shades work; all year if left out",
    ]
    return "\n".join(lines) + "\n"


def _summer(latitude: float) -> str:
    """The warm half of the year, north or south of the equator."""
    return '["04-15", "10-15"]' if latitude >= 0 else '["10-15", "04-15"]'


def window_tables(answers: Answers, number: int) -> str:
    """The tables of one window of the interview, and of its shade if it has one."""
    key = f"window.{number}"

    def answer(last: str) -> str:
        return answers[f"{key}.{last}"]

    lines = [
        "[[window]]",
        f"name = {_text(answer('name'))}",
        *_direction(answer),
        _line("width", _length(answer("width")), "of the glass"),
        _line("height", _length(answer("height")), "of the glass"),
        _line("sill", _length(answer("sill")), "from the floor up to the glass"),
        _line("reveal", _length(answer("reveal")), "the glass stands this far behind the wall"),
        "# skyline = [[60, 12], [95, 8], [130, 15]]   # what hides the sky: azimuth, elevation",
    ]
    if f"{key}.gap" in answers:
        lines += [
            "",
            "[window.overhang]",
            _line("depth", _length(answer("overhang")), "out from the wall's face"),
            _line("gap", _length(answer("gap")), "from the glass's upper edge up to it"),
            "# left = 0.30              # how far it runs past the glass; endless if left out",
            "# right = 0.30",
        ]
    if yes_or_no(answer("shade")):
        lines += ["", *_shade(answer)]
    return "\n".join(lines) + "\n"


def _direction(answer: Callable[[str], str]) -> list[str]:
    form, degrees = direction(answer("azimuth"))
    if form == "compass":
        return [
            _line("compass", _number(degrees), "degrees from magnetic north"),
            _line("measured", date.fromisoformat(answer("measured").strip()).isoformat(), ""),
        ]
    if form == "wall":
        ends = [coordinates(answer(end)) for end in ("wall_left", "wall_right")]
        shown = ", ".join(f"[{_number(north)}, {_number(east)}]" for north, east in ends)
        return [_line("wall", f"[{shown}]", "its ends; the outside is on the right of the way")]
    words = answer("azimuth").strip()
    if any(letter.isalpha() for letter in words):
        return [_line("azimuth", _text(words), "words are good to 11°; sightings do better")]
    return [_line("azimuth", _number(degrees), "from true north: 90 east, 180 south")]


def _shade(answer: Callable[[str], str]) -> list[str]:
    lines = [
        "[[shade]]",
        f"name = {_text(answer('shade_name'))}",
        f"windows = [{_text(answer('name'))}]",
        _line("travel", _number(float(answer("travel").replace(",", "."))), "seconds to close"),
    ]
    quiet = quiet_hours(answer("quiet"))
    if quiet is not None:
        times = ", ".join(f'"{time}"' for time in quiet)
        lines.append(_line("quiet", f"[{times}]", "it does not run between these"))
    return lines


def _line(key: str, value: str, comment: str) -> str:
    pair = f"{key} = {value}"
    return f"{pair:<{COLUMN}}# {comment}" if comment else pair


def _text(text: str) -> str:
    """A TOML string: JSON's escapes are among TOML's."""
    return json.dumps(text.strip(), ensure_ascii=False).replace("\x7f", "\\u007f")


def _length(answer: str) -> str:
    try:
        return _number(float(answer.strip().replace(",", ".")))
    except ValueError:
        return _text(answer)


def _number(value: float) -> str:
    return f"{value:.7f}".rstrip("0").rstrip(".")


def nested(answers: Answers) -> dict[str, Any]:
    """Answers as tables: `site.name` in `site`, `window.1.name` in the first of `window`."""
    tables: dict[str, Any] = {}
    for key, value in answers.items():
        kind, *rest = key.split(".")
        if kind == "site":
            tables.setdefault("site", {})[rest[0]] = value
        else:
            windows = tables.setdefault("window", [])
            while len(windows) < int(rest[0]):
                windows.append({})
            windows[int(rest[0]) - 1][rest[1]] = value
    return tables


def answers_text(answers: Answers) -> str:
    """Answers as the text of a TOML file."""
    tables = nested(answers)
    lines = ["# Answers for `suncover new`."]
    if "site" in tables:
        lines += ["", "[site]", *(f"{key} = {_text(v)}" for key, v in tables["site"].items())]
    for window in tables.get("window", []):
        lines += ["", "[[window]]", *(f"{key} = {_text(v)}" for key, v in window.items())]
    return "\n".join(lines) + "\n"


def flat(tables: dict[str, Any]) -> dict[str, str]:
    """Answers by key from the tables of such a file; values that are no texts become texts."""
    answers: dict[str, str] = {}
    site = tables.get("site")
    if isinstance(site, dict):
        answers |= {f"site.{key}": _answer(value) for key, value in site.items()}
    windows = tables.get("window")
    for number, window in enumerate(windows if isinstance(windows, list) else [], 1):
        if isinstance(window, dict):
            answers |= {f"window.{number}.{key}": _answer(v) for key, v in window.items()}
    return answers


def _answer(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join(str(part) for part in value)
    return str(value)
