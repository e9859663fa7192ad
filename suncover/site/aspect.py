"""Which way a window faces, in whichever form the site file says it.

    azimuth = 101.5                          degrees from true north
    azimuth = "east-north-east"              one of 16 points of the compass
    compass = 101.5, measured = 2027-03-02   a magnetic bearing and the day it was read
    wall = [[lat, lon], [lat, lon]]          two ends of the wall, the outside on the right

Whatever the form, a window has an `azimuth` in degrees once it is loaded, and `azimuth_sd` says how
well it is known, as far as the form tells.
"""

from collections.abc import Mapping
from contextlib import suppress
from datetime import date
from typing import Annotated, Any

from pydantic import ConfigDict, Field, ValidationInfo, model_validator

from suncover.site.kinds.azimuth import (
    COMPASS_SD,
    POINTS,
    Bearing,
    bearing_from_compass,
    bearing_from_wall,
    bearing_from_words,
    wall_fault,
)
from suncover.site.kinds.kind import Kind, fault, read_value, shown
from suncover.site.kinds.values import (
    Azimuth,
    Name,
    Quantity,
    calendar_date,
    listed,
    number_schema,
)
from suncover.site.parts import Table
from suncover.site.place import Place

FORMS = ("azimuth", "compass", "wall")
_ONE_FORM = (
    'give it as `azimuth` (degrees from true north, or words such as "east-north-east"), as '
    "`compass` with `measured`, or as `wall`"
)


class _Unfit(str):
    """Stands for an azimuth that could not be found, and says why."""

    __slots__ = ()


def _direction(value: Any) -> float:
    if isinstance(value, _Unfit):
        raise fault(str(value))
    if isinstance(value, str):
        try:
            return bearing_from_words(value).azimuth
        except ValueError as wrong:
            raise fault(str(wrong)) from None
    return float(read_value(Azimuth, value))


_WORDS = {"type": "string", "examples": list(POINTS)}
Direction = Annotated[float, Kind(_direction, {"anyOf": [number_schema(0, 360), _WORDS]})]
"""Degrees from true north, 0 to 360, or one of 16 points of the compass."""

Day = Annotated[date, calendar_date(1990, 2100)]
"""The day on which a compass was read: the magnetic field is known for these years."""

WallEnd = Annotated[
    tuple[Annotated[float, Quantity(-90, 90)], Annotated[float, Quantity(-180, 180)]],
    listed("two numbers: latitude, longitude", 2),
]
Wall = Annotated[tuple[WallEnd, WallEnd], listed("two ends of the wall", 2)]
Deviation = Annotated[float, Quantity(0, 180)]


def _one_form(schema: dict[str, Any]) -> None:
    """The schema asks for one form, where the model asks for an azimuth."""
    schema["required"] = [key for key in schema["required"] if key != "azimuth"]
    schema["oneOf"] = [
        {"required": ["azimuth"]},
        {"required": ["compass", "measured"]},
        {"required": ["wall"]},
    ]


class Facing(Table):
    """The name of a window or of a wall, and the way it faces."""

    model_config = ConfigDict(json_schema_extra=_one_form)

    name: Name = Field(description="Unique among the windows.")
    azimuth: Direction = Field(
        description="The way the glass faces: degrees clockwise from true north, or words such as "
        '"east-north-east". Or give `compass` with `measured`, or `wall`.'
    )
    azimuth_sd: Deviation | None = Field(
        None, description="Degrees by which that may be off, one standard deviation."
    )
    compass: Azimuth | None = Field(
        None,
        description="In place of `azimuth`: the way the glass faces by a compass, degrees from "
        "magnetic north.",
    )
    measured: Day | None = Field(None, description="The day on which the compass was read.")
    wall: Wall | None = Field(
        None,
        description="In place of `azimuth`: latitude and longitude of two ends of the wall, the "
        "outside on the right of the way from the first to the second.",
    )

    @model_validator(mode="before")
    @classmethod
    def _azimuth_from_form(cls, data: Any, info: ValidationInfo) -> Any:
        """Fills in the azimuth. A window that is read from a file has just one of the forms."""
        place = (info.context or {}).get("place")
        reading = info.context is not None
        if not isinstance(data, Mapping) or ("azimuth" in data and not reading):
            return data
        forms = [form for form in FORMS if form in data]
        if len(forms) > 1:
            names = " and ".join(f"`{form}`" for form in forms)
            return {**data, "azimuth": _Unfit(f"{names} say the same; give one of them")}
        if not forms:
            return data
        if "measured" in data and forms != ["compass"]:
            return {**data, "azimuth": _Unfit("`measured` goes with `compass`; take it away")}
        return _FILLED[forms[0]](dict(data), place)


