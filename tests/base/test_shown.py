"""Results fit a screen where they are printed, and notebooks get tables with all text escaped."""

import re
from dataclasses import dataclass
from datetime import date
from html.parser import HTMLParser
from typing import Any

import numpy as np
import pytest

import suncover
from suncover.base.shown import html_table, short_repr

FIRST, LAST = date(2027, 6, 1), date(2027, 6, 30)
NAME = 'kitchen <b>&"'
HOME = suncover.site_from_tables(
    {
        "site": {"name": "Trial <i>", "latitude": -36.8, "longitude": 174.8},
        "window": [
            {"name": NAME, "azimuth": 80, "width": 1.2, "height": 1.5},
            {"name": "lounge", "azimuth": 330, "width": 2.4, "height": 2.0, "sill": 0.1},
        ],
        "obstacle": [{"name": "shed", "footprint": [[9, 0], [12, 0], [12, 3]], "top": 3}],
    }
)


@pytest.fixture(scope="module")
def results():
    suns = suncover.shade_sun(HOME, FIRST, LAST)
    plans = suncover.plans_for(HOME, suns)
    span = suncover.dates_bounds(FIRST, LAST, HOME.place.zone)
    light = suncover.light_of(HOME, span)
    comparison = suncover.compare_year(HOME, suncover.load_weather(HOME))
    summary = suncover.summarize(comparison)
    times = np.arange(span.start, span.end, 600.0)
    observer = suncover.observer_of(HOME.place)
    return {
        "site": HOME,
        "hours": suncover.hours(HOME, FIRST, LAST),
        "sun": suns[0],
        "plan": plans[0],
        "best": suncover.best_plans(HOME, suns, light)[0],
        "timers": suncover.vary(HOME, suns, plans, (FIRST, LAST), suncover.Variant(every="week")),
        "plan summary": suncover.summary_of(HOME, suns, plans, span, light),
        "audit": suncover.audit_plan(HOME, [c for plan in plans for c in plan.closings]),
        "day": suncover.plan_day(HOME, FIRST)[0],
        "weather": comparison.weather,
        "comparison": comparison,
        "outcome": comparison.outcomes["bare"][NAME],
        "summary": summary,
        "line": summary.house[0],
        "overhang": summary.overhangs[0],
        "scene": suncover.window_scene(HOME, "lounge", HOME.need, span.start, span.end),
        "daylight": suncover.Daylight.at(times, observer),
        "position": suncover.sun_position(times, observer),
        "report": suncover.gather_report(HOME, FIRST, LAST, FIRST),
    }


def test_every_result_fits_a_screen(results):
    """A screen of 80 columns and 24 lines, half filled."""
    for name, result in results.items():
        text = repr(result)
        assert "\n" not in text, name
        assert 10 < len(text) <= 80 * 12, name
        assert text.startswith((type(result).__name__, "<")), name
    said = "<Site 'Trial <i>', 36.8° S 174.8° E, Pacific/Auckland: 2 windows, 1 obstacle>"
    assert repr(HOME) == str(HOME) == said


class Cells(HTMLParser):
    """Texts of cells; fails on tags that no table of ours has."""

    def __init__(self, html):
        super().__init__()
        self.open, self.cells = [], []
        self.feed(html)
        assert not self.open

    def handle_starttag(self, tag, _attrs):
        assert tag in {"table", "caption", "thead", "tbody", "tr", "th", "td", "p"}
        self.open.append(tag)
        if tag == "td":
            self.cells.append("")

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if self.open[-1] == "td":
            self.cells[-1] += data


def test_notebooks_get_a_table(results):
    for name in ("site", "plan", "comparison", "summary"):
        html = results[name]._repr_html_()
        cells = Cells(html).cells
        assert cells
        assert len(html) < 10_000
        assert name not in ("site", "comparison") or NAME in cells
    # That of a comparison has its summary's figures.
    cells = Cells(results["comparison"]._repr_html_()).cells
    bare = results["summary"].line("bare", NAME).admitted_kwh
    assert cells[cells.index(NAME) + 1] == f"{bare:.0f}"
    long = html_table("many", ["a"], [[number] for number in range(50)])
    assert Cells(long).cells == [*(str(number) for number in range(20)), "… and 30 more"]


@dataclass
class Thing:
    values: Any
    text: str = "x" * 100
    __repr__ = short_repr


def test_long_values_are_told_by_kind_and_size():
    assert re.fullmatch(
        r"Thing\(values=<2×3 float64>, text='x{37}…'\)", repr(Thing(np.zeros((2, 3))))
    )
    for values, shown in (
        ((1, 2), "(1, 2)"),
        (np.array(12.5), "12.5,"),
        ([Thing(0), Thing(1)], "<2 Thing>"),
        (list(range(9)), "<9 int>"),
        ({"a": 1}, "<1 by name>"),
    ):
        assert f"values={shown}" in repr(Thing(values))


def test_unknown_names_are_told_with_those_that_are(results):
    summary, comparison = results["summary"], results["comparison"]
    for ask, said in (
        (lambda: summary.line("bear"), 'no option is named "bear", did you mean "bare"'),
        (lambda: summary.line("bare", "loung"), '"lounge"'),
        (lambda: summary.overhang("loung"), '"lounge"'),
        (lambda: comparison.house("bear"), 'no option is named "bear", did you mean "bare"'),
        (lambda: HOME.window("loung"), 'did you mean "lounge"'),
        (lambda: suncover.hours(HOME, FIRST, LAST, windows=["loung"]), 'did you mean "lounge"'),
        (lambda: suncover.reaches(HOME, {"loung": ()}), 'did you mean "lounge"'),
    ):
        with pytest.raises(suncover.RequestError, match=said):
            ask()
