"""The page on heat: its tables are the program's own, and its examples are read."""

import re
from pathlib import Path

import pytest
from site_texts import site_of, window

from suncover.compare.overhangs import DEPTHS, LEAST_TILT, USUAL_GAP, USUAL_RUN
from suncover.heat.by_row import view_factors
from suncover.heat.glass import CLASSES, class_table
from suncover.heat.shade_optics import FABRICS, LEAST_OFF, MOST_OFF, effect_on
from suncover.sun.weather.csv import NEEDED, TEMPERATURE, read_weather_csv
from suncover.sun.weather.files import BUNDLED
from suncover.sun.weather.load import FAR_KM, OTHER_KM, OTHER_LATITUDE
from suncover.sun.weather.year import LONGEST_GAP, TYPICAL_YEAR

PAGE = (Path(__file__).parents[2] / "docs" / "heat.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```text\n(.*?)```", PAGE, re.DOTALL)
GLASS = class_table("double clear")


def numbers(block):
    """Rows of a name and numbers, set apart by two blanks or more."""
    rows = (re.split(r" {2,}", line) for line in block.splitlines())
    return {name: tuple(map(float, values)) for name, *values in rows}


def test_the_tables_of_glass_and_shades_are_the_programs():
    tables = {name: class_table(name) for name in CLASSES}
    glass = {name: (t.normal, t.diffuse, t.u, t.light) for name, t in tables.items()}
    places = ("outside", "between", "inside")
    shades = {name: [effect_on(p, f, GLASS).left for p in places] for name, f in FABRICS.items()}
    for block, expected in zip(BLOCKS, (glass, shades), strict=False):
        told = numbers(block)
        assert list(told) == list(expected)
        for name, values in told.items():
            assert values == pytest.approx(expected[name], abs=0.0051)


def test_the_options_are_read():
    [toml] = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)
    names = ["deeper roof", "outside screen", "sun film", "closed all summer"]
    assert [option.name for option in site_of(window(), toml).options] == names


def test_the_columns_and_the_example_of_a_csv_are_those_that_are_read():
    columns = re.findall(r"^\| `(\w+)` \| (?:ISO 8601|W/m²|°C) \|", PAGE, re.M)
    assert columns == [*NEEDED, TEMPERATURE]
    [text] = re.findall(r"```csv\n(.*?)```", PAGE, re.DOTALL)
    rows = read_weather_csv(text, "example", "start")
    assert (rows.ghi.tolist(), rows.temperature.tolist()) == ([812, 845], [26.5, 27.9])


def test_numbers_that_the_page_names_are_the_programs():
    below, above = re.search(r"lies from ([\d.]+) below\s+to ([\d.]+) above", PAGE).groups()
    assert (-float(below), float(above)) == (LEAST_OFF, MOST_OFF)
    for told in (
        f"more than {FAR_KM:.0f} km off",
        f"more than {OTHER_KM:.0f} km off, of a latitude {OTHER_LATITUDE:.0f}° higher",
        f"tries {len(DEPTHS)} depths",
        f"flatter than {LEAST_TILT:.0f}°",
        f"{USUAL_GAP:g} m\n  above the glass and {USUAL_RUN:g} m past its sides",
        f"laid into {TYPICAL_YEAR}",
        f"up to {LONGEST_GAP} days on end",
        *(f'"bundled:{name}"' for name in BUNDLED),
    ):
        assert told in PAGE


def test_recesses_raise_the_diffuse_gain_by_as_much_as_the_page_says():
    """A loggia 1.2 m deep, and 0.45 m of reveal: some 10 % through clear double glass."""
    fins = [{"side": side, "depth": 1.2, "gap": 0.2} for side in ("left", "right")]
    roof = {"depth": 1.2, "gap": 0.1, "left": 0.2, "right": 0.2}
    loggia = window("loggia", 200, 2.4, 2, overhang=roof, fin=fins)
    site = site_of(loggia, window("deep", 95, 1, 1.2, reveal=0.45), at=(46.5, 9))
    for one in site.windows:
        more = view_factors(site, one.name).gains(GLASS.gain, 90.0)[0]
        assert more == pytest.approx(1.10, abs=0.015)
