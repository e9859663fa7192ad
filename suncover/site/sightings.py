"""What people saw of the sun on their windows, and when: the sightings.

A sighting is of one window at one time. What was seen is one of `SEEN`:

    on, off          the first, or the last, sun on the glass
    already-on       the sun was on the glass by then; when it came was not seen (clouds, breakfast)
    still-on         the sun was still on the glass then; when it left was not seen
    not-yet-on       the sun had not come by then, though the sky was clear
    already-off      the sun had left by then, though the sky was clear
    patch            where the sun's patch on the floor ended, in metres

They stand in the site file as `[[sighting]]`, or in a CSV with the columns window,time,seen and, if
wanted, minutes,distance,offset,corner.
"""

import os
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from datetime import UTC, date, datetime
from functools import partial
from typing import Annotated, Any, Literal, Self, get_args
from zoneinfo import ZoneInfo

from pydantic import Field, ValidationError, ValidationInfo, field_validator, model_validator

from suncover.base.clock import FIRST_DATE, LAST_DATE, YEARS, offset_text
from suncover.base.csv_text import rows_of, text_of_cell
from suncover.base.errors import Fault, FileFaults, RequestError
from suncover.base.textfile import printable, read_text
from suncover.site.finding import meant
from suncover.site.kinds.kind import Kind, fault, in_words, shown
from suncover.site.kinds.values import AnyLength, LengthFromZero, Name, Quantity
from suncover.site.parts import Table

Seen = Literal["on", "off", "already-on", "still-on", "not-yet-on", "already-off", "patch"]
SEEN: tuple[Seen, ...] = get_args(Seen)

CAUTION = (
    "Never look at the sun, not through glass either: watch the light on the window's frame, "
    "or on the floor."
)
"""Stands wherever sightings are asked for."""

COLUMNS = ("window", "time", "seen", "minutes", "distance", "offset", "corner")
_NEEDED = COLUMNS[:3]
_EXAMPLE = "2027-06-01T09:12:40+02:00"

Tell = Callable[[str, str], None]
"""Takes what is wrong: its place, and a sentence."""


def _instant(value: Any) -> float:
    """An instant, as unix seconds: ISO 8601 text or a TOML date-time, with its offset from UTC."""
    if isinstance(value, str):
        try:
            value = datetime.fromisoformat(value.strip())
        except ValueError:
            raise fault(f"{shown(value)} is not a date and time such as {_EXAMPLE}") from None
    if type(value).__name__ == "datetime64":  # numpy's, which is UTC
        from suncover.base.instants import second_of  # noqa: PLC0415 - numbers only if needed

        try:
            return second_of(value)
        except RequestError as wrong:
            raise fault(str(wrong)) from None
    if isinstance(value, (int, float)) and 1e8 < abs(value) < 7.3e9:
        return float(value)  # an instant already; a slip such as 1340 is none
    if not isinstance(value, datetime):
        fault_text = "has no time of day" if isinstance(value, date) else "is not a date and time"
        raise fault(f"{shown(value)} {fault_text}; write one such as {_EXAMPLE}")
    if value.tzinfo is None:
        raise fault(
            f"{value.isoformat()} has no offset from UTC; add it, as in {_EXAMPLE} "
            "(Z if the time is UTC)"
        )
    if not FIRST_DATE <= value.date() <= LAST_DATE:
        raise fault(f"the year {value.year} is outside {YEARS}")
    return value.timestamp()


_INSTANT = Kind(
    _instant,
    {"type": "string", "format": "date-time"},
    lambda seconds: datetime.fromtimestamp(seconds, UTC).isoformat(),
)


def _date_and_time(value: Any) -> datetime | None:
    """A value or its text as a date and time that the clocks here know; None if it is none."""
    if isinstance(value, str):
        try:
            value = datetime.fromisoformat(value.strip())
        except ValueError:
            return None
    if not isinstance(value, datetime) or not FIRST_DATE <= value.date() <= LAST_DATE:
        return None
    return value


def _zone_of(context: Mapping[str, Any] | None) -> ZoneInfo | None:
    """The site's time zone, where whoever reads the sighting gave it, or gave its place."""
    facts = context or {}
    place = facts.get("place")
    return facts.get("zone") or (place.zone if place is not None else None)


