"""The smaller tables of a site: what stands around it, spots in its rooms, its glass, its weather.

Lengths are in metres, angles in degrees. `suncover.site` gathers these tables into a `Site`.
"""

import math
from collections import Counter
from functools import partial
from itertools import pairwise
from typing import Annotated, Literal, Self, get_args

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    ValidationInfo,
    field_validator,
    model_validator,
)

from suncover.site.finding import meant
from suncover.site.kinds.kind import fault
from suncover.site.kinds.polygons import ring_fault, without_closing_point
from suncover.site.kinds.roller import full_run_seconds
from suncover.site.kinds.values import (
    LONGEST_RUN_S,
    AnyLength,
    Azimuth,
    Elevation,
    FileName,
    LengthAboveZero,
    LengthFromZero,
    Name,
    Point,
    Quantity,
    Season,
    Share,
    listed,
)

GlassKind = Literal[
    "single clear",
    "double clear",
    "double low-e",
    "double sun low-e",
    "double tinted",
    "triple clear",
    "triple low-e",
]
"""The generic kinds of glass, computed from their panes."""
GLASS_KINDS: tuple[str, ...] = get_args(GlassKind)
FabricKind = Literal["white", "light", "medium", "dark"]
"""The generic kinds of shade cloth, by colour."""
BUNDLED = "bundled:"
"""What the name of a weather file begins with that comes with the program."""
BUNDLED_YEARS = ("greensboro", "miami", "sand-point")
"""What may follow it."""

MOST_CORNERS = 500  # of a footprint: our own bound, so that checking it stays quick


class Table(BaseModel):
    """A table of the site file: fixed once made, no keys but its own.

    Its reader is built when it is first used: most files have a few of the tables. The modules of
    the tables do without `from __future__ import annotations`, or each annotation would be compiled
    once more, from its text, whenever a command starts.
    """

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        validate_by_name=True,
        validate_by_alias=True,
        defer_build=True,
    )


