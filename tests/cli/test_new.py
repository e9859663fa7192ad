"""`suncover new`, talked to through a real terminal, and from a file of answers."""

from __future__ import annotations

import os
import re
import select
import signal
import sys
import time
import tomllib
from pathlib import Path

import pytest
from command_line import run, write_home

from suncover.site.file.sitefile import load_site

try:
    import pty
except ImportError:  # Windows
    pty = None  # type: ignore[assignment]

in_terminal = pytest.mark.skipif(pty is None, reason="this platform has no pseudo-terminals")

PATIENCE_S = 60.0


class Terminal:
    """`suncover` running in a pseudo-terminal."""

    def __init__(self, *args: str | Path) -> None:
        self.screen = ""
        self._seen = 0
        self._child, self._end = pty.fork()
        if self._child == 0:
            environment = {
                **os.environ,
                "TERM": "dumb",
                "COLUMNS": "80",
                "PYTHONUTF8": "1",
                "TZ": "UTC",
            }
            program = [sys.executable, "-m", "suncover", *map(str, args)]
            os.execve(sys.executable, program, environment)

    def wait_for(self, text: str) -> None:
        """Reads on until the text stands on the screen, after all that was waited for before."""
        until = time.monotonic() + PATIENCE_S
        while text not in self.screen[self._seen :]:
            assert self._read_some(until), f"no {text!r} in:\n{self.screen}"
        self._seen = self.screen.index(text, self._seen) + len(text)

    def _read_some(self, until: float) -> bool:
        if not select.select([self._end], [], [], max(until - time.monotonic(), 0))[0]:
            return False
        try:
            data = os.read(self._end, 4096)
        except OSError:  # Linux: the other end is closed
            return False
        self.screen += data.decode()
        return bool(data)

    def answer(self, question: str, text: str) -> None:
        """Types a line once the question stands there."""
        self.wait_for(question)
        self.wait_for(": ")
        os.write(self._end, f"{text}\n".encode())

    def interrupt(self) -> None:
        """Presses Ctrl-C."""
        os.write(self._end, b"\x03")

    def status(self) -> int:
        """Reads to the end; the exit status."""
        until = time.monotonic() + PATIENCE_S
        while self._read_some(until):
            pass
        ended, status = os.waitpid(self._child, os.WNOHANG)
        while not ended and time.monotonic() < until:
            time.sleep(0.01)
            ended, status = os.waitpid(self._child, os.WNOHANG)
        if not ended:
            os.kill(self._child, signal.SIGKILL)
            os.waitpid(self._child, 0)
        os.close(self._end)
        assert ended, f"it did not end; on the screen:\n{self.screen}"
        return os.waitstatus_to_exitcode(status)


PLACE = (("called?", "Larkspur Lane"), ("Latitude, longitude", "47.38, 8.54"), ("sea", "400"))
WINDOW = (
    ("called?", "kitchen"),
    ("does kitchen face?", "compass 101.5"),
    ("compass read?", "2027-03-02"),
    ("wide is the glass?", "48 in"),
    ("high is the glass?", ""),
    ("above the floor", ""),
    ("outer face", "0"),
    ("roof or balcony", "0.6"),
    ("underside?", "0.25"),
    ("motor shade on kitchen?", "yes"),
    ("shade called?", ""),
    ("seconds", "75"),
    ("must it not run?", "21:30-07:00"),
    ("Another window?", "no"),
)


@in_terminal
def test_a_site_file_comes_out_of_a_talk(tmp_path: Path) -> None:
    file = tmp_path / "home.toml"
    terminal = Terminal("new", file)
    for question, text in (*PLACE, ("time zone?", ""), *WINDOW):
        terminal.answer(question, text)
    assert terminal.status() == 0
    assert "[Europe/Zurich]" in terminal.screen
    assert "Never look at the sun" in terminal.screen
    site = load_site(file)
    [window] = site.windows
    assert site.place.zone_name == "Europe/Zurich"
    assert (window.width, window.height, window.reveal) == (1.2192, 1.4, 0.0)
    # Magnetic north lies 3.7° east there (World Magnetic Model 2025).
    assert window.azimuth == pytest.approx(105.2, abs=0.1)
    assert window.overhang is not None
    assert window.overhang.gap == 0.25
    [shade] = site.shades
    assert (shade.name, shade.travel) == ("kitchen shade", 75)
    assert not (tmp_path / "home.toml.answers").exists()
    assert "#" in file.read_text()


