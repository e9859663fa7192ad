"""The smaller tables of a site: what stands around it, spots in its rooms, its glass, its weather.

Lengths are in metres, angles in degrees. `suncover.site` gathers these tables into a `Site`.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationInfo, field_validator

from suncover.polygons import ring_fault, without_closing_point
from suncover.values import (
    AnyLength,
    FileName,
    LengthAboveZero,
    LengthFromZero,
    Name,
    Point,
    Quantity,
    Season,
    Share,
    fault,
    listed,
)

MOST_CORNERS = 500  # of a footprint: our own bound, so that checking it stays quick


class Table(BaseModel):
    """A table of the site file: fixed once made, no keys but its own."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", validate_by_name=True, validate_by_alias=True
    )


class Obstacle(Table):
    """An upright prism that lets nothing through: `[[obstacle]]`."""

    name: Name = Field(description="Unique among the obstacles.")
    footprint: Annotated[
        tuple[Point, ...], listed("corners, each [east, north] in metres", at_most=MOST_CORNERS)
    ] = Field(
        description="Corners in metres east and north of the origin, either way round; "
        "it need not be convex."
    )
    base: AnyLength = Field(0.0, description="Metres above the site's ground.")
    top: AnyLength = Field(description="Metres above the site's ground.")

    @field_validator("footprint")
    @classmethod
    def _footprint_is_an_area(
        cls, corners: tuple[tuple[float, float], ...]
    ) -> tuple[tuple[float, float], ...]:
        corners = without_closing_point(corners)
        if wrong := ring_fault(corners):
            raise fault(wrong)
        return corners

    @field_validator("top")
    @classmethod
    def _top_above_base(cls, top: float, info: ValidationInfo) -> float:
        base = info.data.get("base")
        if base is not None and top <= base:
            raise fault(f"top {top:g} m is not above base {base:g} m")
        return top


class Tree(Table):
    """A crown, an ellipsoid of revolution about the trunk; the trunk is ignored: `[[tree]]`."""

    name: Name = Field(description="Unique among the trees.")
    trunk: Point = Field(description="Metres east and north of the origin.")
    width: LengthAboveZero = Field(description="Metres, of the crown.")
    bottom: AnyLength = Field(description="Metres from the site's ground up to the crown.")
    top: AnyLength = Field(description="Metres from the site's ground to the top of the crown.")
    leaf: Share = Field(description="Share of the beam let through in leaf.")
    bare: Share = Field(
        default_factory=lambda data: data.get("leaf", 0.0),
        description="Share of the beam let through without leaves; as leaf if left out.",
    )
    in_leaf: Season | None = Field(
        None, description="First and last month-day in leaf; may wrap; all year if left out."
    )

    @field_validator("top")
    @classmethod
    def _top_above_bottom(cls, top: float, info: ValidationInfo) -> float:
        bottom = info.data.get("bottom")
        if bottom is not None and top <= bottom:
            raise fault(f"top {top:g} m is not above bottom {bottom:g} m")
        return top


class Spot(Table):
    """A place in a room to keep out of the sun: `[[spot]]`."""

    name: Name = Field(description="Unique among the spots.")
    window: Name = Field(description="Name of the window that it lies behind.")
    distance: LengthFromZero = Field(
        description="Metres inward, at right angles to the upright plane through the glass's "
        "lower edge."
    )
    offset: AnyLength = Field(
        0.0, description="Metres to the right, seen from outdoors, of the middle of the glass."
    )
    height: LengthFromZero = Field(description="Metres above the room's floor.")


class Glazing(Table):
    """How much heat a kind of glass lets in: `[[glazing]]`."""

    name: Name = Field(description="Unique among the glazings.")
    angles: Annotated[
        tuple[Annotated[float, Quantity(0, 90)], ...], listed("angles", at_most=100)
    ] = Field(description="Angles of incidence in degrees, ascending from 0 to 90.")
    gains: Annotated[tuple[Share, ...], listed("numbers from 0 to 1", at_most=100)] = Field(
        description="Solar heat gain coefficient at those angles, linear between them."
    )
    diffuse: Share = Field(description="Solar heat gain coefficient for sky and ground light.")
    u: Annotated[float, Quantity(0, 20, unit="W/m²K")] = Field(
        description="Thermal transmittance, W/m²K."
    )

    @field_validator("angles")
    @classmethod
    def _angles_ascend(cls, angles: tuple[float, ...]) -> tuple[float, ...]:
        for before, after in pairwise(angles):
            if after <= before:
                raise fault(f"the angles must ascend, but {after:g} follows {before:g}")
        if len(angles) < 2 or angles[0] != 0 or angles[-1] != 90:
            raise fault("the angles must start at 0 and end at 90")
        return angles

    @field_validator("gains")
    @classmethod
    def _one_gain_an_angle(
        cls, gains: tuple[float, ...], info: ValidationInfo
    ) -> tuple[float, ...]:
        angles = info.data.get("angles")
        if angles is not None and len(angles) != len(gains):
            raise fault(f"{len(gains)} gains for {len(angles)} angles; give one for each")
        return gains


class Weather(Table):
    """Where hourly weather comes from: `[weather]`."""

    file: FileName = Field(description="Name of the file, beside the site file.")
    stamp: Literal["start", "middle", "end"] | None = Field(
        None,
        validate_default=True,
        description="What a row's time means of its interval; must be given for CSV.",
    )

    @field_validator("stamp")
    @classmethod
    def _csv_has_stamp(cls, stamp: str | None, info: ValidationInfo) -> str | None:
        name = str(info.data.get("file", "")).lower()
        if stamp is None and name.endswith((".csv", ".csv.gz")):
            raise fault('it must be given for a CSV file: "start", "middle" or "end"')
        return stamp
