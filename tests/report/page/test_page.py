"""The page: whole, from one piece, safe from what a site file says, the same every time."""

import base64
import hashlib
import re
from dataclasses import replace
from datetime import date
from functools import cache
from html.parser import HTMLParser

import pytest
from report_home import HOME, report_data
from site_texts import site_of, table, window

from suncover.base.clock import clock_text, day_bounds
from suncover.export.text.compare_text import compare_text
from suncover.report.gather import ReportData, gather_report
from suncover.report.page.end import versions
from suncover.report.page.heat import range_text, worth_table
from suncover.report.page.report_page import page_script, page_style, report_page
from suncover.report.page.week import day_lines
from suncover.report.pictures.figures import report_figures
from suncover.sun.weather.load import load_weather

DATA = report_data()
PAGE = report_page(DATA).decode()
VOID = {"meta", "input", "br", "hr", "img", "link"}
ENDS_BY_ITSELF = {"td", "th", "tr"}


class Page(HTMLParser):
    """A page's elements, texts by the element that they stand in, and whether all are closed."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[tuple[str, str]] = []
        self.open: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID | ENDS_BY_ITSELF:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag not in ENDS_BY_ITSELF:
            assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.texts.append((self.open[-1] if self.open else "", data))

    def said(self, *elements: str) -> str:
        return " ".join(text for element, text in self.texts if element in elements)


READ = Page(PAGE)


def test_every_element_is_closed():
    assert READ.open == []


def test_ids_are_unique_and_links_within_the_page_lead_somewhere():
    ids = [attributes["id"] for _, attributes in READ.elements if "id" in attributes]
    assert len(set(ids)) == len(ids)
    for _, attributes in READ.elements:
        for key in ("href", "aria-labelledby", "for"):
            if key in attributes:
                assert (attributes[key] or "").removeprefix("#") in ids
    used = set(re.findall(r"url\(#([^)]+)\)", PAGE))
    assert used <= set(ids)


def test_nothing_is_asked_of_any_address():
    text = PAGE.replace("http://www.w3.org/2000/svg", "")
    text = re.sub(r'id="numbers">[A-Za-z0-9+/=]*<', "<", text)  # base64 may hold two slashes
    assert not re.search(r"(?:https?:)?//[a-z0-9]", text)
    for name, attributes in READ.elements:
        assert name not in {"link", "img", "iframe", "object", "embed", "base", "form"}
        assert "src" not in attributes
        assert not any(key.startswith("on") or key == "style" for key in attributes)


def test_the_policy_lets_only_the_pages_own_style_and_script_work():
    policy = next(a["content"] for _, a in READ.elements if "http-equiv" in a) or ""
    assert "default-src 'none'" in policy
    for element, own in (("style", page_style()), ("script", page_script())):
        found = [text for name, text in READ.texts if name == element]
        assert own in found
        print_of = base64.b64encode(hashlib.sha256(own.encode()).digest()).decode()
        assert f"{element}-src 'sha256-{print_of}'" in policy
    assert "unsafe" not in policy


def test_names_show_as_they_are_written_and_do_nothing():
    assert PAGE.count("<script") == 3
    assert PAGE.count("</script>") == 3
    headings = READ.said("h1", "h3", "title", "figcaption", "a", "dt")
    for name in ('Larkspur <i>Lane</i> & "Co"', "kitchen </title><script>alert(1)</script>"):
        assert name in headings
    assert "kitchen 'roller'" in headings
    assert not any(name == "i" for name, _ in READ.elements)


def test_every_table_has_rows_with_a_cell_for_each_heading():
    tables = re.findall(r"<table>.*?</table>", PAGE, re.DOTALL)
    assert len(tables) > len(DATA.windows)
    for shown in tables:
        _, head, *rows = shown.split("<tr>")
        assert rows
        for row in rows:
            assert row.count("<td>") + row.count("<th ") == head.count("<th ")


def test_the_site_file_is_there_as_it_was_read():
    assert HOME in READ.said("pre")


def test_every_picture_has_words_a_legend_or_none_and_numbers_behind_it():
    figures = PAGE.split("<figure")[1:]
    assert len(figures) == 1 + 2 * 2 + 2 * 6 + 3 + 1
    for figure in (part.partition("</figure>")[0] for part in figures):
        assert 'role="img" aria-label="' in figure
        assert "<details" in figure
        assert "<table>" in figure


def test_sections_are_all_there():
    headings = READ.said("h2")
    for part in (
        "Today",
        "The year at a glance",
        "Window by window",
        "Overhang against shade",
        "How good the plan is",
        "Take care",
        "What this rests on",
        "The site file, home.toml",
    ):
        assert part in headings


def test_every_closing_of_the_day_is_told_with_its_reason():
    """Also a second one, and one that began the evening before."""
    week = DATA.week.calendar
    for day in range(len(week.days)):
        bounds = day_bounds(week.days[day], week.zone)
        for shade in DATA.week.shades:
            lines = day_lines(DATA, shade, day)
            held = [c for c in shade.closings if c.close < bounds.end and c.open > bounds.start]
            assert len(lines) == max(len(held), 1)
            for closing, line in zip(held, lines, strict=False):
                assert closing.reason in line
                assert clock_text(closing.close, week.zone) in line
                assert clock_text(closing.open, week.zone) in line


def test_money_has_its_currency_and_its_range():
    assert re.search(r"\$ [\N{MINUS SIGN}\d,]+ to [\N{MINUS SIGN}\d,]+", PAGE)


def test_without_the_comparison_its_part_is_left_out():
    read = Page(report_page(replace(DATA, heat=None)).decode())
    assert "Overhang against shade" not in read.said("h2", "a")
    assert "How good the plan is" in read.said("h2")


def test_without_a_source_there_is_no_file_section():
    read = Page(report_page(replace(DATA, source=None)).decode())
    assert "The site file" not in read.said("h2")


def test_the_same_data_give_the_same_bytes():
    assert report_page(DATA) == report_page(DATA)


@pytest.mark.parametrize("units", ["metric", "feet"])
def test_lengths_are_in_the_readers_units(units):
    data: ReportData = replace(DATA, units=units)  # type: ignore[arg-type]
    read = Page(report_page(data).decode())
    facts = read.said("span", "tspan")
    assert ("4 ft" in facts) == (units == "feet")
    assert ("1.22 m" in facts) == (units == "metric")


def test_the_version_is_told():
    assert dict(versions()).keys() >= {"suncover", "pvlib", "numpy"}
    assert f"suncover {dict(versions())['suncover']}" in READ.said("p")


@pytest.mark.parametrize(
    ("pair", "text"),
    [
        ((119.6, 260.2), "120 to 260"),
        ((-40.0, 30.0), "−40 to 30"),
        ((5.2, 4.9), "5"),
        ((1234.0, 5678.0), "1,234 to 5,678"),
    ],
)
def test_ranges_as_text(pair, text):
    assert range_text(pair) == text


DAY = date(2026, 6, 21)


@cache
def heated(*windows: str) -> tuple[ReportData, str]:
    """A day's report of a home with these windows alone, with the comparison, and its page."""
    site = site_of(*windows)
    data = gather_report(site, DAY, DAY, DAY, weather=load_weather(site))
    return data, report_page(data).decode()