@in_terminal
def test_wrong_answers_are_asked_again_and_one_can_go_back(tmp_path: Path) -> None:
    file = tmp_path / "home.toml"
    terminal = Terminal("new", file)
    terminal.answer("called?", "Home")
    terminal.answer("Latitude, longitude", "somewhere")
    terminal.wait_for("write latitude and longitude like this")
    terminal.answer("Latitude, longitude", "97, 8")
    terminal.wait_for("latitude 97 is not between -90 and 90")
    terminal.answer("Latitude, longitude", "<")
    terminal.answer("called?", "Another name")
    terminal.answer("Latitude, longitude", "36.1 -79.95")
    terminal.answer("sea", "high")
    terminal.wait_for('"high" is not a length')
    terminal.answer("sea", "270")
    terminal.answer("time zone?", "Europe/Zurch")
    terminal.wait_for("Europe/Zurich")
    terminal.answer("time zone?", "America/New_York")
    terminal.answer("called?", "w")
    terminal.answer("face?", "up")
    terminal.wait_for("is not a direction")
    terminal.answer("face?", "400")
    terminal.wait_for("400 is not between 0 and 360")
    terminal.answer("face?", "south")
    for question in ("wide", "high is", "floor", "outer face", "roof or balcony"):
        terminal.answer(question, "")
    terminal.answer("motor shade", "perhaps")
    terminal.wait_for("answer yes or no")
    terminal.answer("motor shade", "no")
    terminal.answer("Another window?", "")
    assert terminal.status() == 0
    site = load_site(file)
    assert site.place.name == "Another name"
    assert (site.windows[0].azimuth, site.shades) == (180.0, ())


@in_terminal
def test_answers_that_no_house_has_are_asked_about_at_once(tmp_path: Path) -> None:
    file = tmp_path / "home.toml"
    terminal = Terminal("new", file)
    terminal.answer("called?", "Home")
    terminal.answer("Latitude, longitude", "-64.2, -31.4")
    terminal.wait_for("is in the open sea: are they swapped")
    terminal.answer("Take it as it is?", "n")
    terminal.answer("Latitude, longitude", "-31.4, -64.2")
    terminal.answer("sea", "420")
    terminal.answer("time zone?", "")
    terminal.answer("called?", "w")
    terminal.answer("face?", "south")
    terminal.answer("wide", "180")
    terminal.wait_for('width is 180 m; was another unit meant, such as "180 cm"')
    terminal.answer("Take it as it is?", "")
    terminal.answer("wide", "180 cm")
    for question in ("high is", "floor", "outer face"):
        terminal.answer(question, "")
    terminal.answer("roof or balcony", "12")
    terminal.wait_for("overhang is 12 m")
    terminal.answer("Take it as it is?", "y")
    terminal.answer("underside?", "0.2")
    terminal.answer("motor shade", "yes")
    terminal.answer("shade called?", "")
    terminal.answer("seconds", "1.5")
    terminal.wait_for("were minutes meant? That would be 90")
    terminal.answer("Take it as it is?", "no")
    terminal.answer("seconds", "90")
    terminal.answer("must it not run?", "9 pm to 7 am")
    terminal.answer("Another window?", "")
    assert terminal.status() == 0
    site = load_site(file)
    assert site.windows[0].width == 1.8
    assert site.windows[0].overhang is not None
    assert site.windows[0].overhang.depth == 12
    assert site.shades[0].travel == 90


@in_terminal
def test_after_a_break_it_goes_on_where_it_was(tmp_path: Path) -> None:
    file = tmp_path / "home.toml"
    first = Terminal("new", file)
    for question, text in (*PLACE, ("time zone?", ""), *WINDOW[:4]):
        first.answer(question, text)
    first.wait_for("high is the glass?")
    first.wait_for(": ")
    first.interrupt()
    assert first.status() == 130
    assert not file.exists()
    again = Terminal("new", file)
    again.wait_for("going on with the answers")
    for question, text in WINDOW[4:]:
        again.answer(question, text)
    assert again.status() == 0
    assert load_site(file).windows[0].width == 1.2192


