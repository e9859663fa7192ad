"""The comparison as CSV: a row for each window, option and month, and one for the year."""

from __future__ import annotations

from collections.abc import Iterator

from suncover.base.csv_text import table, text_cell
from suncover.compare.year import Comparison

HEADER = ("window", "option", "month", "incident_kwh", "admitted_kwh")


def compare_csv(comparison: Comparison) -> bytes:
    """The table as bytes, UTF-8; energies in kWh for the whole glass of each window."""
    return table(HEADER, _rows(comparison))


def _rows(comparison: Comparison) -> Iterator[tuple[str, ...]]:
    for window in comparison.site.windows:
        for variant in comparison.variants:
            if variant.extra:
                continue
            outcome = comparison.outcomes[variant.name][window.name]
            names = (text_cell(window.name), text_cell(variant.name))
            incident = comparison.days.monthly(outcome.incident) / 1000.0
            admitted = comparison.days.monthly(outcome.admitted) / 1000.0
            for month in range(12):
                yield (*names, f"{month + 1:02d}", _kwh(incident[month]), _kwh(admitted[month]))
            yield (*names, "year", _kwh(incident.sum()), _kwh(admitted.sum()))


def _kwh(energy: float) -> str:
    return f"{max(energy, 0.0):.3f}"
