"""`suncover new`, by questions typed or cut short, and from a file of answers."""
# ruff: noqa: E501  (a case to a line)

import os
import re
import sys
import time
import tomllib
from pathlib import Path

import pytest
from command_line import Said, run, write_home

from suncover.site.file.sitefile import load_site

try:
    import pty
except ImportError:  # Windows
    pty = None


def talk(file: Path, lines: str) -> Said:
    """Goes through `question -> answer` (`|` between several of one answer), and `... text` that
    is said meanwhile; all of it must come in that order.
    """
    expected, typed = [], []
    for turn in " / ".join(lines.strip().splitlines()).split(" / "):
        questions, is_one, answer = turn.partition(" ->")
        for question in questions.split("|"):
            expected += [question, ": "] if is_one else [question.removeprefix("... ")]
            typed += [f"{answer.strip()}\n"] if is_one else []
    said, seen = run("new", file, typed="".join(typed)), 0
    for text in expected:
        assert text in said.out[seen:], f"no {text!r} in:\n{said.out[seen:]}"
        seen = said.out.index(text, seen) + len(text)
    return said


@pytest.mark.skipif(pty is None, reason="this platform has no pseudo-terminals")
def test_a_talk_on_a_terminal_ends_when_it_is_interrupted(tmp_path):
    child, end = pty.fork()
    if child == 0:
        command = [sys.executable, "-m", "suncover", "new", str(tmp_path / "home.toml")]
        os.execve(sys.executable, command, {**os.environ, "TERM": "dumb", "PYTHONUTF8": "1"})
    screen = b""
    while b"called?" not in screen or not screen.endswith(b": "):
        screen += os.read(end, 4096)
    time.sleep(0.3)  # what comes between the question and the reading of an answer is not seen
    os.write(end, b"\x03")
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 130
    os.close(end)
    assert list(tmp_path.iterdir()) == []


def test_a_site_file_comes_out_of_a_talk_that_goes_on_after_a_break(tmp_path):
    file = tmp_path / "home.toml"
    first = talk(
        file,
        """
called? -> Larkspur Lane / Latitude, longitude -> 47.38, 8.54 / sea -> 400 / time zone? ->
called? -> kitchen / does kitchen face? -> compass 101.5 / compass read? -> 2027-03-02
wide is the glass? -> 48 in / ... high is the glass?
""",
    )
    assert first.status == 130
    assert "[Europe/Zurich]" in first.out
    assert not file.exists()
    again = talk(
        file,
        """
high is the glass?|above the floor -> / outer face -> 0
roof or balcony -> 0.6 / underside? -> 0.25 / motor shade on kitchen? -> yes / shade called? ->
seconds -> 75 / must it not run? -> 21:30-07:00 / Another window? -> no
""",
    )
    assert again.status == 0, again.err
    assert "going on with the answers" in again.err
    assert "Never look at the sun" in again.out
    site = load_site(file)
    [window] = site.windows
    assert (site.place.name, site.place.zone_name) == ("Larkspur Lane", "Europe/Zurich")
    assert (window.width, window.height, window.reveal) == (1.2192, 1.4, 0.0)
    # Magnetic north lies 3.7° east there (World Magnetic Model 2025).
    assert window.azimuth == pytest.approx(105.2, abs=0.1)
    assert window.overhang.gap == 0.25
    [shade] = site.shades
    assert (shade.name, shade.travel) == ("kitchen shade", 75)
    assert not (tmp_path / "home.toml.answers").exists()
    assert "#" in file.read_text()