@in_terminal
def test_a_window_is_added_to_a_file_that_is_there(tmp_path: Path) -> None:
    file = write_home(tmp_path)
    before = file.read_text()
    terminal = Terminal("new", file)
    terminal.answer("called?", "kitchen")
    terminal.wait_for('there is a "kitchen" already')
    terminal.answer("called?", "bedroom")
    terminal.answer("face?", "wall")
    terminal.answer("left end", "36.100000, -79.950000")
    terminal.answer("right end", "36.100000, -79.949900")
    for question in ("wide", "high is", "floor", "outer face", "roof or balcony"):
        terminal.answer(question, "")
    terminal.answer("motor shade", "yes")
    terminal.answer("shade called?", "kitchen roller")
    terminal.wait_for('there is a "kitchen roller" already')
    for question in ("shade called?", "seconds", "must it not run?", "Another window?"):
        terminal.answer(question, "")
    assert terminal.status() == 0
    assert file.read_text().startswith(before)
    site = load_site(file)
    assert [window.name for window in site.windows] == ["kitchen", "study", "bedroom"]
    # From west to east with the outside on the right: it faces south.
    assert site.windows[2].azimuth == pytest.approx(180.0, abs=0.01)


@in_terminal
def test_one_can_go_back_and_deeper_at_every_prompt(tmp_path: Path) -> None:
    file = tmp_path / "home.toml"
    terminal = Terminal("new", file)
    terminal.answer("called?", "Home")
    terminal.answer("Latitude, longitude", "30.03 S, 51.22 W")
    terminal.wait_for("that is 30.03° south, 51.22° west, by the clocks of America/Sao_Paulo")
    terminal.answer("sea", "33 ft")
    terminal.answer("time zone?", "+")  # the house's walls
    terminal.wait_for("more will be asked about it")
    terminal.answer("time zone?", "")
    terminal.answer("Wall 1: what is it called?", "front")
    terminal.answer("long is front?", "8")
    terminal.answer("does front face?", "205")
    terminal.wait_for("that faces 205°, south-south-west: right?")
    terminal.answer("Another wall?", "<")
    terminal.answer("does front face?", "north")
    terminal.answer("Another wall?", "no")
    terminal.answer("called?", "bath")
    terminal.answer("does bath face?", "front")
    terminal.answer("from the left end of front?", "1.2 m")
    terminal.answer("wide", "180")
    terminal.answer("Take it as it is?", "perhaps")
    terminal.wait_for("answer yes or no")
    terminal.answer("Take it as it is?", "<")
    terminal.answer("wide", "80 cm")
    terminal.answer("high is", "+")
    terminal.answer("high is", "")
    terminal.answer("lower edge?", "+")
    terminal.wait_for("there is no more to ask here")
    for question in ("lower edge?", "outer face", "steep", "ground", "sky", "glass has it"):
        terminal.answer(question, "")
    for question in ("roof or balcony", "on the left", "on the right"):
        terminal.answer(question, "0")
    terminal.answer("motor shade", "no")
    terminal.answer("Another window?", "+")
    terminal.answer("Another window?", "")
    terminal.answer("more is there to say?", "trees, season")
    terminal.answer("Tree 1", "")
    terminal.answer("Where is", "12 south of bath")
    for question, answer in (("wide", "6"), ("begin", "2"), ("top?", "9"), ("in leaf?", "")):
        terminal.answer(question, answer)
    for question in ("without leaves?", "Another of the trees?", "hot months?"):
        terminal.answer(question, "")
    assert terminal.status() == 0
    site = load_site(file)
    assert site.windows[0].position == (-1.6, -0.1)
    assert site.trees[0].trunk == (-1.6, -12.0)
    assert [str(day) for day in site.need.season or ()] == ["10-15", "04-15"]


