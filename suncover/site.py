"""The site: a place, its windows with what shades them, and the shades to be moved.

Frozen models that mirror the tables of the site file; a field's alias is its key there. Lengths
are in metres, angles in degrees: azimuths clockwise from true north, tilts from the horizontal.
Left and right are as seen from outdoors, facing the window. Nothing here reads a file or a clock.

    Site ── place: Place
         ├─ need: Need                  what counts as sun, unless a shade has its own
         ├─ windows ── Window ── overhang: Overhang, fins: Fin …
         ├─ shades ─── Shade ─── need: ShadeNeed
         ├─ obstacles, trees            what stands around, for windows with a position
         ├─ spots                       places in a room to keep out of the sun
         └─ glazings, weather, options, money   for the comparison of what shading saves
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import time
from typing import Annotated, Any, Literal
from zoneinfo import ZoneInfo

from pydantic import Field, ValidationInfo, field_validator, model_validator

from suncover import site_rules
from suncover.errors import RequestError
from suncover.site_options import Money, Option
from suncover.site_parts import (
    FabricKind,
    Glazing,
    Obstacle,
    Overhang,
    Spot,
    Table,
    Tree,
    Weather,
)
from suncover.values import (
    AnyLength,
    Azimuth,
    DayTime,
    Elevation,
    LengthAboveZero,
    LengthFromZero,
    Minutes,
    MonthDay,
    Name,
    Point,
    Quantity,
    Season,
    Seconds,
    Share,
    WholeNumber,
    fault,
    listed,
)
from suncover.zones import zone_at, zone_fault

__all__ = [
    "Fin",
    "Glazing",
    "Money",
    "MonthDay",
    "Need",
    "Obstacle",
    "Option",
    "Overhang",
    "Place",
    "Shade",
    "ShadeNeed",
    "Site",
    "Spot",
    "Tree",
    "Weather",
    "Window",
]


MOST_MEMBERS = 10_000  # of a list: our own bound


class Place(Table):
    """Where the site is: `[site]`."""

    name: Name = Field(description="Name of the site.")
    latitude: Annotated[float, Quantity(-90, 90)] = Field(description="Degrees, north positive.")
    longitude: Annotated[float, Quantity(-180, 180)] = Field(description="Degrees, east positive.")
    elevation: Annotated[float, Quantity(-500, 9000, length=True)] = Field(
        0.0, description="Metres above sea level."
    )
    timezone: Name | None = Field(
        None, description="IANA name of the time zone; found from the coordinates if left out."
    )
    albedo: Share = Field(0.2, description="Share of sunlight that the ground reflects.")

    @field_validator("timezone")
    @classmethod
    def _zone_exists(cls, name: str | None) -> str | None:
        if name is not None and (wrong := zone_fault(name)):
            raise fault(wrong)
        return name

    @property
    def zone_name(self) -> str:
        """IANA name of the time zone: as stated, or else of the coordinates."""
        return self.timezone or zone_at(self.latitude, self.longitude)

    @property
    def zone(self) -> ZoneInfo:
        """The time zone in which the site's local days are counted."""
        return ZoneInfo(self.zone_name)


class Need(Table):
    """When a window needs covering: `[need]`."""

    beam: Annotated[float, Quantity(0, unit="W/m²")] = Field(
        120.0,
        description="W/m²: clear-sky direct normal irradiance below this is not counted as sun. "
        "120 is the WMO's threshold of sunshine; 0 leaves pure geometry.",
    )
    fraction: Share = Field(
        0.0, description="Share of the glass that must be in sun; 0 is any sun at all on the glass."
    )
    season: Season | None = Field(
        None,
        description="First and last month-day; may wrap over the new year. "
        "The whole year if left out.",
    )


class ShadeNeed(Table):
    """A shade's own need: `[shade.need]`; what is None is taken from the site's."""

    beam: Annotated[float, Quantity(0, unit="W/m²")] | None = Field(
        None, description="W/m²; as [need] if left out."
    )
    fraction: Share | None = Field(None, description="As [need] if left out.")
    season: Season | None = Field(None, description="As [need] if left out.")


class Fin(Table):
    """A wall at right angles to the glass, out from the wall's face: `[[window.fin]]`.

    `above` and `below` are None for one without end; negative for one that stops short of the
    glass's edge.
    """

    side: Literal["left", "right"] = Field(description="As seen from outdoors.")
    depth: LengthAboveZero = Field(description="Metres out from the wall's face.")
    gap: LengthFromZero = Field(0.0, description="Metres from the edge of the glass to the fin.")
    above: AnyLength | None = Field(
        None, description="Metres that it runs past the top edge of the glass; endless if left out."
    )
    below: AnyLength | None = Field(
        None, description="Metres that it runs past the bottom edge; endless if left out."
    )


