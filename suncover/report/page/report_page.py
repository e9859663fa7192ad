"""The page: one file that opens from disk and asks nobody for anything.

Its style and script are files of this package, put into the page. A content security policy in the
page lets that very style and that very script work, and nothing else: no address is ever asked,
and markup that got in by a name would do nothing.
"""

from __future__ import annotations

import base64
import hashlib
import json
from functools import cache
from importlib.resources import files

from suncover.export.text.words import dates_text, listed, number, weekday_text
from suncover.report.gather import ReportData
from suncover.report.page.end import cautions_section, file_section, notes_section, plan_section
from suncover.report.page.facts import facts
from suncover.report.page.heat import heat_section
from suncover.report.page.pack import packed_numbers
from suncover.report.page.week import season_section, week_section
from suncover.report.page.windows import controls, light_section, windows_section
from suncover.report.pictures.ink import DARK, LIGHT, figure_style, variables
from suncover.report.pictures.markup import Markup, tag
from suncover.report.pictures.season_ribbon import ribbon_ground
from suncover.report.pictures.year_carpet import ground


def report_page(data: ReportData) -> bytes:
    """The whole page, UTF-8. The same data give the same bytes."""
    style, script = page_style(), page_script()
    title = f"{data.site.place.name}: sun and shades"
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", http_equiv="Content-Security-Policy", content=_policy(style, script)),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", name="color-scheme", content="light dark"),
        tag("meta", name="referrer", content="no-referrer"),
        tag("title", title),
        tag("style", Markup(style)),
    )
    arrays, numbers = packed_numbers(data)
    body = tag(
        "body",
        tag("a", "Skip to the contents", href="#main", class_="skip"),
        tag(
            "svg",
            tag("defs", [*ground(data).values(), *ribbon_ground(data).values()]),
            class_="shared",
            aria_hidden="true",
        ),
        _header(data),
        _contents(data),
        controls(data),
        tag(
            "main",
            week_section(data),
            season_section(data),
            windows_section(data),
            heat_section(data) if data.heat is not None else None,
            light_section(data.site, data.light) if data.light is not None else None,
            plan_section(data),
            cautions_section(data),
            notes_section(data),
            file_section(data),
            id="main",
        ),
        tag("footer", f"Made for {weekday_text(data.at)} {data.at.year} by suncover."),
        tag("script", _as_json(facts(data, arrays)), type="application/json", id="facts"),
        tag("script", Markup(numbers), type="application/octet-stream", id="numbers"),
        tag("script", Markup(script)),
    )
    page = tag("html", head, body, lang="en", data_units=data.units)
    return f"<!doctype html>\n{page}\n".encode()


@cache
def page_style() -> str:
    """The page's style sheet: colours for light and dark, the pictures, the page."""
    light, dark = variables(LIGHT), variables(DARK)
    return (
        f":root{{color-scheme:light;{light}}}"
        f"@media screen and (prefers-color-scheme:dark){{:root:not([data-light=light])"
        f"{{color-scheme:dark;{dark}}}}}"
        f"@media screen{{:root[data-light=dark]{{color-scheme:dark;{dark}}}}}"
        + figure_style(lambda name: f"var(--{name})")
        + _file("page.css")
    )


SCRIPT = ("numbers.js", "pictures.js", "page.js")
"""The parts of the page's script, which is one."""


@cache
def page_script() -> str:
    """The page's script, without what is for those who read the package's files."""
    lines = [line.strip() for part in SCRIPT for line in _file(part).splitlines()]
    return "\n".join(line for line in lines if line and not line.startswith("//"))


def _file(name: str) -> str:
    return files("suncover.report.page").joinpath(name).read_text(encoding="utf-8")


def _policy(style: str, script: str) -> str:
    """Nothing is allowed but the page's own style and script, by their fingerprints."""
    return (
        f"default-src 'none'; style-src '{_fingerprint(style)}'; "
        f"script-src '{_fingerprint(script)}'; base-uri 'none'; form-action 'none'"
    )


def _fingerprint(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _as_json(value: object) -> Markup:
    """JSON within an element of a page: nothing in it ends the element."""
    return Markup(json.dumps(value, separators=(",", ":")).replace("<", "\\u003c"))


def _header(data: ReportData) -> Markup:
    place = data.site.place
    count = len(data.windows)
    windows = listed([year.window.name for year in data.windows])
    return tag(
        "header",
        tag(
            "div",
            tag("h1", place.name),
            tag(
                "p",
                tag(
                    "span",
                    f"Sun on {number(count, 'window')} ({windows}), and what the shades do about "
                    "it. ",
                    class_="full",
                ),
                f"Made for {weekday_text(data.at)} {data.at.year}; pictures of "
                f"{dates_text(data.calendar.first, data.calendar.last)}.",
                class_="lede",
            ),
        ),
        _switches(data),
    )


def _switches(data: ReportData) -> Markup:
    """Buttons for units and light; hidden until the script works."""
    return tag(
        "div",
        _switch("Lengths in", "units", (("metric", "metres"), ("feet", "feet")), data.units),
        _switch("Paper", "light", (("auto", "auto"), ("light", "light"), ("dark", "dark")), "auto"),
        class_="switches",
        hidden=True,
    )


def _switch(label: str, name: str, choices: tuple[tuple[str, str], ...], chosen: str) -> Markup:
    buttons = [
        tag(
            "button",
            words,
            type="button",
            aria_pressed="true" if value == chosen else "false",
            **{f"data_{name}": value},
        )
        for value, words in choices
    ]
    return tag("fieldset", tag("legend", label), buttons)


def _contents(data: ReportData) -> Markup:
    parts = [("#today", "Today"), ("#season", "The year")]
    parts += [(f"#window-{n}", year.window.name) for n, year in enumerate(data.windows, 1)]
    if data.heat is not None:
        parts.append(("#heat", "Overhang against shade"))
    if data.light is not None:
        parts.append(("#light", "A light log"))
    parts += [("#plan", "The plan"), ("#care", "Take care"), ("#rests", "What this rests on")]
    links = [tag("li", tag("a", words, href=target)) for target, words in parts]
    return tag("nav", tag("ul", links), aria_label="Contents")