ATTIC, DEN = window("attic", 180, 1, 1, tilt=35, sill=1), window("den", 180, 1, 1, sill=1)


def test_advice_does_not_point_at_places_of_another_page():
    page = Page(heated(DEN)[1])
    assert "As it stands: no overhang, no shade." in page.said("p")
    assert "Nearest comes shades by the plan (shade)" in page.said("li")
    assert "below" not in page.said("li")


def test_a_roof_window_gets_no_overhang_on_the_page_as_in_the_text():
    data, page = heated(ATTIC, DEN)
    read = Page(page)
    text = " ".join(compare_text(data.heat).split())
    assert "attic left out: a roof window, tilted 35°" in text
    assert "Left out: attic, a roof window, tilted 35°." in read.said("p")
    assert "den: what an overhang adds in a year" in read.said("figcaption", "p", "title", "h4")
    assert "attic: overhang by depth" not in page
    assert [one.window for one in data.heat.overhangs] == ["den"]
    drawn = [figure.name for figure in report_figures(data) if figure.name.endswith("-depth")]
    assert drawn == ["2-den-depth"]


def test_with_roof_windows_alone_no_depths_are_tried():
    data, page = heated(ATTIC)
    read = Page(page)
    assert "An overhang of another depth" not in read.said("h3")
    assert "depths below" not in compare_text(data.heat)
    assert "last pictures" not in read.said("li")
    assert max(map(len, compare_text(data.heat).splitlines())) <= 80


def test_without_prices_there_are_no_columns_of_money():
    heat = heated(ATTIC)[0].heat
    assert worth_table(heat).head == (
        "option",
        "kept out, kWh",
        "lost, kWh",
        "electricity saved net, kWh",
    )
    assert "prices in [money] tell its worth" in compare_text(heat)
    assert worth_table(DATA.heat).head[-2:] == ("worth", "pays back in")
    # Where heat has no price, nothing here has: all options change what comes in on cold days.
    heat = heated(f"{ATTIC}\n[money]\nelectricity = 0.3\n")[0].heat
    assert len(worth_table(heat).head) == 4
    said = " ".join(compare_text(heat).split())
    assert "worth," not in said
    assert "[money] needs `heating`, the price of a kWh of heat" in said


def test_pictures_that_would_be_empty_are_left_out():
    """No beam ever has 1500 W/m²: more than comes from the sun. The other shade takes any."""
    terrace = site_of(
        table("need", beam=1500),
        window("west", 270, 1, 1),
        window("east", 90, 1, 1),
        table("shade", name="west shade", windows=["west"]),
        table("shade", name="east shade", windows=["east"], need={"beam": 0}),
        at=(-0.2, -78.5),
    )
    page = report_page(gather_report(terrace, DAY, DAY, DAY)).decode()
    figures = re.findall(r'<figure id="([^"]*)"', page)
    assert [name for name in figures if name.endswith("-west")] == []
    assert {"1-west-side", "1-west-top", "1-west-sky"} <= set(figures)
    assert not {"1-west-year", "1-west-day", "1-west-months"} & set(figures)
    assert {"2-east-year", "2-east-day", "2-east-months"} <= set(figures)
    assert "week-2-east-shade" in figures
    assert "week-1-west-shade" not in figures
    read = Page(page)
    assert "No sun, and nothing to close for: west shade." in read.said("p")
    # The legend stands with the first picture of a kind that is drawn.
    first = page[page.index('id="2-east-year"') :]
    assert first.index('class="legend"') < first.index("<details")
