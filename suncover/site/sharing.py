"""What shades share, and dates on which all is different.

[[supply]]     a power supply or controller that runs so many motors at once
[[group]]      shades that move together, for looks
[[exception]]  dates on which shades stay up, or down
[[calendar]]   a household's own calendar, some of whose events mean that
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Annotated, Any, Literal

from pydantic import Field, InstanceOf, field_validator
from pydantic.json_schema import SkipJsonSchema

from suncover.site.calendar.event import CalendarEvent
from suncover.site.finding import Facts, Finding
from suncover.site.kinds.kind import fault
from suncover.site.kinds.values import FileName, Name, Seconds, WholeNumber, calendar_date, listed
from suncover.site.parts import Table

ShadeNames = Annotated[tuple[Name, ...], listed('shade names, such as ["kitchen roller"]')]
Day = Annotated[date, calendar_date()]


class Supply(Table):
    """What feeds or drives several motors: `[[supply]]`."""

    name: Name = Field(description="Unique among the supplies.")
    shades: ShadeNames = Field(description="Names of the shades whose motors hang on it.")
    at_once: Annotated[int, WholeNumber(1)] = Field(
        1, description="How many of its motors may run at once."
    )
    gap: Seconds = Field(0.0, description="Seconds between the starts of two of its motors.")


class Group(Table):
    """Shades that move together: `[[group]]`."""

    name: Name = Field(description="Unique among the groups.")
    shades: ShadeNames = Field(description="Names of its shades.")
    move: Literal["together", "own"] = Field(
        "together",
        description="`together`: all of them while any of them needs it; `own`: each by itself.",
    )


class DatedException(Table):
    """Dates on which shades do not follow the sun: `[[exception]]`."""

    name: Name = Field(description="What is on: holidays, cleaning, guests.")
    dates: Annotated[
        tuple[Day, Day], listed('two dates, first and last: ["2027-07-10", "2027-07-24"]', 2)
    ] = Field(description="First and last date, both included.")
    do: Literal["up", "down"] = Field(
        description="`up`: they stay up, whatever the sun does; `down`: they stay down."
    )
    shades: ShadeNames | None = Field(
        None, description="Names of the shades; all of them if left out."
    )

    @field_validator("dates")
    @classmethod
    def _forwards(cls, dates: tuple[date, date]) -> tuple[date, date]:
        if dates[1] < dates[0]:
            raise fault(f"the last date, {dates[1]}, is before the first, {dates[0]}; swap them")
        return dates


class EventMeaning(Table):
    """What some events of a calendar mean for shades: `[[calendar.event]]`."""

    words: Annotated[
        tuple[Name, ...],
        listed('words, such as ["holiday", "away"]', at_least=1),
    ] = Field(
        description="Events with one of these in their title, as whole words, or among their "
        "categories. Capitals do not matter."
    )
    do: Literal["up", "down"] = Field(
        description="`up`: shades stay up while it is on, whatever the sun does; `down`: they "
        "stay down."
    )
    shades: ShadeNames | None = Field(
        None, description="Names of the shades; all of them if left out."
    )
    narrow: Literal["by title", "never"] = Field(
        "never",
        description="`by title`: an event whose title names some of these shades is for those "
        "alone.",
    )


class HouseCalendar(Table):
    """The household's own calendar, an iCalendar file: `[[calendar]]`.

    `events` are those of the file that mean something; none until the file has been read.
    """

    file: FileName = Field(description="Name of the .ics file, beside the site file.")
    meanings: Annotated[
        tuple[EventMeaning, ...],
        listed("tables, each [[calendar.event]]", at_least=1),
    ] = Field(alias="event", description="Which of its events mean what; the first that fits.")
    # Left out of the site file, and so no key of it.
    events: SkipJsonSchema[tuple[InstanceOf[CalendarEvent], ...]] = Field((), exclude=True)


def sharing_findings(entries: Mapping[str, Sequence[Facts]]) -> Iterator[Finding]:
    """Shades that stand twice, and groups whose shades cannot agree."""
    for kind in ("supply", "group"):
        owner: dict[str, str] = {}
        for index, entry in enumerate(entries.get(kind, ())):
            for place, name in enumerate(entry.get("shades") or ()):
                if name in owner:
                    message = f'"{name}" stands in {owner[name]} already; name it in one {kind}'
                    yield Finding((kind, index, "shades", place), message)
                owner.setdefault(name, f'[[{kind}]] "{entry.get("name", "?")}"')
    yield from _quarrels(entries)


def _quarrels(entries: Mapping[str, Sequence[Facts]]) -> Iterator[Finding]:
    """Shades that move together must be quiet together."""
    quiet: dict[str, Any] = {
        shade["name"]: (shade.get("quiet"), shade.get("in_quiet", "early"))
        for shade in entries.get("shade", ())
        if "name" in shade
    }
    for index, group in enumerate(entries.get("group", ())):
        if group.get("move", "together") != "together":
            continue
        members = group.get("shades") or ()
        rules = {quiet.get(name, (None, "early")) for name in members}
        hours = {rule[0] for rule in rules}
        if len(hours) > 1 or (hours != {None} and len(rules) > 1):
            yield Finding(
                ("group", index, "shades"),
                "shades that move together need the same `quiet` and `in_quiet`; give them the "
                'same, or set move = "own"',
            )
