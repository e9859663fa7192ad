"""The tables that only the comparison reads: further options, and what turns heat into money.

A number of which only a range is known is given as `[low, high]`, and the range is carried through
to every result.
"""

from typing import Annotated, Literal, Self

from pydantic import Field, field_validator, model_validator

from suncover.site.kinds.kind import fault
from suncover.site.kinds.values import Name, Share, listed, span
from suncover.site.parts import FabricKind, Overhang, Table, Tree, shares_fit

STANDARD_OPTIONS = ("bare", "overhang", "shade", "both")
"""The options of every comparison: neither, one, the other, both."""
STANDS = "as it stands"
"""What they are held against: the windows with what they have today."""

Range = tuple[float, float]
Price = Annotated[Range, span(0)]


class Option(Table):
    """Something more to compare: `[[option]]`. It changes what it names and leaves the rest."""

    name: Name = Field(description="Unique among the options.")
    like: Literal["as it stands", "bare", "overhang", "shade", "both"] = Field(
        "as it stands", description="What it starts from: what stands today, or an option."
    )
    windows: Annotated[tuple[Name, ...], listed("window names", at_least=1)] | None = Field(
        None, description="The windows that it changes; all of them if left out."
    )
    overhang: Overhang | None = Field(None, description="This overhang in place of the window's.")
    glazing: Name | None = Field(
        None, description="Other glass: name of a [[glazing]] or of a generic kind."
    )
    film: Share | None = Field(
        None, description="Share of the glass's gain that a film leaves, 0 to 1."
    )
    light: Share | None = Field(
        None, description="Share of the visible light that the film leaves, 0 to 1."
    )
    closed: Literal["never", "plan", "sunny", "always"] | None = Field(
        None,
        description="When its shade is closed: by the plan (the rule if left out), by the plan but "
        "only in hours whose weather has the sun that `need` asks for, or through the season.",
    )
    place: Literal["inside", "outside", "between"] | None = Field(
        None, description="Where its shade hangs; as the window's own if left out."
    )
    fabric: FabricKind | None = Field(None, description="Colour class of its shade.")
    transmittance: Share | None = Field(None, description="Solar, of its shade's fabric.")
    reflectance: Share | None = Field(None, description="Solar, of its shade's fabric.")
    tree: Tree | None = Field(None, description="A tree more; for windows with a position.")
    price: Price | None = Field(None, description="What it costs altogether.")

    @field_validator("name")
    @classmethod
    def _own_name(cls, name: str) -> str:
        if name in (*STANDARD_OPTIONS, STANDS):
            raise fault(f'"{name}" is one of the options of every comparison; choose another name')
        return name

    _shares_fit = field_validator("reflectance")(shares_fit)

    @model_validator(mode="after")
    def _changes_something(self) -> Self:
        if self.light is not None and self.film is None:
            raise fault("`light` is of the film; give `film` too")
        if not self.model_fields_set - {"name", "like", "windows", "price"}:
            raise fault(
                "it changes nothing; give it an overhang, glazing, film, closed, place, fabric or "
                "tree"
            )
        return self


class Money(Table):
    """What turns heat into money: `[money]`. Each number may be a range, `[low, high]`.

    The defaults are assumptions of ours, wide on purpose; 18.3 °C is the base of cooling degree
    days (65 °F), and a COP of 4.1 what a SEER of 14 comes to.
    """

    currency: Name = Field("$", description="Put before amounts.")
    electricity: Price | None = Field(None, description="Price of 1 kWh of electricity.")
    heating: Price | None = Field(None, description="Price of 1 kWh of heat from the heating.")
    cop: Annotated[Range, span(0.5, 15)] = Field(
        (3.0, 4.1), description="Heat that the cooling carries off for each kWh of electricity."
    )
    seer: Annotated[Range, span(2, 50)] | None = Field(
        None, description="In place of `cop`: the seasonal rating in Btu/Wh, COP x 3.412."
    )
    cooling_above: Annotated[Range, span(-20, 40, unit="°C")] = Field(
        (18.3, 18.3), description="A day whose mean is above this, in °C, needs cooling."
    )
    heating_below: Annotated[Range, span(-20, 40, unit="°C")] = Field(
        (15.0, 15.0), description="A day whose mean is below this, in °C, needs heating."
    )
    cooling_share: Annotated[Range, span(0, 1)] = Field(
        (0.5, 0.9), description="Share of a cooling day's sun that the cooling must carry off."
    )
    heating_share: Annotated[Range, span(0, 1)] = Field(
        (0.4, 0.8), description="Share of a heating day's sun that the heating need not give."
    )
    overhang: Price | None = Field(None, description="What an overhang costs, for each window.")
    shade: Price | None = Field(None, description="What a motor shade costs, for each shade.")

    @model_validator(mode="after")
    def _one_rating(self) -> Self:
        if self.seer is not None and "cop" in self.model_fields_set:
            raise fault("`cop` and `seer` say the same; give one of them")
        return self

    @property
    def cooling_cop(self) -> Range:
        """The COP as given, or that of the SEER (1 W is 3.412 Btu/h)."""
        if self.seer is None:
            return self.cop
        return self.seer[0] / 3.412, self.seer[1] / 3.412
