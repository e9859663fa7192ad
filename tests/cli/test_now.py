"""Where every shade should be at an instant, held against the rows of the plan."""

from datetime import datetime, timedelta

import pytest
from command_line import HOME, fault_of, run, write_home

from suncover.cli import dates


def now_of(path, at):
    said = run("now", path, "--at", at, "--format", "json")
    assert (said.status, said.err) == (0, "")
    return said.json


def kitchen_rows(path, first="2026-04-01", last="2026-10-20"):
    rows = run("plan", path, "--from", first, "--to", last, "--csv", "-").rows
    return [row for row in rows if row["shade"] == "kitchen roller"]


def test_it_equals_the_plan_at_any_instant(home):
    """At, just before, and in between the moves of some days."""
    rows, second = kitchen_rows(home), timedelta(seconds=1)
    for row in rows[3:90:43]:
        close, opens = (datetime.fromisoformat(row[key]) for key in ("close", "open"))
        later = next(other for other in rows if other["close"] > row["open"])
        during = (100, row["close"], row["open"], 0, "up")
        after = (0, row["open"], later["close"], 100, "down")
        for instant, wanted in (
            (close, during),
            (close + (opens - close) / 2, during),
            (opens - second, during),
            (opens, after),
        ):
            shade = now_of(home, instant.isoformat())["shades"][0]
            move = shade["next"]
            got = [shade[key] for key in ("position", "since", "until")]
            assert shade["shade"] == "kitchen roller"
            assert (*got, move["position"], move["direction"]) == wanted
            assert (move["at"], move["seconds"]) == (shade["until"], 75.0)
            if instant == close:
                assert shade["reason"] == row["reason"]


def test_out_of_season_it_looks_as_far_as_the_next_one(home):
    shade = now_of(home, "2026-12-24T18:00")["shades"][0]
    assert shade["position"] == 0
    own = kitchen_rows(home, "2026-09-01", "2027-05-01")
    last = [row for row in own if row["close"] < "2026-12-24"][-1]
    first = next(row for row in own if row["close"] > "2026-12-24")
    assert (shade["since"], shade["next"]["at"]) == (last["open"], first["close"])
    assert shade["next"]["reason"] == first["reason"]


@pytest.mark.parametrize("tie", ["", '[[supply]]\nname = "box"\nshades = {}\ngap = 40\n'])
def test_shades_in_and_out_of_season_are_each_as_in_the_plan(tmp_path, tie):
    """Also where one supply ties their starts to each other."""
    names = ["kitchen roller", "study roller"]
    study = '[[shade]]\nname = "study roller"\nwindows = ["study"]\ntravel = 20\n'
    own = '[shade.need]\nseason = ["11-01", "02-20"]\n'
    path = write_home(tmp_path, HOME + study + own + tie.format(names))
    shades = now_of(path, "2026-12-24T09:00")["shades"]
    assert [shade["shade"] for shade in shades] == names
    rows = run("plan", path, "--from", "2026-09-01", "--to", "2027-05-01", "--csv", "-").rows
    for shade in shades:
        of_it = [row for row in rows if row["shade"] == shade["shade"]]
        opened = max(row["open"] for row in of_it if row["open"] < "2026-12-24T09:00")
        closes = min(row["close"] for row in of_it if row["close"] > "2026-12-24T09:00")
        assert (shade["position"], shade["since"], shade["until"]) == (0, opened, closes)


def test_a_shade_that_never_moves_has_no_next(tmp_path):
    north = HOME.replace("azimuth = 95", "azimuth = 2").replace("latitude = 36.10", "latitude = 60")
    path = write_home(tmp_path, north.replace("[need]", "[need]\nbeam = 900"))
    shade = now_of(path, "2026-06-01T12:00")["shades"][0]
    assert (shade["since"], shade["until"], shade["next"]) == (None, None, None)


def test_seconds_are_those_of_the_motor_and_none_without_a_travel(home):
    study = now_of(home, "2026-06-01T12:00")["shades"][1]
    assert (study["shade"], study["next"]["seconds"]) == ("study", None)
    home.write_text(HOME.replace("travel = 75", "travel = 75\ntravel_up = 90"))
    close = kitchen_rows(home, "2026-06-01", "2026-06-02")[0]["close"]
    assert now_of(home, close)["shades"][0]["next"]["seconds"] == 90.0


def test_an_instant_without_an_offset_is_by_the_sites_clocks(home, monkeypatch):
    told = now_of(home, "2026-06-01T12:00")
    assert told["at"] == "2026-06-01T12:00:00-04:00"
    assert now_of(home, "2026-06-01T16:00Z") == told
    moment = datetime.fromisoformat("2026-06-01T12:00:00-04:00")
    monkeypatch.setattr(dates, "now_in", lambda _zone: moment)
    assert run("now", home, "--format", "json").json == told
    page = run("now", home, "--at", "2026-06-01T12:00").out
    assert page.startswith("At 12:00\n\nkitchen roller: ")
    assert "next: closes at " in page


@pytest.mark.parametrize("at", ["noon", "2026-06-01", "2026-02-30T10:00", "1700-01-01T10:00"])
def test_what_is_no_instant_is_refused(home, at):
    assert "--at" in fault_of("now", home, "--at", at)
