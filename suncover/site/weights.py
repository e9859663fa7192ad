"""What a household finds worse: `[best]`."""

from typing import Annotated, Literal

from pydantic import Field

from suncover.site.kinds.values import Quantity
from suncover.site.parts import Table

Weight = Annotated[float, Quantity(0, 1000)]


class Best(Table):
    """What the best plan weighs against what, in minutes of sun let in: `[best]`.

    The defaults are a choice of ours: a minute of sun is as bad as five minutes of daylight lost,
    and a move is worth two minutes of sun. A kilowatt-hour in 100 minutes is 600 W: the sun on a
    wall through about one and a half square metres of clear double glass.
    """

    sun: Weight = Field(1.0, description="A minute of need that is left uncovered.")
    daylight: Weight = Field(
        0.2, description="A minute of daylight with the shade down and nothing that asks for it."
    )
    by: Literal["minutes", "heat"] = Field(
        "minutes",
        description="What sun counts by: `minutes`, each alike, or the `heat` that it lets in.",
    )
    kwh: Weight = Field(
        100.0, description='With `by = "heat"`: minutes that a kilowatt-hour let in counts.'
    )
    move: Annotated[float, Quantity(0, 1000, unit="minutes")] = Field(
        2.0, description="Minutes that a move of the motor counts: wear and noise."
    )
