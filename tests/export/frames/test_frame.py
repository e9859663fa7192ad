"""Results as DataFrames hold what the CSV files hold, in aware times, and a plan comes back."""

import io
import pickle
from datetime import date
from zoneinfo import ZoneInfo

import numpy as np
import pandas as pd
import pytest

import suncover

FIRST, LAST = date(2027, 10, 20), date(2027, 11, 10)  # clocks go back on 31 October
PLACE = {"name": "Trial", "latitude": 47.5, "longitude": 19.05, "timezone": "Europe/Budapest"}
SOUTH = {"name": "south", "azimuth": 170, "width": 1.2, "height": 1.5, "sill": 0.8}
ROLLER = {"name": "=roller", "windows": ["south"], "travel": 40, "shortest": 30}
BLIND = {"name": "blind", "windows": ["=west"], "quiet": ["11:00", "15:00"], "in_quiet": "late"}
HOME = suncover.site_from_tables(
    {
        "site": PLACE,
        "window": [SOUTH, {"name": "=west", "azimuth": 260, "width": 0.9, "height": 1.2}],
        "shade": [ROLLER, BLIND],
        "spot": [{"name": "desk", "window": "south", "distance": 0.8, "height": 0.7}],
        "sighting": [{"window": "south", "time": "2027-10-22T09:01:30+02:00", "seen": "on"}],
    }
)
ZONE = HOME.place.zone
SUN = suncover.hours(HOME, FIRST, LAST)
PLANS = suncover.season_plan(HOME, FIRST, LAST)
CLOSINGS = [closing for plan in PLANS for closing in plan.closings]
NAMES = [shade.name for shade in HOME.all_shades()]


@pytest.fixture(scope="module")
def summary():
    small = suncover.site_from_tables({"site": PLACE, "window": [SOUTH], "shade": [ROLLER]})
    return suncover.summarize(suncover.compare_year(small, suncover.load_weather(small)))


def read(csv):
    return pd.read_csv(io.BytesIO(csv))


def same_instants(column, texts):
    return bool((column.dt.tz_convert("UTC") == pd.to_datetime(texts, utc=True)).all())


def test_spells_are_those_of_the_csv():
    table, csv = suncover.frame(SUN), read(suncover.hours_csv(SUN, ZONE))
    assert table.columns.tolist() == csv.columns.tolist()
    csv = csv.sort_values(["window", "start"]).reset_index(drop=True)
    table = table.assign(window=table["window"].replace("=west", "'=west"))
    table = table.sort_values(["window", "start"]).reset_index(drop=True)
    assert table["window"].tolist() == csv["window"].tolist()
    assert [day.isoformat() for day in table["date"]] == csv["date"].tolist()
    assert same_instants(table["start"], csv["start"])
    assert same_instants(table["end"], csv["end"])
    assert np.allclose(table["minutes"], csv["minutes"], atol=0.005)


def test_arrays_of_spells_are_told_in_utc_or_in_a_zone_that_is_given():
    arrays = dict(suncover.hours_seconds(HOME, FIRST, LAST))
    assert "date" not in suncover.frame(arrays)
    assert str(suncover.frame(arrays)["start"].dt.tz) == "UTC"
    for zone in (HOME, HOME.place, ZONE, "Europe/Budapest"):
        assert suncover.frame(arrays, zone).equals(suncover.frame(SUN))
    one_by_one = suncover.hours_seconds(HOME, FIRST, LAST)
    assert suncover.frame(one_by_one, HOME).equals(suncover.frame(SUN))


def test_spells_on_spots_are_named_so():
    table = suncover.frame(suncover.spots(HOME, FIRST, LAST))
    assert table["spot"].unique().tolist() == ["desk"]
    assert suncover.frame(dict(suncover.spots(HOME, FIRST, LAST)), HOME).equals(table)
    doses = suncover.frame(suncover.doses(HOME, FIRST, LAST))
    assert doses["sun_minutes"].tolist() == pytest.approx([table["minutes"].sum()], rel=0.01)


def test_a_plan_is_that_of_the_csv():
    table, csv = suncover.frame(PLANS, HOME), read(suncover.plan_csv(CLOSINGS, ZONE))
    assert table.columns[: len(csv.columns)].tolist() == csv.columns.tolist()
    assert same_instants(table["close"], csv["close"])
    assert same_instants(table["open"], csv["open"])
    assert table["reason"].tolist() == csv["reason"].tolist()
    assert np.allclose(table["sun_minutes"], csv["sun_minutes"], atol=0.005)


