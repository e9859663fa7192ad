"""A household's calendar beside the site file, from the file to the plan and the audit."""

from datetime import date

import pytest
from command_line import ok, refused, run, write_home
from site_texts import house, table, window

CALENDAR = """
[[calendar]]
file = "family.ics"

[[calendar.event]]
words = ["away"]
do = "down"

[[calendar.event]]
words = ["cleaning"]
do = "up"
narrow = "by title"
"""
QUIET = ["22:00", "06:30"]
NORTH = table("shade", name="north roller", windows=["north"], travel=60, quiet=QUIET)


def howe(*more, calendar=CALENDAR):
    """Its clocks go forward by half an hour, on 4 October 2026."""
    windows = window("north", 10, 1.8, 1.4), window("west", 285, 1.2, 1.2)
    place = {"at": (-31.53, 159.07), "timezone": "Australia/Lord_Howe"}
    return house(*windows, NORTH, *more, calendar, name="Kentia House", **place)


FAMILY = """\
BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//Kentia House//EN
BEGIN:VEVENT
UID:1@kentia.example
SUMMARY:Away to the mainland
DTSTART;VALUE=DATE:20261003
DTEND;VALUE=DATE:20261005
END:VEVENT
BEGIN:VEVENT
UID:2@kentia.example
SUMMARY:Cleaning\\, west
DTSTART:20261006T130000
DURATION:PT2H
RRULE:FREQ=DAILY;COUNT=2
END:VEVENT
END:VCALENDAR
"""
DATES = ("--from", "2026-10-02", "--to", "2026-10-08")


def plan(folder, *options, text=FAMILY, site=None):
    (folder / "family.ics").write_text(text, encoding="utf-8")
    return run("plan", write_home(folder, site or howe()), *DATES, *options)


def words(text):
    return " ".join(text.split())


def test_a_supply_does_not_have_a_shade_closed_while_it_is_to_stay_up(tmp_path):
    """Both have to open before the cleaning at 13:00 and to close after it, at 15:00: neither may
    give way.
    """
    text = FAMILY.replace("Cleaning\\, west", "Cleaning")
    box = table("supply", name="box", shades=["west", "west two"], gap=600)
    site = howe(window("west two", 285, 1.2, 1.2), box)
    rows = plan(tmp_path, "--csv", "-", text=text, site=site).rows
    starts = {
        (row["shade"], row["date"])
        for row in rows
        if row["shade"].startswith("west") and row["close"][11:19] == "15:00:00"
    }
    cleaned = ("2026-10-06", "2026-10-07")
    assert starts == {(shade, day) for shade in ("west", "west two") for day in cleaned}
    assert not [row for row in rows if "13:00:00" < row["open"][11:19] < "15:00:00"]
    told = plan(tmp_path, text=text, site=site)
    said = words(told.out + told.err)
    assert "supply box is asked for more than it can do 4 times, first on 6 Oct" in said
    assert "no shade may move while one of its exceptions has it stay up" in said


def test_shades_stay_down_over_a_change_of_clocks_and_up_for_cleaning(tmp_path):
    rows = plan(tmp_path, "--csv", "-").rows
    north, west = (row for row in rows if "Away to the mainland" in row["reason"])
    assert (north["shade"], west["shade"]) == ("north roller", "west")
    # The first day begins in quiet hours, so the motor runs before them. When they end on the day
    # after the last, the sun is about to come, and the shade stays down for it.
    assert north["close"] == "2026-10-02T21:59:00+10:30"
    assert north["open"].startswith("2026-10-05T16:")
    assert west["close"] == "2026-10-02T23:58:00+10:30"
    assert west["open"] == "2026-10-05T00:02:00+11:00"
    for day in ("2026-10-06", "2026-10-07"):
        before, after = (row for row in rows if (row["shade"], row["date"]) == ("west", day))
        assert (before["open"][11:16], after["close"][11:16]) == ("13:00", "15:00")
    names = [row["shade"] for row in rows if row["date"] == "2026-10-06"]
    assert names.count("north roller") == 1  # the cleaning is for the other shade


@pytest.mark.parametrize("move", ["own", "together"])
@pytest.mark.parametrize(
    ("length", "ends"),
    [("PT2H", "15:00:00"), ("PT5M", "13:05:00")],
    ids=["two hours", "less than a gap to bridge"],
)
def test_no_motor_runs_while_a_shade_is_to_stay_up(length, ends, move, tmp_path):
    roller = {"travel": 55, "lag": 3, "moves": 2, "quiet": QUIET}
    both = {"shades": ["north roller", "west roller"], "move": move}
    west = table("shade", name="west roller", windows=["west"], **roller)
    calendar = CALENDAR.replace('narrow = "by title"\n', "")
    site = howe(west, table("group", name="all", **both), calendar=calendar)
    rows = plan(tmp_path, "--csv", "-", text=FAMILY.replace("PT2H", length), site=site).rows
    west = [row for row in rows if row["shade"] == "west roller"]
    # A run before it begins, whatever saves moves; a group runs as long as its slowest motor.
    begins = "12:59:00" if move == "together" else "12:59:05"
    for day in ("2026-10-06", "2026-10-07"):
        assert f"{day}T{begins}+11:00" in [row["open"] for row in west]
        assert f"{day}T{ends}+11:00" in [row["close"] for row in west]


