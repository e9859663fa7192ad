"""A house drawn from nothing in a real browser, as a person would; counted by steps."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from chromium import SHOTS, in_a_browser, sync
from open_page import Opened

from suncover.export.files.plan_csv import plan_csv
from suncover.export.files.plan_ics import plan_ics
from suncover.plan.closings.shade_plan import in_time_order
from suncover.plan.season import season_plan
from suncover.site.file.sitefile import load_site
from suncover.web.serve import serve_site

pytestmark = in_a_browser
TODAY = date(2027, 6, 21)
MOST_ACTIONS = 40
BY_HAND = """\
[site]
name = "House on the rise"
latitude = 47.38
longitude = 8.54

[need]
season = ["04-15", "10-15"]

# --- round the house, from the corner at the front left
[[wall]]
name = "front"
azimuth = "south"
length = "100 cm"

[[wall]]
name = "right side"
after = "front, on"
length = 8

[[wall]]
name = "back"
after = "right side"
length = 11

[[wall]]
name = "left side"
after = "back"
length = 8

[[wall]]
name = "front, bay left"
after = "front"
corner = 225
length = 0.849

[[wall]]
name = "front, bay middle"
after = "front, bay left"
corner = 135
length = 1.8

[[wall]]
name = "front, bay right"
after = "front, bay middle"
corner = 135
length = 0.849

[[wall]]
name = "front, on"
after = "front, bay right"
corner = 225
length = 7

[[window]]
name = "bay left"
wall = "front, bay left"
along = "10 cm"
width = 0.649
height = 1.4
sill = 0.8

[[window]]
name = "bay middle"
wall = "front, bay middle"
along = "10 cm"
width = 1.6
height = 1.4
sill = 0.8

[[window]]
name = "bay right"
wall = "front, bay right"
along = "10 cm"
width = 0.649
height = 1.4
sill = 0.8

[[window]]
name = "balcony door"
wall = "front, on"
along = 3
width = 1.8
height = 2.1

[[window]]
name = "roof window"
wall = "back"
along = 0.5
width = 1.2
height = 1.2
sill = 0.9
floor = 2.6
tilt = 40

[[tree]]
name = "tree"
trunk = [{trunk}]
width = 5
bottom = 2
top = 9
leaf = 0.15
bare = 0.65
in_leaf = ["04-20", "11-05"]

[[obstacle]]
name = "neighbour"
footprint = {footprint}
top = 7

[[shade]]
name = "bay middle shade"
windows = ["bay left", "bay middle", "bay right"]
travel = "40 s"

[[shade]]
name = "balcony door shade"
windows = ["balcony door"]
travel = 55