def test_wrong_answers_are_asked_again_and_unlikely_ones_asked_about(tmp_path):
    file = tmp_path / "home.toml"
    said = talk(
        file,
        """
called? -> Home / Latitude, longitude -> somewhere / ... write latitude and longitude like this
Latitude, longitude -> 97, 8 / ... latitude 97 is not between -90 and 90 / Latitude, longitude -> <
called? -> Another name / Latitude, longitude -> -64.2, -31.4
... is in the open sea: are they swapped / Take it as it is? -> n
Latitude, longitude -> -31.4 -64.2 / sea -> high / ... "high" is not a length / sea -> 420
time zone? -> America/Argentina/Cordba / ... America/Argentina/Cordoba / time zone? ->
called? -> w / face? -> up / ... is not a direction / face? -> 400
... 400 is not between 0 and 360 / face? -> south / wide -> 180
... width is 180 m; was another unit meant, such as "180 cm" / Take it as it is? -> / wide -> 180 cm
high is|floor|outer face -> / roof or balcony -> 12 / ... overhang is 12 m / Take it as it is? -> y
underside? -> 0.2 / motor shade -> perhaps / ... answer yes or no / motor shade -> yes
shade called? -> / seconds -> 1.5 / ... were minutes meant? That would be 90
Take it as it is? -> no / seconds -> 90 / must it not run? -> 9 pm to 7 am / Another window? ->
""",
    )
    assert said.status == 0, said.err
    site = load_site(file)
    assert (site.place.name, site.windows[0].azimuth) == ("Another name", 180.0)
    assert (site.windows[0].width, site.windows[0].overhang.depth) == (1.8, 12)
    assert site.shades[0].travel == 90


def test_a_window_is_added_to_a_file_that_is_there(tmp_path):
    file = write_home(tmp_path)
    before = file.read_text()
    said = talk(
        file,
        """
called? -> kitchen / ... there is a "kitchen" already / called? -> bedroom / face? -> wall
left end -> 36.100000, -79.950000 / right end -> 36.100000, -79.949900
wide|high is|floor|outer face|roof or balcony -> / motor shade -> yes
shade called? -> kitchen roller / ... there is a "kitchen roller" already
shade called?|seconds|must it not run?|Another window? ->
""",
    )
    assert said.status == 0, said.err
    assert file.read_text().startswith(before)
    site = load_site(file)
    assert [window.name for window in site.windows] == ["kitchen", "study", "bedroom"]
    # From west to east with the outside on the right: it faces south.
    assert site.windows[2].azimuth == pytest.approx(180.0, abs=0.01)


def test_one_can_go_back_and_deeper_at_every_prompt(tmp_path):
    file = tmp_path / "home.toml"
    said = talk(
        file,
        """
called? -> Home / Latitude, longitude -> 30.03 S, 51.22 W
... that is 30.03° south, 51.22° west, by the clocks of America/Sao_Paulo / sea -> 33 ft
time zone? -> + / ... more will be asked about it / time zone? ->
Wall 1: what is it called? -> front / long is front? -> 8 / does front face? -> 205
... that faces 205°, south-south-west: right? / Another wall? -> < / does front face? -> north
Another wall? -> no / called? -> bath / does bath face? -> front
from the left end of front? -> 1.2 m / wide -> 180 / Take it as it is? -> perhaps
... answer yes or no / Take it as it is? -> < / wide -> 80 cm / high is -> + / high is ->
lower edge? -> + / ... there is no more to ask here
lower edge?|outer face|steep|ground|sky|glass has it ->
roof or balcony|on the left|on the right -> 0 / motor shade -> no / Another window? -> +
Another window? -> / more is there to say? -> trees, season / Tree 1 ->
Where is -> 12 south of bath / wide -> 6 / begin -> 2 / top? -> 9
in leaf?|without leaves?|Another of the trees?|hot months? ->
""",
    )
    assert said.status == 0, said.err
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


def new(folder, text, *changes):
    """What is said of these answers, and the file that they make; some texts in them changed."""
    for old, new_text in changes:
        assert old in text
        text = text.replace(old, new_text)
    answers, file = write_home(folder, text, "answers.toml"), folder / "home.toml"
    return run("new", file, "--answers", answers), file


def refused(folder, *changes, text=ANSWERS):
    """The faults of these answers, without the file's name; nothing is written."""
    said, file = new(folder, text, *changes)
    assert said.status == 2
    assert not file.exists()
    return [fault.partition("answers.toml:")[2] for fault in said.faults]


def accepted(folder, *changes, text=ANSWERS):
    said, file = new(folder, text, *changes)
    assert said.status == 0, said.err
    return load_site(file)


