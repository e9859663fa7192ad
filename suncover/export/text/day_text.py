"""One day's page for a family: what each shade does, when and why, with a strip of the day."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta
from zoneinfo import ZoneInfo

from suncover.base.clock import clock_text, date_text, day_bounds, instant_of, local_date
from suncover.base.spell import Spell, overlap_seconds, union
from suncover.export.text.text_table import Style, fit, joined, wrapped
from suncover.export.text.words import listed, long_date, season_text
from suncover.plan.closings.reasons import length_text
from suncover.plan.closings.shade_plan import Closing
from suncover.plan.day_plan import ShadeDay, SunDay
from suncover.site.model import Site

NAME = 22
STRIP = 48  # characters for the whole day
_HOURS = (0, 3, 6, 9, 12, 15, 18, 21)
_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_INDENT = "  "


@dataclass(frozen=True)
class _Page:
    """What every line of a page needs."""

    site: Site
    day: date
    span: Spell
    sun: SunDay
    is_today: bool
    strong: Style

    @property
    def zone(self) -> ZoneInfo:
        return self.site.place.zone

    def at(self, instant: int) -> str:
        """A time as this day's page has it: `09:12`, `21:28 yesterday`, `07:00 on 3 Jun`."""
        text = clock_text(instant, self.zone)
        if instant == self.span.end:
            return "midnight"
        return text + self._day(local_date(instant, self.zone))

    def _day(self, day: date) -> str:
        if day == self.day:
            return ""
        near = {-1: " yesterday", 1: " tomorrow"} if self.is_today else {}
        return near.get((day - self.day).days, f" on {date_text(day)}")


def day_text(
    site: Site,
    day: date,
    shades: Sequence[ShadeDay],
    sun: SunDay,
    *,
    is_today: bool = False,
    strong: Style = str,
) -> str:
    """The page of a local day; `is_today` calls the days next to it yesterday and tomorrow."""
    page = _Page(site, day, day_bounds(day, site.place.zone), sun, is_today, strong)
    lines = [*_head(page), ""]
    if page.span.seconds:
        lines += [_scale(page), *(_strip(shade, page) for shade in shades)]
        lines += [f"{_INDENT}{' ' * NAME}# down   * sun on the glass   - day   . night"]
    for shade in shades:
        lines += ["", *_shade(shade, page)]
    return joined(lines)


def _head(page: _Page) -> Iterator[str]:
    title = f"{page.site.place.name}, {_DAYS[page.day.weekday()]} {long_date(page.day)}"
    yield from (page.strong(line) for line in wrapped(title))
    yield from wrapped(f"{_sun_sentence(page)}{_almanac_sentence(page)}")


def _sun_sentence(page: _Page) -> str:
    if not page.span.seconds:
        return "The clocks of this place leave this date out."
    if not page.sun.up:
        return "The sun does not come up."
    noon = (
        f"It is highest at {clock_text(page.sun.highest, page.zone)}, "
        f"{page.sun.height:.0f}° above the horizon."
    )
    if page.sun.up == (page.span,):
        return f"The sun is up all day and all night. {noon}"
    spells = [f"{page.at(spell.start)} to {page.at(spell.end)}" for spell in page.sun.up]
    return f"The sun is up from {listed(spells)}. {noon}"


def _almanac_sentence(page: _Page) -> str:
    """Sunrise and sunset as newspapers have them, with a blank before; empty on a day without."""
    sun = page.sun
    events = [
        f"{name} {clock_text(at, page.zone)}"
        for name, at in (("sunrise", sun.sunrise), ("sunset", sun.sunset))
        if at is not None and page.span.seconds
    ]
    return f" In almanacs: {', '.join(events)}." if events else ""


def _scale(page: _Page) -> str:
    """The hours above the strips; where clocks change they stand where they fall."""
    line = [" "] * (STRIP + 3)
    marks = [(instant_of(page.day, time(hour), page.zone), str(hour)) for hour in _HOURS]
    for at, hour in [*marks, (page.span.end, "24")]:
        place = round((at - page.span.start) * STRIP / page.span.seconds)
        line[place : place + len(hour)] = hour
    return (_INDENT + " " * NAME + "".join(line)).rstrip()