[[supply]]
name = "supply"
shades = ["bay middle shade", "balcony door shade"]
"""


BOX = """(part) => {
  const found = document.querySelector(part);
  found.scrollIntoView({ block: 'center' });
  return found.getBoundingClientRect().toJSON();
}"""


class Hands:
    """What a person does at the page, each thing counted."""

    def __init__(self, opened: Opened) -> None:
        self.one, self.page = opened, opened.page
        self.count = 0

    def does(self, deed: Callable[[], Any]) -> None:
        """One action; waits for what the program says to it, as a person would."""
        self.count += 1
        deed()
        self.one.rests()

    def fills(self, label: str | re.Pattern[str], text: str) -> None:
        self.does(lambda: self.page.get_by_label(label).first.fill(text))

    def presses(self, name: str) -> None:
        self.does(lambda: self.page.get_by_role("button", name=name, exact=True).click())

    def unfolds(self, words: str) -> None:
        self.does(lambda: self.page.locator("summary", has_text=words).click())

    def drags(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        def deed() -> None:
            mouse = self.page.mouse
            mouse.move(*start)
            mouse.down()
            mouse.move(*end, steps=4)
            mouse.up()

        self.does(deed)

    def box(self, part: str) -> dict[str, float]:
        found: dict[str, float] = self.page.evaluate(BOX, part)
        return found

    def pulls(self, part: str, right: float, down: float) -> None:
        """Drags a thing by its middle, pixels to the right and down."""
        box = self.box(part)
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        self.drags((x, y), (x + right, y + down))


def test_a_newcomers_house_in_few_actions(browser: Any, tmp_path: Path) -> None:
    """A bay of three, a balcony door, a roof window, a tree, a neighbour, two shades on one supply.

    What is saved means what the same house typed by hand means, and has the same plan, byte by
    byte.
    """
    path = tmp_path / "new.toml"
    with serve_site(path, 0, TODAY) as address:
        one = Opened(browser, address, viewport={"width": 1440, "height": 1000})
        person = Hands(one)
        person.fills("Its name", "House on the rise")
        person.fills("Where it is", "47.38, 8.54")
        person.fills("The front looks", "south")
        person.fills("Length of the front", "11")
        person.fills("Length of the sides", "8")
        person.presses("Go on with this house")
        person.unfolds("Add a bay")
        person.fills("Width of its mouth", "3")
        person.presses("Build the bay")
        person.does(lambda: one.page.locator("#wall-of").select_option("front, on"))
        face = person.box("#wall .face")
        metre = face["width"] / 7
        foot = face["y"] + face["height"]
        person.drags(
            (face["x"] + 3 * metre, foot - 1), (face["x"] + 4.8 * metre, foot - 2.1 * metre)
        )
        person.does(lambda: one.page.keyboard.type("balcony door"))
        person.does(lambda: one.page.locator("#wall-of").select_option("back"))
        person.presses("Add a window")
        person.does(lambda: one.page.keyboard.type("roof window"))
        person.fills(re.compile("^tilt"), "40")
        person.fills(re.compile("^floor"), "2.6")
        person.presses("Plant a tree")
        person.pulls("[data-part='tree:tree']", 60, 20)
        person.fills(re.compile("^top"), "9")
        person.presses("Put up a neighbour")
        person.pulls("[data-part='obstacle:neighbour']", 40, -10)
        person.fills(re.compile("^top"), "7")
        person.does(lambda: one.page.get_by_role("radio", name="bay middle").check())
        person.presses("Hang up a shade")
        person.does(lambda: one.page.get_by_role("checkbox", name="bay left").check())
        person.does(lambda: one.page.get_by_role("checkbox", name="bay right").check())
        person.fills(re.compile("^travel Seconds"), "40")
        person.does(lambda: one.page.get_by_role("radio", name="balcony door").check())
        person.presses("Hang up a shade")
        person.fills(re.compile("^travel Seconds"), "55")
        person.unfolds("What feeds several motors")
        person.presses("Add a supply")
        person.unfolds("What shades close for")
        person.presses("Open, to fill in")
        person.fills(re.compile("^season First"), "04-15, 10-15")
        person.presses("Save to new.toml")
        one.says("saved")
        if SHOTS:
            one.page.screenshot(path=f"{SHOTS}/drawn.png", full_page=True)
        assert one.logged == []
        assert one.asked == {urlsplit(address).netloc}
        one.context.close()
    assert person.count < MOST_ACTIONS
    drawn = load_site(path)
    (tree,), (block,) = drawn.trees, drawn.obstacles
    typed_path = tmp_path / "typed.toml"
    corners = [list(corner) for corner in block.footprint]
    trunk = ", ".join(map(str, tree.trunk))
    typed = BY_HAND.replace("{trunk}", trunk).replace("{footprint}", str(corners))
    typed_path.write_text(typed, encoding="utf-8")
    by_hand = load_site(typed_path)
    assert drawn.model_dump(exclude={"files"}) == by_hand.model_dump(exclude={"files"})
    assert len(block.footprint) == 4
    plans = []
    for site in (drawn, by_hand):
        days = date(2027, 6, 1), date(2027, 6, 14)
        closings = [row for plan in season_plan(site, *days) for row in plan.closings]
        rows = list(in_time_order(closings))
        plans.append(plan_csv(rows, site.place.zone) + plan_ics(rows, site.place, ends=days[1]))
    assert plans[0] == plans[1]
    assert plans[0].count(b"bay middle shade") > 14


WALLED = """\
[site]
name = "Mill Row"
latitude = 51.5
longitude = -1.2

