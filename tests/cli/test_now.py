"""Where every shade should be at an instant, held against the rows of the plan."""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from command_line import HOME, run, write_home

from suncover.cli import dates


def now_of(path: Path, at: str) -> dict[str, Any]:
    said = run("now", path, "--at", at, "--format", "json")
    assert (said.status, said.err) == (0, "")
    document: dict[str, Any] = json.loads(said.out)
    return document


def rows_of(path: Path) -> list[dict[str, str]]:
    return run("plan", path, "--from", "2026-04-01", "--to", "2026-10-20", "--csv", "-").rows


def test_it_equals_the_plan_at_any_instant(tmp_path: Path) -> None:
    """At, just before, and in between the moves of some days, one of them with the clocks set."""
    path = write_home(tmp_path)
    rows = [row for row in rows_of(path) if row["shade"] == "kitchen roller"]
    for row in rows[3:90:29]:
        close, opens = (datetime.fromisoformat(row[key]) for key in ("close", "open"))
        later = next(other for other in rows if other["close"] > row["open"])
        second = timedelta(seconds=1)
        during = (100, row["close"], row["open"], 0, "up")
        after = (0, row["open"], later["close"], 100, "down")
        for instant, wanted in (
            (close, during),
            (close + (opens - close) / 2, during),
            (opens - second, during),
            (opens, after),
        ):
            document = now_of(path, instant.isoformat())
            shade = document["shades"][0]
            move = shade["next"]
            got = (
                shade["position"],
                shade["since"],
                shade["until"],
                move["position"],
                move["direction"],
            )
            assert shade["shade"] == "kitchen roller"
            assert got == wanted
            assert (move["at"], move["seconds"]) == (shade["until"], 75.0)
        assert now_of(path, close.isoformat())["shades"][0]["reason"] == row["reason"]


def test_out_of_season_it_looks_as_far_as_the_next_one(tmp_path: Path) -> None:
    path = write_home(tmp_path)
    shade = now_of(path, "2026-12-24T18:00")["shades"][0]
    assert shade["position"] == 0
    last = [row for row in rows_of(path) if row["shade"] == "kitchen roller"][-1]
    spring = run("plan", path, "--from", "2027-01-01", "--to", "2027-06-01", "--csv", "-").rows
    first = next(row for row in spring if row["shade"] == "kitchen roller")
    assert (shade["since"], shade["next"]["at"]) == (last["open"], first["close"])
    assert shade["next"]["reason"] == first["reason"]


def test_a_shade_that_never_moves_has_no_next(tmp_path: Path) -> None:
    north = HOME.replace("azimuth = 95", "azimuth = 2").replace("latitude = 36.10", "latitude = 60")
    path = write_home(tmp_path, north.replace("[need]", "[need]\nbeam = 900"))
    shade = now_of(path, "2026-06-01T12:00")["shades"][0]
    assert (shade["since"], shade["until"], shade["next"]) == (None, None, None)


def test_without_a_travel_no_seconds_are_told(tmp_path: Path) -> None:
    path = write_home(tmp_path)
    study = now_of(path, "2026-06-01T12:00")["shades"][1]
    assert study["shade"] == "study"
    assert study["next"]["seconds"] is None


def test_a_motor_may_take_longer_up_than_down(tmp_path: Path) -> None:
    path = write_home(tmp_path, HOME.replace("travel = 75", "travel = 75\ntravel_up = 90"))
    close = next(row["close"] for row in rows_of(path) if row["shade"] == "kitchen roller")
    assert now_of(path, close)["shades"][0]["next"]["seconds"] == 90.0


def test_an_instant_without_an_offset_is_by_the_sites_clocks(tmp_path: Path) -> None:
    path = write_home(tmp_path)
    assert now_of(path, "2026-06-01T12:00")["at"] == "2026-06-01T12:00:00-04:00"
    assert now_of(path, "2026-06-01T16:00Z") == now_of(path, "2026-06-01T12:00")


def test_now_is_the_clocks_now(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write_home(tmp_path)
    moment = datetime.fromisoformat("2026-06-01T12:00:00-04:00")
    monkeypatch.setattr(dates, "now_in", lambda _zone: moment)
    assert json.loads(run("now", path, "--format", "json").out)["at"] == moment.isoformat()


def test_the_text_says_what_comes_next(tmp_path: Path) -> None:
    page = run("now", write_home(tmp_path), "--at", "2026-06-01T12:00").out
    assert page.startswith("At 12:00\n\nkitchen roller: ")
    assert "next: closes at " in page


@pytest.mark.parametrize("at", ["noon", "2026-06-01", "2026-02-30T10:00", "1700-01-01T10:00"])
def test_what_is_no_instant_is_refused(tmp_path: Path, at: str) -> None:
    said = run("now", write_home(tmp_path), "--at", at)
    assert said.status == 2
    assert len(said.faults) == 1
    assert "--at" in said.err
