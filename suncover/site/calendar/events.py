"""A household's own calendar: which of its events mean that shades stay up or down, and when.

    file ──> ics_lines ──> events whose words the site file knows ──> ics_values ──> CalendarEvent

An event that means nothing for shades is passed over, whatever stands in it; in one that does, a
slip is reported with its line. Events without times are whole days of the site; times without a
zone are those of the site's clocks. Cancelled events are left out, and where one of a series was
moved, it counts where it is now.
"""

from __future__ import annotations

import os
import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import partial
from typing import TypeVar
from zoneinfo import ZoneInfo

from suncover.base.errors import MOST_TOLD, Fault, FileFaults
from suncover.base.textfile import printable, read_text
from suncover.site.calendar import ics_values
from suncover.site.calendar.event import CalendarEvent
from suncover.site.calendar.ics_lines import Block, Line, blocks_of, plain, plain_list
from suncover.site.calendar.ics_values import IcsValueError, Length, Moment
from suncover.site.kinds.zones import is_zone, zone_fault
from suncover.site.sharing import EventMeaning

MOST_WORK = 20_000
"""Single dates of recurrence in a file's events that mean something; an event, or a rule, which has
to be held against each day, counts as `RULE_WORK`. Our own bound, so that it ends in seconds."""
RULE_WORK = 20
LONGEST_REPEATED = 3660  # days of an event that repeats
LONGEST_TITLE = 60

_T = TypeVar("_T")


@dataclass
class _Reader:
    """What a file's events may mean, and what has been found wrong so far."""

    file: str
    meanings: Sequence[EventMeaning]
    zone: ZoneInfo
    places: Mapping[str, str]
    faults: list[Fault] = field(default_factory=list)
    work: int = 0

    def wrong(self, line: int | None, message: str, place: str = "") -> None:
        self.faults.append(Fault(self.file, printable(message), printable(place), line))

    @property
    def has_enough(self) -> bool:
        """Whether as many faults have been found as are reported: then nobody waits for more."""
        return len(self.faults) >= MOST_TOLD

    def attempt(self, line: Line, place: str, read: Callable[[], _T]) -> _T | None:
        """What is read from a line; None where that is wrong."""
        try:
            return read()
        except IcsValueError as error:
            self.wrong(line.number, str(error), place)
            return None

    def is_too_much(self, line: int, work: int) -> bool:
        """Whether this is more than can be worked out; the first time, that is a fault."""
        before, self.work = self.work, self.work + work
        if before <= MOST_WORK < self.work:
            message = "more events and repetitions mean something than can be worked out"
            self.wrong(
                line, f"{message}; choose rarer words, or write rules (RRULE) for single dates"
            )
        return self.work > MOST_WORK

    def stop_if_wrong(self) -> None:
        if self.faults:
            raise FileFaults(sorted(self.faults, key=lambda fault: fault.line or 0))


def read_calendar(
    path: str | os.PathLike[str], meanings: Sequence[EventMeaning], zone: ZoneInfo
) -> tuple[CalendarEvent, ...]:
    """The events of an iCalendar file that mean something, each for the shades of its meaning.

    `zone` is the site's.

    Raises
    ------
    FileFaults
        When the file cannot be read, is no calendar, or an event that means something is wrong.
    """
    return calendar_from_text(read_text(path), meanings, zone, path)


def calendar_from_text(
    text: str,
    meanings: Sequence[EventMeaning],
    zone: ZoneInfo,
    file: str | os.PathLike[str] = "calendar",
) -> tuple[CalendarEvent, ...]:
    """The events in the text of a file; `file` is its name in messages.

    Raises
    ------
    FileFaults
        As `read_calendar`.
    """
    blocks, wrong = blocks_of(text)
    reader = _Reader(printable(os.fspath(file)), meanings, zone, _named_places(blocks))
    for line, message in wrong:
        reader.wrong(line, message)
    reader.stop_if_wrong()
    moved = _moved(blocks)
    events: list[CalendarEvent] = []
    for block in blocks:
        if block.name != "VEVENT" or _text(block, "STATUS").upper() == "CANCELLED":
            continue
        title = _text(block, "SUMMARY")
        meaning = _meaning(block, title, meanings)
        if meaning is None:
            continue
        rules = len(block.all("RRULE"))
        if reader.is_too_much(block.number, RULE_WORK * (1 + rules)) or reader.has_enough:
            break
        event = _event(block, title, meaning, moved, reader)
        if event is not None:
            events.append(event)
    reader.stop_if_wrong()
    return tuple(events)


