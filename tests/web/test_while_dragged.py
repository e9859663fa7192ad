"""What makes the page's answers quick changes none of them: what is kept, and what is given up."""

from __future__ import annotations

import json
import socket
from datetime import date
from pathlib import Path
from threading import Event
from typing import Any
from urllib.parse import urlsplit

import pytest
from site_texts import house, table, window

from suncover.facade.hours import hours
from suncover.plan.closings.shade_plan import in_time_order
from suncover.plan.season import season_plan
from suncover.site.file.sitefile import load_site, site_from_text
from suncover.web.answers import ANSWERS, Abandoned, Query
from suncover.web.disk import SiteFile

serve = pytest.importorskip("suncover.web.serve", reason="starlette is not installed")
pytest.importorskip("starlette", reason="starlette is not installed")

TODAY = date(2027, 6, 21)
YEAR = date(2027, 1, 1), date(2027, 12, 31)
HOMES = sorted((Path(__file__).parents[2] / "sample_sites").glob("*.toml"))


def asked(name: str, path: Path, text: str, gone: Any = lambda: False, **fields: Any) -> Any:
    return ANSWERS[name](Query({"text": text, "year": 2027, **fields}, SiteFile(path), TODAY, gone))


@pytest.mark.parametrize("path", HOMES, ids=lambda path: path.stem)
def test_the_hours_of_a_house_are_those_of_its_windows(path: Path) -> None:
    """Each window is kept by itself, without what its sun does not depend on."""
    site = load_site(path)
    expected = {
        name: sum(spell.seconds for spell in spells) / 3600.0
        for name, spells in hours(site, *YEAR).items()
    }
    assert asked("house", path, path.read_text("utf-8"))["sun_h"] == expected


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (["window", 0, "overhang", "depth"], 1.5),
        (["window", 0, "sill"], 1.4),
        (["window", 0, "position"], [2.0, 0.0]),
        (["tree", 0, "trunk"], [2.0, -5.0]),
        (["tree", 0, "leaf"], 0.6),
        (["obstacle", 0, "top"], 9.0),
        (["need", "beam"], 400.0),
        (["need", "fraction"], 0.5),
        (["site", "latitude"], 55.0),
    ],
)
def test_what_is_kept_of_a_window_is_not_what_has_changed(
    tmp_path: Path, path: list[Any], value: Any
) -> None:
    """After each change that moves the sun on a window, the answer is that of a fresh start."""
    text = house(
        window("one", 180, position=[0.0, 0.0], sill=0.9),
        window("two", 90),
        table("tree", name="lime", trunk=[1.0, -6.0], width=5.0, bottom=2.0, top=9.0, leaf=0.2),
        table("obstacle", name="barn", footprint=[[6, -9], [12, -9], [12, -5], [6, -5]], top=5.0),
        table("need", beam=250.0),
    )
    file = tmp_path / "home.toml"
    changes = [{"path": path, "value": value}]
    before = asked("house", file, text)["sun_h"]
    after = asked("house", file, text, changes=changes)["sun_h"]
    changed = asked("change", file, text, changes=changes)["text"]
    fresh = hours(site_from_text(changed, file), *YEAR)
    assert after == {name: sum(s.seconds for s in fresh[name]) / 3600.0 for name in fresh}
    assert after["one"] != before["one"]
    assert asked("house", file, text)["sun_h"] == before


def test_the_hours_of_a_house_are_given_up_between_two_windows(tmp_path: Path) -> None:
    text = house(*(window(f"number {n}", azimuth=100.0 + n) for n in range(6)))
    looks: list[int] = []

    def gone() -> bool:
        looks.append(0)
        return len(looks) > 3

    with pytest.raises(Abandoned):
        asked("house", tmp_path / "home.toml", text, gone)
    assert len(looks) == 4


@pytest.mark.parametrize("name", ["house", "closed", "plan", "report"])
def test_what_nobody_waits_for_is_not_computed(tmp_path: Path, name: str) -> None:
    fields = {"window": "number", "first": "2027-06-01", "last": "2027-06-02", "form": "csv"}
    text = house(window("number"), table("shade", name="blind", windows=["number"]))
    with pytest.raises(Abandoned):
        asked(name, tmp_path / "home.toml", text, lambda: True, **fields)


def test_a_browser_that_hangs_up_is_noticed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun, noticed = Event(), Event()

    def long(query: Query) -> Any:
        begun.set()
        for _ in range(2000):
            if query.abandoned():
                noticed.set()
                raise Abandoned
            Event().wait(0.01)
        return {}

    monkeypatch.setitem(ANSWERS, "house", long)
    with serve.serve_site(tmp_path / "home.toml", 0, TODAY) as address:
        where = urlsplit(address)
        body = json.dumps({}).encode()
        head = (
            f"POST {where.path}api/house HTTP/1.1\r\nHost: {where.netloc}\r\n"
            f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
        )
        with socket.create_connection((where.hostname, where.port)) as connection:
            connection.sendall(head.encode() + body)
            assert begun.wait(20)
            assert not noticed.is_set()
        assert noticed.wait(20)


@pytest.mark.parametrize("path", HOMES, ids=lambda path: path.stem)
def test_a_windows_plan_is_its_part_of_the_plan_of_the_house(path: Path) -> None:
    """Made of its own shades, and of those that groups and supplies tie to them."""
    site = load_site(path)
    plans = season_plan(site, *YEAR)
    for one in site.windows:
        over = {shade.name for shade in site.all_shades() if one.name in shade.windows}
        rows = in_time_order(row for plan in plans if plan.shade in over for row in plan.closings)
        told = asked("closed", path, path.read_text("utf-8"), window=one.name)
        assert told["closings"] == len(rows)
        assert told["closed_h"] == sum(row.open - row.close for row in rows) / 3600.0
        assert told["reasons"] == list(dict.fromkeys(row.reason for row in rows))
