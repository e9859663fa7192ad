"""A shade and the rules for moving it."""

from datetime import time
from typing import Annotated, Literal, Self

from pydantic import Field, ValidationInfo, field_validator, model_validator

from suncover.site.keeping import AfterHand, Program
from suncover.site.kinds.kind import fault
from suncover.site.kinds.values import (
    DayTime,
    LengthFromZero,
    Minutes,
    Name,
    Quantity,
    Seconds,
    Share,
    Stops,
    WholeNumber,
    listed,
)
from suncover.site.needs import ShadeNeed
from suncover.site.parts import FabricKind, Roller, Table, WindowNames, shares_fit


class Shade(Table):
    """A shade on a motor, with the rules for moving it: `[[shade]]`."""

    name: Name = Field(description="Unique among the shades.")
    windows: WindowNames = Field(description="Names of the windows that it covers.")
    roller: Roller | None = Field(None, description="The tube that it is wound on.")
    travel: Seconds = Field(
        default_factory=lambda data: (data.get("roller") and data["roller"].seconds) or 0.0,
        description="Seconds for the full run; 0 if left out, or what [shade.roller] comes to.",
    )
    travel_up: Annotated[float, Quantity(0, 3600, over=True, unit="seconds")] | None = Field(
        None, description="Seconds for the full run upwards, where that takes another time."
    )
    stops: Stops = Field(
        (100,),
        description="Positions at which it can stop, in per cent closed; only 100 if left out.",
    )
    home_after: Annotated[int, WholeNumber(1)] | None = Field(
        None,
        description="After this many moves to or from a stop on the way it makes a full run, to "
        "find its place again.",
    )
    end_stop: Literal["top", "bottom", "both", "none"] = Field(
        "both", description="Where a run may go on against a stop, to find its zero."
    )
    overrun: Seconds | None = Field(
        None,
        description="Seconds that a run to find the zero goes on; a tenth of the run if left out.",
    )
    program: Program | None = Field(
        None, description="Program that is run for an order, in place of a message."
    )
    after_hand: AfterHand = Field(
        "next",
        description='How long the plan leaves alone what a hand moved, such as "2 h"; "next": '
        "until the plan's next move.",
    )
    standoff: LengthFromZero | None = Field(
        None,
        description="Metres from the glass to the hanging fabric; if left out 0, or for a shade "
        "outside the window's reveal.",
    )
    lead: Minutes = Field(2.0, description="Minutes that it is closed before the sun arrives.")
    lag: Minutes = Field(2.0, description="Minutes that it stays closed after the sun has left.")
    merge: Minutes = Field(
        30.0,
        description="Minutes: a shorter gap between two closings is bridged: closed in it too.",
    )
    shortest: Minutes = Field(
        10.0, description="Minutes: sun that lasts less is let in: it stays up."
    )
    moves: Annotated[int, WholeNumber(2)] | None = Field(
        None, description="At the most a day, a closing and an opening counting one each."
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
    stands: bool | None = Field(
        None,
        description="Whether it is there today, for `compare`. If left out: yes, unless [money] "
        "has a price for shades.",
    )

    @property
    def has_stops(self) -> bool:
        """Whether it can stop part of the way."""
        return len(self.stops) > 1

    @field_validator("home_after")
    @classmethod
    def _stops_on_the_way(cls, moves: int | None, info: ValidationInfo) -> int | None:
        if moves is not None and info.data.get("stops") == (100,):
            raise fault("it only matters with `stops` on the way, such as [50, 100]; add them")
        return moves

    @model_validator(mode="after")
    def _run_is_known_once(self) -> Self:
        if self.roller is None:
            return self
        if self.roller.turns_per_minute is None:
            if self.travel == 0:
                raise fault("with a roller give `travel`, or `turns_per_minute` in [shade.roller]")
        elif "travel" in self.model_fields_set:
            raise fault("`travel` and `turns_per_minute` say the same; give one of them")
        return self

    @field_validator("travel_up")
    @classmethod
    def _up_beside_down(cls, seconds: float | None, info: ValidationInfo) -> float | None:
        if seconds is not None and info.data.get("travel") == 0:
            raise fault("give `travel` too: the seconds for the full run downwards")
        return seconds

    @field_validator("quiet")
    @classmethod
    def _quiet_has_length(cls, quiet: tuple[time, time] | None) -> tuple[time, time] | None:
        if quiet and quiet[0] == quiet[1]:
            raise fault("quiet hours start and end at the same time; leave the key out for none")
        return quiet

    _shares_fit = field_validator("reflectance")(shares_fit)
