"""When a window needs covering: what counts as sun, and for which needs a shade closes.

    [need], [shade.need]          beam, fraction, power, season, for
      ├─ glare                    spots, reach, height, season
      ├─ fading                   spots, season
      ├─ sleep                    dark, season
      └─ privacy                  until, season

A shade's own need goes before the site's, key by key (a table of a need counts as one key).
"""

from datetime import time
from typing import Annotated, Literal, get_args

from pydantic import AfterValidator, Field, field_validator

from suncover.site.kinds.kind import fault
from suncover.site.kinds.values import (
    DayTime,
    LengthAboveZero,
    LengthFromZero,
    Name,
    Quantity,
    Season,
    Share,
    each_once,
    listed,
)
from suncover.site.parts import Table

NeedName = Literal["heat", "glare", "fading", "sleep", "privacy"]
"""What a shade may close for."""
NEED_NAMES: tuple[NeedName, ...] = get_args(NeedName)

SpotNames = Annotated[tuple[Name, ...], listed('spot names, such as ["desk"]')]
NeedNames = Annotated[
    tuple[NeedName, ...],
    listed('needs, such as ["heat", "glare"]', at_least=1),
    AfterValidator(each_once),
    Field(json_schema_extra={"uniqueItems": True}),
]


class Glare(Table):
    """Sun that dazzles, on spots or too far into the room: `[shade.need.glare]`."""

    spots: SpotNames | None = Field(
        None, description="Spots to keep out of the sun; all behind its windows if left out."
    )
    reach: LengthAboveZero | None = Field(
        None, description="Metres: also while the sun falls farther into the room than this."
    )
    height: LengthFromZero = Field(
        0.0, description="Metres above the room's floor at which `reach` is measured."
    )
    season: Season | None = Field(None, description="First and last month-day; may wrap.")


class Fading(Table):
    """Sun that bleaches what it falls on: `[shade.need.fading]`."""

    spots: SpotNames | None = Field(
        None, description="Spots to keep out of the sun; all behind its windows if left out."
    )
    season: Season | None = Field(None, description="First and last month-day; may wrap.")


class Sleep(Table):
    """A dark room for sleep, where dawn would come before it ends: `[shade.need.sleep]`."""

    dark: Annotated[tuple[DayTime, DayTime], listed('two times: ["21:00", "07:00"]', 2)] = Field(
        description="From one local clock time to the other."
    )
    season: Season | None = Field(None, description="First and last month-day; may wrap.")

    @field_validator("dark")
    @classmethod
    def _dark_has_length(cls, dark: tuple[time, time]) -> tuple[time, time]:
        if dark[0] == dark[1]:
            raise fault("it starts and ends at the same time; give two times")
        return dark


class Privacy(Table):
    """Closed from dusk, when lights inside show the room: `[shade.need.privacy]`."""

    until: DayTime | None = Field(
        None, description="Local clock time in the evening or night; dawn if left out."
    )
    season: Season | None = Field(None, description="First and last month-day; may wrap.")


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
    power: Annotated[float, Quantity(0, unit="W/m²")] = Field(
        0.0,
        description="W/m² of glass: sun counts only while the clear-sky beam on it, averaged over "
        "the whole glass, is at least this; 0 does not ask.",
    )
    season: Season | None = Field(
        None,
        description="First and last month-day; may wrap over the new year. "
        "The whole year if left out.",
    )
    purposes: NeedNames = Field(
        ("heat",), alias="for", description="What shades close for: one or more of the needs."
    )
    glare: Glare | None = Field(None, description="Sun that dazzles.")
    fading: Fading | None = Field(None, description="Sun that bleaches.")
    sleep: Sleep | None = Field(None, description="A dark room for sleep.")
    privacy: Privacy | None = Field(None, description="Closed after dusk.")

    @property
    def on_glass(self) -> tuple[float, float, float]:
        """The parts on which the times of sun on a window depend: beam, fraction and power."""
        return self.beam, self.fraction, self.power

    @property
    def for_heat_alone(self) -> bool:
        """Whether shades close for the sun on their windows and for nothing else."""
        return self.purposes == ("heat",)

    @property
    def plan_season(self) -> Season | None:
        """The season by which a plan keeps or drops whole closings.

        None where there are needs beside heat: each keeps to its own season then.
        """
        return self.season if self.for_heat_alone else None


class ShadeNeed(Table):
    """A shade's own need: `[shade.need]`; what is None is taken from the site's."""

    beam: Annotated[float, Quantity(0, unit="W/m²")] | None = Field(
        None, description="W/m²; as [need] if left out."
    )
    fraction: Share | None = Field(None, description="As [need] if left out.")
    power: Annotated[float, Quantity(0, unit="W/m²")] | None = Field(
        None, description="W/m² of glass; as [need] if left out."
    )
    season: Season | None = Field(None, description="As [need] if left out.")
    purposes: NeedNames | None = Field(
        None, alias="for", description="What the shade closes for; as [need] if left out."
    )
    glare: Glare | None = Field(None, description="As [need] if left out.")
    fading: Fading | None = Field(None, description="As [need] if left out.")
    sleep: Sleep | None = Field(None, description="As [need] if left out.")
    privacy: Privacy | None = Field(None, description="As [need] if left out.")
