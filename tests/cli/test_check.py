"""`suncover check`: a page about a sound file, a line for each fault of another."""

import re

import pytest
from command_line import HOME, ok, refused, write_home
from site_texts import table, window


def checked(folder, text=HOME, **keys):
    """What is said of a sound file."""
    return ok("check", write_home(folder, text), **keys)


def flat(folder, text=HOME):
    return " ".join(checked(folder, text).out.split())


def test_a_sound_file_is_shown_as_it_was_understood(tmp_path):
    said = checked(tmp_path)
    assert said.err == ""
    assert said.out.splitlines()[0].endswith("home.toml: no faults found")
    for text in (
        "Larkspur Lane",
        "36.1° north, 79.95° west, 270 m above sea level",
        "clocks of America/New_York (found from the coordinates)",
        "Sun counts from 120 W/m² of clear-sky beam, 15 Apr to 15 Oct",
        "95° (east)",
        "250° (west-south-west)",
        "skyline up to 15°",
        "kitchen roller  kitchen; 75 s to close; quiet 21:30 to 07:00",
        "study           study; a shade with the defaults",
        "desk (behind study: 1 m in, 0.75 m up)",
        'no shade names "study": each gets a shade of its own with the defaults',
    ):
        assert text in said.out
    assert "north up" not in said.out, "without a plan there is no drawing"
    exact = "taken as exact, as the file gives no `azimuth_sd`: the azimuth of kitchen and study"
    assert exact in said.flat
    zone = HOME.replace("elevation = 270", 'timezone = "America/New_York"')
    assert "clocks of America/New_York (as the file says)" in checked(tmp_path, zone).out


def test_everything_around_the_windows_is_counted(tmp_path):
    more = (
        "[window.overhang]\ndepth = 0.5\n[[window.fin]]\nside = 'left'\ndepth = 0.3\n",
        window("roof", 180, 1, 1, tilt=30, reveal=0.1),
        window("dome", 0, 1, 1, tilt=0),
        table("obstacle", name="barn", footprint=[[50, 0], [60, 0], [60, 9]], top=5),
        table("tree", name="maple", trunk=[9, -60], width=7, bottom=2.5, top=11, leaf=0.15),
        table(
            "shade",
            name="roof screen",
            windows=["roof"],
            moves=4,
            need={"beam": 0, "fraction": 0.5},
        ),
    )
    said = flat(tmp_path, HOME.replace("[[shade]]", "".join(more) + "[[shade]]"))
    for text in (
        "overhang 0.50 m, 1 fin",
        "180° (south), tilted 30°",
        "flat, looking up",
        "reveal 0.10 m",
        "obstacles: barn",
        "trees: maple",
        "at most 4 moves a day",
        "its own need: 0 W/m², more than 50 % of the glass",
    ):
        assert text in said


def test_every_fault_has_a_line_with_its_place_and_remedy(tmp_path):
    text = HOME.replace("azimuth = 95", "azimuth = 400").replace("travel", "travl")
    path = write_home(tmp_path, text.replace("height = 1.40", "height = 1,4"))
    said = refused("check", path)
    assert said.faults == [
        f'{path}:12:11: window "kitchen": azimuth: 400 is not between 0 and 360',
        f"{path}:14:11: a number has a point, not a comma: 1.4",
        f'{path}:28:1: shade "kitchen roller": unknown key `travl`, did you mean `travel`?',
    ]


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda _: None, "there is no such file"),
        (lambda path: path.mkdir(), "this is a folder"),
        (lambda path: path.write_bytes(b"\0\xff" * 99), "not a text"),
        (lambda path: path.write_text("[site"), "]"),
        (lambda path: path.write_text(""), "the file is empty"),
    ],
    ids=["missing", "folder", "binary", "no TOML", "empty"],
)
def test_what_is_no_site_file_is_refused_by_name(tmp_path, make, told):
    path = tmp_path / "home.toml"
    make(path)
    said = refused("check", path)
    assert all(fault.startswith(str(path)) for fault in said.faults)
    assert told in said.faults[-1]


def test_a_weather_file_that_is_not_there_is_remarked_on(tmp_path):
    text = HOME + table("weather", file="year.csv", stamp="end")
    assert "there is no file" in checked(tmp_path, text).out
    (tmp_path / "year.csv").write_text("time,ghi,dni,dhi\n")
    assert "there is no file" not in checked(tmp_path, text).out


def test_a_name_can_neither_style_nor_steer_the_screen(tmp_path):
    """Right-to-left marks and invisible characters are allowed in names; markup is mere text."""
    odd = "[red]kitchen[/red] \u202e窓 🪟 \u200b{x}"
    said = checked(tmp_path, HOME.replace('"kitchen"', f'"{odd}"'))
    assert "[red]kitchen[/red]" in said.out
    assert "\u202e" not in said.out
    assert "\\u202e" in said.out
    # A screen that knows ASCII only gets ASCII.
    said = checked(tmp_path, encoding="ascii")
    assert "95 deg (east)" in said.out
    assert "W/m2" in said.out
    assert "?" not in said.out


@pytest.mark.parametrize("count", [41, 200])
def test_a_long_list_of_windows_ends_with_their_number(tmp_path, count):
    said = checked(tmp_path, HOME + "".join(window(f"w{n}", 90, 1, 1) for n in range(count)))
    assert f"… and {count + 2 - 40} more windows" in said.out
    assert f"… and {count + 2 - 40} more shades" in said.out


