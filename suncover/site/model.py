"""The site: a place, its windows with what shades them, and the shades to be moved.

Frozen models that mirror the tables of the site file; a field's alias is its key there. Lengths
are in metres, angles in degrees: azimuths clockwise from true north, tilts from the horizontal.
Left and right are as seen from outdoors, facing the window. Nothing here reads a file or a clock.

    Site ── place: Place
         ├─ need: Need                  what counts as sun, unless a shade has its own
         ├─ walls                       of the house, to measure along
         ├─ windows ── Window ── overhang: Overhang, fins: Fin …
         ├─ canopies                    roofs over several windows, each window's overhang
         ├─ shades ─── Shade ─── need: ShadeNeed, roller: Roller
         ├─ supplies, groups            what shades share
         ├─ keeper, sensors             what acts on the plan
         ├─ exceptions, calendars       dates and events on which all is different
         ├─ obstacles, trees            what stands around, for windows with a position
         ├─ spots                       places in a room to keep out of the sun
         ├─ sightings                   what was seen of the sun, to find the azimuths
         └─ glazings, weather, options, money   for the comparison of what shading saves
"""

import math
from collections import Counter
from collections.abc import Mapping
from typing import Annotated, Any, Literal, Self

from pydantic import Field, ValidationInfo, field_validator, model_validator
from pydantic.json_schema import SkipJsonSchema

from suncover.base.errors import RequestError
from suncover.site.aspect import Aspect
from suncover.site.canopies import overhang_keys
from suncover.site.finding import Finding
from suncover.site.keeping import Keeper, Sensor
from suncover.site.kinds.kind import fault
from suncover.site.kinds.values import (
    AnyLength,
    LengthAboveZero,
    LengthFromZero,
    MonthDay,
    Name,
    Point,
    Quantity,
    listed,
)
from suncover.site.needs import Fading, Glare, Need, Privacy, ShadeNeed, Sleep
from suncover.site.options import Money, Option
from suncover.site.parts import (
    Canopy,
    Glazing,
    Obstacle,
    Overhang,
    Roller,
    Skyline,
    Spot,
    Table,
    Tree,
    Weather,
)
from suncover.site.place import Place
from suncover.site.rules import entries as site_rules
from suncover.site.shades import Shade
from suncover.site.sharing import DatedException, Group, HouseCalendar, Supply
from suncover.site.shown import site_html, site_line
from suncover.site.sightings import Sighting
from suncover.site.tables import facts_of, tables_of
from suncover.site.tape.keys import Wall
from suncover.site.weights import Best

__all__ = [
    "Best",
    "Canopy",
    "DatedException",
    "Fading",
    "Fin",
    "Glare",
    "Glazing",
    "Group",
    "HouseCalendar",
    "Money",
    "MonthDay",
    "Need",
    "Obstacle",
    "Option",
    "Overhang",
    "Place",
    "Privacy",
    "Roller",
    "Shade",
    "ShadeNeed",
    "Sighting",
    "Site",
    "Sleep",
    "Spot",
    "Supply",
    "Tree",
    "Wall",
    "Weather",
    "Window",
]


# Fins on one side: with an overhang, as many plates as the shadows can be computed of.
MOST_FINS = 7


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


