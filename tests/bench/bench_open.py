"""How soon the page shows what is dragged: milliseconds.

python tests/bench/bench_open.py prints two tables. The first, for docs/web.md, is the processor
time of the answers behind a dragged edge. The second is by the wall clock in a real browser, to be
run on a machine that does nothing else: a row is the least, the median and the worst of many moves
of an edge, from the pointer's move to the picture that it changes.
"""

import subprocess
import sys
import tempfile
import time
import tomllib
from datetime import date
from pathlib import Path
from statistics import median
from typing import Any

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from chromium import CHROMIUM, FLAGS, sync  # noqa: E402

from suncover.web.answers import ANSWERS, Asked  # noqa: E402
from suncover.web.disk import SiteFile  # noqa: E402
from suncover.web.serve import serve_site  # noqa: E402

MOVES = 24
TODAY = date(2027, 6, 21)
WATCH = """([holder, from]) => {
  window.seen = [];
  let moved = 0;
  const now = () => performance.now();
  document.querySelector(from).addEventListener('pointermove', () => { moved = now(); }, true);
  const note = () => { if (moved) window.seen.push(now() - moved); moved = 0; };
  const what = { childList: true, subtree: true, attributes: true };
  new MutationObserver(note).observe(document.querySelector(holder), what);
}"""
HOUSE = """async (text) => {
  const begin = performance.now();
  const answer = await fetch('api/house', {
    method: 'POST', headers: { 'Content-Type': 'application/json' },
    body: JSON.stringify({ text, year: 2027 }),
  });
  await answer.json();
  return performance.now() - begin;
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


def drag(page: Any, part: str, holder: str, picture: str) -> list[float]:
    """Milliseconds from each move of a part to the change of a picture."""
    page.locator(holder).scroll_into_view_if_needed()
    page.evaluate(WATCH, [picture, holder])
    box = page.locator(part).bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(1, MOVES + 1):
        page.mouse.move(x + 3 * step, y)
        page.wait_for_timeout(400)  # so that each move stands alone
    page.mouse.up()
    return list(page.evaluate("window.seen"))


def first_paint(chromium: Any, path: Path) -> float:
    """Milliseconds from the command to the page's first paint, in a browser that is there."""
    page = chromium.new_page()
    begin = time.time()
    command = [sys.executable, "-m", "suncover", "open", str(path), "--no-browser"]
    program = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=ROOT)
    try:
        assert program.stdout is not None
        page.goto(program.stdout.readline().strip())
        paint = "performance.getEntriesByName('first-contentful-paint')[0]?.startTime"
        page.wait_for_function(f"{paint} !== undefined")
        at = page.evaluate(f"performance.timeOrigin + {paint}")
        return float(at) - begin * 1000
    finally:
        program.terminate()
        program.wait()
        page.close()


def of_the_processor(text: str, file: Path, window: int) -> None:
    """Prints what each answer costs, an overhang over a window having become another one."""
    name = tomllib.loads(text)["window"][window]["name"]
    asking: dict[str, Any] = {"window": name, "year": 2027}
    asked = {
        "the day of a window": ("day", {"window": name, "day": "2027-06-21"}),
        "what is lit at a moment": ("moment", {"day": "2027-06-21", "cell": 72}),
        "the year of a window, while dragged": ("sun", {**asking, "rough": True}),
        "the year of a window": ("sun", asking),
        "the hours of all windows": ("house", asking),
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


def row(words: str, found: list[float]) -> None:
    """A row of the table."""
    least, worst = min(found), max(found)
    print(f"| {words} | {least:.0f} | {median(found):.0f} | {worst:.0f} |", flush=True)


def main() -> None:
    """Prints the tables."""
    bungalow = ROOT / "sample_sites" / "bungalow.toml"
    of_the_processor(bungalow.read_text("utf-8"), bungalow, 0)
    of_the_processor(house_of_eight(), bungalow, 1)
    with sync.sync_playwright() as play, tempfile.TemporaryDirectory() as folder:
        chromium = play.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        row(
            "from the command to the first paint",
            [first_paint(chromium, bungalow) for _ in range(5)],
        )
        eight = Path(folder) / "eight.toml"
        eight.write_text(house_of_eight(), encoding="utf-8")
        for words, path in (("bungalow", bungalow), ("eight among trees", eight)):
            with serve_site(path, 0, TODAY) as address:
                page = chromium.new_page(viewport={"width": 1280, "height": 1000})
                page.goto(address)
                page.wait_for_timeout(3000)
                if path == bungalow:
                    print(f"| the page, kB | {page.evaluate(SIZE) / 1000:.0f} | | |")
                # Of a year no row: the carpet is drawn again with the old one too, before the new.
                found = drag(page, "#side [data-part=edge]", "#side", "#strip")
                row(f"{words}: a dragged overhang to the day", found)
                page.reload()
                page.wait_for_timeout(3000)
                text = page.locator("#text").input_value()
                years = [page.evaluate(HOUSE, f"{text}# {number}\n") for number in range(9)]
                row(f"{words}: the changed year of the whole house", years)
                page.close()
        chromium.close()


if __name__ == "__main__":
    main()