class Aspect(Facing):
    """The name of a window, the way it faces, and which others face alike."""

    facade: Name | None = Field(
        None, description="Name of its wall: windows with the same one face the same way."
    )


def _with_words(data: dict[str, Any], _place: Place | None) -> dict[str, Any]:
    words = data["azimuth"]
    if isinstance(words, str):
        with suppress(ValueError):  # the field itself says what is wrong
            data.setdefault("azimuth_sd", round(bearing_from_words(words).sd, 2))
    return data


def _with_compass(data: dict[str, Any], place: Place | None) -> dict[str, Any]:
    if "measured" not in data:
        data["azimuth"] = _Unfit(
            "`compass` needs `measured`, the day it was read, as magnetic north moves"
        )
        return data
    bearing, day = _sound(Azimuth, data["compass"]), _sound(Day, data["measured"])
    sd = _sound(Deviation, data.get("azimuth_sd", COMPASS_SD))
    if bearing is None or day is None or sd is None or place is None:
        # Some other field is wrong and says so; the window will not be used.
        data["azimuth"] = 0.0
        return data
    true = compass_bearing(bearing, day, place, sd)
    data["azimuth"], data["azimuth_sd"] = round(true.azimuth, 2), round(true.sd, 2)
    return data


def _with_wall(data: dict[str, Any], place: Place | None) -> dict[str, Any]:
    ends = data["wall"]
    data["azimuth"] = 0.0
    if _sound(Wall, ends) is None:
        return data
    first, second = tuple(ends[0]), tuple(ends[1])
    site = first if place is None else (place.latitude, place.longitude)
    if wrong := wall_fault(first, second, site):
        data["azimuth"] = _Unfit(wrong)
        return data
    bearing = bearing_from_wall(first, second)
    data["azimuth"] = round(bearing.azimuth, 2)
    data.setdefault("azimuth_sd", round(bearing.sd, 2))
    return data


_FILLED = {"azimuth": _with_words, "compass": _with_compass, "wall": _with_wall}


def compass_bearing(
    compass: float, measured: date, place: Place, sd: float = COMPASS_SD
) -> Bearing:
    """A compass bearing at a place as a true one; `sd` is what the compass was good for."""
    coordinates = place.latitude, place.longitude
    return bearing_from_compass(compass, measured, coordinates, place.elevation, sd)


def aspect_warnings(window: Aspect, place: Place) -> tuple[str, ...]:
    """What is doubtful about the way a window's azimuth was found: sentences for the reader."""
    if window.compass is None or window.measured is None:
        return ()
    return compass_bearing(window.compass, window.measured, place).warnings


def _sound(kind: Any, value: Any) -> Any:
    """A value as one of the kinds reads it; None where it is wrong, which its own field says."""
    try:
        return read_value(kind, value)
    except ValueError:
        return None


def shown_form(window: Aspect) -> str:
    """How the file says it, in a few words: `compass 101.5° on 2027-03-02`."""
    if window.compass is not None:
        return f"compass {window.compass:g}° on {window.measured}"
    if window.wall is not None:
        return "two ends of the wall on a map"
    return f"{shown(window.azimuth)}°"