def _text(block: Block, name: str) -> str:
    line = block.first(name)
    return plain(line.value) if line else ""


def shortened(title: str) -> str:
    """A title as far as it is shown."""
    return title if len(title) <= LONGEST_TITLE else f"{title[: LONGEST_TITLE - 1]}…"


def _folded(text: str) -> str:
    """A text by which two can be compared: no accents' spelling, no case, single blanks."""
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split())


def _has_words(text: str, words: str) -> bool:
    """Whether whole words stand in a text in a row; both folded."""
    return bool(words) and re.search(rf"(?<!\w){re.escape(words)}(?!\w)", text) is not None


def _meaning(block: Block, title: str, meanings: Sequence[EventMeaning]) -> EventMeaning | None:
    """The first meaning one of whose words an event has, for the shades that it is for."""
    folded = _folded(title)
    filed = {_folded(name) for line in block.all("CATEGORIES") for name in plain_list(line.value)}
    for meaning in meanings:
        words = [_folded(word) for word in meaning.words]
        if any(word in filed or _has_words(folded, word) for word in words):
            return meaning
    return None


def _shades(title: str, meaning: EventMeaning) -> tuple[str, ...]:
    shades = meaning.shades or ()
    if meaning.narrow == "never":
        return shades
    folded = _folded(title)
    return tuple(name for name in shades if _has_words(folded, _folded(name)))


def nearest_name(title: str, names: Iterable[str]) -> str | None:
    """The one of some names that words in a row of a title are most like; None if none is near."""
    import difflib

    words = _folded(title).split()
    best, nearest = 0.6, None
    for name in names:
        folded = _folded(name)
        most = len(folded.split()) + 1
        for first in range(len(words)):
            for end in range(first + 1, min(first + most, len(words)) + 1):
                like = difflib.SequenceMatcher(None, folded, " ".join(words[first:end])).ratio()
                if like > best:
                    best, nearest = like, name
    return nearest


def _named_places(blocks: Iterable[Block]) -> dict[str, str]:
    """The IANA name that the file itself gives for a zone of another name."""
    places = {}
    for block in blocks:
        line, place = block.first("TZID"), block.first("X-LIC-LOCATION")
        if block.name == "VTIMEZONE" and line and place:
            places[line.value.strip()] = place.value.strip()
    return places


def _zone(name: str, reader: _Reader) -> ZoneInfo:
    """A zone by its IANA name, Windows' name, or one that ends with an IANA name."""
    parts = name.strip("/").split("/")
    tails = ["/".join(parts[-count:]) for count in (3, 2) if len(parts) > count]
    for candidate in (name, reader.places.get(name, ""), *tails):
        if candidate and is_zone(candidate):
            return ZoneInfo(candidate)
    from icalendar.timezone.windows_to_olson import WINDOWS_TO_OLSON

    if name in WINDOWS_TO_OLSON:
        return ZoneInfo(WINDOWS_TO_OLSON[name])
    raise IcsValueError(f"{zone_fault(name)}; or give the times in UTC")


def _moments(line: Line, reader: _Reader) -> list[tuple[Moment, Length | None]]:
    """The dates and times of a property; periods have a length of their own."""
    name = line.parameter("TZID")
    zone = _zone(name, reader) if name and not line.value.rstrip().endswith("Z") else None
    moments: list[tuple[Moment, Length | None]] = []
    for piece in line.value.split(","):
        begin, slash, end = piece.partition("/")
        start = ics_values.moment(begin, zone)
        length = None
        if slash:
            length = (
                ics_values.length(end)
                if end.strip().startswith(("P", "+P"))
                else _between(start, ics_values.moment(end, zone), reader.zone)
            )
        moments.append((start, length))
    return moments


def _between(start: Moment, end: Moment, zone: ZoneInfo) -> Length:
    if (start.second is None) != (end.second is None):
        raise IcsValueError("it begins with a date and ends with a time; give two of a kind")
    if start.second is None:
        days = (end.day - start.day).days
        # Some programs write the same date twice for an event of one day.
        if days < 0:
            raise IcsValueError("it ends before it begins; swap DTSTART and DTEND")
        return Length(max(days, 1), 0)
    seconds = end.instant(zone) - start.instant(zone)
    if seconds < 0:
        raise IcsValueError("it ends before it begins; swap DTSTART and DTEND")
    return Length(0, seconds)


