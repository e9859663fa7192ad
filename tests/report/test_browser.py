"""The page in a real browser, with no network."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from chromium import AXE, SHOTS, in_a_browser
from report_home import home_on, report_data
from svg_reading import numbers

from suncover.export.text.words import weekday_text
from suncover.report.calendar_days import at_slot, by_day
from suncover.report.page.readout import day_words, depth_sentence, time_words
from suncover.report.page.report_page import report_page
from suncover.report.pictures.day_curve import (
    doubt_boxes,
    night_of,
    power_scale,
    sun_area,
    time_at,
    time_boxes,
)
from suncover.report.pictures.floor_plan import Top
from suncover.report.pictures.markup import as_markup
from suncover.report.pictures.moment import moment, reach_content
from suncover.report.pictures.side_cut import Side, beam_of, beam_path, sun_ray
from suncover.report.pictures.side_view import angle_words
from suncover.report.pictures.sky_paths import day_path, side_scale, sun_point
from suncover.report.pictures.sky_view import hour_dots
from suncover.report.pictures.top_view import (
    dial_hours,
    dial_point,
    hour_patches,
    patch_hours,
    sun_line,
)
from suncover.report.pictures.year_carpet import year_carpet

pytestmark = in_a_browser

DATA = report_data()
DAYS = len(DATA.calendar.days)
# Paths have one decimal: both sides round, and angles are packed to a hundredth of a degree.
TENTH = 0.16
PHONE, DESK = (360, 740), (1100, 900)


@dataclass
class Opened:
    """A page that has been opened, with what it logged and what it asked for."""

    page: Any
    logged: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def move(self, **sliders: int) -> None:
        """Moves sliders, as a hand would, and has all pictures drawn."""
        self.page.evaluate(
            """async (sliders) => {
                for (const [name, value] of Object.entries(sliders)) {
                    const slider = document.getElementById(name);
                    slider.value = value;
                    slider.dispatchEvent(new Event('input'));
                }
                const frame = () => new Promise((done) => requestAnimationFrame(done));
                await frame();
                await frame();
                dispatchEvent(new Event('beforeprint'));
            }""",
            sliders,
        )

    def part(self, live: str, window: int, part: str) -> Any:
        """A moving part of a window's picture."""
        return self.page.locator(
            f"svg[data-live={live}][data-window='{window}'] [data-part={part}]"
        )

    def path(self, live: str, window: int, part: str) -> str:
        return self.part(live, window, part).get_attribute("d") or ""

    def moved(self, live: str, window: int, part: str) -> float:
        """How far across the picture a mark stands."""
        return numbers(self.part(live, window, part).get_attribute("transform"))[0]

    def disc(self, live: str, window: int) -> tuple[float, float] | None:
        """Where the sun of the time shown is drawn, if it is."""
        found = self.part(live, window, "now")
        if found.get_attribute("visibility") == "hidden":
            return None
        return float(found.get_attribute("cx")), float(found.get_attribute("cy"))

    def says(self, what: str, window: int) -> str:
        return str(self.page.locator(f"p[data-says={what}][data-window='{window}']").text_content())


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("report") / "report.html"
    path.write_bytes(report_page(DATA))
    return path


def opened(browser: Any, file: Path, size: tuple[int, int], **more: Any) -> Opened:
    width, height = size
    context = browser.new_context(viewport={"width": width, "height": height}, offline=True, **more)
    found = Opened(context.new_page())
    found.page.on("console", lambda message: found.logged.append(message.text))
    found.page.on("pageerror", lambda error: found.logged.append(str(error)))
    found.page.on("dialog", lambda dialog: found.logged.append(f"dialog {dialog.message}"))
    found.page.on("request", lambda request: found.asked.append(request.url))
    found.page.goto(file.as_uri())
    found.page.wait_for_selector("html[data-ready]")
    found.page.evaluate(
        "document.querySelectorAll('details.window,details.fold').forEach((d) => (d.open = true))"
    )
    return found


