"""The examples of the page on planning come true."""

import re
import tomllib
from datetime import datetime
from pathlib import Path
from typing import get_args
from zoneinfo import ZoneInfo

import pytest

from suncover.base.spell import Spell
from suncover.plan.closings.shade_plan import Rule, make_shade_plan
from suncover.site.model import Shade

PAGE = (Path(__file__).parents[2] / "docs" / "planning.md").read_text(encoding="utf-8")
EXAMPLES = re.findall(r"```toml\n(.*?)```\n\n```text\n(.*?)```", PAGE, re.DOTALL)
NEW_YORK = ZoneInfo("America/New_York")
# Rules that an example does not name are off in it, so that it shows one thing at a time.
OFF = {"name": "roller", "windows": ["w"], "lead": 0, "lag": 0, "merge": 0, "shortest": 0}


def at(text: str) -> int:
    form = "%d %b %H:%M:%S %Y" if text.count(":") == 2 else "%d %b %H:%M %Y"
    return int(datetime.strptime(f"{text} 2026", form).replace(tzinfo=NEW_YORK).timestamp())


def spells_in(block: str, kind: str) -> list[Spell]:
    """The lines of one kind: `sun 1 Jun 09:12 to 11:40`, `closed 1 Jun 21:28 to 2 Jun 09:00`."""
    found = re.findall(rf"^{kind} +(\d+ \w+) ([\d:]+) to (?:(\d+ \w+) )?([\d:]+)$", block, re.M)
    return [
        Spell(at(f"{day} {start}"), at(f"{end_day or day} {end}"))
        for day, start, end_day, end in found
    ]


@pytest.mark.parametrize(("rules", "block"), EXAMPLES)
def test_example(rules, block):
    kinds = {kind: spells_in(block, kind) for kind in ("sun", "closed", "left")}
    assert sum(map(len, kinds.values())) == len(block.splitlines())
    shade = Shade.model_validate({**OFF, **tomllib.loads(rules)})
    plan = make_shade_plan(shade, kinds["sun"], NEW_YORK, None)
    assert [Spell(closing.close, closing.open) for closing in plan.closings] == kinds["closed"]
    assert [Spell(part.start, part.end) for part in plan.uncovered] == kinds["left"]


def test_there_is_an_example_for_each_rule_with_numbers():
    keys = {key for rules, _ in EXAMPLES for key in tomllib.loads(rules)}
    assert keys == {"travel", "lead", "lag", "merge", "shortest", "moves", "quiet", "in_quiet"}


def test_the_page_names_every_rule_that_leaves_sun_uncovered():
    assert set(get_args(Rule)) - {"best"} == {"shortest", "quiet", "season"}
    assert "too short, quiet hours, or a closing that would have been outside the season" in (
        PAGE.replace("\n", " ")
    )
