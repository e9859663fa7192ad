"""CSV as RFC 4180 has it: commas, lines that end in CR LF, quotes where needed; in UTF-8.

Names come from the user, and a spreadsheet runs a cell that begins like a formula. Such a text cell
gets an apostrophe in front, and so does one that begins with apostrophes followed by such a
character. Taking one apostrophe off a cell that begins that way therefore gives every text back
exactly (`text_of_cell`). Dates, times and numbers are never touched.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence

# What spreadsheets take for the beginning of a formula, or skip before one: the characters and the
# apostrophe are those of OWASP ASVS 5.0, 1.2.10; line ends and wide forms are common practice.
_OF_FORMULAS = tuple("=+-@\t\0\r\n＝＋－＠")


def text_cell(text: str) -> str:
    """A text as a cell that no spreadsheet runs as a formula."""
    return f"'{text}" if _like_a_formula(text) else text


def text_of_cell(cell: str) -> str:
    """The text that `text_cell` made the cell of."""
    return cell[1:] if cell.startswith("'") and _like_a_formula(cell) else cell


def _like_a_formula(text: str) -> bool:
    return text.lstrip("'").startswith(_OF_FORMULAS)


def minutes_text(seconds: int) -> str:
    """Seconds as minutes with up to two decimals: `75.5`, `12`, `0.02`."""
    minutes, hundredths = divmod((10 * seconds + 3) // 6, 100)
    return f"{minutes}.{hundredths:02d}".rstrip("0").rstrip(".") if hundredths else str(minutes)


def delimiter_of(text: str) -> str:
    """What parts the cells of a CSV: a spreadsheet may have put semicolons, where its numbers have
    decimal commas.
    """
    head = text.lstrip().partition("\n")[0]
    return ";" if ";" in head and "," not in head else ","


def rows_of(text: str) -> Iterator[tuple[int, list[str]]]:
    """Line number and cells of every row that is not blank."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter_of(text))
    line = 1
    while True:
        try:
            row = next(reader, None)
        except csv.Error:  # a cell beyond any length, or a stray line end
            row = ["", "a quote that is not closed"]
        if row is None:
            return
        if any(cell.strip() for cell in row):
            yield line, row
        line = reader.line_num + 1


def watts_text(watts: float) -> str:
    """Watts with two decimals."""
    return f"{watts:.2f}"


def table(header: Sequence[str], rows: Iterable[Sequence[str]]) -> bytes:
    """A whole CSV file; the cells as they are, so names must have been through `text_cell`."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(header)
    writer.writerows(rows)
    return text.getvalue().encode()
