"""No output takes the place of a file that the same command reads, whatever name it is given."""

import os

import pytest
from command_line import HOME, ok, refused, write_home

DAYS = "--from 2027-06-01 --to 2027-06-01"
CALENDAR = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//x//y//EN\r\nEND:VCALENDAR\r\n"
MORE = """
[[calendar]]
file = "ours.ics"
[[calendar.event]]
words = ["away"]
do = "up"
[weather]
file = "year.csv"
stamp = "end"
"""
FILES = {
    "far.csv": "azimuth,elevation\n0,1\n180,2\n",
    "ours.ics": CALENDAR,
    "year.csv": "time,ghi,dni,dhi\n",
    "seen.csv": "window,time,seen\nkitchen,2027-06-01T09:00:00-04:00,on\n",
    "answers.toml": "x = 1\n",
}


@pytest.fixture
def house(tmp_path, monkeypatch):
    """A folder with a site file and all that it names, a plan and sightings."""
    monkeypatch.chdir(tmp_path)
    text = HOME.replace("elevation = 270\n", 'elevation = 270\nhorizon_file = "far.csv"\n')
    home = write_home(tmp_path, text + MORE)
    for name, content in FILES.items():
        (tmp_path / name).write_bytes(content.encode())
    ok("plan", home, *DAYS.split(), "--csv", "plan.csv")
    return tmp_path


def linked(path, link, make):
    make(path, path.with_name(link))
    return path.with_name(link)


NAMES = {
    "its name": lambda path: path,
    "another way": lambda path: path.parent / ".." / path.parent.name / path.name,
    "a symbolic link": lambda path: linked(path, "link", os.symlink),
    "a hard link": lambda path: linked(path, "hard", os.link),
}


@pytest.mark.parametrize(
    ("file", "command", "name"),
    [
        *(("home.toml", f"hours home.toml {DAYS} --format csv -o", name) for name in NAMES),
        ("far.csv", f"hours home.toml {DAYS} --format csv -o", "its name"),
        ("ours.ics", f"plan home.toml {DAYS} --ics", "a hard link"),
        ("year.csv", f"plan home.toml {DAYS} --csv", "its name"),
        ("home.toml", f"spots home.toml {DAYS} --format json -o", "another way"),
        ("plan.csv", "audit home.toml plan.csv -o", "a symbolic link"),
        ("seen.csv", "facing home.toml --sightings seen.csv --write --format csv -o", "its name"),
        ("home.toml", "sight kitchen on --site home.toml --sightings", "a symbolic link"),
        ("answers.toml", "new --answers answers.toml", "another way"),
    ],
)
def test_an_output_that_is_an_input_is_refused_and_nothing_is_written(house, file, command, name):
    output = NAMES[name](house / file)
    before = {path.name: path.read_bytes() for path in house.iterdir()}
    [fault] = refused(*command.split(), output).faults
    assert fault.startswith(f"{output}: this is ")
    assert fault.endswith(f"{file}, which is read; name another file to write to")
    assert {path.name: path.read_bytes() for path in house.iterdir()} == before
