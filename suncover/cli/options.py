"""Arguments and options that several commands share."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, TypeVar

import click

from suncover.base.clock import FIRST_DATE, LAST_DATE, YEARS

SIGHTINGS_FILE = "sightings.csv"
"""Where sightings are written and looked for, unless told."""


class Day(click.ParamType):  # type: ignore[type-arg]  # generic only from click 8.4 on
    """A date, YYYY-MM-DD."""

    name = "date"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        if isinstance(value, date):
            return value
        text = str(value)
        try:
            if len(text) != 10:
                raise ValueError
            day = date.fromisoformat(text)
        except ValueError:
            self.fail(
                f"{text!r} is not a date of the form YYYY-MM-DD, such as 2027-06-01", param, ctx
            )
        if not FIRST_DATE <= day <= LAST_DATE:
            self.fail(
                f"{text!r} is outside {YEARS}, the years that the sun is computed for",
                param,
                ctx,
            )
        return day


class WholeMinutes(click.ParamType):  # type: ignore[type-arg]  # generic only from click 8.4 on
    """A length of time of one minute or more that `fits`, written as 5min or 5; in minutes."""

    name = "time"

    def __init__(self, fits: Callable[[int], bool], wanted: str) -> None:
        self._fits, self._wanted = fits, wanted

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        if isinstance(value, int):
            return value
        match = re.fullmatch(r"(\d{1,3}) *(?:min|minutes?|m)?", str(value).strip(), re.ASCII)
        minutes = int(match[1]) if match else 0
        if minutes < 1 or not self._fits(minutes):
            self.fail(f"{str(value)!r} is not {self._wanted}", param, ctx)
        return minutes


ROUND_TIME = WholeMinutes(
    lambda minutes: 60 % minutes == 0,
    "a length of time that an hour can be cut into, such as 5min, 10min or 15min",
)
TOLERANCE = WholeMinutes(
    lambda minutes: minutes <= 120, "a length of time from 1min to 120min, such as 5min"
)

Numbers = TypeVar("Numbers", float, "float | None", "tuple[float, ...]")

site_argument = click.argument(
    "site", metavar="SITE", type=click.Path(path_type=Path, allow_dash=False)
)
from_option = click.option(
    "--from", "first", type=Day(), metavar="DATE", help="First day, YYYY-MM-DD."
)
to_option = click.option("--to", "last", type=Day(), metavar="DATE", help="Last day, included.")
output_option = click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Write there instead of to the screen.",
)


def date_range(command: Callable[..., Any]) -> Callable[..., Any]:
    """The options --from and --to, as `first` and `last`."""
    return from_option(to_option(command))


def check_range(first: date, last: date) -> None:
    """Refuse days that run backwards."""
    if last < first:
        raise click.UsageError(f"--to {last} lies before --from {first}; swap them")


def finite(ctx: click.Context, param: click.Parameter, value: Numbers) -> Numbers:
    """Refuse nan and infinity, which pass for numbers within any limits."""
    for number in value if isinstance(value, tuple) else (value,):
        if number is not None and not math.isfinite(number):
            raise click.BadParameter(f"{number} is not a number that can be used", ctx, param)
    return value
