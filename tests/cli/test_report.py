"""`suncover report`: a page, pictures, and what it refuses."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
from command_line import HOME, run, write_home

TODAY = date(2026, 6, 21)


@pytest.fixture
def site(tmp_path: Path) -> Path:
    return write_home(tmp_path)


def short(*more: str | Path) -> list[str | Path]:
    """Options that make a report of few days."""
    return ["--from", "2026-06-20", "--to", "2026-06-23", "--no-heat", *more]


def test_it_writes_the_page_and_says_so(site: Path, tmp_path: Path) -> None:
    page = tmp_path / "report.html"
    said = run("report", site, "-o", page, *short(), today=TODAY)
    assert (said.status, said.err) == (0, "")
    assert said.out == f"wrote {page}\n"
    text = page.read_text(encoding="utf-8")
    assert text.startswith("<!doctype html>")
    assert "Made for Sun 21 Jun 2026" in text
    assert "latitude = 36.10" in text


def test_it_writes_every_picture_alone(site: Path, tmp_path: Path) -> None:
    folder = tmp_path / "new" / "pictures"
    said = run("report", site, "--figures", folder, *short(), today=TODAY)
    assert (said.status, said.err) == (0, "")
    names = sorted(path.name for path in folder.iterdir())
    assert said.out == f"wrote {len(names)} pictures to {folder}\n"
    assert {"1-kitchen-year.svg", "2-study-sky.svg", "week-1-kitchen-roller.svg"} <= set(names)
    assert all(path.read_text(encoding="utf-8").startswith("<?xml") for path in folder.iterdir())


def test_pictures_as_png(site: Path, tmp_path: Path) -> None:
    pytest.importorskip("resvg_py", reason="PNG pictures need the package resvg_py")
    said = run(
        "report", site, "--figures", tmp_path / "p", "--picture", "png", *short(), today=TODAY
    )
    assert said.status == 0
    found = list((tmp_path / "p").iterdir())
    assert found
    assert all(path.read_bytes()[:4] == b"\x89PNG" for path in found)


def test_both_at_once_with_the_comparison(site: Path, tmp_path: Path) -> None:
    said = run(
        "report", site, "-o", tmp_path / "r.html", "--figures", tmp_path / "p",
        "--from", "2026-06-20", "--to", "2026-06-21", today=TODAY,
    )  # fmt: skip
    assert (said.status, said.err) == (0, "")
    assert (tmp_path / "p" / "heat-months.svg").exists()
    assert "Overhang against shade" in (tmp_path / "r.html").read_text(encoding="utf-8")


def test_the_page_goes_to_the_screen_where_asked(site: Path) -> None:
    said = run("report", site, "-o", "-", *short(), today=TODAY)
    assert said.status == 0
    assert said.out.startswith("<!doctype html>")
    assert said.out.endswith("</html>\n")


def test_another_day_and_other_units(site: Path) -> None:
    said = run("report", site, "-o", "-", *short("--at", "2026-06-22", "--units", "metric"))
    assert "Made for Mon 22 Jun 2026" in said.out
    assert 'data-units="metric"' in said.out


def test_units_are_those_of_the_file(site: Path) -> None:
    assert '"4 ft"' in HOME
    assert 'data-units="feet"' in run("report", site, "-o", "-", *short(), today=TODAY).out


def test_without_dates_it_shows_the_year_of_today(site: Path) -> None:
    said = run("report", site, "-o", "-", "--no-heat", "--at", "2026-06-22")
    assert "pictures of 1 Jan to 31 Dec 2026" in said.out


@pytest.mark.parametrize(
    ("options", "fault"),
    [
        pytest.param([], "name the page's file with -o FILE", id="nothing to write"),
        pytest.param(
            ["-o", "r.html", "--from", "2026-07-01", "--to", "2026-06-01"],
            "lies before --from",
            id="days backwards",
        ),
        pytest.param(
            ["-o", "r.html", "--from", "2026-01-01", "--to", "2027-06-01"],
            "a report covers a year at most",
            id="too many days",
        ),
        pytest.param(["-o", "home.toml"], "home.toml, which is read", id="the site file itself"),
    ],
)
def test_what_it_refuses(
    site: Path, monkeypatch: pytest.MonkeyPatch, options: list[str], fault: str
) -> None:
    monkeypatch.chdir(site.parent)
    dates = [] if "--from" in options else short()
    said = run("report", "home.toml", *options, *dates, today=TODAY)
    assert said.status == 2
    assert said.out == ""
    assert len(said.faults) == 1
    assert fault in said.err
    assert sorted(path.name for path in site.parent.iterdir()) == ["home.toml"]
    assert site.read_text(encoding="utf-8") == HOME


def test_faults_of_the_site_file_are_told(tmp_path: Path) -> None:
    site = write_home(tmp_path, HOME.replace("azimuth = 95", "azimuth = 400"))
    said = run("report", site, "-o", tmp_path / "r.html", today=TODAY)
    assert said.status == 2
    assert re.search(r"home\.toml:\d+:\d+: ", said.err)
    assert not (tmp_path / "r.html").exists()