def _some_is_left(length: float, past_one_end: float | None, past_other: float | None) -> bool:
    """Has a part that runs past the glass's `length` by these amounts (None: endless) any size?"""
    return past_one_end is None or past_other is None or length + past_one_end + past_other > 0


class Window(Table):
    """A pane of glass, upright, sloping or flat: `[[window]]`."""

    name: Name = Field(description="Unique among the windows.")
    azimuth: Azimuth = Field(
        description="Degrees clockwise from true north of the way the glass faces."
    )
    tilt: Annotated[float, Quantity(0, 180)] = Field(
        90.0, description="Degrees between glass and horizontal: 90 a wall, 0 a flat roof window."
    )
    width: LengthAboveZero = Field(description="Metres, of the glass.")
    height: LengthAboveZero = Field(description="Metres, of the glass, along its slope.")
    sill: LengthFromZero = Field(
        0.0, description="Metres from the room's floor up to the lower edge of the glass."
    )
    reveal: LengthFromZero = Field(
        0.0, description="Metres that the glass stands behind the wall's face."
    )
    skyline: Annotated[
        tuple[
            Annotated[tuple[Azimuth, Elevation], listed("two angles: azimuth, elevation", 2)], ...
        ],
        listed("points, each [azimuth, elevation]", at_most=MOST_MEMBERS),
    ] = Field(
        (),
        description="What hides the sky, seen from the window: points of azimuth and elevation in "
        "degrees, linear between them and round through north. Two of one azimuth make a step.",
    )
    overhang: Overhang | None = Field(None, description="A roof over the window.")
    fins: Annotated[tuple[Fin, ...], listed("tables, each [[window.fin]]", at_most=100)] = Field(
        (), alias="fin", description="Walls beside the window."
    )
    position: Point | None = Field(
        None,
        description="Metres east and north of the site's origin: the middle of the glass's lower "
        "edge. Without it no obstacle or tree shades the window.",
    )
    floor: AnyLength = Field(
        0.0, description="Metres from the site's ground up to the room's floor."
    )
    glazing: Name | None = Field(
        None, description="Name of a [[glazing]], or of a generic kind of glass."
    )

    @field_validator("skyline")
    @classmethod
    def _ordered_skyline(
        cls, points: tuple[tuple[float, float], ...]
    ) -> tuple[tuple[float, float], ...]:
        """By azimuth; the order in the file decides which side of a step is which."""
        counts = Counter(azimuth % 360 for azimuth, _ in points)
        if many := [azimuth for azimuth, count in counts.items() if count > 2]:
            raise fault(f"more than two points have azimuth {many[0]:g}; two make a step")
        return tuple(sorted(points, key=lambda point: point[0]))

    @field_validator("overhang")
    @classmethod
    def _overhang_has_width(
        cls, overhang: Overhang | None, info: ValidationInfo
    ) -> Overhang | None:
        width = info.data.get("width")
        if overhang and width and not _some_is_left(width, overhang.left, overhang.right):
            raise fault("left and right leave nothing of the overhang; check their signs")
        return overhang

    @field_validator("fins")
    @classmethod
    def _fins_have_height(cls, fins: tuple[Fin, ...], info: ValidationInfo) -> tuple[Fin, ...]:
        height = info.data.get("height")
        for number, fin in enumerate(fins, 1):
            if height and not _some_is_left(height, fin.above, fin.below):
                raise fault(f"above and below leave nothing of fin {number}; check their signs")
        return fins