[[wall]]
name = "street"  # along the pavement
azimuth = 170
length = 9

[[window]]
name = "parlour"
wall = "street"
along = 2  # by tape
width = 1.5
height = 1.2
sill = 0.9

[[tree]]
name = "lime"
trunk = [4, -7]
width = 5
bottom = 2
top = 9
leaf = 0.2
"""


@pytest.fixture
def walled(browser: Any, tmp_path: Path) -> Iterator[tuple[Hands, Path]]:
    path = tmp_path / "mill.toml"
    path.write_text(WALLED, encoding="utf-8")
    with serve_site(path, 0, TODAY) as address:
        one = Opened(browser, address, viewport={"width": 1200, "height": 1000})
        one.says("as in the file")
        sync.expect(one.page.locator("#carpet canvas")).to_be_visible()
        yield Hands(one), path
        one.context.close()
        assert one.asked == {urlsplit(address).netloc}  # nobody else


def settled(person: Hands, text: str) -> None:
    sync.expect(person.page.locator("#text")).to_have_value(text)


def test_dragging_and_numbers_and_keys_give_the_same_text(walled: tuple[Hands, Path]) -> None:
    person, _ = walled
    page = person.page
    there = WALLED.replace("along = 2 ", "along = 3 ")
    face = person.box("#wall .face")
    pane = person.box("#wall .pane")
    x, y = pane["x"] + pane["width"] / 2, pane["y"] + pane["height"] / 2
    person.drags((x, y), (x + face["width"] / 9, y))
    settled(person, there)
    sync.expect(person.one.field("window", 0, "along")).to_have_value("3")
    page.keyboard.press("Control+z")  # all of the drag is one step
    settled(person, WALLED)
    person.one.field("window", 0, "along").fill("3")
    settled(person, there)
    page.locator("#undo").click()
    sync.expect(person.one.field("window", 0, "along")).to_have_value("2")
    person.one.rests()
    page.locator("#wall [data-part='window:parlour']").focus()
    for _ in range(20):  # five centimetres each
        with page.expect_response(lambda answer: "api/change" in answer.url):
            page.keyboard.press("ArrowRight")
    settled(person, there)
    # Of a corner, width and height; the wall's end stops a window.
    corner = person.box("#wall [data-part='top right:parlour']")
    x, y = corner["x"] + corner["width"] / 2, corner["y"] + corner["height"] / 2
    person.drags((x, y), (x + 0.5 * face["width"] / 9, y - 0.3 * face["width"] / 9))
    settled(person, there.replace("width = 1.5", "width = 2").replace("ht = 1.2", "ht = 1.5"))
    assert person.one.logged == []


def test_a_tree_moves_by_pointer_and_by_keys(walled: tuple[Hands, Path]) -> None:
    person, _ = walled
    page = person.page
    page.locator("#house [data-part='tree:lime']").focus()
    for _ in range(4):
        with page.expect_response(lambda answer: "api/change" in answer.url):
            page.keyboard.press("Shift+ArrowUp")
    settled(person, WALLED.replace("trunk = [4, -7]", "trunk = [4, -5]"))
    page.keyboard.press("Enter")
    sync.expect(person.one.field("tree", 0, "name")).to_be_focused()
    page.keyboard.press("Tab")
    page.keyboard.type("3, -5")
    settled(person, WALLED.replace("trunk = [4, -7]", "trunk = [3, -5]"))
    assert person.one.logged == []


BY_TAPE = """\
from = "street"
distance = 8
direction = 150  # by compass
"""
NEAR_SIDE = """
[[obstacle]]
name = "shed"
from = "parlour"
{}
width = 3
depth = 2
top = 3
"""


def test_what_is_said_by_distance_and_direction_is_dragged(browser: Any, tmp_path: Path) -> None:
    """A drag moves it as far on the plan; the file has it by distance and direction as before."""
    path = tmp_path / "mill.toml"
    shed = NEAR_SIDE.format('distance = "9 m"\ndirection = "south"')
    path.write_text(WALLED.replace("trunk = [4, -7]\n", BY_TAPE) + shed, encoding="utf-8")
    before = load_site(path)
    with serve_site(path, 0, TODAY) as address:
        one = Opened(browser, address, viewport={"width": 1200, "height": 1000})
        one.says("as in the file")
        person = Hands(one)
        metre = person.box("#house [data-part='tree:lime'] circle")["width"] / 5
        person.pulls("#house [data-part='tree:lime']", 2 * metre, metre)
        person.pulls("#house [data-part='obstacle:shed']", -metre, 3 * metre)
        one.page.keyboard.press("Control+s")
        one.says("saved")
        assert one.logged == []
        one.context.close()
    after = load_site(path)
    # Half of 5 cm in the distance, half of 0.1 degrees at up to 13 m, and a pixel of the pointer.
    near = 0.025 + 0.012 + 1.0 / metre
    was, now = before.trees[0].trunk, after.trees[0].trunk
    assert now == pytest.approx((was[0] + 2, was[1] - 1), abs=near)
    sides = [
        [sum(axis) / 2 for axis in zip(*site.obstacles[0].footprint[:2], strict=True)]
        for site in (before, after)
    ]
    assert sides[1] == pytest.approx([sides[0][0] - 1, sides[0][1] - 3], abs=near)
    text = path.read_text("utf-8")
    assert re.search(r"\ndistance = [\d.]+\ndirection = [\d.]+  # by compass\n", text)
    assert "trunk" not in text
    assert "footprint" not in text


def test_by_the_keyboard_alone_to_a_saved_file(walled: tuple[Hands, Path]) -> None:
    person, path = walled
    page = person.page
    page.locator("#add-middle").focus()
    page.keyboard.press("Enter")
    name = person.one.field("window", 1, "name")
    sync.expect(name).to_be_focused()
    page.keyboard.type("study")
    page.keyboard.press("Tab")  # its wall
    page.keyboard.press("Tab")  # and how far along it
    page.keyboard.type("6.5")
    person.one.says("changed, not saved yet")
    sync.expect(page.locator("#text")).to_have_value(re.compile("along = 6.5"))
    page.keyboard.press("Control+s")
    person.one.says("saved")
    study = load_site(path).windows[1]
    assert (study.name, study.azimuth) == ("study", 170)
    assert person.one.logged == []


def test_a_try_is_kept_by_its_name_and_compared(walled: tuple[Hands, Path]) -> None:
    person, path = walled
    page = person.page
    page.locator("#depth").focus()
    page.keyboard.press("ArrowRight")
    sync.expect(page.locator("#adopt")).to_be_enabled()
    page.get_by_label("A name to keep it by").fill("porch")
    page.locator("#keep").click()
    sync.expect(page.locator("#text")).to_have_value(re.compile(r'\[\[option]]\nname = "porch"'))
    sync.expect(page.locator("#depth")).to_have_value("0.55")  # to go on with
    sync.expect(page.locator("#adopt")).to_be_enabled()
    page.locator("#compare").click()
    rows = page.locator("#kept tbody tr")
    sync.expect(rows).to_have_count(2, timeout=20_000)
    sync.expect(rows.nth(1)).to_contain_text("porch")
    gains = [float(rows.nth(i).locator("td").first.text_content()) for i in range(2)]
    assert gains[1] < gains[0]
    page.keyboard.press("Control+s")
    person.one.says("saved")
    (option,) = load_site(path).options
    assert option.overhang is not None
    assert option.overhang.depth == 0.55
    assert person.one.logged == []


def test_a_tree_that_grows_takes_sun_away(walled: tuple[Hands, Path]) -> None:
    person, _ = walled
    page = person.page
    page.get_by_label("a tree that grows").check()
    page.locator("#try-tree").select_option("lime")
    sun = page.locator("#figures tbody tr").nth(3).locator("td")  # kWh on the glass
    page.locator("#try-top").fill("16")
    sync.expect(sun.nth(1)).not_to_have_text("–")
    person.one.rests("day", "sun")
    assert float(sun.nth(1).text_content()) < float(sun.nth(0).text_content())
    settled(person, WALLED)  # nothing of it is in the text
    assert person.one.logged == []


def test_two_tabs_do_not_write_over_each_other(walled: tuple[Hands, Path]) -> None:
    person, path = walled
    first = person.page
    second = person.one.context.new_page()
    second.goto(first.url)
    sync.expect(second.locator("#state")).to_have_text("as in the file")
    second.locator("#field-window-0-sill").fill("1.1")
    sync.expect(second.locator("#state")).to_have_text("changed, not saved yet")
    second.locator("#save").click()
    sync.expect(second.locator("#state")).to_have_text("saved")
    person.one.field("window", 0, "height").fill("1.3")
    person.one.says("changed, not saved yet")
    first.locator("#save").click()
    sync.expect(first.locator("#conflict-disk")).to_have_value(re.compile("sill = 1.1"))
    first.locator("#take-disk").click()
    sync.expect(person.one.field("window", 0, "sill")).to_have_value("1.1")
    assert path.read_text("utf-8") == WALLED.replace("sill = 0.9", "sill = 1.1")


def test_a_program_that_has_ended_is_told_and_nothing_is_lost(browser: Any, tmp_path: Path) -> None:
    path = tmp_path / "mill.toml"
    path.write_text(WALLED, encoding="utf-8")
    with serve_site(path, 0, TODAY) as address:
        one = Opened(browser, address)
        one.says("as in the file")
    one.page.locator("#text").fill(WALLED + "# mine\n")
    sync.expect(one.page.locator("#state")).to_contain_text("the program has ended")
    one.page.keyboard.press("Control+s")
    sync.expect(one.page.locator("#state")).to_contain_text("the program has ended")
    assert one.page.locator("#text").input_value() == WALLED + "# mine\n"
    one.context.close()
    assert path.read_text("utf-8") == WALLED


def test_one_more_window_like_another(walled: tuple[Hands, Path]) -> None:
    person, path = walled
    person.page.get_by_role("button", name="One more like it").click()
    sync.expect(person.one.field("window", 1, "name")).to_be_focused()
    person.page.keyboard.press("Control+s")
    person.one.says("saved")
    first, second = load_site(path).windows
    same = {"width", "height", "sill", "azimuth", "facade"}
    assert first.model_dump(include=same) == second.model_dump(include=same)
    assert "along = 4\n" in path.read_text("utf-8")  # 2 + 1.5 + half a metre
    assert person.one.logged == []


def test_the_plan_is_taken_along(walled: tuple[Hands, Path]) -> None:
    person, path = walled
    page = person.page
    page.locator("#first").fill("2027-06-01")
    page.locator("#last").fill("2027-06-07")
    site, days = load_site(path), (date(2027, 6, 1), date(2027, 6, 7))
    rows = list(in_time_order(r for plan in season_plan(site, *days) for r in plan.closings))
    wanted = {
        "plan.csv": plan_csv(rows, site.place.zone),
        "plan.ics": plan_ics(rows, site.place, ends=days[1]),
    }
    for button, name in (("Table (CSV)", "plan.csv"), ("Calendar (iCalendar)", "plan.ics")):
        with page.expect_download() as taken:
            page.get_by_role("button", name=button).click()
        assert taken.value.suggested_filename == name
        taken.value.save_as(path.parent / name)
        assert (path.parent / name).read_bytes() == wanted[name]
    assert person.one.logged == []


def test_lengths_in_feet_are_written_as_a_tape_shows_them(walled: tuple[Hands, Path]) -> None:
    person, _ = walled
    page = person.page
    page.get_by_label("feet").check()
    page.locator("#wall [data-part='window:parlour']").focus()
    for _ in range(3):
        page.keyboard.press("Shift+ArrowRight")
    # 1.5 m is 59.06 in: three inches more to the inch are 62, which is 5 ft 2 in.
    settled(person, WALLED.replace("width = 1.5", 'width = "5 ft 2 in"'))
    sync.expect(page.locator("#wall [data-part='window:parlour']")).to_have_accessible_name(
        re.compile("5 ft 2 in wide")
    )
    assert person.one.logged == []