def test_answers_from_a_file_ask_nothing(tmp_path):
    odd = 'O\'Brien "the" café ☀'
    site = accepted(tmp_path, ("Larkspur Lane", odd.replace('"', '\\"')))
    assert [(w.name, w.azimuth) for w in site.windows] == [("kitchen", 67.5), ("study", 250.0)]
    assert [shade.name for shade in site.shades] == ["study shade"]
    assert tomllib.loads((tmp_path / "home.toml").read_text())["site"]["name"] == odd


@pytest.mark.parametrize(
    ("latitude", "season"), [("47.38", '["04-15", "10-15"]'), ("-31.5", '["10-15", "04-15"]')]
)
def test_the_season_that_it_proposes_is_summer_there(tmp_path, latitude, season):
    accepted(tmp_path, ("47.38", latitude))
    assert f"# season = {season} " in (tmp_path / "home.toml").read_text()


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


def test_what_a_program_that_moves_shades_must_know_is_taken(tmp_path):
    site = accepted(tmp_path, text=ANSWERS + KEEPER_ANSWERS)
    (shade,) = site.shades
    assert (shade.travel_up, shade.end_stop, shade.overrun) == (70, "bottom", 4)
    assert (shade.after_hand, shade.program) == (5400, ("relay", "{shade}", "{direction}"))
    assert (site.keeper.broker, site.keeper.topic) == ("mqtt://192.168.1.5", "home")


def test_what_is_wrong_in_it_is_told(tmp_path):
    changes = [("mqtt:", "http:"), ('"bottom"', '"side"'), ("{shade}", "{name}"), ("90 min", "90")]
    faults = refused(tmp_path, *changes, text=ANSWERS + KEEPER_ANSWERS)
    words = ("none of top, bottom", "its unit", "braces that stand for nothing", "is no broker")
    assert all(word in fault for word, fault in zip(words, faults, strict=True))


@pytest.mark.parametrize("page", ["commands.md", "facing.md"])
def test_the_answers_that_a_page_shows_are_taken(tmp_path, page):
    text = (Path(__file__).parents[2] / "docs" / page).read_text(encoding="utf-8")
    [block] = re.findall(r"```text\n(\[site\].*?)```", text, re.S)
    site = accepted(tmp_path, text=block)
    if page == "commands.md":  # by tape
        assert [window.position for window in site.windows] == [(-1.8, -0.1), (-3.9, -0.1)]
        assert {window.facade for window in site.windows} == {"street side"}
    else:
        assert [window.name for window in site.windows] == ["kitchen", "study"]
        assert [shade.name for shade in site.shades] == ["kitchen shade"]


NO_TABLE = "nothing asks for `best`; known here are site, need, money, weather, keeper, wall, window, obstacle, tree, canopy, spot, supply, group, exception"


@pytest.mark.parametrize(
    ("text", "changes", "faults"),
    [
        (ANSWERS, [('"4 ft"', '"4 fot"'), ("250", "450"), ("47.38, ", ""), ("height = 1.2", 'height = 1.2\nheigth = 1\nquiet = "x"\nreveal = -1')],
         ["3:9: [site]: place: write latitude and longitude like this: 47.38, 8.54 or 30.03 S, 51.22 W",
          '9:9: window "kitchen": width: "4 fot" has a unit that is not known: fot; the units are mm, cm, m, in, ft',
          '14:11: window "study": azimuth: 450 is not between 0 and 360 degrees',
          '16:1: window "study": nothing asks for `heigth`, did you mean `height`?',
          '17:9: window "study": quiet: write two times like this: 21:30-07:00, or none',
          '18:10: window "study": reveal: -1 is not 0 m or more']),
        (ANSWERS, [('"study"', '"kitchen"'), ("250", "450")],
         ['13:8: window "kitchen": name: there is a "kitchen" already; give each its own name',
          '14:11: window "kitchen": azimuth: 450 is not between 0 and 360 degrees']),
        ("[site]\nplace = '47, 8'\n[best]\nmove = 0\n[windows]\nname = 'x'\n", [],
         [f"3:1: {NO_TABLE}", "5:1: nothing asks for `windows`, did you mean `window`?"]),
        ("[site]\nplace = '47, 8'\n[window]\nname = 'x'\n", [],
         ["3:1: [window]: there may be several; write [[window]] in double brackets"]),
        ('[site]\nname = "x"\n[[window]]\n', [],
         ["1:1: [site]: `place` is missing; it answers: Where is it? Latitude, longitude",
          "3:1: [[window]] 1: `azimuth` is missing; it answers: Which way does window 1 face?"]),
    ],
    ids=["all at once", "one name", "no answers", "single brackets", "missing"],
)  # fmt: skip
def test_the_file_of_answers_is_checked_as_a_whole(tmp_path, text, changes, faults):
    assert refused(tmp_path, *changes, text=text) == faults