def test_the_page_names_them_and_the_audit_passes_until_one_is_left_down(tmp_path):
    file = tmp_path / "plan.csv"
    said = plan(tmp_path, "--csv", file)
    assert "  - Away to the mainland, 3 to 4 Oct 2026: all shades down" in said.out
    assert "  - Cleaning, west, Tue 6 Oct, 13:00–15:00: west up" in said.out
    ok("audit", tmp_path / "home.toml", file)
    lines = file.read_text().splitlines()
    before, after = (line for line in lines if line.startswith("west,2026-10-06,"))
    rows = [line for line in lines if line != after]
    rows[rows.index(before)] = before.replace("T13:00:00", "T" + after.split("T")[2][:8])
    file.write_text("\n".join(rows) + "\n")
    said = run("audit", tmp_path / "home.toml", file)
    assert said.status == 1
    assert (
        "Not as the site file asks\n"
        "  - west: down, or on its way, for 2 h on 1 day while it is to stay up\n"
        "      Tue 6 Oct: 2 h (13:00–15:00)\n"
    ) in said.out
    assert "uncovered on" not in said.out


def check(folder, text, day):
    (folder / "family.ics").write_text(text, encoding="utf-8")
    return run("check", write_home(folder, howe()), today=date(2026, 10, day)).out


def test_check_tells_what_is_coming(tmp_path):
    said = check(tmp_path, FAMILY, 7)
    assert "family.ics (1 event down, 1 up)" in said
    assert said.endswith(
        "\nNot by the sun, in the coming year\n"
        "  - Cleaning, west, Wed 7 Oct, 13:00–15:00: west up\n"
    )
    assert "Not by the sun" not in check(tmp_path, FAMILY, 8)
    none = check(tmp_path, "BEGIN:VCALENDAR\nEND:VCALENDAR\n", 7)
    assert "calendar family.ics: no event in it has one of the words" in none


@pytest.mark.parametrize(
    ("title", "said"),
    [
        ("Cleaning: northroller", '; did you mean "north roller"?'),
        ("Window cleaning", ""),
        ("Cleaning: north roller", None),
    ],
    ids=["a slip", "no name", "a name"],
)
def test_check_tells_of_a_title_that_names_no_shade(title, said, tmp_path):
    told = words(check(tmp_path, FAMILY.replace("Cleaning\\, west", title), 7))
    start = f'calendar family.ics: the title of "{title}" names no shade'
    assert (start in told) == (said is not None)
    if said is not None:
        assert f"{start}, so it is for north roller and west{said}" in told
        assert ("did you mean" in told) == ("did you mean" in said)


def test_a_series_is_told_once_so_that_rare_events_show(tmp_path):
    text = FAMILY.replace("FREQ=DAILY;COUNT=2", "FREQ=WEEKLY;COUNT=26")
    text = text.replace("20261003", "20261203").replace("20261005", "20261205")
    assert check(tmp_path, text, 1).endswith(
        "\nNot by the sun, in the coming year\n"
        "  - Cleaning, west, every week, 26 times, first Tue 6 Oct, 13:00–15:00: west up\n"
        "  - Away to the mainland, 3 to 4 Dec 2026: all shades down\n"
    )


BAD = FAMILY.replace("DTEND;VALUE=DATE:20261005", "DTEND:5 October").replace("PT2H", "2 h")


@pytest.mark.parametrize(
    ("text", "messages"),
    [
        (None, ["family.ics: there is no such file"]),
        ("", ["family.ics: this is no iCalendar file"]),
        (FAMILY.replace("2026", "\0"), ["there is a NUL byte here"]),
        (
            BAD,
            [
                'family.ics:8: event "Away to the mainland": "5 October" is not a date such as',
                'family.ics:14: event "Cleaning, west": "2 h" is not a length of time such as',
            ],
        ),
    ],
    ids=["no file", "empty", "NUL", "two faults"],
)
def test_a_bad_calendar_is_told(text, messages, tmp_path):
    home = write_home(tmp_path, howe())
    if text is not None:
        (tmp_path / "family.ics").write_text(text, encoding="utf-8")
    said = refused("plan", home, *DATES, "--csv", tmp_path / "plan.csv")
    assert len(said.faults) == len(messages)
    for message, fault in zip(messages, said.faults, strict=True):
        assert message in fault
    assert not (tmp_path / "plan.csv").exists()


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('do = "down"', 'do = "shut"', '[[calendar]] 1: event 1.do: "shut" is not "up" or "down"'),
        ('words = ["away"]', "words = []", "words"),
        ('file = "family.ics"', "", "`file` is missing"),
        ('do = "down"', 'do = "down"\nshades = ["noth roller"]', 'did you mean "north roller"?'),
        ('narrow = "by title"', "narrow = true", "narrow"),
        ("words", "word", "did you mean `words`?"),
    ],
)
def test_a_wrong_key_is_told(old, new, message, tmp_path):
    site = howe(calendar=CALENDAR.replace(old, new, 1))
    said = refused("check", write_home(tmp_path, site))
    assert message in said.err