@pytest.fixture(scope="module")
def desk(browser: Any, file: Path) -> Iterator[Opened]:
    # Far from the home, on the other side of the date line.
    found = opened(browser, file, DESK, timezone_id="Pacific/Auckland")
    yield found
    found.page.context.close()


@pytest.fixture(scope="module")
def phone(browser: Any, file: Path) -> Iterator[Opened]:
    """With all that can be opened open."""
    found = opened(browser, file, PHONE)
    found.page.evaluate("document.querySelectorAll('details').forEach((one) => (one.open = true))")
    yield found
    found.page.context.close()


def test_it_opens_from_disk_without_network_or_complaint(desk, file):
    assert desk.asked == [file.as_uri()]
    assert desk.logged == []
    assert desk.page.title() == 'Larkspur <i>Lane</i> & "Co": sun and shades'


def test_the_script_of_a_name_does_not_run(desk):
    assert desk.page.locator("h3", has_text="</title><script>alert(1)</script>").count() == 1
    assert not [line for line in desk.logged if "dialog" in line]


def same_place(found: tuple[float, float] | None, expected: tuple[float, float] | None) -> None:
    """The sun where it is expected, or not drawn."""
    assert (found is None) == (expected is None)
    if found is not None:
        assert found == pytest.approx(expected, abs=TENTH)


def near(found: str, expected: str, off: float = TENTH) -> None:
    """Two paths of the same steps, no number farther off than `off`."""
    assert re.sub(r"-?[\d.]+", "#", found) == re.sub(r"-?[\d.]+", "#", expected)
    assert numbers(found) == pytest.approx(numbers(expected), abs=off)


def same_words(found: str, expected: str) -> None:
    """The same words in two pieces of SVG, at the same places but for what rounding does."""
    words, places = words_of(found)
    its, its_places = words_of(expected)
    assert words == its
    assert places == pytest.approx(its_places, abs=1.0)  # patches are packed to a centimetre


def words_of(svg: str) -> tuple[list[str], list[float]]:
    """The hours in a piece of SVG, and the numbers of their places."""
    found = re.findall(r"<text([^>]*)>(\d+)</text>", svg)
    places = [re.search(rf' {axis}="([^"]*)"', one) for one, _ in found for axis in "xy"]
    return [words for _, words in found], [float(place[1]) for place in places if place]


PLACES = [
    pytest.param(0, 25, id="first day of the year"),
    pytest.param(66, 14, id="clocks go ahead"),
    pytest.param(171, 20, id="midsummer morning"),
    pytest.param(171, 36, id="midsummer evening"),
    pytest.param(171, 4, id="night"),
    pytest.param(265, 32, id="autumn"),
    pytest.param(304, 21, id="clocks go back"),
    pytest.param(364, 33, id="last day of the year"),
]


@pytest.mark.parametrize(("day", "slot"), PLACES)
def test_sliders_draw_and_say_what_the_library_does(desk, day, slot):
    """By the home's clocks, though the browser is in New Zealand."""
    desk.move(day=day, time=slot)
    when = weekday_text(DATA.calendar.days[day])
    assert desk.page.locator("#day-shown").inner_text() == when
    assert desk.page.locator("#day").get_attribute("aria-valuetext") == when
    for number in range(2):
        assert desk.says("day", number) == f"{when}: {day_words(DATA, number, day)}"
        assert desk.says("time", number) == time_words(DATA, number, day, slot)
        drawn_as_by_the_library(desk, day, slot, number)