def test_what_hangs_on_a_wrong_answer_is_not_called_unasked_for(tmp_path):
    wrong = '"compas 250"\nmeasured = 2027-03-02\noverhang = "x"\ngap = 1'
    told = refused(tmp_path, ("250", wrong), ("shade = false", 'shade = "?"'))
    assert [fault.split(": ")[2] for fault in told] == ["shade", "azimuth", "overhang"]
    # Answers go on after a bad line.
    told = refused(tmp_path, ("height = 1.2", "height = 1,2"), ("250", "450"))
    assert [fault.rpartition(": ")[2] for fault in told] == [
        "450 is not between 0 and 360 degrees",
        "1.2",
    ]


def test_answers_that_no_house_has_are_taken_with_a_remark(tmp_path):
    changes = ("height = 1.2", "height = 120"), ("47.38, 8.54", "8.54, -147.38")
    said, _ = new(tmp_path, ANSWERS, *changes)
    assert said.status == 0
    assert [line.partition("answers.toml:")[2] for line in said.faults] == [
        "3:9: [site]: latitude 8.54, longitude -147.38 is in the open sea: are they swapped, or is a minus sign missing?",
        '15:10: window "study": height is 120 m; was another unit meant, such as "120 cm" or "120 in"?',
    ]


def test_a_wall_that_is_not_at_the_site_is_told_by_its_answer(tmp_path):
    wall = '"wall"\nwall_left = "8.54, 47.38"\nwall_right = "8.54, 47.3802"'
    [fault] = refused(tmp_path, ("250", wall))
    assert fault.startswith('16:14: window "study": wall_right: the wall is ')
    assert "km from the site's latitude and longitude" in fault


def test_a_file_with_faults_is_not_added_to(tmp_path):
    write_home(tmp_path, "[site]\n")
    said, file = new(tmp_path, ANSWERS)
    assert said.status == 2
    assert file.read_text() == "[site]\n"


def test_all_kinds_of_things_can_be_added_to_a_file(tmp_path):
    before = write_home(tmp_path).read_text()
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
    site = accepted(tmp_path, text=more)
    assert (tmp_path / "home.toml").read_text().startswith(before)
    assert site.trees[0].trunk == (2.0, -9.1), "9 m from the wall's face, 0.1 m before the glass"
    assert site.supplies[0].shades == ("kitchen roller", "study", "bath shade")
    assert site.exceptions[0].do == "up"
    assert (site.money.electricity, site.weather.stamp) == ((0.15, 0.2), "end")


def test_needs_are_asked_for_where_they_are_answered(tmp_path):
    more = """
[need]
for = "heat, sleep, privacy, glare"
power = 60
dark = "10 pm - 7 am"
until = "22:30"
reach = 2
season = "15 Oct to 15 Apr"
"""
    need = accepted(tmp_path, text=ANSWERS + more).need
    assert (need.purposes, need.power) == (("heat", "sleep", "privacy", "glare"), 60.0)
    assert [f"{time:%H:%M}" for time in (*need.sleep.dark, need.privacy.until)] == [
        "22:00",
        "07:00",
        "22:30",
    ]
    assert need.glare.reach == 2.0
