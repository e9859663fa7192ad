"""What `suncover compare` costs beside `import pvlib`, in one run: seconds of the processor.

python tests/bench/bench_compare.py prints a table for docs/speed.md.
"""

import os
import time

from bench_start import ROOT, spent

from suncover.compare.summary import summarize
from suncover.compare.year import compare_year
from suncover.site.file.sitefile import load_site
from suncover.site.model import Site
from suncover.sun.weather.load import load_weather

SAMPLES = ROOT / "sample_sites"
TIMES = 3


def of_process(*arguments: str) -> float:
    """The least processor time of a few runs of Python with these arguments."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    return min(spent(list(arguments), environment) for _ in range(TIMES))


def of_parts(site: Site) -> tuple[float, float]:
    """The year, and the summary with its search for the best overhang."""
    weather = load_weather(site)
    parts = []
    for _ in range(TIMES):
        start = time.process_time()
        comparison = compare_year(site, weather)
        middle = time.process_time()
        summarize(comparison)
        parts.append((middle - start, time.process_time() - middle))
    return min(part[0] for part in parts), min(part[1] for part in parts)


def main() -> None:
    """Prints the table."""
    whole = of_process("-c", "import pvlib")
    print(f"| `import pvlib` | {whole:.2f} s | 1 | | |")
    for name in ("bungalow", "terrace"):
        path = SAMPLES / f"{name}.toml"
        spent = of_process("-m", "suncover", "compare", str(path))
        year, search = of_parts(load_site(path))
        print(f"| {name} | {spent:.2f} s | {spent / whole:.1f} | {year:.2f} s | {search:.2f} s |")
    site = load_site(SAMPLES / "bungalow.toml")
    pane = site.windows[0].model_copy(update={"position": None})
    many = tuple(pane.model_copy(update={"name": f"w{n}", "azimuth": 22.5 * n}) for n in range(16))
    alone = {"windows": many, "shades": (), "options": (), "obstacles": (), "trees": ()}
    block = site.model_copy(update=alone)
    year, _ = of_parts(block)
    print(f"16 windows of a site, nothing around them: {1000 * year / 16:.1f} ms a window")


if __name__ == "__main__":
    main()
