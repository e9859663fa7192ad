"""The keys by which a site file says where things stand as a tape measures it.

Lengths are in metres or text with a unit. Left and right are as seen from outdoors.
"""

from typing import Annotated, Any

from pydantic import ConfigDict, Field

from suncover.site.aspect import Direction, Facing
from suncover.site.kinds.values import (
    AnyLength,
    LengthAboveZero,
    LengthFromZero,
    Name,
    Point,
    Quantity,
)
from suncover.site.parts import Table


def _start_or_after(schema: dict[str, Any]) -> None:
    """Of a wall after another, its corner tells the direction."""
    schema["required"] = [key for key in schema["required"] if key != "azimuth"]
    schema.pop("oneOf", None)


class Wall(Facing):
    """A straight stretch of the house's outer wall, to measure along: `[[wall]]`.

    Once loaded it has a `start` and an `azimuth`, whichever way they were given.
    """

    model_config = ConfigDict(json_schema_extra=_start_or_after)

    name: Name = Field(description="Unique among the walls.")
    length: LengthAboveZero = Field(description="Metres, from corner to corner.")
    start: Point | None = Field(
        None,
        description="Its left end, seen from outdoors: metres east and north of the origin. The "
        "first wall starts at the origin if it is left out.",
    )
    after: Name | None = Field(
        None, description="Name of the wall at whose right end this one starts, in place of start."
    )
    corner: Annotated[float, Quantity(0, 360, over=True, unit="degrees")] | None = Field(
        None,
        description="In place of an azimuth: the angle to the wall that it comes after, measured "
        "inside the house. 90 if left out, 270 where the house turns inward.",
    )


class ByTape(Table):
    """Keys by tape."""


class WindowByTape(ByTape):
    """Where a window is, in place of `position`; on a wall its azimuth too."""

    wall: Name | None = Field(None, description="Name of the [[wall]] that it is in.")
    along: LengthFromZero | None = Field(
        None, description="Metres from the wall's left end to the left edge of the glass."
    )
    right_of: Name | None = Field(
        None, description="Name of the window that it is to the right of, in the same wall."
    )
    left_of: Name | None = Field(
        None, description="Name of the window that it is to the left of, in the same wall."
    )
    apart: LengthFromZero | None = Field(
        None, description="Metres from the glass of that window to this one."
    )
    out: AnyLength | None = Field(
        None,
        description="Metres that the wall's face stands out here, from that of the wall or window "
        "it is measured from; negative further in.",
    )


class FromHere(ByTape):
    """Where something stands, from a window or a wall."""

    reference: Name | None = Field(
        None, alias="from", description="Name of the window or [[wall]] that it is measured from."
    )
    right: AnyLength | None = Field(
        None,
        description="Metres to the right of the middle of that window's glass, or of that wall; "
        "negative to the left.",
    )
    along: AnyLength | None = Field(
        None, description="In place of right: metres from that wall's left end."
    )
    out: AnyLength | None = Field(None, description="Metres straight out from the wall's face.")
    distance: LengthFromZero | None = Field(
        None, description="In place of out: metres in the direction that is given."
    )
    direction: Direction | None = Field(
        None, description="Degrees from true north, or one of 16 words."
    )


class TreeByTape(FromHere):
    """Where a tree's trunk is, in place of `trunk`."""


class ObstacleByTape(FromHere):
    """Where an obstacle is, in place of `footprint`: the middle of its near side is measured."""

    width: LengthAboveZero | None = Field(
        None, description="Metres, of its near side, which is at right angles to the way measured."
    )
    depth: LengthAboveZero | None = Field(None, description="Metres from its near side back.")


BY_TAPE: dict[str, type[Table]] = {
    "window": WindowByTape,
    "tree": TreeByTape,
    "obstacle": ObstacleByTape,
}
"""The keys by tape of each kind of table that has some."""


def tape_keys(kind: str) -> tuple[str, ...]:
    """The keys by tape of a kind of table, as the file has them; none for other kinds."""
    model = BY_TAPE.get(kind)
    fields = model.model_fields.items() if model is not None else ()
    return tuple(field.alias or name for name, field in fields)