def drawn_as_by_the_library(desk, day, slot, number):
    """All pictures of a window."""
    window = DATA.windows[number]
    shade = DATA.shade_of(window.window.name)
    closed = by_day(shade.closed, DAYS)[day]
    sun = by_day(window.pieces, DAYS)[day]
    up = by_day(DATA.sun.up, DAYS)[day]
    facing = window.window.azimuth
    elevation, azimuth = DATA.sun.elevation[day], DATA.sun.azimuth[day]

    near(desk.path("day", number, "night"), time_boxes(night_of(up)))
    near(desk.path("day", number, "edge"), time_boxes(closed))
    near(desk.path("day", number, "sun"), sun_area(sun, window.power[day], power_scale(window)))
    assert desk.moved("day", number, "time") == pytest.approx(time_at(slot), abs=0.01)
    near(desk.path("day", number, "doubt"), doubt_boxes(window, sun, DATA.calendar.days[day]))

    x = side_scale(window)
    ways, heights = DATA.sun.through(day)
    near(desk.path("sky", number, "path"), day_path(ways - facing, heights, x))
    same_place(desk.disc("sky", number), sun_point(DATA, window, day, slot, x))
    dots = desk.part("sky", number, "hours").locator("circle")
    styles = [one.get_attribute("class") for one in dots.all()]
    drawn = "".join(hour_dots(DATA, window, day, x))
    assert styles == re.findall(r'<circle[^>]*class="(\w+)"', drawn)
    same_words(desk.part("sky", number, "hours").inner_html(), drawn)

    side = Side(window.window)
    beam = beam_of(window.window, float(azimuth[slot]) - facing, float(elevation[slot]))
    near(desk.path("side", number, "ray"), sun_ray(side, beam))
    near(
        desk.path("side", number, "beam"),
        beam_path(side, beam) if window.lit[day, slot] else "",
    )

    top = Top(window)
    patch = top.patch_path(window.patches.get((day, slot), []))
    centimetre = 0.005 * top.scale + TENTH  # patches are packed to a centimetre
    near(desk.path("top", number, "patch"), patch, centimetre)
    near(desk.path("top", number, "ray"), sun_line(DATA, top, day, slot))
    same_place(desk.disc("top", number), dial_point(DATA, top, day, slot))
    for live in ("side", "top"):
        assert desk.part(live, number, "when").text_content() == moment(DATA, day, slot)
        reach = re.sub("<[^>]*>", "", as_markup(reach_content(DATA, window, day, slot)))
        assert desk.part(live, number, "reach").text_content() == reach
    shapes = desk.part("top", number, "patches").locator("path").all()
    expected = re.findall(r'd="([^"]*)"', "".join(hour_patches(top, day)))
    assert len(shapes) == len(expected)
    for shape, path in zip(shapes, expected, strict=True):
        near(shape.get_attribute("d"), path, centimetre)
    for part, words in (
        ("hours", dial_hours(DATA, top, day)),
        ("names", patch_hours(DATA, top, day)),
    ):
        same_words(desk.part("top", number, part).inner_html(), "".join(words))


@pytest.fixture(scope="module")
def roof(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Opened]:
    path = tmp_path_factory.mktemp("roof") / "report.html"
    path.write_bytes(report_page(home_on("south")))
    found = opened(browser, path, DESK)
    yield found
    found.page.context.close()


@pytest.mark.parametrize(("day", "slot"), [(354, 20), (354, 26), (79, 24), (171, 30), (20, 4)])
def test_roof_windows_are_drawn_as_the_library_draws_them(roof, day, slot):
    """Here the sun may come over the house, and words stand close together."""
    data = home_on("south")
    roof.move(day=day, time=slot)
    for number, window in enumerate(data.windows):
        side = float(data.sun.azimuth[day, slot]) - window.window.azimuth
        beam = beam_of(window.window, side, float(data.sun.elevation[day, slot]))
        assert roof.part("side", number, "angle").text_content() == angle_words(beam)
        near(roof.path("side", number, "ray"), sun_ray(Side(window.window), beam))
        drawn = "".join(hour_dots(data, window, day, side_scale(window)))
        same_words(roof.part("sky", number, "hours").inner_html(), drawn)
        drawn = "".join(patch_hours(data, Top(window), day))
        same_words(roof.part("top", number, "names").inner_html(), drawn)
    assert roof.logged == []


def test_the_mark_in_the_carpet_stands_on_the_day(desk):
    desk.move(day=100)
    assert desk.moved("year", 0, "mark") == pytest.approx(52 + 656 * 100.5 / 365, abs=0.02)