class Shade(Table):
    """A shade on a motor, with the rules for moving it: `[[shade]]`."""

    name: Name = Field(description="Unique among the shades.")
    windows: Annotated[
        tuple[Name, ...],
        listed('window names, such as ["kitchen"]', at_least=1, at_most=MOST_MEMBERS),
    ] = Field(description="Names of the windows that it covers.")
    travel: Seconds = Field(0.0, description="Seconds for the full run.")
    lead: Minutes = Field(2.0, description="Minutes that it is closed before the sun arrives.")
    lag: Minutes = Field(2.0, description="Minutes that it stays closed after the sun has left.")
    merge: Minutes = Field(
        30.0, description="Minutes: a shorter gap between two closings is bridged."
    )
    shortest: Minutes = Field(10.0, description="Minutes: sun that lasts less is let in.")
    moves: Annotated[int, WholeNumber(2, "; a closing and an opening count one each")] | None = (
        Field(None, description="At the most a day, a closing and an opening counting one each.")
    )
    quiet: Annotated[tuple[DayTime, DayTime], listed('two times: ["21:30", "07:00"]', 2)] | None = (
        Field(
            None,
            description="Start and end, local clock time, between which the motor must not run.",
        )
    )
    in_quiet: Literal["early", "late"] = Field(
        "early",
        description="Sun that starts in quiet hours: close before they begin, or after their end.",
    )
    need: ShadeNeed | None = Field(None, description="Its own need.")
    place: Literal["inside", "outside", "between"] | None = Field(
        None, description="Where the fabric hangs, seen from the glass."
    )
    fabric: FabricKind | None = Field(
        None, description="Colour class of the fabric, for what the next two leave out."
    )
    transmittance: Share | None = Field(None, description="Solar transmittance of the fabric.")
    reflectance: Share | None = Field(None, description="Solar reflectance of the fabric.")

    @field_validator("quiet")
    @classmethod
    def _quiet_has_length(cls, quiet: tuple[time, time] | None) -> tuple[time, time] | None:
        if quiet and quiet[0] == quiet[1]:
            raise fault("quiet hours start and end at the same time; leave the key out for none")
        return quiet

    @field_validator("reflectance")
    @classmethod
    def _shares_fit(cls, reflectance: float | None, info: ValidationInfo) -> float | None:
        total = (reflectance or 0.0) + (info.data.get("transmittance") or 0.0)
        if total > 1 + 1e-9:
            raise fault(f"transmittance and reflectance add up to {total:g}; at most 1 is possible")
        return reflectance


def _entry(finding: site_rules.Finding) -> str:
    """The table of a finding: `[[window]] 2`."""
    kind, index, *_ = finding.path
    return f"[[{kind}]] {int(index) + 1}"


class Site(Table):
    """A whole site, checked: every name in it is unique in its kind, and every reference meets."""

    place: Place = Field(alias="site", description="Where the site is.")
    need: Need = Field(Need(), description="When a window needs covering.")
    windows: tuple[Window, ...] = Field(alias="window", description="The windows.")
    shades: tuple[Shade, ...] = Field((), alias="shade", description="The shades.")
    obstacles: tuple[Obstacle, ...] = Field(
        (), alias="obstacle", description="What blocks the sun."
    )
    trees: tuple[Tree, ...] = Field(
        (), alias="tree", description="Crowns that let some sun through."
    )
    spots: tuple[Spot, ...] = Field((), alias="spot", description="Places to keep out of the sun.")
    glazings: tuple[Glazing, ...] = Field((), alias="glazing", description="Kinds of glass.")
    weather: Weather | None = Field(None, description="Hourly weather, for the comparison.")
    options: tuple[Option, ...] = Field((), alias="option", description="More to compare.")
    money: Money = Field(Money(), description="What turns heat into money.")

    @model_validator(mode="after")
    def _entries_agree(self) -> Site:
        if wrong := list(site_rules.rule_findings(self._entries())):
            raise fault("; ".join(f"{_entry(finding)}: {finding.sentence}" for finding in wrong))
        return self

    def _entries(self) -> dict[str, list[dict[str, Any]]]:
        """What the rules between entries look at, by the table's key in the file."""
        kinds: dict[str, Sequence[Table]] = {
            "window": self.windows,
            "shade": self.shades,
            "obstacle": self.obstacles,
            "tree": self.trees,
            "spot": self.spots,
            "glazing": self.glazings,
            "option": self.options,
        }
        return {key: [vars(entry) for entry in entries] for key, entries in kinds.items()}

    def all_shades(self) -> tuple[Shade, ...]:
        """The file's shades, then one with the defaults for each window that no shade names."""
        covered = {name for shade in self.shades for name in shade.windows}
        return self.shades + tuple(
            Shade(name=window.name, windows=(window.name,))
            for window in self.windows
            if window.name not in covered
        )

    def window(self, name: str) -> Window:
        """The window of that name.

        Raises
        ------
        RequestError
            When there is none; its text names the nearest.
        """
        for window in self.windows:
            if window.name == name:
                return window
        known = [window.name for window in self.windows]
        finding = site_rules.Finding((), f'no window is named "{name}"', name, known)
        raise RequestError(finding.sentence)

    def need_of(self, shade: Shade) -> Need:
        """What a shade counts as need: its own keys, and the site's for those it leaves out."""
        if shade.need is None:
            return self.need
        own = {key: value for key, value in vars(shade.need).items() if value is not None}
        return Need.model_construct(**{**vars(self.need), **own})