def _strip(shade: ShadeDay, page: _Page) -> str:
    closed = union(Spell(closing.close, closing.open) for closing in shade.closings)
    sun = _all_sun(shade)
    marks = []
    for number in range(STRIP):
        start = page.span.start + page.span.seconds * number // STRIP
        end = page.span.start + page.span.seconds * (number + 1) // STRIP
        cell = (Spell(start, end),)
        half = (end - start) / 2
        if overlap_seconds(cell, closed) >= half:
            marks.append("#")
        elif overlap_seconds(cell, sun) >= half:
            marks.append("*")
        else:
            marks.append("-" if overlap_seconds(cell, page.sun.up) >= half else ".")
    return f"{_INDENT}{fit(shade.shade.name, NAME - 2)}  {''.join(marks)}"


def _all_sun(shade: ShadeDay) -> tuple[Spell, ...]:
    return union(spell for spells in shade.sun.values() for spell in spells)


def _shade(shade: ShadeDay, page: _Page) -> Iterator[str]:
    yield from (page.strong(line) for line in wrapped(shade.shade.name))
    for closing in shade.closings:
        yield from wrapped(_closing_sentence(closing, page), first=_INDENT)
        yield from wrapped(f"why: {_reason_today(closing, page)}", first=_INDENT * 2)
    yield from _kept_up(shade, page)
    for part in shade.uncovered:
        effect = "sun comes in" if part.sun else "it stays up"
        text = f"{effect} {page.at(part.start)} to {page.at(part.end)}: {part.why}"
        yield from wrapped(text, first=_INDENT)
    if not shade.closings and not _is_kept_up(shade, page):
        yield from wrapped(_open_sentence(shade, page), first=_INDENT)


def _kept_up(shade: ShadeDay, page: _Page) -> Iterator[str]:
    """When an exception has the shade stay up, and which."""
    for exception in shade.exceptions:
        if exception.do == "up":
            times = f"{page.at(exception.spell.start)} to {page.at(exception.spell.end)}"
            if exception.spell.start <= page.span.start and exception.spell.end >= page.span.end:
                times = "all day"
            yield from wrapped(f"stays up {times}: {exception.name}", first=_INDENT)


def _is_kept_up(shade: ShadeDay, page: _Page) -> bool:
    """Whether exceptions have the shade stay up for all of the day, or for all of its sun."""
    up = union(exception.spell for exception in shade.exceptions if exception.do == "up")
    need = _all_sun(shade) or (page.span,)
    return bool(up) and sum(s.seconds for s in need) == overlap_seconds(need, up)


def _closing_sentence(closing: Closing, page: _Page) -> str:
    before, after = closing.close < page.span.start, closing.open > page.span.end
    position = "down" if closing.position == 100 else f"{closing.position} % down"
    lasts = f" ({length_text(closing.open - closing.close)})"
    close, opens = page.at(closing.close), page.at(closing.open)
    if before and after:
        return f"stays {position} all day: since {close}, up again at {opens}"
    if before:
        return f"{position} already since {close}, goes up at {opens}"
    if after:
        return f"goes {position} at {close}, up again at {opens}{lasts}"
    return f"goes {position} at {close}, up at {opens}{lasts}"


def _reason_today(closing: Closing, page: _Page) -> str:
    """The plan's reason, with its days as they are called on the page's day.

    In a reason times without a day are of the date on which the closing starts.
    """
    begun = (page.day - closing.date).days
    if begun == 0:
        called = " tomorrow" if page.is_today else " next day"
    else:
        following = closing.date + timedelta(days=1)
        today = page.is_today and following == page.day
        called = " today" if today else f" on {date_text(following)}"
    return closing.reason.replace(" next day", called)


def _open_sentence(shade: ShadeDay, page: _Page) -> str:
    need = page.site.need_of(shade.shade)
    if not need.for_heat_alone:
        return f"stays up: nothing to close for ({listed(need.purposes)})"
    sun = _all_sun(shade)
    if not sun:
        windows = "its window" if len(shade.sun) == 1 else "any of its windows"
        return f"stays up: no sun that counts on {windows}"
    sun_text = _sun_of(shade.sun, page)
    if not shade.in_season:
        season = season_text(need.season)
        return f"stays up: {sun_text}, but its season is {season}"
    return f"stays up: {sun_text}"


def _sun_of(sun: Mapping[str, Sequence[Spell]], page: _Page) -> str:
    """`sun on kitchen 09:12 to 11:40 and on study …`."""
    parts = [
        f"on {name} {listed([f'{page.at(s.start)} to {page.at(s.end)}' for s in spells])}"
        for name, spells in sun.items()
        if spells
    ]
    return f"sun {listed(parts)}"
