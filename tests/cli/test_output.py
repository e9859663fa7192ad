"""What goes out, by whichever command: whole files, the same bytes as on the screen, nothing where
a fault is found, no line too wide; and how far a long piece of work is, on a terminal only.
"""

import io
import sys

import pytest
from command_line import HOME, ok, refused, run

from suncover.cli import output

WEEK = "--from 2026-06-01 --to 2026-06-07"
YEAR = "--from 2026-01-01 --to 2026-12-31"
DAY = "--at 2026-06-21"


@pytest.mark.parametrize(
    ("command", "options", "forms"),
    [
        ("hours", WEEK, "csv json text"),
        ("spots", WEEK, "csv json text"),
        ("today", DAY, "json text"),
        ("now", f"{DAY}T12:00", "json text"),
        ("compare", "", "csv text"),
    ],
)
def test_a_file_gets_the_same_bytes_as_the_screen(home, command, options, forms):
    target = home.with_name("kept")
    for form in forms.split():
        asked = (command, home, *options.split(), "--format", form)
        shown, kept = run(*asked), run(*asked, "-o", target)
        assert (shown.status, kept.status, kept.out) == (0, 0, ""), shown.err
        assert target.read_bytes() == shown.out_bytes
    assert run(*asked, "-o", "-").out == shown.out


@pytest.mark.parametrize(
    "line",
    [
        f"hours {WEEK} --format csv -o",
        f"spots {WEEK} --format json -o",
        f"plan {WEEK} --csv",
        f"plan {WEEK} --ics",
        "compare --format csv -o",
        "report -o",
        f"today {DAY} -o",
    ],
)
def test_a_wrong_site_file_leaves_the_output_alone(home, line):
    target = home.with_name("kept")
    target.write_text("what was there")
    home.write_text(HOME.replace("= 95", "= 950"))
    command, *options = line.split()
    said = refused(command, home, *options, target)
    assert said.faults == [f'{home}:12:11: window "kitchen": azimuth: 950 is not between 0 and 360']
    assert target.read_text() == "what was there"
    assert sorted(file.name for file in home.parent.iterdir()) == ["home.toml", "kept"]


@pytest.mark.parametrize(
    "line",
    [f"hours {WEEK}", f"hours {YEAR} --reach --spots", f"plan {YEAR}", f"today {DAY}", "check"],
)
def test_no_line_is_wider_than_a_screen(home, line):
    long = f'"{"a very long window name " * 3}kitchen'
    quiet = HOME.replace('["21:30", "07:00"]', '["20:00", "09:00"]\nshortest = 270')
    home.write_text(quiet.replace('"kitchen', long))
    command, *options = line.split()
    said = ok(command, home, *options)
    lines = said.out.splitlines()[2:]  # the first may name the file, whose path may be long
    assert 60 < max(map(len, lines)) <= 80
    assert "\x1b" not in said.out


@pytest.mark.parametrize("slow_after", [0.0, 1000.0], ids=["slow work", "quick work"])
@pytest.mark.parametrize("terminal", [True, False], ids=["terminal", "pipe"])
def test_only_slow_work_on_a_terminal_shows_how_far_it_is(monkeypatch, slow_after, terminal):
    screen = io.StringIO()
    screen.isatty = lambda: terminal
    monkeypatch.setattr(output, "SLOW_S", slow_after)
    monkeypatch.setattr(sys, "stderr", screen)
    monkeypatch.setenv("TERM", "xterm")
    assert list(output.watch(["a", "b", "c"])) == ["a", "b", "c"]
    assert ("working" in screen.getvalue()) == (terminal and slow_after == 0.0)
    assert list(output.watch([])) == []


@pytest.mark.parametrize("no_color", ["", "1"])
@pytest.mark.parametrize("terminal", [True, False], ids=["terminal", "pipe"])
def test_headings_stand_out_on_a_terminal_unless_told_otherwise(monkeypatch, terminal, no_color):
    screen = io.StringIO()
    screen.isatty = lambda: terminal
    monkeypatch.setattr(sys, "stdout", screen)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("NO_COLOR", no_color)
    output.say(output.strong("Heading"))
    bold = terminal and not no_color
    assert screen.getvalue() == ("\x1b[1mHeading\x1b[0m" if bold else "Heading")