def test_each_azimuth_is_stated_with_its_uncertainty_and_what_that_does(tmp_path):
    text = HOME.replace("azimuth = 95", "compass = 101.5\nmeasured = 2027-03-02")
    said = flat(tmp_path, text.replace("azimuth = 250", 'azimuth = "west-south-west"'))
    kitchen = re.search(
        r"kitchen faces ([\d.]+)° ± 5\.\d° \(compass 101\.5° on 2027-03-02\): the sun may leave "
        r"up to (\d+) min earlier or later",
        said,
    )
    study = re.search(r"study faces 247\.5° ± 6\.5°: the sun may come up to (\d+) min", said)
    # The sun turns by 15° an hour about the pole, and faster than that about the zenith when it is
    # high: five degrees are at most some 20 minutes.
    assert 5 <= int(kitchen[2]) <= 25
    assert 5 <= int(study[1]) <= 30
    # The years of the magnetic models end before that.
    said = flat(tmp_path, text.replace("2027", "2041"))
    assert "kitchen: the compass was read on 2041-03-02, but the magnetic models" in said
    both = flat(tmp_path, HOME.replace("azimuth = 250", "azimuth = 180\nazimuth_sd = 1"))
    come_and_leave = r"the sun may come up to \d+ min and leave up to \d+ min earlier or later"
    assert re.search(rf"study faces 180° ± 1\.0°: {come_and_leave}", both)


def test_no_window_is_said_to_be_open_by_no_minutes(tmp_path):
    """An east window's sun comes at sunrise, a flat one's sun leaves at sunset as well."""
    text = HOME.replace("azimuth = 95", "azimuth = 95\nazimuth_sd = 1").replace("skyline", "#")
    said = flat(tmp_path, text.replace("azimuth = 250", "azimuth = 250\nazimuth_sd = 1\ntilt = 0"))
    assert re.search(r"kitchen faces 95° ± 1\.0°: the sun may leave up to \d+ min earlier", said)
    assert " 0 min" not in said
    assert "study faces" not in said


SUNSHINE = [0.3, 0.3, 0.4, 0.5, 0.5, 0.6, 0.6, 0.6, 0.5, 0.4, 0.3, 0.3]
PLANNED = HOME + "".join(
    (
        table("wall", name="street side", azimuth=180, length=8, start=[0, 0]),
        window("bath", None, 1, 1, wall="street side", along=6),
        table("obstacle", name="barn", from_="street side", out=6, width=6, depth=4, top=5),
        table("tree", name="maple", trunk=[-4, -6], width=4, bottom=2.5, top=11, leaf=0.15),
        table("canopy", name="porch", windows=["bath"], height=3, depth=1.5),
        table("supply", name="box", shades=["kitchen roller", "study"], gap="3 s"),
        table("group", name="front", shades=["study", "bath"]),
        table("exception", name="holidays", dates=["2027-07-10", "2027-07-24"], do="up"),
        table("weather", sunshine=SUNSHINE),
        table("money", electricity=[0.15, 0.2], shade=300),
    )
)
NEEDS = """
for = ["heat", "glare", "sleep", "privacy"]
glare = { reach = 2 }
sleep = { dark = ["21:00", "07:00"] }
privacy = { until = "22:30" }
"""


def test_all_that_was_read_is_told_back(tmp_path):
    said = flat(tmp_path, PLANNED.replace("[need]\n", f"[need]{NEEDS}"))
    for sentence in (
        "walls: street side (8 m)",
        "roofs over several windows: porch (over bath, 1.5 m deep)",
        "power supplies: box (kitchen roller and study; 1 motor at once, 3 s between starts)",
        "groups: front (study and bath, together)",
        "dates apart: holidays (10 to 24 Jul 2027, all shades up)",
        "places to watch: desk (behind study: 1 m in, 0.75 m up)",
        "glare while sun is on any spot or farther than 2 m into the room",
        "sleep, dark from 21:00 to 07:00",
        "privacy from dusk to 22:30",
        "weather: sunshine of 30% to 60% of the possible, by month",
        "money: electricity $ 0.15 to 0.2 a kWh and a motor shade $ 300",
        "a bath, faces 180° (south), at 6.50 m east",
        "1 barn, up to 5 m",
        "2 maple, a crown 4 m wide from 2.5 to 11 m, its trunk at 4.00 m west, 6.00 m south",
    ):
        assert sentence in said


def test_the_plan_is_drawn_north_up(tmp_path):
    """West to east along the wall, which looks south at the barn; the tree is in the south-west."""
    lines = checked(tmp_path, PLANNED).out.splitlines()
    start = next(number for number, line in enumerate(lines) if "north up" in line)
    columns, metres = re.search(r"a column is (\S+) m, a line (\S+) m", lines[start + 1]).groups()
    assert float(metres) == 2 * float(columns)
    drawing = lines[start + 2 : next(n for n, line in enumerate(lines) if "a  bath" in line)]
    at = {
        mark: next((n, line.index(mark)) for n, line in enumerate(drawing) if mark in line)
        for mark in ("#", "a", "1", "2")
    }
    assert at["#"][0] == at["a"][0] < at["1"][0], "the barn lies south of the wall"
    assert at["2"][1] < at["#"][1] < at["a"][1], "the tree lies west of it, the bath east"
    assert at["a"][1] - at["#"][1] == pytest.approx(6.5 / float(columns), abs=1.01)
