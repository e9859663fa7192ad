"""The JSON Schema of the site file, judged by jsonschema, a general-purpose validator."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from site_texts import GLAZING, OBSTACLE, SHADE, SMALL, SPOT, TREE, WHOLE, WINDOW, edited

from suncover.base.errors import FileFaults
from suncover.site.file.schema import DIALECT, site_schema, site_schema_text
from suncover.site.file.sitefile import site_from_text

KEPT = Path(__file__).parents[3] / "docs" / "site-file.schema.json"


@pytest.fixture(scope="module")
def validator() -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(site_schema())


def test_the_kept_schema_is_that_of_the_models() -> None:
    """Written anew by `python -m suncover.site.file.schema > docs/site-file.schema.json`."""
    assert KEPT.read_text(encoding="utf-8") == site_schema_text()


def test_the_schema_is_a_schema_of_draft_2020_12() -> None:
    schema = json.loads(site_schema_text())
    assert schema["$schema"] == DIALECT == jsonschema.Draft202012Validator.META_SCHEMA["$id"]
    jsonschema.Draft202012Validator.check_schema(schema)


@pytest.mark.parametrize(
    "text", [SMALL, WHOLE.replace("07:00:00", '"07:00"')], ids=["small", "whole"]
)
def test_a_good_file_is_valid(validator: jsonschema.Draft202012Validator, text: str) -> None:
    site_from_text(text)
    assert list(validator.iter_errors(tomllib.loads(text))) == []


@pytest.mark.parametrize(
    ("text", "path"),
    [
        pytest.param(edited("36.10", "95"), "$.site.latitude", id="latitude"),
        pytest.param(edited("36.10", '"36.10"'), "$.site.latitude", id="number as text"),
        pytest.param(edited("36.10", "true"), "$.site.latitude", id="boolean"),
        pytest.param(edited("= 95", "= 400"), "$.window[0].azimuth", id="azimuth"),
        pytest.param(edited("1.20", "0"), "$.window[0].width", id="no width"),
        pytest.param(edited("1.20", '"48"'), "$.window[0].width", id="length without unit"),
        pytest.param(edited(WINDOW, f"{WINDOW}\nsil = 1"), "$.window[0]", id="unknown key"),
        pytest.param(edited("width = 1.20\n", ""), "$.window[0]", id="missing key"),
        pytest.param(
            edited(WINDOW, f"{WINDOW}\nskyline = [[60, 12], [95]]"),
            "$.window[0].skyline[1]",
            id="skyline point",
        ),
        pytest.param(
            edited(WINDOW, f"{WINDOW}\nskyline = [[60, 12], [95, 99]]"),
            "$.window[0].skyline[1][1]",
            id="skyline elevation",
        ),
        pytest.param(
            edited("", "", "[window.overhang]\ndepth = 0\n"),
            "$.window[0].overhang.depth",
            id="overhang",
        ),
        pytest.param(
            edited("", "", '[[window.fin]]\nside = "up"\ndepth = 1\n'),
            "$.window[0].fin[0].side",
            id="fin",
        ),
        pytest.param(SMALL + SHADE + "moves = 1\n", "$.shade[0].moves", id="moves"),
        pytest.param(
            SMALL + SHADE + 'quiet = ["24:00", "07:00"]\n', "$.shade[0].quiet[0]", id="24 o'clock"
        ),
        pytest.param(edited('["kitchen"]', "[]", SHADE), "$.shade[0].windows", id="no windows"),
        pytest.param(
            edited("[[window]]", '[need]\nseason = ["13-01", "02-01"]\n[[window]]'),
            "$.need.season[0]",
            id="season",
        ),
        pytest.param(edited("top = 3\n", "", OBSTACLE), "$.obstacle[0]", id="obstacle"),
        pytest.param(edited("leaf = 0.15", "leaf = 15", TREE), "$.tree[0].leaf", id="tree"),
        pytest.param(edited("= 1.6", '= "1.6"', SPOT), "$.spot[0].distance", id="spot"),
        pytest.param(edited("[0.7, 0]", "[70, 0]", GLAZING), "$.glazing[0].gains[0]", id="glazing"),
        pytest.param(SMALL[: SMALL.index("[[window]]")], "$", id="no window"),
        pytest.param("window = []\n" + SMALL[: SMALL.index("[[window]]")], "$.window", id="[]"),
    ],
)
def test_a_bad_file_is_not_valid_in_just_that_place(
    validator: jsonschema.Draft202012Validator, text: str, path: str
) -> None:
    with pytest.raises(FileFaults):
        site_from_text(text)
    assert [error.json_path for error in validator.iter_errors(tomllib.loads(text))] == [path]


def test_every_key_has_a_description() -> None:
    schema = site_schema()
    objects: list[dict[str, Any]] = [schema, *schema["$defs"].values()]
    keys = {
        (entry.get("description", "the file"), key): value
        for entry in objects
        for key, value in entry.get("properties", {}).items()
    }
    assert len(keys) > 80
    assert [key for key, value in keys.items() if not value.get("description")] == []


def test_the_schema_says_nothing_that_toml_cannot() -> None:
    """TOML has no null."""
    assert "null" not in site_schema_text()
