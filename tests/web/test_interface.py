"""The JSON interface without a browser: asked over a real connection to the loopback address."""

from __future__ import annotations

import base64
import http.client
import json
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import numpy as np
import pytest
import shapely
from command_line import HOME, run, write_home

from suncover.compare.summary import summarize
from suncover.compare.year import compare_year
from suncover.export.files.plan_csv import plan_csv
from suncover.facade.hours import hours
from suncover.keeper.serve import LOOPBACK, listening
from suncover.plan.closings.shade_plan import in_time_order
from suncover.plan.season import season_plan
from suncover.site.file.sitefile import load_site, site_from_text, with_named_files
from suncover.sun.weather.load import load_weather
from suncover.web.answers import ANSWERS
from suncover.web.judge import changed
from suncover.web.serve import MOST_BYTES, serve_site

pytest.importorskip("starlette", reason="starlette is not installed")

TODAY = date(2027, 6, 21)
ROOT = Path(__file__).parent.parent.parent


@dataclass(frozen=True)
class Served:
    """A page that is served."""

    address: str

    def send(
        self, method: str, path: str, body: bytes | None = None, **headers: str
    ) -> tuple[int, bytes, dict[str, str]]:
        where = urlsplit(self.address)
        connection = http.client.HTTPConnection(where.hostname or "", where.port, timeout=30)
        try:
            named = {name.replace("_", "-"): value for name, value in headers.items()}
            connection.request(method, path, body, named)
            answer = connection.getresponse()
            return answer.status, answer.read(), {k.lower(): v for k, v in answer.getheaders()}
        finally:
            connection.close()

    @property
    def base(self) -> str:
        return urlsplit(self.address).path

    def asked(self, name: str, **fields: Any) -> tuple[int, Any]:
        body = json.dumps(fields).encode()
        status, answer, _ = self.send(
            "POST", f"{self.base}api/{name}", body, Content_Type="application/json"
        )
        return status, json.loads(answer)

    def got(self, name: str, **fields: Any) -> Any:
        status, answer = self.asked(name, **fields)
        assert status == 200, answer
        return answer


@contextmanager
def served(path: Path) -> Iterator[Served]:
    with serve_site(path, 0, TODAY) as address:
        yield Served(address)


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A server on a file that no test changes."""
    with served(write_home(tmp_path_factory.mktemp("home"))) as one:
        yield one


def test_the_address_is_on_the_loopback_with_a_token_that_is_new_each_time(tmp_path: Path) -> None:
    path = write_home(tmp_path)
    with served(path) as one, served(path) as other:
        assert urlsplit(one.address).hostname == "127.0.0.1"
        assert len(one.base.strip("/")) >= 32
        assert one.base != other.base


@pytest.mark.parametrize("path", ["/", "/api/read", "/0123456789abcdef/", "/page.css"])
def test_nothing_is_answered_without_the_token(home: Served, path: str) -> None:
    assert home.send("GET", path)[0] == 404
    assert home.send("POST", path, b"{}", Content_Type="application/json")[0] == 404


def test_an_answer_is_sent_at_once() -> None:
    """Without the option, RFC 896 holds its end back until its beginning is acknowledged."""
    with (
        listening(LOOPBACK, 0, "--port 0") as listener,
        socket.create_connection(listener.getsockname()),
    ):
        accepted, _ = listener.accept()
        with accepted:
            assert accepted.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY)


def test_another_host_is_refused(home: Served) -> None:
    """A name of somebody else's that leads to this machine (DNS rebinding)."""
    assert home.send("GET", home.base, Host="example.com")[0] == 400


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "https://example.com"},
        {"Origin": "null"},
        {"Sec_Fetch_Site": "cross-site"},
        {"Sec_Fetch_Site": "same-site"},
    ],
)
def test_another_page_is_refused(home: Served, headers: dict[str, str]) -> None:
    kind = {"Content_Type": "application/json"}
    status, _, _ = home.send("POST", f"{home.base}api/read", b"{}", **headers, **kind)
    assert status == 403


def test_a_form_cannot_ask(home: Served) -> None:
    status, _, _ = home.send("POST", f"{home.base}api/read", b"{}", Content_Type="text/plain")
    assert status == 415