@pytest.mark.parametrize("centimetres", [0, 35, 120, 200])
def test_the_depth_slider_tells_the_sweep(desk, centimetres):
    desk.move(depth=centimetres)
    for number, best in enumerate(DATA.heat.overhangs):
        assert desk.says("depth", number) == depth_sentence(best, centimetres / 100, DATA.units)
        dot = desk.part("depth", number, "net")
        across = float(dot.get_attribute("cx"))
        assert across == pytest.approx(44 + 302 * centimetres / 200, abs=0.01)


def test_the_table_of_a_year_has_every_day_once_it_is_opened(desk):
    """Every tenth stands in the page; its script writes all, as the library does."""
    fold = desk.page.locator("details[data-days='1']")
    table = year_carpet(DATA, 1).table
    fold.evaluate("(fold) => { fold.open = true; }")
    desk.page.wait_for_function(
        "document.querySelector('[data-days=\"1\"] tbody').rows.length > 99"
    )
    rows = fold.evaluate(
        "(fold) => [...fold.querySelectorAll('tbody tr')]"
        ".map((row) => [...row.cells].map((cell) => cell.textContent))"
    )
    assert rows == [list(row) for row in table.rows]
    assert fold.locator("caption").text_content() == table.caption


def test_the_keyboard_moves_the_day(desk):
    slider = desk.page.locator("#day")
    desk.move(day=10)
    slider.focus()
    desk.page.keyboard.press("ArrowRight")
    assert slider.input_value() == "11"
    desk.page.locator("#day-shown", has_text="Mon 12 Jan").wait_for()
    desk.page.keyboard.press("End")
    assert slider.input_value() == "364"


def test_the_switch_of_units_rewrites_every_length(desk):
    lengths = desk.page.locator("[data-m]")
    desk.page.click("button[data-units=feet]")
    feet = lengths.all_text_contents()
    assert any("ft" in text for text in feet)
    desk.page.click("button[data-units=metric]")
    assert all(re.fullmatch(r"−?\d+\.\d\d m", text) for text in lengths.all_text_contents())
    assert " m deep: keeps out" in desk.says("depth", 0)
    # Nor is any left in what tables are called, or in what is said of a picture.
    labels = desk.page.evaluate(
        "[...document.querySelectorAll('figure svg[aria-label], caption')]"
        ".map((e) => e.getAttribute('aria-label') || e.textContent)"
    )
    assert any(re.search(r"\d\.\d\d m ", label) for label in labels)
    assert not [label for label in labels if re.search(r"\d (ft|in)\b", label)]
    assert desk.page.get_attribute("button[data-units=metric]", "aria-pressed") == "true"
    desk.page.click("button[data-units=feet]")
    assert lengths.all_text_contents() == feet


def paper_of(found: Opened) -> str:
    return str(found.page.evaluate("getComputedStyle(document.body).backgroundColor"))


def test_light_and_dark_follow_the_reader_and_the_switch(browser, file):
    found = opened(browser, file, DESK, color_scheme="dark")
    dark = paper_of(found)
    found.page.click("button[data-light=light]")
    light = paper_of(found)
    assert dark != light
    found.page.emulate_media(color_scheme="light")
    found.page.click("button[data-light=dark]")
    assert paper_of(found) == dark
    found.page.emulate_media(media="print")
    assert paper_of(found) == "rgb(255, 255, 255)"  # ink on paper, whatever the screen shows
    assert not found.page.locator(".screen").first.is_visible()
    assert found.page.locator(".paper").first.is_visible()
    assert not found.page.locator("#day").is_visible()
    found.page.context.close()


@pytest.mark.parametrize("size", ["phone", "desk"])
def test_nothing_is_wider_than_the_screen(request, size):
    page = request.getfixturevalue(size).page
    page.evaluate("document.querySelectorAll('details').forEach((one) => (one.open = true))")
    width = page.evaluate("document.documentElement.scrollWidth")
    assert width <= (PHONE if size == "phone" else DESK)[0]
    if SHOTS:
        page.evaluate("dispatchEvent(new Event('beforeprint'))")
        for scheme in ("dark", "light"):
            page.emulate_media(color_scheme=scheme)
            page.screenshot(path=str(Path(SHOTS) / f"report-{size}-{scheme}.png"), full_page=True)


