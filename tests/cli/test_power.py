"""Sun that counts from a power on the glass, from the command line."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest
from command_line import HOME, run, write_home

from suncover.facade.hours import hours
from suncover.site.file.sitefile import load_site

WEEK = ("--from", "2026-06-01", "--to", "2026-06-07")
COLUMNS = "window,date,start,end,minutes"
PLAN_COLUMNS = "shade,date,close,open,minutes,sun_minutes,reason"
WITH_POWER = HOME.replace("[need]\n", "[need]\npower = 150\n")


def head(text: str) -> str:
    return text.splitlines()[0]


def test_without_power_nothing_changes(tmp_path: Path) -> None:
    plain = write_home(tmp_path, HOME, "a.toml")
    zero = write_home(tmp_path, HOME.replace("[need]\n", "[need]\npower = 0\n"), "b.toml")
    much = write_home(tmp_path, WITH_POWER, "c.toml")
    csv = (*WEEK, "--format", "csv")
    before = run("hours", plain, *csv).out_bytes
    assert head(before.decode()) == COLUMNS
    assert run("hours", zero, *csv).out_bytes == before
    assert run("hours", much, *csv, "--power", "0").out_bytes == before
    for form in ("text", "json"):
        asked = (*WEEK, "--format", form)
        assert run("hours", zero, *asked).out == run("hours", plain, *asked).out
    plans = [run("plan", path, *WEEK, "--csv", "-").out_bytes for path in (plain, zero)]
    assert plans[0] == plans[1]
    assert head(plans[0].decode()) == PLAN_COLUMNS


def test_power_from_the_file_and_from_the_option(tmp_path: Path) -> None:
    plain, much = write_home(tmp_path, HOME), write_home(tmp_path, WITH_POWER, "b.toml")
    by_option = run("hours", plain, *WEEK, "--format", "csv", "--power", "150")
    assert by_option.out == run("hours", much, *WEEK, "--format", "csv").out
    assert head(by_option.out) == f"{COLUMNS},peak"
    assert all(float(row["peak"]) >= 150 for row in by_option.rows)
    every = run("hours", plain, *WEEK, "--format", "csv", "--peak")
    assert head(every.out) == f"{COLUMNS},peak"
    cut = sum(float(row["minutes"]) for row in by_option.rows)
    assert 0 < cut < sum(float(row["minutes"]) for row in every.rows)
    best = {row["window"]: row["peak"] for row in by_option.rows if row["date"] == "2026-06-03"}
    whole = {row["window"]: row["peak"] for row in every.rows if row["date"] == "2026-06-03"}
    # The greatest power does not hang on what counts; steps towards it may begin elsewhere.
    assert {k: float(v) for k, v in best.items()} == pytest.approx(
        {k: float(v) for k, v in whole.items()}, abs=0.1
    )


def test_other_columns_come_before_peak(tmp_path: Path) -> None:
    said = run(
        "hours", write_home(tmp_path), *WEEK, "--format", "csv", "--reach", "--spots", "--peak"
    )
    assert head(said.out) == f"{COLUMNS},reach,spots,peak"


def test_json_and_text_tell_it(tmp_path: Path) -> None:
    path = write_home(tmp_path, WITH_POWER)
    told = json.loads(run("hours", path, *WEEK, "--format", "json").out)
    assert told["power_w_per_m2"] == 150
    assert all(
        spell["peak_w_per_m2"] >= 150 for window in told["windows"] for spell in window["spells"]
    )
    text = run("hours", path, *WEEK).out
    assert "at least 150 W" in text
    assert "How strong the sun gets" in text


def test_a_shade_of_its_own_and_the_audit_takes_the_plan(tmp_path: Path) -> None:
    own = HOME.replace("travel = 75", "travel = 75\nneed = { power = 200 }")
    path, plan = write_home(tmp_path, own), tmp_path / "plan.csv"
    run("plan", path, *WEEK, "--csv", plan)
    rows = run("plan", path, *WEEK, "--csv", "-").rows
    assert head(plan.read_text()) == f"{PLAN_COLUMNS},peak"
    site = load_site(path)
    (kitchen,) = hours(
        site,
        *(date.fromisoformat(day) for day in (WEEK[1], WEEK[3])),
        power=200,
        windows=["kitchen"],
    ).values()
    asked = [row for row in rows if row["shade"] == "kitchen roller"]
    assert len(asked) == len(kitchen)
    assert all(float(row["peak"]) >= 200 for row in asked)
    # Sun is told by the site's own need, and that asks for no power.
    assert run("audit", path, plan).status == 0
    without = write_home(tmp_path, HOME, "plain.toml")
    assert run("audit", without, plan).status == 1  # it leaves sun to that home
    spoilt = plan.read_text().replace(f",{asked[0]['peak']}", ",much", 1)
    plan.write_text(spoilt)
    refused = run("audit", path, plan)
    assert refused.status == 2
    assert '"much" is not a number' in refused.err


@pytest.mark.parametrize("option", [("--best",), ("--every", "week"), ("--round", "5min")])
def test_every_kind_of_plan_leaves_slight_sun_alone(
    tmp_path: Path, option: tuple[str, ...]
) -> None:
    path = write_home(tmp_path, WITH_POWER.replace("power = 150", "power = 5000"))
    said = run("plan", path, *WEEK, *option, "--csv", "-")
    assert (said.status, said.rows) == (0, [])
    assert head(said.out) == f"{PLAN_COLUMNS},peak"


@pytest.mark.parametrize("value", ["-1", "nan", "many"])
def test_no_such_power(tmp_path: Path, value: str) -> None:
    said = run("hours", write_home(tmp_path), *WEEK, "--power", value)
    assert said.status == 2
    spoilt = write_home(tmp_path, HOME.replace("[need]\n", f"[need]\npower = '{value}'\n"))
    assert run("check", spoilt).status == 2