ANSWERS = """\
[site]
name = "Larkspur Lane"
place = "47.38, 8.54"
elevation = 400

[[window]]
name = "kitchen"
azimuth = "east-north-east"
width = "4 ft"
shade = false

[[window]]
name = "study"
azimuth = 250
height = 1.2
"""


def test_answers_from_a_file_ask_nothing(tmp_path: Path) -> None:
    answers = write_home(tmp_path, ANSWERS, "answers.toml")
    file = tmp_path / "home.toml"
    assert run("new", file, "--answers", answers).status == 0
    site = load_site(file)
    assert [(w.name, w.azimuth) for w in site.windows] == [("kitchen", 67.5), ("study", 250.0)]
    assert [shade.name for shade in site.shades] == ["study shade"]


@pytest.mark.parametrize(
    ("latitude", "season"), [(47.38, '["04-15", "10-15"]'), (-31.5, '["10-15", "04-15"]')]
)
def test_the_season_that_it_proposes_is_summer_there(
    tmp_path: Path, latitude: float, season: str
) -> None:
    answers = write_home(tmp_path, ANSWERS.replace("47.38", f"{latitude}"), "answers.toml")
    file = tmp_path / "home.toml"
    assert run("new", file, "--answers", answers).status == 0
    assert f"# season = {season} " in file.read_text()


KEEPER_ANSWERS = """
travel_up = 70
end_stop = "bottom"
overrun = 4
after_hand = "90 min"
program = "relay {shade} {direction}"

[keeper]
broker = "mqtt://192.168.1.5"
topic = "home"
"""


def test_what_a_program_that_moves_shades_must_know_is_taken_from_answers(tmp_path: Path) -> None:
    answers = write_home(tmp_path, ANSWERS + KEEPER_ANSWERS, "answers.toml")
    file = tmp_path / "home.toml"
    assert run("new", file, "--answers", answers).status == 0
    site = load_site(file)
    (shade,) = site.shades
    assert (shade.travel_up, shade.end_stop, shade.overrun) == (70, "bottom", 4)
    assert (shade.after_hand, shade.program) == (5400, ("relay", "{shade}", "{direction}"))
    assert site.keeper is not None
    assert (site.keeper.broker, site.keeper.topic) == ("mqtt://192.168.1.5", "home")
    text = ANSWERS + KEEPER_ANSWERS.replace("mqtt:", "http:").replace('"bottom"', '"side"')
    text = text.replace("{shade}", "{name}").replace("90 min", "90")
    said = run("new", tmp_path / "x.toml", "--answers", write_home(tmp_path, text, "answers.toml"))
    assert len(said.faults) == 4
    for words in ("is no broker", "none of top, bottom", "braces that stand for nothing", "unit"):
        assert words in said.err


def shown_answers(page: str) -> str:
    """The file of answers that a page shows."""
    text = (Path(__file__).parents[2] / "docs" / page).read_text(encoding="utf-8")
    [block] = re.findall(r"```text\n(\[site\].*?)```", text, re.S)
    return str(block)


def test_the_answers_by_tape_that_the_page_shows_are_taken(tmp_path: Path) -> None:
    answers = write_home(tmp_path, shown_answers("commands.md"), "answers.toml")
    assert run("new", tmp_path / "home.toml", "--answers", answers).status == 0
    site = load_site(tmp_path / "home.toml")
    assert [window.position for window in site.windows] == [(-1.8, -0.1), (-3.9, -0.1)]
    assert {window.facade for window in site.windows} == {"street side"}


def test_the_answers_that_the_page_shows_are_taken(tmp_path: Path) -> None:
    block = shown_answers("facing.md")
    answers = write_home(tmp_path, block, "answers.toml")
    assert run("new", tmp_path / "home.toml", "--answers", answers).status == 0
    site = load_site(tmp_path / "home.toml")
    assert [window.name for window in site.windows] == ["kitchen", "study"]
    assert [shade.name for shade in site.shades] == ["kitchen shade"]


