"""The page on heat: its tables are the program's own, and its examples are read."""

import re
from pathlib import Path

import pytest

from suncover.compare.overhangs import DEPTHS, LEAST_TILT, USUAL_GAP, USUAL_RUN
from suncover.heat.by_row import view_factors
from suncover.heat.glass import CLASSES, class_table
from suncover.heat.shade_optics import FABRICS, LEAST_OFF, MOST_OFF, effect_on
from suncover.site.file.sitefile import site_from_text
from suncover.site.model import Fin, Overhang, Place, Site, Window
from suncover.sun.weather.csv import NEEDED, TEMPERATURE, read_weather_csv
from suncover.sun.weather.files import BUNDLED
from suncover.sun.weather.load import FAR_KM, OTHER_KM, OTHER_LATITUDE
from suncover.sun.weather.year import LONGEST_GAP, TYPICAL_YEAR

PAGE = (Path(__file__).parents[2] / "docs" / "heat.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```text\n(.*?)```", PAGE, re.DOTALL)


def numbers(block: str) -> dict[str, tuple[float, ...]]:
    """Rows of a name and numbers, set apart by two blanks or more."""
    rows = (re.split(r" {2,}", line) for line in block.splitlines())
    return {name: tuple(map(float, values)) for name, *values in rows}


def test_the_table_of_glass_is_what_the_kinds_are():
    told = numbers(BLOCKS[0])
    assert list(told) == list(CLASSES)
    for name, values in told.items():
        table = class_table(name)
        shown = (table.normal, table.diffuse, table.u, table.light)
        assert values == pytest.approx(shown, abs=0.0051)


def test_the_table_of_shades_is_what_they_leave():
    told = numbers(BLOCKS[1])
    assert list(told) == list(FABRICS)
    glass = class_table("double clear")
    for name, values in told.items():
        left = [effect_on(p, FABRICS[name], glass).left for p in ("outside", "between", "inside")]
        assert values == pytest.approx(left, abs=0.0051)


def test_the_options_are_read():
    toml = re.search(r"```toml\n(.*?)```", PAGE, re.DOTALL)
    assert toml is not None
    home = (
        '[site]\nname = "x"\nlatitude = 45\nlongitude = 8\n'
        '[[window]]\nname = "w"\nazimuth = 180\nwidth = 1\nheight = 1\n'
    )
    options = site_from_text(home + toml[1]).options
    assert [option.name for option in options] == [
        "deeper roof",
        "outside screen",
        "sun film",
        "closed all summer",
    ]


def test_the_columns_and_the_example_of_a_csv_are_those_that_are_read():
    columns = re.findall(r"^\| `(\w+)` \| (?:ISO 8601|W/m²|°C) \|", PAGE, re.M)
    assert columns == [*NEEDED, TEMPERATURE]
    text = re.search(r"```csv\n(.*?)```", PAGE, re.DOTALL)
    assert text is not None
    rows = read_weather_csv(text[1], "example", "start")
    assert rows.ghi.tolist() == [812, 845]
    assert rows.temperature is not None
    assert rows.temperature.tolist() == [26.5, 27.9]


def test_how_far_the_shade_method_may_be_off_is_what_the_ranges_hold():
    told = re.search(r"lies from ([\d.]+) below\s+to ([\d.]+) above", PAGE)
    assert told is not None
    assert (-float(told[1]), float(told[2])) == (LEAST_OFF, MOST_OFF)


def test_distances_and_depths_are_the_programs():
    assert f"more than {FAR_KM:.0f} km off" in PAGE
    assert f"more than {OTHER_KM:.0f} km off, of a latitude {OTHER_LATITUDE:.0f}° higher" in PAGE
    assert f"tries {len(DEPTHS)} depths" in PAGE
    assert f"flatter than {LEAST_TILT:.0f}°" in PAGE
    run = f"{USUAL_GAP:g} m\n  above the glass and {USUAL_RUN:g} m past its sides"
    assert run in PAGE


def test_recesses_raise_the_diffuse_gain_by_as_much_as_the_page_says():
    """A loggia 1.2 m deep, and 0.45 m of reveal: some 10 % through clear double glass."""
    place = Place(name="x", latitude=46.5, longitude=9.0)
    fins = (Fin(side="left", depth=1.2, gap=0.2), Fin(side="right", depth=1.2, gap=0.2))
    roof = Overhang(depth=1.2, gap=0.1, left=0.2, right=0.2)
    windows = (
        Window(name="loggia", azimuth=200, width=2.4, height=2.0, overhang=roof, fins=fins),
        Window(name="deep", azimuth=95, width=1.0, height=1.2, reveal=0.45),
    )
    site = Site(place=place, windows=windows)
    for window in windows:
        more = view_factors(site, window.name).gains(class_table("double clear").gain, 90.0)[0]
        assert more == pytest.approx(1.10, abs=0.015)


def test_the_bundled_years_and_the_rules_numbers_are_named():
    for name in BUNDLED:
        assert f'"bundled:{name}"' in PAGE
    assert f"laid into {TYPICAL_YEAR}" in PAGE
    assert f"up to {LONGEST_GAP} days on end" in PAGE
