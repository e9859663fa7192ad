"""How soon the page shows what is dragged: milliseconds.

python tests/bench/bench_open.py prints two tables. The first, for docs/web.md, is the processor
time of the answers behind a dragged edge. The second is by the wall clock in a real browser, to be
run on a machine that does nothing else: a row is the least, the median and the worst of many moves
of a hand, from the move to the picture of what it came to, and how many were drawn. A picture says
what it is of, so that one drawn anew of something older does not count.
"""

import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from statistics import median
from typing import Any

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from chromium import CHROMIUM, FLAGS, sync  # noqa: E402

from suncover.web.answers import ANSWERS, Asked  # noqa: E402
from suncover.web.disk import SiteFile  # noqa: E402

MOVES = 24
ALONE_MS, STEADY_MS = 900, 40
"""After a move: the hand rests until all is drawn; it goes on."""
TODAY = date(2027, 6, 21)
WATCH = """async () => {
  // Of each trial, or change of the text, when the hand's move began it, and when each picture
  // first showed it. A text is there only after an answer: there each move has to stand alone.
  const wanted = () => document.getElementById('trial-form').dataset.of || '';
  window.moved = {};
  window.drawn = { day: {}, year: {}, house: {} };
  let [last, begin] = [wanted(), 0];
  const { on, state } = await import('./store.js');
  on('site', () => { window.moved[`text ${state.version}`] ??= begin; });
  for (const kind of ['pointermove', 'input']) {
    addEventListener(kind, () => { begin = performance.now(); }, true);
    addEventListener(kind, () => {
      if (wanted() !== last) window.moved[last = wanted()] = begin;
    });
  }
  const pictures = { day: '#strip svg', year: '#carpet canvas', house: '#figures' };
  const every = { childList: true, subtree: true, attributes: true };
  for (const [picture, path] of Object.entries(pictures)) {
    const note = () => {
      const { of } = document.querySelector(path).dataset;
      if (of in window.moved) window.drawn[picture][of] ||= performance.now();
    };
    new MutationObserver(note).observe(document.querySelector(path).parentElement, every);
  }
}"""
SIZE = """performance.getEntries().filter((one) => !one.name.includes('/api/'))
  .reduce((sum, one) => sum + (one.encodedBodySize || 0), 0)"""


def house_of_eight() -> str:
    """Eight windows round a house, overhangs over four, among three trees and a neighbour."""
    walls = [("front", 180, 12), ("right", 90, 8), ("back", 0, 12), ("left", 270, 8)]
    text = '[site]\nname = "Eight"\nlatitude = 47.4\nlongitude = 8.5\n'
    for number, (name, azimuth, length) in enumerate(walls):
        place = "" if number == 0 else f'after = "{walls[number - 1][0]}"\n'
        text += f'\n[[wall]]\nname = "{name}"\nazimuth = {azimuth}\nlength = {length}\n{place}'
    for name, _, length in walls:
        for number, along in enumerate((1.0, length - 3.0)):
            text += (
                f'\n[[window]]\nname = "{name} {number + 1}"\nwall = "{name}"\nalong = {along}\n'
            )
            text += "width = 1.5\nheight = 1.3\nsill = 0.9\n"
            if number:
                text += "[window.overhang]\ndepth = 0.6\ngap = 0.2\nleft = 0.5\nright = 0.5\n"
    for number, trunk in enumerate(((4, -6), (12, -7), (-6, 3))):
        text += f'\n[[tree]]\nname = "tree {number + 1}"\ntrunk = {list(trunk)}\nwidth = 6\n'
        text += "bottom = 2\ntop = 10\nleaf = 0.15\nbare = 0.65\n"
        text += 'in_leaf = ["04-20", "11-05"]\n'
    corners = [[18, -2], [26, -2], [26, 8], [18, 8]]
    return text + f'\n[[obstacle]]\nname = "neighbour"\nfootprint = {corners}\ntop = 7\n'


def edge(page: Any, pause: int) -> None:
    """Drags the overhang's edge, a pause of milliseconds after each move."""
    deep = float(page.locator("#depth").input_value()) > 1.0
    step, aside = (-3, 12) if deep else (3, 0)  # back on another way: what was asked is kept
    pulled(page, "#side [data-part=edge]", step, pause, aside)


def pane(page: Any, pause: int) -> None:
    """Drags the chosen window along its wall."""
    pulled(page, "#wall .pane.is-chosen", -5, pause)


def pulled(page: Any, part: str, step: int, pause: int, aside: int = 0) -> None:
    """Drags a part in steps of pixels across, and so many up."""
    page.locator(part).scroll_into_view_if_needed()
    box = page.locator(part).bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    for number in range(1, MOVES + 1):
        page.mouse.move(x + step * number, y - aside)
        page.wait_for_timeout(pause)
    page.mouse.up()


