"""The example of the page on needs comes true."""

import re
from datetime import date
from pathlib import Path

import pytest

from suncover.base.clock import clock_text
from suncover.plan import season
from suncover.plan.closings.shade_plan import in_time_order
from suncover.site.file.sitefile import site_from_text
from suncover.site.needs import NEED_NAMES

PAGE = (Path(__file__).parents[2] / "docs" / "needs.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def site():
    (text,) = re.findall(r"```toml\n(.*?)```", PAGE, re.DOTALL)
    return site_from_text(text)


def test_the_plan_of_the_day_reads_as_shown(site):
    (shown,) = re.findall(r"its plan reads \(.*?\):\n\n```text\n(.*?)```", PAGE, re.S)
    day = date(2027, 9, 20)
    plans = season.season_plan(site, day, day)
    lines = []
    for closing in in_time_order(closing for plan in plans for closing in plan.closings):
        close, opens = (clock_text(at, site.place.zone) for at in (closing.close, closing.open))
        lines.append(f"{closing.shade:<14} {close} to {opens}  {closing.reason}\n")
    assert "".join(lines) == shown


def test_the_table_has_every_need():
    assert tuple(re.findall(r'^\| `"(\w+)"` \|', PAGE, re.MULTILINE)) == NEED_NAMES