def test_captions_of_tables_fit_a_phone(phone):
    """A table that is wider than the phone scrolls in its frame; what it is called does not."""
    edges = phone.page.evaluate(
        "[...document.querySelectorAll('section>.scroll caption,section>.screen>.scroll caption')]"
        ".map((one) => one.getBoundingClientRect().right)"
    )
    assert len(edges) >= 3
    assert max(edges) <= PHONE[0]


def test_letters_on_a_phone_are_not_too_small(phone):
    """At least 10 pixels: common practice, no source."""
    heights = phone.page.evaluate(
        """() => [...document.querySelectorAll('figure svg text')]
            .filter((one) => getComputedStyle(one).display !== 'none')
            .map((one) => parseFloat(getComputedStyle(one).fontSize)
                * one.ownerSVGElement.getScreenCTM().a)"""
    )
    assert len(heights) > 50
    assert min(heights) >= 10.0


@pytest.mark.skipif(not AXE.exists(), reason="no axe-core; SUNCOVER_AXE names its node_modules")
@pytest.mark.parametrize(("size", "scheme"), [("phone", "light"), ("desk", "dark")])
def test_axe_finds_no_fault(request, size, scheme):
    page = request.getfixturevalue(size).page
    page.emulate_media(color_scheme=scheme)
    page.evaluate("document.querySelectorAll('details').forEach((one) => (one.open = true))")
    page.evaluate(AXE.read_text(encoding="utf-8"))
    result = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
    faults = [
        f"{one['impact']}: {one['id']}: {one['help']}: {one['nodes'][0]['html'][:120]}"
        for one in result["violations"]
    ]
    assert faults == []
    assert len(result["passes"]) > 20


def test_without_a_script_the_page_still_shows_everything(browser, file):
    context = browser.new_context(java_script_enabled=False, offline=True)
    page = context.new_page()
    page.goto(file.as_uri())
    assert page.locator("figure svg").first.is_visible()
    assert page.locator("#day").is_hidden()
    assert page.locator("p[data-says=day]").first.inner_text().startswith("Sun 21 Jun: ")
    context.close()


def test_the_script_draws_at_first_what_the_program_drew(browser, file):
    """Every picture that the day and the time move, element by element; then, on another day, each
    window at its own best hour until a time is chosen.
    """
    plain = browser.new_context(java_script_enabled=False, offline=True).new_page()
    plain.goto(file.as_uri())
    found = opened(browser, file, DESK)
    found.page.evaluate("dispatchEvent(new Event('beforeprint'))")
    moving = "svg[data-live]:not([data-live=depth]):not([data-live=today])"
    before, after = (page.locator(moving) for page in (plain, found.page))
    assert before.count() == after.count() == 5 * len(DATA.windows)
    for drawn, redrawn in zip(before.all(), after.all(), strict=True):
        near(
            redrawn.inner_html().replace(' visibility="visible"', ""),
            drawn.inner_html().replace(' visibility="visible"', ""),
        )
    assert [one.text_content() for one in plain.locator("p[data-says]").all()] == [
        one.text_content() for one in found.page.locator("p[data-says]").all()
    ]
    plain.context.close()
    day = 171
    found.move(day=day)
    for number, window in enumerate(DATA.windows):
        slot = window.best_slot(day)
        assert found.says("time", number) == time_words(DATA, number, day, slot)
        assert found.moved("day", number, "time") == pytest.approx(time_at(slot), abs=0.01)
    assert found.page.locator("#time-shown").inner_text() == "best hour"
    found.move(time=20)
    assert found.says("time", 0) == time_words(DATA, 0, day, 20)
    found.page.context.close()