@pytest.mark.parametrize("zone", [HOME, None, "Asia/Tokyo"])
def test_a_plan_comes_back_from_its_frame(zone):
    """Also after a table program has been at it: by way of CSV, or with text in its cells."""
    wanted = tuple(sorted(CLOSINGS, key=lambda closing: (closing.close, closing.shade)))
    table = suncover.frame(PLANS, zone)
    assert suncover.read_plan(table, NAMES, ZONE) == wanted
    assert suncover.read_plan(table.sample(frac=1, random_state=1), NAMES, ZONE) == wanted
    assert suncover.read_plan(read(table.to_csv(index=False).encode()), NAMES, ZONE) == wanted
    assert suncover.frame(wanted, zone).equals(table)
    assert suncover.frame(PLANS[0], zone).equals(
        table[table.shade == "=roller"].reset_index(drop=True)
    )


def test_faults_of_a_frame_name_its_rows():
    table = suncover.frame(PLANS, HOME)
    table.loc[1, "shade"] = "rolller"
    table["close"] = table["close"].dt.tz_localize(None)
    with pytest.raises(suncover.FileFaults) as wrong:
        suncover.read_plan(table.head(2), NAMES, ZONE)
    assert [(fault.line, fault.place) for fault in wrong.value.faults] == [
        (1, "close"), (2, "shade"), (2, "close"),
    ]  # fmt: skip
    with pytest.raises(suncover.FileFaults, match="`open` is missing"):
        suncover.read_plan(table.drop(columns="open"), NAMES, ZONE)
    with pytest.raises(suncover.RequestError, match="no plan"):
        suncover.read_plan(CLOSINGS, NAMES, ZONE)


def test_what_is_left_uncovered_has_its_rule_and_sightings_their_seconds():
    parts = [part for plan in PLANS for part in plan.uncovered]
    table = suncover.frame(parts, HOME)
    assert len(table) == len(parts) > 0
    seconds = sum(part.end - part.start for part in parts)
    assert table["minutes"].sum() * 60 == pytest.approx(seconds)
    assert set(table["rule"]) <= {"shortest", "quiet", "season"}
    table = suncover.frame(HOME.sightings, HOME)
    assert table["time"].tolist() == [pd.Timestamp("2027-10-22T09:01:30+02:00")]
    assert table["time"].dt.tz == ZONE
    assert np.isnan(table.loc[0, "distance_m"])


def test_an_audit_has_a_row_for_each_shade():
    audit = suncover.audit_plan(HOME, CLOSINGS[:-3], FIRST, LAST)
    table = suncover.frame(audit)
    assert table["shade"].tolist() == NAMES
    assert table["missed_minutes"].tolist() == [shade.missed / 60 for shade in audit.shades]
    assert table["broken"].any()


def test_a_comparison_adds_up_to_its_summary(summary):
    """The year's CSV is the other account of the same."""
    table = suncover.frame(summary.comparison)
    sums = table.groupby(["window", "option"])[["incident_kwh", "admitted_kwh"]].sum()
    csv = read(suncover.compare_csv(summary.comparison)).query("month == 'year'")
    for row in csv.itertuples():
        for name in ("incident_kwh", "admitted_kwh"):
            ours = sums.loc[(row.window, row.option), name]
            assert ours == pytest.approx(getattr(row, name), abs=0.01)
    lines = suncover.frame(summary)
    house = lines[lines["window"].isna()].set_index("option")
    assert house.loc["bare", "admitted_kwh"] == summary.line("bare").admitted_kwh
    weather = suncover.frame(summary.comparison.weather, HOME)
    assert len(weather) == len(summary.comparison.weather.start)


def test_times_are_aware_in_every_frame(summary):
    results = [
        SUN, PLANS, PLANS[0], CLOSINGS, SUN["south"], list(PLANS[0].uncovered), HOME.sightings,
        summary, summary.comparison, summary.comparison.weather, summary.house,
    ]  # fmt: skip
    for result in results:
        table = suncover.frame(result)
        times = [name for name in table if table[name].dtype.kind == "M"]
        assert times
        assert all(isinstance(table[name].dtype, pd.DatetimeTZDtype) for name in times)


def test_nothing_is_an_empty_plan():
    table = suncover.frame([])
    assert len(table) == 0
    assert suncover.read_plan(table, NAMES, ZONE) == ()
    assert suncover.frame(suncover.ShadePlan("x", ())).columns.equals(table.columns)


def test_what_is_no_result_or_no_zone_is_refused():
    for result in (3, None, "text", [1], [PLANS[0], 1], {"a": 1}, {"a": [1]}, HOME):
        with pytest.raises(suncover.RequestError, match="give spells of"):
            suncover.frame(result)
    for zone in ("Europe/Budapst", 2, ZoneInfo):
        with pytest.raises(suncover.RequestError, match="zone"):
            suncover.frame(SUN, zone)


def test_names_with_spells_print_short_and_travel():
    assert repr(SUN) == (
        f"<sun on each window, Europe/Budapest: south: {len(SUN['south'])} spells, "
        f"=west: {len(SUN['=west'])} spells>"
    )
    again = pickle.loads(pickle.dumps(SUN))
    assert again == SUN == dict(SUN)
    assert (again.kind, again.zone) == ("window", ZONE)