class Window(Aspect):
    """A pane of glass, upright, sloping or flat: `[[window]]`."""

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
    skyline: Skyline = Field(
        (),
        description="What hides the sky, seen from the window: points of azimuth and elevation in "
        "degrees, linear between them and round through north. Two of one azimuth make a step.",
    )
    overhang: Overhang | None = Field(None, description="A roof over the window.")
    fins: Annotated[tuple[Fin, ...], listed("tables, each [[window.fin]]")] = Field(
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
        for side, count in Counter(fin.side for fin in fins).items():
            if count > MOST_FINS:
                raise fault(
                    f"{count} fins on the {side}; at most {MOST_FINS} a side can be computed"
                )
        return fins


def _entry(finding: Finding) -> str:
    """The table of a finding: `[[window]] 2`, `[need]`."""
    kind, index, *_ = finding.path
    return f"[[{kind}]] {index + 1}" if isinstance(index, int) else f"[{kind}]"


def _under_canopies(
    windows: tuple[Window, ...], canopies: tuple[Canopy, ...]
) -> tuple[Window, ...]:
    """The windows, those under a canopy with the overhang that it is to them.

    One with a roof of its own keeps it, and a canopy of windows that are not there has none: the
    rules between tables find both.
    """
    facts = {window.name: facts_of(window) for window in windows}
    roofs: dict[str, Overhang] = {}
    for canopy in canopies:
        if facts.keys() >= set(canopy.windows):
            covered = [facts[name] for name in canopy.windows]
            for window in covered:
                roofs[window["name"]] = Overhang.model_construct(
                    **overhang_keys(vars(canopy), window, covered)
                )
    return tuple(
        window.model_copy(update={"overhang": roofs[window.name]})
        if window.overhang is None and window.name in roofs
        else window
        for window in windows
    )


class Site(Table):
    """A whole site, checked: every name in it is unique in its kind, and every reference meets."""

    place: Place = Field(alias="site", description="Where the site is.")
    need: Need = Field(Need.model_construct(), description="When a window needs covering.")
    walls: tuple[Wall, ...] = Field(
        (), alias="wall", description="Walls of the house, to measure along."
    )
    # Before the windows, whose overhangs they are.
    canopies: tuple[Canopy, ...] = Field(
        (), alias="canopy", description="Roofs over several windows."
    )
    windows: tuple[Window, ...] = Field(alias="window", description="The windows.")
    shades: tuple[Shade, ...] = Field((), alias="shade", description="The shades.")
    supplies: tuple[Supply, ...] = Field(
        (), alias="supply", description="What feeds several motors."
    )
    groups: tuple[Group, ...] = Field((), alias="group", description="Shades that move together.")
    exceptions: tuple[DatedException, ...] = Field(
        (), alias="exception", description="Dates on which shades stay up or down."
    )
    calendars: tuple[HouseCalendar, ...] = Field(
        (), alias="calendar", description="Calendars some of whose events mean the same."
    )
    obstacles: tuple[Obstacle, ...] = Field(
        (), alias="obstacle", description="What blocks the sun."
    )
    trees: tuple[Tree, ...] = Field(
        (), alias="tree", description="Crowns that let some sun through."
    )
    spots: tuple[Spot, ...] = Field((), alias="spot", description="Places to keep out of the sun.")
    sightings: tuple[Sighting, ...] = Field(
        (), alias="sighting", description="What was seen of the sun on the windows."
    )
    glazings: tuple[Glazing, ...] = Field((), alias="glazing", description="Kinds of glass.")
    keeper: Keeper | None = Field(None, description="The program that acts on the plan.")
    sensors: tuple[Sensor, ...] = Field(
        (), alias="sensor", description="What measures sun or wind, for the keeper."
    )
    weather: Weather | None = Field(None, description="Hourly weather, for the comparison.")
    options: tuple[Option, ...] = Field((), alias="option", description="More to compare.")
    best: Best = Field(
        Best.model_construct(), description="What the best plan weighs against what."
    )
    money: Money = Field(Money.model_construct(), description="What turns heat into money.")
    # What it was read from, and no key of the file: itself, and what it names.
    files: SkipJsonSchema[tuple[str, ...]] = Field((), exclude=True)

    @field_validator("windows")
    @classmethod
    def _under_canopies(
        cls, windows: tuple[Window, ...], info: ValidationInfo
    ) -> tuple[Window, ...]:
        return _under_canopies(windows, info.data.get("canopies", ()))

    @classmethod
    def of_tables(cls, tables: Mapping[str, Any]) -> "Site":
        """The site of tables that have been read, by their keys in the file, between which the
        rules hold: nothing is looked at again.
        """
        tables_by_key = tables_of(cls)
        fields: dict[str, Any] = {
            tables_by_key[key].field: tuple(value) if tables_by_key[key].repeated else value
            for key, value in tables.items()
        }
        fields["windows"] = _under_canopies(fields["windows"], fields.get("canopies", ()))
        return cls.model_construct(**fields)

    @model_validator(mode="after")
    def _entries_agree(self) -> Self:
        """The rules between tables."""
        if wrong := list(site_rules.rule_findings(self._entries())):
            raise fault("; ".join(f"{_entry(finding)}: {finding.sentence}" for finding in wrong))
        return self

    def _entries(self) -> dict[str, list[Mapping[str, Any]]]:
        """What the rules between tables look at, by the table's key in the file."""
        entries: dict[str, list[Mapping[str, Any]]] = {}
        for key, table in tables_of(type(self)).items():
            value = getattr(self, table.field)
            tables = value if table.repeated else [] if value is None else [value]
            entries[key] = [facts_of(entry) for entry in tables]
        return entries

    def __repr__(self) -> str:
        """Where it is, and how much is in it; `model_dump()` has everything."""
        return site_line(self)

    __str__ = __repr__

    def _repr_html_(self) -> str:
        """For notebooks: its windows and what covers them."""
        return site_html(self)

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
        names = [window.name for window in self.windows]
        finding = Finding((), f'no window is named "{name}"', name, names)
        raise RequestError(finding.sentence)

    def with_beam(self, beam: float | None) -> Self:
        """The site with sun counted from another beam on, W/m²; this site if that is None.

        Raises
        ------
        RequestError
            When the beam is below 0 or is no number.
        """
        return self._counting("beam", beam)

    def with_power(self, power: float | None) -> Self:
        """The site with sun on a window counted from another power on its glass, W/m²; this site if
        that is None.

        Raises
        ------
        RequestError
            When the power is below 0 or is no number.
        """
        return self._counting("power", power)

    def _counting(self, key: str, value: float | None) -> Self:
        if value is None:
            return self
        if not isinstance(value, (int, float)) or not 0.0 <= value < math.inf:
            raise RequestError(f"a {key} of {value} W/m² cannot be counted from; give 0 or more")
        return self.model_copy(update={"need": self.need.model_copy(update={key: value})})

    def need_of(self, shade: Shade) -> Need:
        """What a shade counts as need: its own keys, and the site's for those it leaves out."""
        if shade.need is None:
            return self.need
        changes = {key: value for key, value in vars(shade.need).items() if value is not None}
        return Need.model_construct(**{**vars(self.need), **changes})