def test_the_file_of_answers_is_checked_as_a_whole(tmp_path: Path) -> None:
    wrong = ANSWERS.replace('"4 ft"', '"4 fot"').replace("250", "450")
    wrong = wrong.replace("47.38, ", "") + 'heigth = 1\nquiet = "x"\nreveal = -1\n'
    answers = write_home(tmp_path, wrong, "answers.toml")
    said = run("new", tmp_path / "home.toml", "--answers", answers)
    assert said.status == 2
    assert said.faults == [
        f"{answers}:3:9: [site]: place: write latitude and longitude like this: 47.38, 8.54 "
        "or 30.03 S, 51.22 W",
        f'{answers}:9:9: window "kitchen": width: "4 fot" has a unit that is not known: fot; the '
        "units are mm, cm, m, in, ft",
        f'{answers}:14:11: window "study": azimuth: 450 is not between 0 and 360 degrees',
        f'{answers}:16:1: window "study": nothing asks for `heigth`, did you mean `height`?',
        f'{answers}:17:9: window "study": quiet: write two times like this: 21:30-07:00, or none',
        f'{answers}:18:10: window "study": reveal: -1 is not 0 m or more',
    ]
    assert not (tmp_path / "home.toml").exists()


def test_what_hangs_on_a_wrong_answer_is_not_called_unasked_for(tmp_path: Path) -> None:
    text = ANSWERS.replace("250", '"compas 250"\nmeasured = 2027-03-02\noverhang = "x"\ngap = 1')
    answers = write_home(tmp_path, text.replace("shade = false", 'shade = "?"'), "answers.toml")
    said = run("new", tmp_path / "home.toml", "--answers", answers)
    assert [fault.split(": ")[2] for fault in said.faults] == ["shade", "azimuth", "overhang"]


def test_two_windows_of_one_name_do_not_hide_what_else_is_wrong(tmp_path: Path) -> None:
    text = ANSWERS.replace('"study"', '"kitchen"').replace("250", "450")
    answers = write_home(tmp_path, text, "answers.toml")
    said = run("new", tmp_path / "home.toml", "--answers", answers)
    assert [fault.split(": ", 1)[1] for fault in said.faults] == [
        'window "kitchen": name: there is a "kitchen" already; give each its own name',
        'window "kitchen": azimuth: 450 is not between 0 and 360 degrees',
    ]


def test_tables_that_are_no_answers_are_told(tmp_path: Path) -> None:
    text = "[site]\nplace = '47, 8'\n[best]\nmove = 0\n[windows]\nname = 'x'\n"
    answers = write_home(tmp_path, text, "answers.toml")
    said = run("new", tmp_path / "home.toml", "--answers", answers)
    assert said.faults == [
        f"{answers}:3:1: nothing asks for `best`; known here are site, need, money, weather, "
        "keeper, wall, window, obstacle, tree, canopy, spot, supply, group, exception",
        f"{answers}:5:1: nothing asks for `windows`, did you mean `window`?",
    ]
    text = "[site]\nplace = '47, 8'\n[window]\nname = 'x'\n"
    single = write_home(tmp_path, text, "one.toml")
    said = run("new", tmp_path / "home.toml", "--answers", single)
    assert said.faults == [
        f"{single}:3:1: [window]: there may be several; write [[window]] in double brackets"
    ]


def test_what_must_be_answered_is_told(tmp_path: Path) -> None:
    answers = write_home(tmp_path, '[site]\nname = "x"\n[[window]]\n', "answers.toml")
    said = run("new", tmp_path / "home.toml", "--answers", answers)
    assert said.faults == [
        f"{answers}:1:1: [site]: `place` is missing; it answers: Where is it? Latitude, longitude",
        f"{answers}:3:1: [[window]] 1: `azimuth` is missing; it answers: Which way does window 1 "
        "face?",
    ]


def test_answers_that_no_house_has_are_taken_with_a_remark(tmp_path: Path) -> None:
    text = ANSWERS.replace("height = 1.2", "height = 120").replace("47.38, 8.54", "8.54, -147.38")
    answers = write_home(tmp_path, text, "answers.toml")
    said = run("new", tmp_path / "home.toml", "--answers", answers)
    assert said.status == 0
    assert said.err.splitlines() == [
        f"{answers}:3:9: [site]: latitude 8.54, longitude -147.38 is in the open sea: are they "
        "swapped, or is a minus sign missing?",
        f'{answers}:15:10: window "study": height is 120 m; was another unit meant, such as '
        '"120 cm" or "120 in"?',
    ]