def tree(page: Any, pause: int) -> None:
    """Lets a tree grow, which every window may see."""
    page.get_by_label("a tree that grows").check()
    page.locator("#try-tree").select_option(index=1)
    page.locator("#try-top").focus()
    for _ in range(MOVES // 2):
        page.keyboard.press("ArrowRight")
        page.wait_for_timeout(pause)


Deed = Callable[[Any, int], None]


def seen(page: Any, deed: Deed, pause: int) -> tuple[int, dict[str, list[float]]]:
    """How many trials a hand makes, and milliseconds from its moves to each picture of them."""
    page.evaluate(WATCH)
    deed(page, pause)
    page.wait_for_timeout(2000)
    moved, drawn = page.evaluate("[window.moved, window.drawn]")
    waits = {
        picture: [at - moved[of] for of, at in shown.items()] for picture, shown in drawn.items()
    }
    return len(moved), waits


def in_the_browser(page: Any, words: str, least: float) -> None:
    """Prints how soon the trials of a house are shown; no year past a moved edge is sooner than
    `least`, the time of a processor that it takes.
    """
    deeds: list[tuple[str, Deed, int]] = [
        ("an edge moved alone", edge, ALONE_MS),
        ("an edge that keeps moving", edge, STEADY_MS),
        ("a tree that grows", tree, ALONE_MS),
        ("a window moved in its wall", pane, ALONE_MS),
    ]
    for deed_words, deed, pause in deeds:
        if deed is pane and not page.locator("#wall [data-part^=top]").count():
            continue  # its place is not said by the tape
        count, waits = seen(page, deed, pause)
        for picture, found in waits.items():
            if found:
                row(f"{words}, {deed_words}: {picture}", found, f"{len(found)} of {count}")
            elif deed is not pane:  # of the house only trials tell
                print(f"| {words}, {deed_words}: {picture} | | | | 0 of {count} |")
        if deed is edge and waits["year"] and median(waits["year"]) < least:
            sys.exit("a year is there before it can have been computed: the row is false")


@contextmanager
def served(path: Path) -> Iterator[str]:
    """The address of a page that a program of its own serves."""
    command = [sys.executable, "-m", "suncover", "open", str(path), "--no-browser"]
    program = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT)
    try:
        assert program.stdout is not None
        yield program.stdout.readline().strip()
    finally:
        program.terminate()
        program.wait()


def first_paint(chromium: Any, path: Path) -> float:
    """Milliseconds from the command to the page's first paint, in a browser that is there."""
    page = chromium.new_page()
    begin = time.time()
    with served(path) as address:
        page.goto(address)
        paint = "performance.getEntriesByName('first-contentful-paint')[0]?.startTime"
        page.wait_for_function(f"{paint} !== undefined")
        at = page.evaluate(f"performance.timeOrigin + {paint}")
        page.close()
        return float(at) - begin * 1000


def of_the_processor(text: str, file: Path, window: int) -> float:
    """Prints what each answer costs, an overhang over a window having become another one; gives
    the least of a year while dragged.
    """
    name = tomllib.loads(text)["window"][window]["name"]
    asking: dict[str, Any] = {"window": name, "year": 2027}
    least = 0.0
    asked = {
        "the day of a window": ("day", {"window": name, "day": "2027-06-21"}),
        "what is lit at a moment": ("moment", {"day": "2027-06-21", "cell": 72}),
        "the year of a window, while dragged": ("sun", {**asking, "rough": True}),
        "the same year at rest": ("sun", asking),
        "the hours of all windows then": ("house", asking),
        "the plan of its shades": ("closed", asking),
    }
    for words, (question, fields) in asked.items():
        found = []
        for number in range(MOVES // 2):
            path = ["window", window, "overhang", "depth"]
            changes = [{"path": path, "value": round(0.5 + number / 50, 2)}]
            given = {"text": text, "changes": changes, **fields}
            begin = time.process_time()
            ANSWERS[question](Asked(given, SiteFile(file), TODAY))
            found.append((time.process_time() - begin) * 1000)
        row(words, found)
        if fields.get("rough"):
            least = min(found)
    return least


def row(words: str, found: list[float], more: str = "") -> None:
    """A row of the table."""
    least, worst = min(found), max(found)
    print(f"| {words} | {least:.0f} | {median(found):.0f} | {worst:.0f} | {more} |", flush=True)


def main() -> None:
    """Prints the tables."""
    bungalow = ROOT / "sample_sites" / "bungalow.toml"
    with sync.sync_playwright() as play, tempfile.TemporaryDirectory() as folder:
        eight = Path(folder) / "eight.toml"
        eight.write_text(house_of_eight(), encoding="utf-8")
        homes = [("bungalow", bungalow, 0), ("eight among trees", eight, 1)]
        least = {path: of_the_processor(path.read_text("utf-8"), path, n) for _, path, n in homes}
        chromium = play.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        row(
            "from the command to the first paint",
            [first_paint(chromium, bungalow) for _ in range(5)],
        )
        for words, path, window in homes:
            with served(path) as address:
                page = chromium.new_page(viewport={"width": 1280, "height": 1000})
                page.goto(address)
                page.wait_for_timeout(3000)
                if path == bungalow:
                    print(f"| the page, kB | {page.evaluate(SIZE) / 1000:.0f} | | | |")
                page.locator("#windows input").nth(window).check()
                page.wait_for_timeout(3000)
                in_the_browser(page, words, least[path])
                page.close()
        chromium.close()


if __name__ == "__main__":
    main()
