"""The JSON Schema of the site file, judged by jsonschema, a general-purpose validator."""
# ruff: noqa: E501  (a case to a line)

import json
import tomllib
from pathlib import Path

import jsonschema
import pytest
from site_texts import GLAZING, OBSTACLE, SHADE, SMALL, SPOT, TREE, WHOLE, WINDOW, edited, faults

from suncover.site.file.schema import DIALECT, site_schema, site_schema_text
from suncover.site.file.sitefile import site_from_text

KEPT = Path(__file__).parents[3] / "docs" / "site-file.schema.json"
VALIDATOR = jsonschema.Draft202012Validator(site_schema())


def test_the_kept_schema_is_that_of_the_models_and_one_of_draft_2020_12():
    """Written anew by `python -m suncover.site.file.schema > docs/site-file.schema.json`."""
    assert KEPT.read_text(encoding="utf-8") == site_schema_text()
    assert "null" not in site_schema_text(), "TOML has no null"
    schema = json.loads(site_schema_text())
    assert schema["$schema"] == DIALECT == jsonschema.Draft202012Validator.META_SCHEMA["$id"]
    jsonschema.Draft202012Validator.check_schema(schema)


def test_good_files_are_valid():
    for text in (SMALL, WHOLE.replace("07:00:00", '"07:00"')):
        site_from_text(text)
        assert list(VALIDATOR.iter_errors(tomllib.loads(text))) == []


@pytest.mark.parametrize(
    ("text", "path"),
    [
        (edited("36.10", "95"), "$.site.latitude"),
        (edited("36.10", '"36.10"'), "$.site.latitude"),
        (edited("36.10", "true"), "$.site.latitude"),
        (edited("= 95", "= 400"), "$.window[0].azimuth"),
        (edited("1.20", "0"), "$.window[0].width"),
        (edited("1.20", '"48"'), "$.window[0].width"),
        (edited(WINDOW, f"{WINDOW}\nsil = 1"), "$.window[0]"),
        (edited("width = 1.20\n", ""), "$.window[0]"),
        (edited(WINDOW, f"{WINDOW}\nskyline = [[60, 12], [95]]"), "$.window[0].skyline[1]"),
        (edited(WINDOW, f"{WINDOW}\nskyline = [[60, 12], [95, 99]]"), "$.window[0].skyline[1][1]"),
        (SMALL + "[window.overhang]\ndepth = 0\n", "$.window[0].overhang.depth"),
        (SMALL + '[[window.fin]]\nside = "up"\ndepth = 1\n', "$.window[0].fin[0].side"),
        (SMALL + SHADE + "moves = 1\n", "$.shade[0].moves"),
        (SMALL + SHADE + 'quiet = ["24:00", "07:00"]\n', "$.shade[0].quiet[0]"),
        (edited('["kitchen"]', "[]", SHADE), "$.shade[0].windows"),
        (edited("[[window]]", '[need]\nseason = ["13-01", "02-01"]\n[[window]]'), "$.need.season[0]"),
        (edited("top = 3\n", "", OBSTACLE), "$.obstacle[0]"),
        (edited("leaf = 0.15", "leaf = 15", TREE), "$.tree[0].leaf"),
        (edited("= 1.6", '= "1.6"', SPOT), "$.spot[0].distance"),
        (edited("[0.7, 0]", "[70, 0]", GLAZING), "$.glazing[0].gains[0]"),
        (SMALL[: SMALL.index("[[window]]")], "$"),
        ("window = []\n" + SMALL[: SMALL.index("[[window]]")], "$.window"),
    ],
)  # fmt: skip
def test_a_bad_file_is_not_valid_in_just_that_place(text, path):
    assert faults(text)
    assert [error.json_path for error in VALIDATOR.iter_errors(tomllib.loads(text))] == [path]


def test_every_key_has_a_description():
    schema = site_schema()
    tables = [schema, *schema["$defs"].values()]
    keys = [pair for entry in tables for pair in entry.get("properties", {}).items()]
    assert len(keys) > 80
    assert [key for key, value in keys if not value.get("description")] == []
