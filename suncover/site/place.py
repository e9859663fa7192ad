"""Where a site is: `[site]`."""

from typing import Annotated
from zoneinfo import ZoneInfo

from pydantic import Field, ValidationInfo, field_validator

from suncover.site.kinds.kind import fault
from suncover.site.kinds.values import FileName, Name, Quantity, Share, coordinate
from suncover.site.kinds.zones import zone_at, zone_fault
from suncover.site.parts import Skyline, Table


class Place(Table):
    """Where the site is: `[site]`."""

    name: Name = Field(description="Name of the site.")
    latitude: Annotated[float, coordinate("latitude")] = Field(
        description='Degrees, north positive; or text with a letter, such as "30.03 S".'
    )
    longitude: Annotated[float, coordinate("longitude")] = Field(
        description='Degrees, east positive; or text with a letter, such as "51.22 W".'
    )
    elevation: Annotated[float, Quantity(-500, 9000, length=True)] = Field(
        0.0, description="Metres above sea level."
    )
    timezone: Name | None = Field(
        None, description="IANA name of the time zone; found from the coordinates if left out."
    )
    albedo: Share = Field(0.2, description="Share of sunlight that the ground reflects.")
    horizon: Skyline = Field(
        (),
        description="The far horizon, for every window: points of azimuth and elevation in "
        "degrees, as in a window's skyline. The higher of the two counts.",
    )
    horizon_file: FileName | None = Field(
        None, description="In place of `horizon`: name of a CSV file of it, beside the site file."
    )

    @field_validator("timezone")
    @classmethod
    def _zone_exists(cls, name: str | None) -> str | None:
        if name is not None and (wrong := zone_fault(name)):
            raise fault(wrong)
        return name

    @field_validator("horizon_file")
    @classmethod
    def _one_horizon(cls, file: str | None, info: ValidationInfo) -> str | None:
        if file is not None and info.data.get("horizon"):
            raise fault("`horizon` and `horizon_file` say the same; give one of them")
        return file

    @property
    def zone_name(self) -> str:
        """IANA name of the time zone: as stated, or else of the coordinates."""
        return self.timezone or zone_at(self.latitude, self.longitude)

    @property
    def zone(self) -> ZoneInfo:
        """The time zone in which the site's local days are counted."""
        return ZoneInfo(self.zone_name)