def test_a_request_that_is_too_long_is_refused(home: Served) -> None:
    body = b'{"text": "' + b"x" * MOST_BYTES + b'"}'
    kind = {"Content_Type": "application/json"}
    status, _, _ = home.send("POST", f"{home.base}api/judge", body, **kind)
    assert status == 413


@pytest.mark.parametrize("name", sorted(ANSWERS))
def test_getting_does_nothing(home: Served, name: str) -> None:
    assert home.send("GET", f"{home.base}api/{name}")[0] in (404, 405)


@pytest.mark.parametrize(
    "body", [b"", b"[]", b"{", b"\xff", b"[" * 100_000, b'{"text": "\\ud800"}', b"9" * 5000]
)
def test_what_is_no_request_is_told_as_such(home: Served, body: bytes) -> None:
    kind = {"Content_Type": "application/json"}
    status, answer, _ = home.send("POST", f"{home.base}api/judge", body, **kind)
    assert status == 400
    assert json.loads(answer)["error"]


@pytest.mark.parametrize(
    ("name", "fields"),
    [
        ("judge", {"text": 3}),
        ("sun", {"text": HOME, "window": "attic", "year": 2027}),
        ("sun", {"text": HOME, "window": "kitchen", "year": 9999}),
        ("sun", {"text": HOME, "window": "kitchen", "year": True}),
        ("day", {"text": HOME, "day": "tomorrow"}),
        ("plan", {"text": HOME, "first": "2027-06-02", "last": "2027-06-01", "form": "csv"}),
        ("plan", {"text": HOME, "first": "2027-06-01", "last": "2029-06-01", "form": "csv"}),
        ("plan", {"text": HOME, "first": "2027-06-01", "last": "2027-06-02", "form": "pdf"}),
        ("weigh", {"text": HOME, "window": "attic"}),
        ("moment", {"text": HOME, "day": "2027-06-21", "cell": 144}),
        ("change", {"text": HOME, "changes": [{"add": ["window", 9, "fin"], "values": {}}]}),
        ("change", {"text": HOME, "changes": [{"add": ["window"], "values": {"a b": 1}}]}),
        ("change", {"text": HOME, "changes": [{"drop": ["window", 2]}]}),
        ("change", {"text": HOME, "changes": [{"drop": ["window"]}]}),
        ("begin", {"shape": "dome"}),
        ("bay", {"text": HOME, "wall": "front"}),
        ("change", {"text": HOME, "changes": [{"path": ["window", 9, "sill"], "value": 1}]}),
        ("change", {"text": HOME, "changes": [{"path": ["window", 0, "x = 1"], "value": 1}]}),
        ("change", {"text": HOME, "changes": [{"path": [], "value": 1}]}),
        ("change", {"text": "[", "changes": [{"path": ["site", "name"], "value": "x"}]}),
        ("ask", {"answers": "Home"}),
    ],
)
def test_a_wrong_request_is_told_why(home: Served, name: str, fields: dict[str, Any]) -> None:
    status, answer = home.asked(name, **fields)
    assert status == 400
    assert answer["error"]


def test_page_and_parts_come_with_a_policy_that_lets_nothing_else_in(home: Served) -> None:
    status, page, headers = home.send("GET", home.base)
    assert status == 200
    policy = headers["content-security-policy"]
    assert policy.startswith("default-src 'none'; script-src 'self'; style-src 'self'")
    assert "unsafe" not in policy
    assert b"http" not in page
    for part in ("main.js", "page.css"):
        status, _, headers = home.send("GET", home.base + part)
        assert status == 200
        assert headers["x-content-type-options"] == "nosniff"
    assert home.send("GET", home.base + "page.html")[0] == 404


def test_faults_are_those_of_check_with_their_paths(home: Served, tmp_path: Path) -> None:
    text = HOME.replace("sill = 0.90", "sill = -1", 1).replace('width = "4 ft"', 'width = "4 fet"')
    told = run("check", write_home(tmp_path, text)).faults
    faults = home.got("judge", text=text)["faults"]
    assert [fault["path"] for fault in faults] == [["window", 0, "sill"], ["window", 1, "width"]]
    for fault, line in zip(faults, told, strict=True):
        assert line.endswith(
            f":{fault['line']}:{fault['column']}: {fault['place']}: {fault['message']}"
        )


