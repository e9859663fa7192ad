"""The building blocks of the page: a picture with its legend and table, tables, sliders."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from suncover.report.pictures.figure import Figure, Key, Table
from suncover.report.pictures.markup import Content, Markup, as_markup, tag
from suncover.report.units import Units, in_units, with_lengths


def figure_block(
    figure: Figure,
    *,
    again: bool = False,
    unfolded: bool = False,
    every: int = 1,
    row_name: str = "",
) -> Markup:
    """A picture, what its colours mean, and its numbers behind a fold.

    Where a picture of the kind comes again (`again`), what its colours mean is left to the script,
    which puts the legend of the first behind the fold. With `unfolded` the numbers are shown
    at once. Of a long table only every so many rows stand in the page (`row_name` names a row);
    where these are days, its script writes all of them.
    """
    table = table_block(_sample(figure.table, every, row_name), figure.units)
    return tag(
        "figure",
        tag("figcaption", figure.title),
        figure.inline(),
        None if again else legend_block(figure.legend),
        tag(
            "details",
            tag("summary", "The numbers"),
            table,
            open=unfolded,
            data_days=figure.live[1] if row_name == "day" and figure.live else None,
        ),
        id=figure.name,
        data_kind=figure.kind,
    )


def _sample(table: Table, every: int, row_name: str) -> Table:
    if every == 1:
        return table
    return replace(
        table, caption=f"{table.caption}: every {every}. {row_name}", rows=table.rows[::every]
    )


def legend_block(keys: Sequence[Key]) -> Markup:
    """What the colours and lines of a picture mean."""
    if not keys:
        return Markup()
    entries = [
        tag(
            "li",
            tag("svg", key.swatch, aria_hidden="true"),
            tag("span", key.text),
        )
        for key in keys
    ]
    return tag("ul", entries, class_="legend")


def table_block(table: Table, units: Units = "metric") -> Markup:
    """A table in a frame that scrolls by itself, so that the page does not."""
    if not table.rows:
        return tag("p", with_lengths(table.caption, units), ": nothing to show.")
    head = tag("tr", [tag("th", cell, scope="col") for cell in table.head])
    # HTML lets cells and rows end where the next begins; a year's table is a third shorter for it.
    rows = [
        "<tr><th scope=row>" + "<td>".join(as_markup(with_lengths(cell, units)) for cell in row)
        for row in table.rows
    ]
    body = tag("tbody", Markup("".join(rows)))
    markup = tag(
        "table", tag("caption", with_lengths(table.caption, units)), tag("thead", head), body
    )
    # A frame that scrolls must be reached by the keyboard.
    return tag(
        "div",
        markup,
        class_="scroll",
        tabindex="0",
        role="region",
        aria_label=in_units(table.caption, units),
    )


def slider(name: str, label: str, highest: int, start: int, shown: str, *, step: int = 1) -> Markup:
    """A slider with its label, and its value in words."""
    return tag(
        "div",
        tag("label", label, for_=name),
        tag(
            "input",
            type="range",
            id=name,
            min="0",
            max=str(highest),
            step=str(step),
            value=str(start),
            aria_valuetext=shown,
        ),
        tag("b", shown, id=f"{name}-shown", aria_hidden="true"),
        class_="slider",
    )


def sliders(label: str, *parts: Markup) -> Markup:
    """A bar of sliders that stays in sight; hidden until the script works."""
    return tag("div", *parts, class_="sliders", role="region", aria_label=label, hidden=True)


def live_words(topic: str, window: int, words: str) -> Markup:
    """A line of words that the sliders change."""
    return tag("p", words, data_says=topic, data_window=window, class_="says")


def listing(items: Sequence[Content], style: str | None = None) -> Markup:
    """A list of sentences."""
    return tag("ul", [tag("li", item) for item in items], class_=style)


def facts_list(pairs: Sequence[tuple[str, Content]]) -> Markup:
    """Names and what they are."""
    return tag(
        "dl", [[tag("dt", name), tag("dd", content)] for name, content in pairs], class_="facts"
    )
