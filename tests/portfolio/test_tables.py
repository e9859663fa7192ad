"""Tables of windows as a portfolio: each row as a site file would have it; and the page on them."""

from pathlib import Path

import pytest
from command_line import refused, run
from portfolios import (
    COLUMNS,
    JUNE,
    house,
    house_rows,
    rows_of,
    write_estate,
    write_table,
)

from suncover.portfolio import merge
from suncover.portfolio.columns import known_columns, site_of_rows
from suncover.portfolio.sources import open_source
from suncover.site.file.sitefile import site_from_text


@pytest.fixture(scope="module")
def estate(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_estate(tmp_path_factory.mktemp("estate"), 5)


# --- tables of windows


def test_a_table_gives_what_the_site_files_give(estate, tmp_path):
    rows = [row for number in range(5) for row in house_rows(number)]
    table = write_table(tmp_path / "windows.csv", rows)
    for source, out in ((estate, "a"), (table, "b")):
        assert run("portfolio", source, "-o", tmp_path / out, *JUNE, "--jobs", "1").status == 0
    for name in ("hours.csv", "plans.csv"):
        ours, theirs = (
            sorted([list(row.values())[1:] for row in rows_of(tmp_path / out / name)])
            for out in ("a", "b")
        )
        assert ours == theirs
    sources = {row["source"] for row in rows_of(tmp_path / "b" / "hours.csv")}
    assert sources == {f"windows.csv:{line}" for line in (2, 4, 6, 8, 10)}


def test_a_row_reads_as_the_site_file_does():
    rows = [(line, row) for line, row in enumerate(house_rows(2), 2)]
    assert site_of_rows(COLUMNS, rows, "t.csv") == site_from_text(house(2))


def test_a_parquet_table_gives_what_the_same_csv_gives(tmp_path):
    pyarrow = pytest.importorskip("pyarrow")
    parquet = pytest.importorskip("pyarrow.parquet")
    names = ["site.name", "site.latitude", "site.longitude", "name", "azimuth", "width", "height"]
    names += ["need.season", "fin.right.depth"]
    cells = [["Amberfield"] * 2, [36.1] * 2, [-79.95] * 2, ["a", "b"], [90.0, 180.0], [1.0, 2.0]]
    cells += [[1, 1], [["05-01", "09-30"], None], [None, 0.5]]
    parquet.write_table(pyarrow.table(cells, names=names), tmp_path / "windows.parquet")
    rows = [list(row) for row in zip(*cells, strict=True)]
    rows[0][7], rows[1][7] = '["05-01", "09-30"]', ""
    rows[0][8] = ""
    write_table(tmp_path / "windows.csv", rows, names)
    for kind in ("csv", "parquet"):
        source = tmp_path / f"windows.{kind}"
        assert run("portfolio", source, "-o", tmp_path / kind, *JUNE, "--jobs", "1").status == 0
    for name in ("hours.csv", "plans.csv"):
        ours, theirs = (
            [list(row.values())[1:] for row in rows_of(tmp_path / kind / name)]
            for kind in ("csv", "parquet")
        )
        assert ours == theirs


def test_columns_are_the_keys_of_the_site_file():
    known = known_columns()
    assert {"name", "tilt", "overhang.left", "fin.right.below", "site.elevation"} <= set(known)
    assert {"need.beam", "shade.need.sleep.dark", "weather.file", "shade.roller.tube"} <= set(known)
    assert not {"site", "shade.windows", "fin.side", "need.glare.spots"} & set(known)


@pytest.mark.parametrize(
    ("columns", "said"),
    [
        (["azimut"], "windows.csv:1: unknown column `azimut`, did you mean `azimuth`?"),
        (["azimuth", "azimuth"], "windows.csv:1: the column `azimuth` stands there twice"),
        ([], "windows.csv:1: the column `azimuth` is missing (or `compass`, or `wall`)"),
    ],
    ids=["unknown", "twice", "missing"],
)
def test_faults_of_the_header_stop_at_once(tmp_path, columns, said):
    names = ["site.name", "site.latitude", "site.longitude", "name", "width", "height", *columns]
    path = write_table(tmp_path / "windows.csv", [["x"] * len(names)], names)
    told = refused("portfolio", path, "-o", tmp_path / "out", *JUNE)
    assert said in told.err
    assert not (tmp_path / "out").exists()


def test_rows_of_one_site_may_not_disagree(tmp_path):
    rows = [row for number in range(2) for row in house_rows(number)]
    rows[1][1] = 31.5
    table = write_table(tmp_path / "windows.csv", rows)
    said = run("portfolio", table, "-o", tmp_path / "out", *JUNE, "--jobs", "1")
    assert said.status == 1
    assert (
        'windows.csv:3: site "Amberfield": site.latitude: 31.5, but line 2 of the same site says '
        "30; make them the same" in said.err
    )
    assert len(rows_of(tmp_path / "out" / "plans.csv")) == 2


def test_faults_of_a_site_name_it_and_the_row(tmp_path):
    """Whichever row and table they are in: window, shade, a rule between entries, the site."""
    rows = [row for number in range(3) for row in house_rows(number)]
    rows[1][9] = -1.0  # a height
    rows[2][COLUMNS.index("shade.travel")] = -5
    rows[4][1], rows[5][1] = 95, 95
    table = write_table(tmp_path / "windows.csv", rows)
    said = run("portfolio", table, "-o", tmp_path / "out", *JUNE, "--jobs", "1")
    assert said.status == 1
    faults = [row["fault"] for row in rows_of(tmp_path / "out" / "faults.csv")]
    starts = [
        f'{table}:3: site "Amberfield": window "study": height: ',
        f'{table}:4: site "Birchcombe": shade "roller": travel: ',
        f'{table}:6: site "Coldwater Row": [site]: latitude: ',
    ]
    assert faults[1].endswith("-5 is not between 0 and 3600 seconds")
    assert [fault[: len(start)] for fault, start in zip(faults, starts, strict=True)] == starts


@pytest.mark.parametrize("kind", ["csv", "parquet"])
def test_rows_of_a_site_that_do_not_stand_together_are_told(tmp_path, kind):
    """Before anything is worked out, and not as two half sites of one name."""
    rows = [house_rows(0)[0], *house_rows(1), house_rows(0)[1], house_rows(1)[0]]
    table = tmp_path / f"windows.{kind}"
    if kind == "csv":
        write_table(table, rows)
        lines = (5, 6, 2)
    else:
        pyarrow = pytest.importorskip("pyarrow")
        parquet = pytest.importorskip("pyarrow.parquet")
        cells = [[str(cell) for cell in column] for column in zip(*rows, strict=True)]
        parquet.write_table(pyarrow.table(cells, names=COLUMNS), table)
        lines = (4, 5, 1)
    said = refused("portfolio", table, "-o", tmp_path / "out", *JUNE, "--jobs", "1")
    told = said.err.splitlines()
    assert len(told) == 2
    assert f'windows.{kind}:{lines[0]}: site "Amberfield": ' in told[0]
    assert f"stand from line {lines[2]} on" in told[0]
    assert f'windows.{kind}:{lines[1]}: site "Birchcombe": ' in told[1]
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "the column `site.name` is missing"),
        (b"\xff\xfe\x00", "this is not text in UTF-8"),
        (b'"a', "this is not CSV"),
    ],
    ids=["empty", "not text", "open quote"],
)
def test_a_file_that_is_no_table_is_told(tmp_path, content, said):
    path = tmp_path / "windows.csv"
    path.write_bytes(content)
    told = refused("portfolio", path, "-o", tmp_path / "out", *JUNE)
    assert said in told.err


# --- the page


PAGE = (Path(__file__).parents[2] / "docs" / "portfolio.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("columns", ["HOURS", "PLAN", "HEAT", "FAULT"])
def test_the_page_has_the_columns(columns):
    assert f"`{','.join(getattr(merge, f'{columns}_COLUMNS'))}`" in PAGE


def test_the_table_on_the_page_is_one(tmp_path):
    path = tmp_path / "windows.csv"
    path.write_text(PAGE.partition("```text\n")[2].partition("```")[0], encoding="utf-8")
    (order,) = open_source(path).orders()
    site = order.described()
    assert [window.name for window in site.windows] == ["kitchen", "study"]
    assert site.windows[0].height == pytest.approx(42 * 0.0254)  # the inch, by its definition
    assert site.need.season == ((4, 15), (10, 15))


def test_every_column_on_the_page_is_known():
    rows = PAGE.partition("| Column |")[2].partition("\n\n")[0].splitlines()[2:]
    named = {word for row in rows for word in row.split("|")[1].replace("`", " ").split()}
    named = {word.strip(",") for word in named} - {"", "…", "_anything"}
    assert len(named) > 20
    assert named <= set(known_columns())
