"""The gallery's scripts run and leave the picture or table that its page shows; the set of pages
is made without a warning or a link that leads nowhere.
"""

import re
import runpy
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pandas as pd
import pytest

ROOT = Path(__file__).parents[2]
SCRIPTS = sorted((ROOT / "docs" / "gallery").glob("*.py"))
PAGE = (ROOT / "docs" / "gallery.md").read_text(encoding="utf-8")
BY_A_CLUSTER = ROOT / "docs" / "gallery" / "portfolio_cluster.py"


def test_the_page_shows_every_script_and_what_it_leaves():
    assert len(SCRIPTS) == 6
    shown = re.findall(r"gallery/(\w+)\.py$", PAGE, re.MULTILINE)
    assert sorted(shown) == [script.stem for script in SCRIPTS]
    assert sorted(re.findall(r"made/(\w+)\.(?:svg|txt)", PAGE)) == sorted(shown)


def test_scripts_are_short():
    for script in SCRIPTS:
        assert len(script.read_text(encoding="utf-8").splitlines()) < 110, script.name


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A folder with the results of all scripts but that of the cluster."""
    pytest.importorskip("matplotlib", reason='matplotlib is not installed: "suncover[docs]"')
    folder = tmp_path_factory.mktemp("made")
    for script in SCRIPTS:
        if script != BY_A_CLUSTER:
            runpy.run_path(str(script))["main"](folder)
    return folder


@pytest.mark.parametrize("name", ["hours_by_azimuth", "overhang_chart"])
def test_pictures_are_drawn(made, name):
    picture = ElementTree.parse(made / f"{name}.svg").getroot()
    lines = picture.iter("{http://www.w3.org/2000/svg}path")
    assert sum(1 for _ in lines) > 20


def table(made: Path, name: str, *, skip: int) -> pd.DataFrame:
    return pd.read_fwf(made / f"{name}.txt", skiprows=skip)


def test_a_street_takes_sun_from_the_lower_floors_in_winter(made):
    rows = table(made, "street", skip=2).set_index("window")
    floors = [f"floor {number}" for number in range(4)]
    assert rows.loc["December, street", floors].is_monotonic_increasing
    assert (rows.loc["December, street"] < rows.loc["December, alone"]).all()
    assert (rows.loc["June, street"] == rows.loc["June, alone"]).all()


def test_days_without_a_move_let_all_the_sun_in(made):
    text = (made / "plan_and_log.txt").read_text(encoding="utf-8")
    rows = [line.split() for line in text.splitlines() if line.startswith("2027")]
    idle = [row for row in rows if row[4] == "none"]
    assert len(rows) == 10
    assert len(idle) == 2
    for row in rows:
        sun, let_in = float(row[3]), float(row[5])
        assert abs(sun - let_in) < 1.0 if row in idle else let_in < 60.0
    assert re.search(r"^kept: 7\d% of the sun", text, re.MULTILINE)


def test_a_year_has_its_months_and_more_sun_on_a_south_wall_in_winter(made):
    text = (made / "year_frame.txt").read_text(encoding="utf-8")
    beams = [float(line.split()[1]) for line in text.splitlines() if re.match(r"\d\d ", line)]
    assert len(beams) == 12
    assert beams[0] > 10 * beams[5]


def test_a_cluster_gives_each_house_its_hours(tmp_path):
    pytest.importorskip("distributed", reason='Dask is not installed: "suncover[cluster]"')
    subprocess.run([sys.executable, str(BY_A_CLUSTER), str(tmp_path)], check=True, timeout=200)
    text = (tmp_path / "portfolio_cluster.txt").read_text(encoding="utf-8")
    rows = re.findall(r"^House \d +([\d.]+) +([\d.]+) +([\d.]+) +([\d.]+)$", text, re.MULTILINE)
    assert len(rows) == 6
    assert all(float(north) < float(south) for _, north, south, _ in rows)


@pytest.mark.slow
def test_all_pages_become_one_set(tmp_path):
    for package in ("sphinx", "furo", "myst_parser"):
        pytest.importorskip(package, reason='sphinx is not installed: "suncover[docs]"')
    command = [sys.executable, str(ROOT / "docs" / "build.py"), "--offline", str(tmp_path / "set")]
    run = subprocess.run(command, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr
    pages = {path.stem for path in (tmp_path / "set").glob("*.html")}
    assert {page.stem for page in (ROOT / "docs").glob("*.md")} <= pages


def test_every_public_name_has_its_place_in_the_reference():
    builder = runpy.run_path(str(ROOT / "docs" / "build.py"), run_name="builder")
    pages = builder["public_names"]()
    import suncover  # noqa: PLC0415 - what it lists is asked for

    assert sorted(name for names in pages.values() for name in names) == suncover.__all__
    for stage, names in pages.items():
        text = builder["reference_page"](stage, names)
        assert text.count("```{eval-rst}") == len(names)
