"""Answers that come late and out of order, in a real browser: nothing older is drawn over what is
newer, and what is shown in the end is of the last state.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from chromium import in_a_browser, sync
from open_page import Opened

from suncover.web.serve import serve_site

pytestmark = in_a_browser
TODAY = date(2027, 6, 21)
TEXT = """\
[site]
name = "Mill Row"
latitude = 51.5
longitude = -1.2

[[wall]]
name = "street"
azimuth = 170
length = 9

[[window]]
name = "parlour"
wall = "street"
along = 2
width = 1.5
height = 1.2
sill = 0.9

[[window]]
name = "hall"
wall = "street"
along = 6
width = 0.9
height = 2.1

[[tree]]
name = "lime"
trunk = [4, -7]
width = 5
bottom = 2
top = 9
leaf = 0.2

[[shade]]
name = "blind"
windows = ["parlour"]
"""
# Every answer is held up to 0.4 s, one that follows often less than the one before it, and comes
# even to what was given up: as if the network could not be stopped.
LATE = """
{
  let seed = 11;
  const real = window.fetch;
  window.fetch = async (address, options) => {
    const answer = await real(address, { ...options, signal: undefined });
    seed = (seed * 16807) % 2147483647;
    await new Promise((resolve) => setTimeout(resolve, seed % 400));
    return answer;
  };
}
"""
# The states that the year's and the day's picture were of, one after another.
WATCH = """() => {
  window.shown = { '#carpet canvas': [], '#strip svg': [] };
  for (const [path, all] of Object.entries(window.shown)) {
    const note = () => {
      const { of } = document.querySelector(path).dataset;
      if (all.at(-1) !== of) all.push(of);
    };
    new MutationObserver(note).observe(document.querySelector(path).parentElement,
      { childList: true, subtree: true, attributes: true });
  }
}"""
ALL = """() => ({
  carpet: document.querySelector('#carpet canvas').toDataURL(),
  strip: document.querySelector('#strip svg').innerHTML,
  house: document.querySelector('#house svg').innerHTML,
  wall: document.querySelector('#wall svg').innerHTML,
  words: ['strip-says', 'sun-says', 'windows', 'figures'].map(
    (id) => document.getElementById(id).innerText,
  ),
})"""


def planned(page: Any, column: int) -> None:
    """Waits for the last answer about what is there (1), or about the trial (2): its closings."""
    if column == 2:
        of = page.locator("#trial-form").get_attribute("data-of")
        sync.expect(page.locator("#figures")).to_have_attribute("data-of", of, timeout=20_000)
    cell = page.locator("#figures tbody tr").nth(4).locator("td").nth(column - 1)
    sync.expect(cell).to_have_text(re.compile("[0-9]"), timeout=20_000)


@pytest.fixture
def late(browser: Any, tmp_path: Path) -> Iterator[Opened]:
    path = tmp_path / "mill.toml"
    path.write_text(TEXT, encoding="utf-8")
    with serve_site(path, 0, TODAY) as address:
        one = Opened(browser, address, viewport={"width": 1200, "height": 1000})
        one.context.add_init_script(LATE)
        one.page.reload()
        planned(one.page, 1)
        one.page.evaluate(WATCH)
        yield one
        assert [words for words in one.logged if "409" not in words] == []
        one.context.close()


def pulled(page: Any, part: str, right: int, steps: int) -> None:
    """Drags a part in steps that the answers cannot keep up with."""
    page.locator(part).scroll_into_view_if_needed()
    box = page.locator(part).bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(1, steps + 1):
        page.mouse.move(x + right * step / steps, y)
        page.wait_for_timeout(30)
    page.mouse.up()


def in_order(page: Any, asked: list[str]) -> None:
    """Each picture was of newer and newer states, some of them on the way, the last at the end."""
    for path, shown in page.evaluate("window.shown").items():
        numbers = [asked.index(of) for of in shown if of in asked]
        assert numbers == sorted(set(numbers)), path
        assert numbers[-1] == len(asked) - 1, path
        assert len(numbers) > 2, path  # it moved along with the hand


def as_if_opened_anew(page: Any) -> None:
    """All that is shown is what a page shows that is opened on the file."""
    planned(page, 1)
    shown = page.evaluate(ALL)
    window = page.locator("#windows input:checked").get_attribute("value")
    page.reload()
    page.locator(f"#windows input[value='{window}']").check()
    planned(page, 1)
    assert page.evaluate(ALL) == shown


def test_a_dragged_window(late: Opened) -> None:
    page = late.page
    before = int(page.locator("#carpet canvas").get_attribute("data-of").split()[1])
    pulled(page, "#wall [data-part='window:parlour']", 120, 40)
    sync.expect(page.locator("#text")).not_to_have_value(TEXT)
    last = -1
    while last != (last := page.evaluate("import('./store.js').then((m) => m.state.version)")):
        page.wait_for_timeout(1000)
    sync.expect(page.locator("#carpet canvas")).to_have_attribute("data-of", f"text {last}")
    in_order(page, [f"text {number}" for number in range(before, last + 1)])
    page.keyboard.press("Control+s")
    late.says("saved")
    as_if_opened_anew(page)


def test_a_dragged_overhang_and_then_the_next_window(late: Opened) -> None:
    page = late.page
    page.evaluate(
        "window.wanted = []; addEventListener('pointermove', () => {"
        " const { of } = document.getElementById('trial-form').dataset;"
        " if (of && of !== window.wanted.at(-1)) window.wanted.push(of); })"
    )
    pulled(page, "#side [data-part=edge]", 90, 40)
    planned(page, 2)
    in_order(page, page.evaluate("window.wanted"))
    figures = page.locator("#figures")
    tried = figures.inner_text()
    depth = page.locator("#depth").input_value()
    page.locator("#depth").fill("0.05")
    page.locator("#depth").fill(depth)  # at once and not on the way
    sync.expect(figures).not_to_have_text(tried, use_inner_text=True, timeout=20_000)
    planned(page, 2)
    sync.expect(figures).to_have_text(tried, use_inner_text=True, timeout=20_000)
    # Answers about this window are under way when another one is chosen.
    pulled(page, "#side [data-part=edge]", -40, 10)
    page.locator("#windows input[value='hall']").check()
    as_if_opened_anew(page)