class Sighting(Table):
    """One thing seen of the sun on a window: `[[sighting]]`."""

    window: Name = Field(description="Name of the window.")
    time: Annotated[float, _INSTANT] = Field(
        description="When it was seen: date, time and offset from UTC."
    )
    seen: Seen = Field(description="What was seen.")
    minutes: Annotated[float, Quantity(0, 720, over=True, unit="minutes")] | None = Field(
        None, description="Minutes by which the time may be off, one standard deviation."
    )
    distance: LengthFromZero | None = Field(
        None,
        description="Of a patch: metres from the window's plane, at right angles, to the far edge "
        "of the sun's patch on the floor.",
    )
    offset: AnyLength | None = Field(
        None,
        description="Of a patch: metres to the right, seen from outdoors, of the middle of the "
        "glass to a far corner of the patch.",
    )
    corner: Literal["left", "right"] | None = Field(
        None, description="Which far corner the offset is of, seen from outdoors."
    )

    @field_validator("time", mode="before")
    @classmethod
    def _has_offset(cls, value: Any, info: ValidationInfo) -> Any:
        """Names the site's own offset where one is missing and the site's clocks are known."""
        read = _date_and_time(value)
        if read is not None and read.tzinfo is None and (zone := _zone_of(info.context)):
            offset = offset_text(read.date(), read.time(), zone)
            raise fault(
                f"{read.isoformat()} has no offset from UTC; end it with {offset}, as the site's "
                "clocks are then, or with Z if it is UTC"
            )
        return value

    @field_validator("seen", mode="before")
    @classmethod
    def _word_is_known(cls, value: Any) -> Any:
        if isinstance(value, str) and value not in SEEN:
            near = meant(value, SEEN)
            hint = f'did you mean "{near}"?' if near else f"it is one of {', '.join(SEEN)}"
            raise fault(f"{shown(value)} is nothing to be seen here; {hint}")
        return value

    @model_validator(mode="after")
    def _measures_fit(self) -> Self:
        measured = self.distance is not None or self.offset is not None
        if self.seen == "patch":
            if not measured:
                raise fault(
                    "a patch needs its `distance` from the window, or `offset` and `corner`"
                )
        elif measured or self.corner is not None:
            raise fault(f'`distance`, `offset` and `corner` go with "patch", not "{self.seen}"')
        if (self.offset is None) != (self.corner is None):
            raise fault("`offset` and `corner` go together: say which far corner it is of")
        return self


def read_sightings(
    path: str | os.PathLike[str], windows: Iterable[str], zone: ZoneInfo | None = None
) -> tuple[Sighting, ...]:
    """The sightings in a CSV file, in its order; `windows` are the names that they may be of.

    `zone` is the site's, for the remedy of a time without offset.

    Raises
    ------
    FileFaults
        When the file cannot be read or any line of it is wrong; it names every fault.
    """
    return sightings_from_text(read_text(path), windows, path, zone)


def sightings_from_text(
    text: str,
    windows: Iterable[str],
    file: str | os.PathLike[str] = "sightings",
    zone: ZoneInfo | None = None,
) -> tuple[Sighting, ...]:
    """The sightings in the text of a CSV file; `file` is its name in messages.

    Raises
    ------
    FileFaults
        As `read_sightings`.
    """
    window_names = list(windows)
    faults: list[Fault] = []
    sightings: list[Sighting] = []
    name = printable(os.fspath(file))

    def wrong(line: int, place: str, message: str) -> None:
        faults.append(Fault(name, printable(message), place, line))

    rows = rows_of(text)
    line, header = next(rows, (1, []))
    columns = [cell.strip().casefold() for cell in header]
    for message in _header_faults(columns):
        wrong(line, "", message)
    if not faults:
        for line, cells in rows:
            if any(cell.strip() for cell in cells[len(columns) :]):
                count = len(columns)
                too_many = f"this line has {len(cells)} cells, the first line names {count} columns"
                wrong(line, "", too_many)
                continue
            fields = {
                column: cell
                for column, cell in zip(columns, cells, strict=False)
                if column in COLUMNS
            }
            sighting = sighting_of(fields, window_names, zone, partial(wrong, line))
            if sighting is not None:
                sightings.append(sighting)
    if faults:
        raise FileFaults(faults)
    return tuple(sightings)


def _header_faults(columns: list[str]) -> Iterator[str]:
    for needed in _NEEDED:
        if needed not in columns:
            yield f"the column `{needed}` is missing; the first line should be window,time,seen"
    for column in dict.fromkeys(columns):
        if columns.count(column) > 1 and column:
            yield f"the column `{column}` stands twice"
        # Other columns (a note, the weather) are the reader's own; a slip of the pen is not.
        if column not in COLUMNS and (near := meant(column, COLUMNS)):
            yield f"unknown column `{column}`, did you mean `{near}`?"


def sighting_of(
    cells: Mapping[str, str], windows: Collection[str], zone: ZoneInfo | None, wrong: Tell
) -> Sighting | None:
    """A sighting by its cells; None after all its faults have been reported.

    `wrong` takes the place, and the sentence.
    """
    raw = {column: _value(column, cell.strip()) for column, cell in cells.items() if cell.strip()}
    window = raw.get("window")
    is_known = window is None or window in windows
    if not is_known:
        near = meant(str(window), windows)
        hint = f'did you mean "{near}"?' if near else "write it as in the site file"
        wrong("window", f'no window is named "{str(window)[:40]}"; {hint}')
    try:
        sighting = Sighting.model_validate(raw, context={"zone": zone})
    except ValidationError as error:
        for detail in error.errors(include_url=False):
            wrong(*_place_and_sentence(detail))
        return None
    return sighting if is_known else None


def _value(column: str, cell: str) -> str | float:
    """A cell as the model takes it: bare numbers are in the column's own unit."""
    if column in ("minutes", "distance", "offset"):
        try:
            return float(cell.replace(",", "."))
        except ValueError:
            return cell
    return text_of_cell(cell) if column == "window" else cell


def _place_and_sentence(detail: Mapping[str, Any]) -> tuple[str, str]:
    """The place and the sentence of a fault."""
    place = str(detail["loc"][0]) if detail["loc"] else ""
    if detail["type"] == "missing":
        return place, "this is empty; every sighting has window, time and seen"
    field = Sighting.model_fields.get(place)
    return place, in_words(detail, field and Annotated[field.annotation, *field.metadata, None])