def test_the_first_screen_follows_the_clock(browser, file):
    """At 15:00 UTC on 22 June it is 11:00 at the home: the second day of the week on the page."""
    context = browser.new_context(offline=True)
    page = context.new_page()
    page.clock.set_fixed_time("2026-06-22T15:00:00Z")
    page.goto(file.as_uri())
    page.wait_for_selector("html[data-ready]")
    assert page.locator(".stale").is_hidden()
    assert page.locator(".first div[data-day] h3:visible").all_inner_texts() == [
        "Today, Mon 22 Jun"
    ]
    # The line of now stands at 11 of 24 hours, on the day that is drawn.
    mark = page.locator("svg[data-live=today] [data-part=now]").get_attribute("transform")
    assert numbers(mark)[0] == pytest.approx(14 + 692 * 11 / 24, abs=0.1)
    assert page.locator("svg[data-live=today] g[data-day]:visible").count() == 1
    assert page.locator("svg[data-live=today] g[data-day='1']").is_visible()
    now = datetime(2026, 6, 22, 15, tzinfo=UTC).timestamp()
    shown = page.locator("dd.now:visible").all_inner_texts()
    for shade, words in zip(DATA.week.shades, shown, strict=True):
        held = [c for c in shade.closings if c.close <= now < c.open]
        assert words.startswith("Now closed; opens" if held else "Now open; closes")
    page.clock.set_fixed_time("2026-09-01T15:00:00Z")
    page.reload()
    page.wait_for_selector("html[data-ready]")
    assert page.locator(".stale").is_visible()
    context.close()


def test_places_in_the_room_are_filled_while_the_library_has_them_in_sun(desk):
    (spot,) = DATA.spots
    lit = [piece for piece in spot.sun if piece.end - piece.start >= 3600]
    assert lit
    piece = lit[len(lit) // 2]
    desk.move(day=piece.day)
    mark = desk.part("top", 1, "spots").locator("path")
    for slot in (piece.start // 1800 - 1, piece.start // 1800 + 1, piece.end // 1800 + 1):
        desk.move(time=slot)
        expected = at_slot(spot.sun, piece.day, slot)
        assert mark.get_attribute("class") == ("spot lit" if expected else "spot")
    desk.move(time=piece.start // 1800 + 1)
    assert spot.spot.name in desk.says("time", 1)


def test_a_link_of_the_wall_opens_its_window(desk):
    desk.page.evaluate("document.querySelectorAll('details').forEach((d) => (d.open = false))")
    assert not desk.page.locator("#window-2").is_visible()
    desk.page.locator(".carpets a").nth(1).click()
    desk.page.locator("#window-2").wait_for(state="visible")


def test_the_sliders_come_before_all_that_they_move(desk):
    """A few steps of the keyboard away, not behind all pictures."""
    before = desk.page.evaluate(
        """() => [...document.querySelectorAll('a,button,input,summary,[tabindex]')]
            .findIndex((element) => element.id === 'day')"""
    )
    assert 0 < before < 20
    assert desk.page.locator("[aria-live]").count() == 1


def test_on_paper_the_page_has_four_sheets_without_what_moves(desk):
    """A household's day and year, measures for the trade, what it is worth; whatever is opened."""
    page = desk.page
    assert len(re.findall(rb"/Type\s*/Page\b", page.pdf(prefer_css_page_size=True))) == 4
    page.emulate_media(media="print")
    for hidden in ("#day", ".switches", "nav", "details", "#file"):
        assert page.locator(f"{hidden}:visible").count() == 0, hidden
    tables = page.locator(".paper table:visible caption").all_inner_texts()
    assert tables[1:] == ["Windows", "Shades"]
    assert page.locator(".cuts svg:visible").count() == len(DATA.windows)
    page.emulate_media(media="screen")


def test_colours_of_later_pictures_are_those_of_the_first_of_their_kind(desk):
    kinds = desk.page.evaluate(
        """() => [...document.querySelectorAll('figure[data-kind]')].map((figure) => [
            figure.dataset.kind,
            [...figure.querySelectorAll('.legend li')].map((item) => item.textContent),
        ])"""
    )
    first: dict[str, list[str]] = {}
    for kind, legend in kinds:
        assert legend == first.setdefault(kind, legend), kind
    assert len(kinds) > len(first) > 5