def _ordered_skyline(points: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    """By azimuth; the order in the file decides which side of a step is which."""
    counts = Counter(azimuth % 360 for azimuth, _ in points)
    if crowded := [azimuth for azimuth, count in counts.items() if count > 2]:
        raise fault(f"more than two points have azimuth {crowded[0]:g}; two make a step")
    return tuple(sorted(points, key=lambda point: point[0]))


Skyline = Annotated[
    tuple[Annotated[tuple[Azimuth, Elevation], listed("two angles: azimuth, elevation", 2)], ...],
    listed("points, each [azimuth, elevation]"),
    AfterValidator(_ordered_skyline),
]
WindowNames = Annotated[tuple[Name, ...], listed('window names, such as ["kitchen"]', at_least=1)]


def _above(foot: str, top: float, info: ValidationInfo) -> float:
    """The top of a thing, which is above its foot, `base` or `bottom`."""
    low = info.data.get(foot)
    if low is not None and top <= low:
        raise fault(f"top {top:g} m is not above {foot} {low:g} m")
    return top


def shares_fit(reflectance: float | None, info: ValidationInfo) -> float | None:
    """The reflectance of a cloth, which with its transmittance is at most 1."""
    total = (reflectance or 0.0) + (info.data.get("transmittance") or 0.0)
    if total > 1 + 1e-9:
        raise fault(f"transmittance and reflectance add up to {total:g}; at most 1 is possible")
    return reflectance


class Overhang(Table):
    """A roof at right angles to the glass, out from the wall's face: `[window.overhang]`.

    `left` and `right` are None for one without end; negative for one that stops short of the
    glass's edge.
    """

    depth: LengthAboveZero = Field(description="Metres out from the wall's face.")
    gap: LengthFromZero = Field(
        0.0, description="Metres from the top edge of the glass up to the overhang."
    )
    left: AnyLength | None = Field(
        None,
        description="Metres that it runs past the left edge of the glass; endless if left out.",
    )
    right: AnyLength | None = Field(
        None,
        description="Metres that it runs past the right edge of the glass; endless if left out.",
    )


class Canopy(Table):
    """A level roof over several windows of one wall, such as a porch or a balcony: `[[canopy]]`.

    `left` and `right` are None for one without end; with a number for either, its windows need
    positions. They may be negative.
    """

    name: Name = Field(description="Unique among the canopies.")
    windows: WindowNames = Field(
        description="Names of the upright windows that it shades, all in one wall."
    )
    height: AnyLength = Field(description="Metres from the site's ground up to its underside.")
    depth: LengthAboveZero = Field(description="Metres out from the wall's face.")
    left: AnyLength | None = Field(
        None,
        description="Metres that it runs past the glass of its leftmost window; endless if left "
        "out.",
    )
    right: AnyLength | None = Field(
        None,
        description="Metres that it runs past the glass of its rightmost window; endless if left "
        "out.",
    )


class Roller(Table):
    """The tube that a shade is wound on, for the motor's seconds to a stop: `[shade.roller]`."""

    tube: LengthAboveZero = Field(description="Metres, diameter of the bare tube.")
    thickness: Annotated[float, Quantity(0.00001, 0.02, length=True)] = Field(
        description='Metres, of the fabric; as text "0.5 mm".'
    )
    drop: LengthAboveZero = Field(
        description="Metres of fabric let down from all the way up to fully closed."
    )
    spare: LengthFromZero = Field(
        0.0, description="Metres of fabric that stay on the tube when fully closed."
    )
    turns_per_minute: Annotated[float, Quantity(0.01, 1000)] | None = Field(
        None, description="Of the tube; if left out, the shade's `travel` tells the full run."
    )

    @model_validator(mode="after")
    def _run_has_an_end(self) -> Self:
        if (self.seconds or 0.0) > LONGEST_RUN_S:
            raise fault(
                f"a full run would take {self.seconds:.0f} seconds; at most {LONGEST_RUN_S} are "
                "possible: check turns_per_minute and the lengths"
            )
        return self

    @property
    def seconds(self) -> float | None:
        """The full run as the turns give it, whole seconds begun; None without them."""
        if self.turns_per_minute is None:
            return None
        run = full_run_seconds(
            self.tube, self.thickness, self.drop, self.turns_per_minute, self.spare
        )
        return float(math.ceil(run))


class Obstacle(Table):
    """An upright prism that lets nothing through: `[[obstacle]]`."""

    name: Name = Field(description="Unique among the obstacles.")
    footprint: Annotated[tuple[Point, ...], listed("corners, each [east, north] in metres")] = (
        Field(
            description="Corners in metres east and north of the origin, either way round; "
            "it need not be convex."
        )
    )
    base: AnyLength = Field(0.0, description="Metres above the site's ground.")
    top: AnyLength = Field(description="Metres above the site's ground.")

    @field_validator("footprint")
    @classmethod
    def _footprint_is_an_area(
        cls, corners: tuple[tuple[float, float], ...]
    ) -> tuple[tuple[float, float], ...]:
        corners = without_closing_point(corners)
        if len(corners) > MOST_CORNERS:
            raise fault(f"{len(corners)} corners; at most {MOST_CORNERS} can be checked")
        if wrong := ring_fault(corners):
            raise fault(wrong)
        return corners

    _top_is_above = field_validator("top")(partial(_above, "base"))


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

    _top_is_above = field_validator("top")(partial(_above, "bottom"))


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
    """How much heat a kind of glass lets in: `[[glazing]]`.

    Either a table by angle (`angles`, `gains`, `diffuse`, `u`), or a generic `kind` with the
    angular shape of its panes, scaled to the g-value `g` if that is given.
    """

    name: Name = Field(description="Unique among the glazings.")
    kind: GlassKind | None = Field(
        None, description="Generic kind of glass, in place of a table by angle."
    )
    g: Annotated[float, Quantity(0, 1, over=True)] | None = Field(
        None, description="Solar heat gain coefficient (g-value) at right angles; with `kind`."
    )
    angles: Annotated[tuple[Annotated[float, Quantity(0, 90)], ...], listed("angles")] = Field(
        (), description="Angles of incidence in degrees, ascending from 0 to 90."
    )
    gains: Annotated[tuple[Share, ...], listed("numbers from 0 to 1")] = Field(
        (), description="Solar heat gain coefficient at those angles, linear between them."
    )
    diffuse: Share | None = Field(
        None, description="Solar heat gain coefficient for sky and ground light."
    )
    u: Annotated[float, Quantity(0, 20, unit="W/m²K")] | None = Field(
        None, description="Thermal transmittance, W/m²K."
    )
    light: Annotated[float, Quantity(0, 1, over=True)] | None = Field(
        None, description="Visible transmittance at right angles."
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

    @model_validator(mode="after")
    def _table_or_kind(self) -> Self:
        table = ("angles", "gains", "diffuse")
        table_keys = [key for key in table if key in self.model_fields_set]
        if self.kind is not None:
            if table_keys:
                raise fault(f"`kind` and `{table_keys[0]}` exclude each other; give one of them")
            return self
        if self.g is not None:
            raise fault("with `g` give a `kind`, whose angular shape it shall have")
        if missing := [key for key in (*table, "u") if key not in self.model_fields_set]:
            needed = ", ".join(f"`{key}`" for key in missing)
            raise fault(f"{needed} missing; give `angles`, `gains`, `diffuse` and `u`, or a `kind`")
        return self


class Weather(Table):
    """Where hourly weather comes from: `[weather]`; without a file, a clear sky."""

    file: FileName | None = Field(
        None,
        description="Name of the file, beside the site file; or bundled:greensboro, bundled:miami, "
        "bundled:sand-point.",
    )
    stamp: Literal["start", "middle", "end"] | None = Field(
        None,
        validate_default=True,
        description="What a row's time means of its interval; must be given for CSV.",
    )
    sunshine: Annotated[tuple[Share, ...], listed("shares, January to December", 12)] | None = (
        Field(
            None,
            description="Without a file: share of the possible sunshine in each month, 0 to 1.",
        )
    )

    @field_validator("file")
    @classmethod
    def _bundled_is_known(cls, file: str | None) -> str | None:
        name = (file or "").removeprefix(BUNDLED)
        if name != file and file is not None and name not in BUNDLED_YEARS:
            near = meant(name, BUNDLED_YEARS)
            hint = (
                f'did you mean "{BUNDLED}{near}"?'
                if near
                else (f"there are {', '.join(BUNDLED + year for year in BUNDLED_YEARS)}")
            )
            raise fault(f'no weather year is called "{file[:40]}"; {hint}')
        return file

    @field_validator("stamp")
    @classmethod
    def _csv_has_stamp(cls, stamp: str | None, info: ValidationInfo) -> str | None:
        name = str(info.data.get("file") or "").lower()
        if stamp is None and name.endswith((".csv", ".csv.gz")):
            raise fault('it must be given for a CSV file: "start", "middle" or "end"')
        return stamp

    @field_validator("sunshine")
    @classmethod
    def _sunshine_without_file(
        cls, sunshine: tuple[float, ...] | None, info: ValidationInfo
    ) -> tuple[float, ...] | None:
        if sunshine is not None and info.data.get("file") is not None:
            raise fault("the file tells the sunshine; leave out `file` or `sunshine`")
        return sunshine
