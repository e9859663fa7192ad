"""Sums over spells of sun, by month or by year: hours, sunny days, earliest and latest sun."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple
from zoneinfo import ZoneInfo

from suncover.base.clock import DAY_S, dates_bounds, day_bounds, local_ordinal, utc_offset
from suncover.base.spell import Spell

MOST_MONTHS = 24  # a request for more is summed by year


@dataclass(frozen=True)
class Period:
    """The sun of a month or year, as far as it was asked for.

    `label` is `2026-06` or `2026`. `earliest` and `latest` are seconds on the local wall clock
    since 0:00, over all its days: the earliest that sun begins and the latest that it ends; None
    without sun. Where it goes on over midnight, they are the ends of the longest time of the clock
    without sun on any day, so that `latest` is on the next morning and before `earliest`; with sun
    at every time of the clock they are 0 and 86400. `sunny_days` counts dates with any sun.
    """

    label: str
    seconds: int
    sunny_days: int
    earliest: int | None
    latest: int | None


class Piece(NamedTuple):
    """The part of a spell that lies on one date (its ordinal), wall clock seconds since 0:00."""

    ordinal: int
    seconds: int
    starts: int
    ends: int


def periods(spells: Sequence[Spell], first: date, last: date, zone: ZoneInfo) -> list[Period]:
    """Every month from `first` to `last`, or every year where there are more than 24 months.

    Raises
    ------
    RequestError
        When the dates are of another kind or run backwards.
    """
    dates_bounds(first, last, zone)
    labels = month_labels(first, last)
    length = 7
    if len(labels) > MOST_MONTHS:
        labels, length = sorted({label[:4] for label in labels}), 4
    pieces: dict[str, list[Piece]] = {label: [] for label in labels}
    for piece in by_date(spells, zone):
        label = date.fromordinal(piece.ordinal).isoformat()[:length]
        # An hour that the clock shows twice over midnight may bear a date outside the request.
        pieces.setdefault(label, []).append(piece)
    return [total(label, pieces[label]) for label in sorted(pieces)]


def total(label: str, pieces: Sequence[Piece]) -> Period:
    """The sum of pieces."""
    earliest, latest = earliest_and_latest([(piece.starts, piece.ends) for piece in pieces])
    return Period(
        label,
        sum(piece.seconds for piece in pieces),
        len({piece.ordinal for piece in pieces}),
        earliest,
        latest,
    )


def earliest_and_latest(spans: Sequence[tuple[int, int]]) -> tuple[int | None, int | None]:
    """When sun begins and ends over several days, as in `Period`.

    `spans` are its beginnings and ends on single days, seconds on the wall clock since 0:00.
    """
    earliest = min((starts for starts, _ in spans), default=None)
    latest = max((ends for _, ends in spans), default=None)
    if (earliest, latest) != (0, DAY_S):
        return earliest, latest
    longest, end, begin = 0, 0, DAY_S
    reached = 0
    # Where clocks were set back within a span, its end may read less than its start.
    for starts, ends in sorted((min(span), max(span)) for span in spans):
        if starts - reached > longest:
            longest, end, begin = starts - reached, starts, reached
        reached = max(reached, ends)
    return end, begin


def month_labels(first: date, last: date) -> list[str]:
    """`2026-06` and so on, for each month that has a day from `first` to `last`."""
    months = range(first.year * 12 + first.month - 1, last.year * 12 + last.month)
    return [f"{month // 12}-{month % 12 + 1:02d}" for month in months]


def by_date(spells: Iterable[Spell], zone: ZoneInfo) -> Iterator[Piece]:
    """The spells, cut at every local midnight."""
    for spell in spells:
        at = spell.start
        while at < spell.end:
            ordinal = local_ordinal(at, zone)
            midnight = day_bounds(date.fromordinal(ordinal), zone).end
            # Where clocks were set back over midnight, `at` may lie past its date's own end.
            end = min(spell.end, midnight) if midnight > at else spell.end
            starts = (at + utc_offset(at, zone)) % DAY_S
            ends = (end - 1 + utc_offset(end - 1, zone)) % DAY_S + 1
            yield Piece(ordinal, end - at, starts, ends)
            at = end