def _moved(blocks: Iterable[Block]) -> dict[str, list[Line]]:
    """By the UID of a series, which of its events stand in the file by themselves."""
    moved: dict[str, list[Line]] = {}
    for block in blocks:
        line = block.first("RECURRENCE-ID")
        if block.name == "VEVENT" and line is not None:
            moved.setdefault(_text(block, "UID"), []).append(line)
    return moved


def _event(
    block: Block,
    title: str,
    meaning: EventMeaning,
    moved: Mapping[str, list[Line]],
    reader: _Reader,
) -> CalendarEvent | None:
    """One event; None where anything in it is wrong."""
    before = len(reader.faults)
    place = f'event "{shortened(title)}"'
    begins = _begin_line(block, reader, place)
    if begins is None:
        return None
    started = reader.attempt(begins, place, lambda: _moments(begins, reader))
    # Without its beginning, the rest is read all the same, for its faults.
    start = started[0][0] if started else Moment(date(2000, 1, 1), None, None)
    length = _length(block, start, reader, place) if started else None
    rules = [
        reader.attempt(line, place, partial(ics_values.rule, line.value, start, reader.zone))
        for line in block.all("RRULE")
    ]
    if rules and length is not None and length.days > LONGEST_REPEATED:
        years = LONGEST_REPEATED // 366
        message = (
            f"it repeats and lasts longer than {years} years; shorten it, or take the rule away"
        )
        reader.wrong(begins.number, message, place)
    for line in block.all("EXRULE"):
        reader.wrong(line.number, "EXRULE is no longer used; write EXDATE for each date", place)
    further_dates = [
        repeat for line in block.all("RDATE") for repeat in _dates(line, reader, place)
    ]
    # A series leaves out those of its events that stand in the file by themselves.
    single = block.first("RECURRENCE-ID") is not None
    apart = [] if single else moved.get(_text(block, "UID"), [])
    left_out = [*block.all("EXDATE"), *apart]
    skipped = [begin for line in left_out for begin, _ in _dates(line, reader, place)]
    if len(reader.faults) > before or length is None:
        return None
    timed = [begin for begin in skipped if begin.second is not None and start.second is not None]
    skipped_days = [begin.day for begin in skipped if begin.second is None or start.second is None]
    shades = _shades(title, meaning)
    return CalendarEvent(
        shortened(title) or "(no title)",
        meaning.do,
        shades or meaning.shades or (),
        start,
        length,
        tuple(rule for rule in rules if rule is not None),
        tuple((begin, own_length or length) for begin, own_length in further_dates),
        frozenset(skipped_days),
        frozenset(begin.instant(reader.zone) for begin in timed),
        names_none=not shades,
    )


def _begin_line(block: Block, reader: _Reader, place: str) -> Line | None:
    """The line that says when an event begins; None for one that cannot be read at all."""
    begins, single = block.first("DTSTART"), block.first("RECURRENCE-ID")
    if begins is None:
        reader.wrong(block.number, "it has no DTSTART, the time at which it begins", place)
    elif single is not None and "THISANDFUTURE" in single.head.upper():
        message = (
            "a series that changes from one day on is not known; end it there and begin another"
        )
        reader.wrong(single.number, message, place)
        begins = None
    return begins


def _length(block: Block, start: Moment, reader: _Reader, place: str) -> Length | None:
    """How long an event lasts: to DTEND, for DURATION, or for its day."""
    ends, lasts = block.first("DTEND"), block.first("DURATION")
    if ends is not None:
        return reader.attempt(
            ends, place, lambda: _between(start, _moments(ends, reader)[0][0], reader.zone)
        )
    if lasts is not None:
        return reader.attempt(lasts, place, lambda: ics_values.length(lasts.value))
    return Length(1, 0) if start.second is None else Length(0, 0)


def _dates(line: Line, reader: _Reader, place: str) -> list[tuple[Moment, Length | None]]:
    """The dates of a property that may hold many, as long as there are not too many in all."""
    if reader.is_too_much(line.number, line.value.count(",") + 1):
        return []
    return reader.attempt(line, place, lambda: _moments(line, reader)) or []
