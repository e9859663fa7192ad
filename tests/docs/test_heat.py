"""The page on heat: its tables are the program's own, and its examples are read."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from suncover.heat.glass import CLASSES, class_table
from suncover.heat.shade_optics import FABRICS, effect_on
from suncover.site.file.sitefile import site_from_text
from suncover.sun.weather.csv import NEEDED, TEMPERATURE, read_weather_csv
from suncover.sun.weather.files import BUNDLED
from suncover.sun.weather.year import LONGEST_GAP, TYPICAL_YEAR

PAGE = (Path(__file__).parents[2] / "docs" / "heat.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```text\n(.*?)```", PAGE, re.DOTALL)


def numbers(block: str) -> dict[str, tuple[float, ...]]:
    """Rows of a name and numbers, set apart by two blanks or more."""
    rows = (re.split(r" {2,}", line) for line in block.splitlines())
    return {name: tuple(map(float, values)) for name, *values in rows}


def test_the_table_of_glass_is_what_the_kinds_are() -> None:
    told = numbers(BLOCKS[0])
    assert list(told) == list(CLASSES)
    for name, values in told.items():
        table = class_table(name)
        shown = (table.normal, table.diffuse, table.u, table.light)
        assert values == pytest.approx(shown, abs=0.0051)


def test_the_table_of_shades_is_what_they_leave() -> None:
    told = numbers(BLOCKS[1])
    assert list(told) == list(FABRICS)
    glass = class_table("double clear")
    for name, values in told.items():
        left = [effect_on(p, FABRICS[name], glass).left for p in ("outside", "between", "inside")]
        assert values == pytest.approx(left, abs=0.0051)


def test_the_options_are_read() -> None:
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


def test_the_columns_and_the_example_of_a_csv_are_those_that_are_read() -> None:
    columns = re.findall(r"^\| `(\w+)` \| (?:ISO 8601|W/m²|°C) \|", PAGE, re.M)
    assert columns == [*NEEDED, TEMPERATURE]
    text = re.search(r"```csv\n(.*?)```", PAGE, re.DOTALL)
    assert text is not None
    rows = read_weather_csv(text[1], "example", "start")
    assert rows.ghi.tolist() == [812, 845]
    assert rows.temperature is not None
    assert rows.temperature.tolist() == [26.5, 27.9]


def test_the_bundled_years_and_the_rules_numbers_are_named() -> None:
    for name in BUNDLED:
        assert f'"bundled:{name}"' in PAGE
    assert f"laid into {TYPICAL_YEAR}" in PAGE
    assert f"up to {LONGEST_GAP} days on end" in PAGE