def test_a_wall_that_is_not_at_the_site_is_told_by_its_answer(tmp_path: Path) -> None:
    text = ANSWERS.replace("250", '"wall"\nwall_left = "8.54, 47.38"\nwall_right = "8.54, 47.3802"')
    answers = write_home(tmp_path, text, "answers.toml")
    said = run("new", tmp_path / "home.toml", "--answers", answers)
    [fault] = said.faults
    assert fault.startswith(f'{answers}:16:14: window "study": wall_right: the wall is ')
    assert "km from the site's latitude and longitude" in fault


def test_a_file_with_faults_is_not_added_to(tmp_path: Path) -> None:
    file = write_home(tmp_path, "[site]\n")
    answers = write_home(tmp_path, ANSWERS, "answers.toml")
    said = run("new", file, "--answers", answers)
    assert said.status == 2
    assert file.read_text() == "[site]\n"


def test_everything_written_is_valid_and_says_what_it_means(tmp_path: Path) -> None:
    odd = ANSWERS.replace('"Larkspur Lane"', '"O\'Brien \\"the\\" café ☀"')
    answers = write_home(tmp_path, odd, "answers.toml")
    file = tmp_path / "home.toml"
    assert run("new", file, "--answers", answers).status == 0
    assert tomllib.loads(file.read_text())["site"]["name"] == 'O\'Brien "the" café ☀'


def test_all_kinds_of_things_can_be_added_to_a_file(tmp_path: Path) -> None:
    file = write_home(tmp_path)
    before = file.read_text()
    more = """
[[window]]
name = "bath"
azimuth = 180
where = "0, 0"
[[tree]]
name = "maple"
where = "9 out from bath, 2 right"
width = 6
bottom = 2
top = 9
[[supply]]
name = "box"
[[exception]]
name = "holidays"
first = "2027-07-10"
last = "2027-07-24"
[weather]
file = "year.csv"
[money]
electricity = "0.15 to 0.20"
"""
    said = run("new", file, "--answers", write_home(tmp_path, more, "answers.toml"))
    assert said.status == 0, said.err
    assert file.read_text().startswith(before)
    site = load_site(file)
    assert site.trees[0].trunk == (2.0, -9.1), "9 m from the wall's face, 0.1 m before the glass"
    assert site.supplies[0].shades == ("kitchen roller", "study", "bath shade")
    assert site.exceptions[0].do == "up"
    assert (site.money.electricity, site.weather and site.weather.stamp) == ((0.15, 0.2), "end")


def test_needs_are_asked_for_where_they_are_answered(tmp_path: Path) -> None:
    more = """
[need]
for = "heat, sleep, privacy, glare"
power = 60
dark = "10 pm - 7 am"
until = "22:30"
reach = 2
season = "15 Oct to 15 Apr"
"""
    answers = write_home(tmp_path, ANSWERS + more, "answers.toml")
    said = run("new", tmp_path / "home.toml", "--answers", answers)
    assert said.status == 0, said.err
    need = load_site(tmp_path / "home.toml").need
    assert (need.purposes, need.power) == (("heat", "sleep", "privacy", "glare"), 60.0)
    assert [f"{time:%H:%M}" for time in need.sleep.dark] == ["22:00", "07:00"]  # type: ignore[union-attr]
    assert need.privacy is not None
    assert f"{need.privacy.until:%H:%M}" == "22:30"
    assert need.glare is not None
    assert need.glare.reach == 2.0


def test_answers_go_on_after_a_bad_line(tmp_path: Path) -> None:
    text = ANSWERS.replace("height = 1.2", "height = 1,2").replace("250", "450")
    said = run(
        "new", tmp_path / "home.toml", "--answers", write_home(tmp_path, text, "answers.toml")
    )
    assert [fault.rpartition(": ")[2] for fault in said.faults] == [
        "450 is not between 0 and 360 degrees",
        "1.2",
    ]