def test_a_change_keeps_comments_and_layout(home: Served) -> None:
    text = HOME.replace("sill = 0.90", "sill   = 0.90   # by tape", 1)
    roof = ["window", 0, "overhang"]
    changes = [
        {"path": ["window", 0, "sill"], "value": "3 ft"},
        {"path": ["shade", 0, "lead"], "value": 5},
        {"path": [*roof, "depth"], "value": 0.8},
        {"path": [*roof, "gap"], "value": 0.1},
    ]
    changed = home.got("change", text=text, changes=changes)
    assert 'sill   = "3 ft"   # by tape\n' in changed["text"]
    assert changed["faults"] == []
    kitchen = changed["site"]["windows"][0]
    assert kitchen["sill"] == pytest.approx(0.9144)
    assert (kitchen["overhang"]["depth"], kitchen["overhang"]["gap"]) == (0.8, 0.1)
    assert set(text.splitlines()) - set(changed["text"].splitlines()) == {
        "sill   = 0.90   # by tape"
    }


def test_the_sun_is_that_of_hours(home: Served) -> None:
    answer = home.got("sun", text=HOME, window="study", year=2027)
    spells = hours(site_from_text(HOME), date(2027, 1, 1), date(2027, 12, 31))["study"]
    assert answer["sun_h"] == pytest.approx(sum(spell.seconds for spell in spells) / 3600)
    assert sum(end - start for _, start, end in answer["pieces"]) == pytest.approx(
        answer["sun_h"] * 3600
    )
    power = np.frombuffer(base64.b64decode(answer["power"]), dtype="<u2").reshape(365, 144)
    lit = np.zeros((365, 144), dtype=bool)
    for day, start, end in answer["pieces"]:
        lit[day, start // 600 : -(-end // 600)] = True
    assert np.any(power > 0)
    assert not np.any(power[~lit])


def test_a_day_has_the_sun_on_every_window(home: Served) -> None:
    day = home.got("day", text=HOME, day="2027-06-21")
    noon = int(np.argmax(day["elevation"]))
    # At 36.10 N on the longest day the sun stands 90 - 36.10 + 23.44 degrees high at noon.
    assert day["elevation"][noon] == pytest.approx(77.34, abs=0.1)
    assert max(day["power"]["study"][:70]) == 0  # it faces west of south
    assert max(day["power"]["study"][100:]) > 300


def cells_of(answer: Any) -> Any:
    return np.frombuffer(base64.b64decode(answer["power"]), dtype="<u2").reshape(-1, 144)


def test_a_rough_year_and_a_day_are_parts_of_the_year(home: Served) -> None:
    whole = home.got("sun", text=HOME, window="kitchen", year=2027)
    rough = home.got("sun", text=HOME, window="kitchen", year=2027, rough=True)
    assert (rough["pieces"], rough["sun_h"]) == (whole["pieces"], pytest.approx(whole["sun_h"]))
    day = date(2027, 6, 21).timetuple().tm_yday - 1
    one = home.got("day", text=HOME, window="kitchen", day="2027-06-21")
    assert one["pieces"] == [[a, b] for number, a, b in whole["pieces"] if number == day]
    assert one["power"] == cells_of(whole)[day].tolist()
    drawn = (day // 4) * 4 + 2  # of four days the third is drawn for all
    lit = cells_of(whole)[drawn] > 0
    assert np.array_equal(cells_of(rough)[day][lit], cells_of(whole)[drawn][lit])
    both = home.got("house", text=HOME, year=2027)["sun_h"]
    assert both["kitchen"] == pytest.approx(whole["sun_h"])


YARD = """
[[window]]
name = "gallery"
azimuth = 190
width = 2
height = 1.5
sill = 0.5
position = [0, 0]

[[obstacle]]
name = "wall"
footprint = [[-6, -5], [6, -5], [6, -4], [-6, -4]]
top = 4

[[tree]]
name = "elm"
trunk = [9, -4]
width = 4
bottom = 1
top = 6
leaf = 0.2
"""


def test_a_moment_shows_what_is_lit_then(home: Served) -> None:
    text = HOME + YARD
    day = home.got("day", text=text, day="2027-12-21")
    shares = []
    for cell in (60, 72, 80, 100):
        now = home.got("moment", text=text, day="2027-12-21", cell=cell)
        assert now["azimuth"] == day["azimuth"][cell]
        for name, here in now["windows"].items():
            assert here["power"] == pytest.approx(day["power"][name][cell], abs=1)
        pane = now["windows"]["gallery"]
        lit = sum(shapely.Polygon(ring).area for ring in pane["lit"])
        shares.append(pane["share"])
        assert lit / (2 * 1.5) == pytest.approx(pane["share"], abs=0.002)
        # A shadow is as long as the height times the cotangent of the sun's height, which is told
        # to a hundredth of a degree.
        (shadow,) = now["ground"]
        height = np.radians(now["elevation"])
        reach, off = 4 / np.tan(height), 0.02 + 4 / np.sin(height) ** 2 * np.radians(0.01)
        north = -5 - reach * np.cos(np.radians(now["azimuth"]))
        assert max(point[1] for point in shadow) == pytest.approx(max(north + 1, -4), abs=off)
        assert len(now["crowns"]) == 1
    assert any(0 < share < 1 for share in shares)
    night = home.got("moment", text=text, day="2027-12-21", cell=3)
    assert night["ground"] == night["crowns"] == []
    assert all(here["share"] == 0 for here in night["windows"].values())


def test_a_wall_is_lit_as_a_pane_of_its_size_would_be(home: Served) -> None:
    wall = '[[wall]]\nname = "yard side"\nazimuth = 190\nlength = 4\nstart = [-2, 0]\n'
    turned = np.radians(190)
    middle = [-2 - 2 * np.cos(turned), 2 * np.sin(turned)]
    pane = YARD.replace("width = 2", "width = 4").replace("height = 1.5", "height = 2.7")
    pane = pane.replace("sill = 0.5", "sill = 0").replace("[0, 0]", str([float(m) for m in middle]))
    asked = {"day": "2027-12-21", "cell": 72}
    found = home.got("moment", text=HOME + wall + pane, wall="yard side", **asked)
    assert found["wall"]["height"] == 2.7
    assert found["wall"]["lit"] == found["windows"]["gallery"]["lit"] != []
    assert home.got("moment", text=HOME + wall + pane, **asked)["wall"] is None


def test_every_key_of_the_file_has_a_field(home: Served) -> None:
    schema = json.loads((ROOT / "docs/site-file.schema.json").read_text("utf-8"))
    forms = {form["kind"]: form for form in home.got("forms")["forms"]}
    # What is seen and what is on are read from other files.
    assert set(schema["properties"]) - set(forms) == {"sighting", "calendar"}
    for kind, form in forms.items():
        node = schema["properties"][kind]
        table = schema["$defs"][node.get("items", node)["$ref"].rpartition("/")[2]]
        assert {field["key"] for field in form["fields"]} == set(table["properties"])
        assert all(field["about"] for field in form["fields"])


def test_tables_come_and_go_and_names_follow(home: Served) -> None:
    changes = [
        {"add": ["tree"], "values": {"name": "elm", "trunk": [1, 2]}},
        {"path": ["window", 0, "name"], "value": "galley"},
        {"drop": ["window", 1]},
        {"path": ["weather", "file"], "value": "bundled:greensboro"},
        {"path": ["keeper", "wind", "above"], "value": 12},
        {"path": ["shade", 0, "need", "glare", "reach"], "value": "1 m"},
        {"path": ["shade", 0, "need", "for"], "value": ["glare"]},
    ]
    changed_text = home.got("change", text=HOME, changes=changes)
    tables = changed_text["tables"]
    assert [window["name"] for window in tables["window"]] == ["galley"]
    assert tables["shade"][0]["windows"] == ["galley"]
    assert tables["tree"] == [{"name": "elm", "trunk": [1, 2]}]
    assert tables["weather"] == {"file": "bundled:greensboro"}
    assert tables["keeper"] == {"wind": {"above": 12}}
    assert tables["shade"][0]["need"] == {"glare": {"reach": "1 m"}, "for": ["glare"]}
    missing = [fault["path"] for fault in changed_text["faults"] if fault["path"][:1] == ["tree"]]
    assert ["tree", 0, "width"] in missing  # told at its field


def test_a_map_gives_neighbours(home: Served) -> None:
    lon, lat = -79.95, 36.10
    ring = [[lon + 1e-4 * x, lat + 1e-4 * y] for x, y in ((-1, -2), (1, -2), (1, -3), (-1, -3))]
    feature = {
        "type": "Feature",
        "properties": {"building": "yes", "height": 30},
        "geometry": {"type": "Polygon", "coordinates": [[*ring, ring[0]]]},
    }
    found = home.got("around", text=HOME + YARD, map=json.dumps(feature))
    assert found["told"] == "1 obstacle and 0 trees added"
    assert found["text"].startswith(HOME + YARD)
    assert found["site"]["obstacles"][1]["top"] == 30
    status, answer = home.asked("around", text=HOME, map="{")
    assert status == 422
    assert "no JSON" in answer["faults"][0]["message"]


def test_the_report_of_the_year(home: Served) -> None:
    page = home.got("report", text=HOME)["text"]
    assert page.startswith("<!doctype html>")
    assert "Larkspur Lane" in page


def test_a_day_on_which_clocks_change_has_all_its_cells(home: Served) -> None:
    for text in ("2027-03-14", "2027-11-07"):
        assert len(home.got("day", text=HOME, day=text)["azimuth"]) == 144


def test_the_plan_is_that_of_the_library(home: Served) -> None:
    first, last = date(2027, 6, 1), date(2027, 6, 30)
    dates = {"first": first.isoformat(), "last": last.isoformat()}
    site = site_from_text(HOME)
    rows = in_time_order(row for plan in season_plan(site, first, last) for row in plan.closings)
    assert home.got("plan", text=HOME, form="csv", **dates)["text"].encode() == plan_csv(
        rows, site.place.zone
    )
    calendar = home.got("plan", text=HOME, form="ics", **dates)["text"]
    assert calendar.count("BEGIN:VEVENT") == len(rows) + 1  # and one that says that it ends
    year = season_plan(site, date(2027, 1, 1), date(2027, 12, 31))
    own = {
        name: plan.closings
        for plan, shade in zip(year, site.all_shades(), strict=True)
        for name in shade.windows
    }
    for name in ("kitchen", "study"):
        closed = home.got("closed", text=HOME, window=name, year=2027)
        assert closed["closings"] == len(own[name])
        assert closed["reasons"] == list(dict.fromkeys(row.reason for row in own[name]))


def test_an_overhang_that_is_tried_takes_sun_away(home: Served) -> None:
    roof = ["window", 1, "overhang"]
    tried = home.got("change", text=HOME, changes=[{"path": [*roof, "depth"], "value": 1.0}])[
        "text"
    ]
    today = home.got("sun", text=HOME, window="study", year=2027)
    then = home.got("sun", text=tried, window="study", year=2027)
    assert then["clear_kwh"] < 0.9 * today["clear_kwh"]
    other = home.got("sun", text=tried, window="kitchen", year=2027)
    assert other == home.got("sun", text=HOME, window="kitchen", year=2027)


def test_what_has_faults_has_no_sun(home: Served) -> None:
    status, answer = home.asked("sun", text=HOME.replace("36.10", "136"), window="study", year=2027)
    assert status == 422
    assert answer["faults"][0]["place"] == "[site]: latitude"


def test_a_trial_is_weighed_as_the_comparison_of_the_house_so_changed() -> None:
    path = ROOT / "sample_sites/bungalow.toml"
    text = path.read_text("utf-8")
    changes = [{"path": ["window", 2, "overhang", "depth"], "value": 0.8}]
    tried_text = changed(text, changes)
    sites = [load_site(path), with_named_files(site_from_text(tried_text), path.parent)]
    years = [compare_year(site, load_weather(site)) for site in sites]
    with served(path) as one:
        answer = one.got("weigh", text=text, window="kitchen", changes=changes)
        kept = one.got("weigh", text=text, window="kitchen")
    for told, year in zip(answer["options"], years, strict=True):
        _, admitted = year.monthly_kwh("as it stands", "kitchen")
        assert told["window"]["admitted_kwh"] == pytest.approx(float(admitted.sum()))
        house = float(year.house("as it stands").sum()) / 1000.0
        assert told["house"]["admitted_kwh"] == pytest.approx(house)
    # What an overhang takes away on hot and on cold days is what it takes away, give or take what
    # the models are off by (a tenth, `compare.money`); spring and autumn days are neither.
    less = answer["options"][0]["window"]["admitted_kwh"]
    less -= answer["options"][1]["window"]["admitted_kwh"]
    worth = answer["options"][1]["window"]
    both = worth["kept_out_on_cooling_days_kwh"][0] + worth["lost_on_heating_days_kwh"][0]
    assert 0 < both <= less
    summary = summarize(years[0])
    names = ["as it stands", "kitchen screen", "sun film"]
    assert [told["option"] for told in kept["options"]][:3] == names
    for told in kept["options"]:
        line = summary.line(told["option"])
        assert told["house"]["admitted_kwh"] == pytest.approx(line.admitted_kwh)
        assert told["house"]["kept_out_on_cooling_days_kwh"] == pytest.approx(
            line.worth.kept_out_kwh, abs=0.001
        )


class TestSaving:
    def test_writes_the_text_as_it_is(self, tmp_path: Path) -> None:
        path = write_home(tmp_path)
        with served(path) as one:
            read = one.got("read")
            text = "# mine\r\n" + read["text"]
            digest = one.got("save", text=text, digest=read["digest"])["digest"]
            assert path.read_bytes() == text.encode()
            assert one.got("read") == {
                "text": text,
                "digest": digest,
                "file": "home.toml",
                "units": "metric",
            }
            one.got("save", text=read["text"], digest=digest)
        assert path.read_bytes() == HOME.encode()
        assert [entry.name for entry in tmp_path.iterdir()] == ["home.toml"]

    def test_a_mark_at_the_start_stays(self, tmp_path: Path) -> None:
        path = write_home(tmp_path, "\ufeff" + HOME)
        with served(path) as one:
            read = one.got("read")
            assert read["text"] == HOME
            one.got("save", text=HOME + "# more\n", digest=read["digest"])
        assert path.read_bytes() == b"\xef\xbb\xbf" + HOME.encode() + b"# more\n"

    def test_a_file_that_somebody_else_changed_is_shown_and_left(self, tmp_path: Path) -> None:
        path = write_home(tmp_path)
        with served(path) as one:
            read = one.got("read")
            theirs = HOME + "# theirs\n"
            path.write_text(theirs, encoding="utf-8")
            status, answer = one.asked("save", text=HOME + "# ours\n", digest=read["digest"])
            assert status == 409
            assert answer["text"] == theirs
            assert path.read_text("utf-8") == theirs
            # And once it has been seen:
            one.got("save", text=HOME + "# both\n", digest=answer["digest"])
        assert path.read_text("utf-8") == HOME + "# both\n"

    def test_a_file_that_has_gone_is_not_made_again_unasked(self, tmp_path: Path) -> None:
        path = write_home(tmp_path)
        with served(path) as one:
            read = one.got("read")
            path.unlink()
            status, answer = one.asked("save", text=HOME, digest=read["digest"])
        assert (status, answer["text"]) == (409, "")
        assert not path.exists()

    def test_what_is_faulty_is_not_written(self, tmp_path: Path) -> None:
        path = write_home(tmp_path)
        with served(path) as one:
            digest = one.got("read")["digest"]
            wrong = HOME.replace("azimuth = 95", "azimuth = 950")
            status, answer = one.asked("save", text=wrong, digest=digest)
        assert status == 422
        assert [fault["place"] for fault in answer["faults"]] == ['window "kitchen": azimuth']
        assert path.read_text("utf-8") == HOME


def test_a_new_file_by_the_questions_of_the_interview(tmp_path: Path) -> None:
    path = tmp_path / "new.toml"
    given = {
        "site.place": "30.03 S, 51.22 W",
        "window.1.azimuth": "N",
        "window.1.width": "1.2",
        "window.1.height": "1.4",
    }
    with served(path) as one:
        assert one.got("read")["digest"] == ""
        answers: list[str] = []
        for _ in range(60):
            answer = one.got("ask", answers=answers)
            if "text" in answer:
                break
            assert "fault" not in answer, answer
            question = answer["question"]
            answers.append(given.get(question["key"], question["default"] or "1"))
        assert not path.exists()
        one.got("save", text=answer["text"], digest="")
    site = load_site(path)
    assert site.place.latitude == -30.03
    assert site.windows[0].width == 1.2


def test_a_wrong_answer_is_asked_again_and_told_why(home: Served) -> None:
    answer = home.got("ask", answers=["Home", "somewhere"])
    assert answer["question"]["key"] == "site.place"
    assert answer["answered"] == 1
    assert "47.38" in answer["fault"]
