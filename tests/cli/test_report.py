"""`suncover report`: a page, pictures, and what it refuses."""

from datetime import date

import pytest
from command_line import HOME, fault_of, ok, run

TODAY = date(2026, 6, 21)
SHORT = ("--from", "2026-06-20", "--to", "2026-06-23", "--no-heat")  # few days


def test_it_writes_the_page_and_says_so(home):
    page = home.with_name("report.html")
    said = run("report", home, "-o", page, *SHORT, today=TODAY)
    assert (said.status, said.err, said.out) == (0, "", f"wrote {page}\n")
    text = page.read_text(encoding="utf-8")
    assert text.startswith("<!doctype html>")
    assert text.endswith("</html>\n")
    assert "Made for Sun 21 Jun 2026" in text
    assert "latitude = 36.10" in text
    assert '"4 ft"' in HOME
    assert 'data-units="feet"' in text, "as the file has them"
    # To the screen, for another day, in other units.
    said = run("report", home, "-o", "-", *SHORT, "--at", "2026-06-22", "--units", "metric")
    assert said.out.startswith("<!doctype html>")
    assert "Made for Mon 22 Jun 2026" in said.out
    assert 'data-units="metric"' in said.out


def test_it_writes_every_picture_alone(home):
    folder = home.parent / "new" / "pictures"
    said = run("report", home, "--figures", folder, *SHORT, today=TODAY)
    assert (said.status, said.err) == (0, "")
    names = sorted(path.name for path in folder.iterdir())
    assert said.out == f"wrote {len(names)} pictures to {folder}\n"
    assert {"1-kitchen-year.svg", "2-study-sky.svg", "week-1-kitchen-roller.svg"} <= set(names)
    assert all(path.read_text(encoding="utf-8").startswith("<?xml") for path in folder.iterdir())


def test_pictures_as_png(home):
    pytest.importorskip("resvg_py", reason="PNG pictures need the package resvg_py")
    folder = home.with_name("p")
    day = ("--from", "2026-06-20", "--to", "2026-06-20", "--no-heat", "--picture", "png")
    ok("report", home, "--figures", folder, *day, today=TODAY)
    found = [path.read_bytes()[:4] for path in folder.iterdir()]
    assert set(found) == {b"\x89PNG"}


def test_both_at_once_with_the_comparison(home):
    page, folder = home.with_name("r.html"), home.with_name("p")
    days = ("--from", "2026-06-20", "--to", "2026-06-21")
    said = run("report", home, "-o", page, "--figures", folder, *days, today=TODAY)
    assert (said.status, said.err) == (0, "")
    assert (folder / "heat-months.svg").exists()
    assert "Overhang against shade" in page.read_text(encoding="utf-8")


def test_without_dates_it_shows_the_year_of_today(home):
    said = run("report", home, "-o", "-", "--no-heat", "--at", "2026-06-22")
    assert "pictures of 1 Jan to 31 Dec 2026" in said.out


@pytest.mark.parametrize(
    ("options", "fault"),
    [
        ("", "name the page's file with -o FILE"),
        ("-o r.html --from 2026-07-01 --to 2026-06-01", "lies before --from"),
        ("-o r.html --from 2026-01-01 --to 2027-06-01", "a report covers a year at most"),
        ("-o home.toml", "home.toml, which is read"),
    ],
)
def test_what_it_refuses(home, monkeypatch, options, fault):
    monkeypatch.chdir(home.parent)
    dates = [] if "--from" in options else SHORT
    assert fault in fault_of("report", "home.toml", *options.split(), *dates, today=TODAY)
    assert list(home.parent.iterdir()) == [home]
    assert home.read_text(encoding="utf-8") == HOME
