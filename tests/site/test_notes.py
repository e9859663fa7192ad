"""Remarks on a site that are no faults."""

from __future__ import annotations

import pytest

from suncover.site.file.sitefile import site_from_text
from suncover.site.model import Site
from suncover.site.notes import site_notes

QUIET_SITE = """\
[site]
name = "Larkspur Lane"
latitude = 36.10
longitude = -79.95
timezone = "America/New_York"

[need]
season = ["04-15", "10-15"]

[[window]]
name = "kitchen"
azimuth = 95
width = 1.20
height = 1.40
skyline = [[60, 12], [95, 8], [300, -1]]
position = [0, 0]

[[shade]]
name = "roller"
windows = ["kitchen"]
moves = 4
quiet = ["21:30", "07:00"]

[[tree]]
name = "maple"
trunk = [9, 0]
width = 7
bottom = 2.5
top = 11
leaf = 0.15
"""


def spoiled(old: str, new: str) -> Site:
    assert old in QUIET_SITE
    return site_from_text(QUIET_SITE.replace(old, new))


def test_a_site_without_oddities_has_no_remarks() -> None:
    assert site_notes(site_from_text(QUIET_SITE)) == ()


@pytest.mark.parametrize(
    ("old", "new", "notes"),
    [
        pytest.param(
            'timezone = "America/New_York"\n',
            "",
            ["time zone: America/New_York, found from the coordinates"],
            id="zone found",
        ),
        pytest.param(
            '= 36.10\nlongitude = -79.95\ntimezone = "America/New_York"',
            "= 43.8\nlongitude = 87.6",
            [
                "time zone: Asia/Shanghai, found from the coordinates",
                "at these coordinates Asia/Shanghai and Asia/Urumqi are in use; "
                "Asia/Shanghai is taken; state `timezone` to choose",
            ],
            id="zone in dispute",
        ),
        pytest.param(
            "-79.95",
            "79.95",
            [
                "36.1° north, 79.95° east has the clocks of Asia/Shanghai, but 36.1° north, "
                "79.95° west those of America/New_York: is a minus sign wrong?"
            ],
            id="minus sign missing",
        ),
        pytest.param(
            "= 36.10\nlongitude = -79.95",
            "= -79.95\nlongitude = 36.10",
            [
                "clocks of America/New_York are 7 h off the sun's time at longitude 36.1: "
                "are latitude and longitude swapped, or is a minus sign missing?",
                "the season 04-15 to 10-15 is the cool half-year",
            ],
            id="latitude and longitude swapped",
        ),
        pytest.param(
            '= 36.10\nlongitude = -79.95\ntimezone = "America/New_York"\n\n[need]\n'
            'season = ["04-15", "10-15"]',
            "= -64.2\nlongitude = -31.4",
            [
                "latitude -64.2, longitude -31.4 is in the open sea: are they swapped (that would "
                "be in the time zone America/Argentina/Cordoba), or is a minus sign missing?",
                "time zone: Etc/GMT+2, found from the coordinates",
            ],
            id="swapped into the sea",
        ),
        pytest.param(
            '= 36.10\nlongitude = -79.95\ntimezone = "America/New_York"\n\n[need]\n'
            'season = ["04-15", "10-15"]',
            "= -79.95\nlongitude = 36.10",
            [
                "latitude -79.95, longitude 36.1 is in Antarctica: are they swapped (that would "
                "be in the time zone America/New_York), or is a minus sign missing?",
                "time zone: Antarctica/Syowa, found from the coordinates",
            ],
            id="swapped into Antarctica",
        ),
        pytest.param(
            "= 36.10\nlongitude = -79.95",
            "= 36.10\nlongitude = -59.95",
            [
                "latitude 36.1, longitude -59.95 is in the open sea: are they swapped, or is a "
                "minus sign missing?",
            ],
            id="in the sea and swapped as well",
        ),
        pytest.param(
            "America/New_York",
            "America/Chicago",
            [
                "the coordinates lie in the time zone America/New_York, whose clocks differ from "
                "those of America/Chicago: are both right?"
            ],
            id="neighbouring zone",
        ),
        pytest.param("America/New_York", "America/Toronto", [], id="other zone of the same clocks"),
        pytest.param(
            "[need]",
            "[need]\nbeam = 1400\nfraction = 1",
            [
                "no share of the glass is above fraction 1, so nothing is ever covered",
                "the sun hardly ever gives 1400 W/m², so nothing may be covered",
            ],
            id="need that is never met",
        ),
        pytest.param(
            "moves = 4",
            "moves = 4\nneed.fraction = 1",
            [
                'shade "roller": no share of the glass is above fraction 1, '
                "so nothing is ever covered"
            ],
            id="need of a shade that is never met",
        ),
        pytest.param(
            '["04-15", "10-15"]',
            '["10-15", "04-15"]',
            ["the season 10-15 to 04-15 is the cool half-year"],
            id="season of winter",
        ),
        pytest.param('["04-15", "10-15"]', '["01-01", "12-31"]', [], id="season of all year"),
        pytest.param(
            "width = 1.20",
            "width = 120",
            [
                'window "kitchen": width is 120 m; was another unit meant, such as "120 cm" or '
                '"120 in"?'
            ],
            id="centimetres as metres",
        ),
        pytest.param(
            "height = 1.40",
            'height = "1.4 cm"',
            ['window "kitchen": height is 0.014 m; was another unit meant?'],
            id="metres as centimetres",
        ),
        pytest.param(
            "[[60, 12], [95, 8], [300, -1]]",
            "[[60, -2], [95, 0]]",
            ['window "kitchen": its skyline nowhere rises above the horizon, so it hides nothing'],
            id="skyline below the horizon",
        ),
        pytest.param(
            "[[60, 12], [95, 8], [300, -1]]",
            "[[200, 12], [300, 8]]",
            [
                'window "kitchen": no point of its skyline is in front of it; '
                "azimuths of the skyline count from true north"
            ],
            id="skyline behind the window",
        ),
        pytest.param(
            "position = [0, 0]\n",
            "",
            ["no window has a `position`, so no obstacle or tree shades any"],
            id="surroundings without a position",
        ),
        pytest.param(
            "[[shade]]",
            '[[window]]\nname = "loft"\nazimuth = 5\nwidth = 1\nheight = 1\n[[shade]]',
            [
                'without a `position`, and so not shaded by obstacles or trees: "loft"',
                'no shade names "loft": each gets a shade of its own with the defaults',
            ],
            id="bare window without a position",
        ),
        pytest.param(
            "moves = 4",
            "moves = 3",
            ['shade "roller": moves = 3 works as 2, as each closing goes with an opening'],
            id="odd moves",
        ),
        pytest.param(
            '["21:30", "07:00"]',
            '["07:00", "21:30"]',
            ['shade "roller": its quiet hours hold noon; are start and end swapped?'],
            id="quiet by day",
        ),
    ],
)
def test_oddities_are_remarked_on(old: str, new: str, notes: list[str]) -> None:
    assert list(site_notes(spoiled(old, new))) == notes


def test_latitude_and_longitude_of_nought_are_remarked_on() -> None:
    site = spoiled('= 36.10\nlongitude = -79.95\ntimezone = "America/New_York"', "=0\nlongitude=0")
    assert site_notes(site)[0].startswith("latitude and longitude are both 0")


def test_many_bare_windows_are_counted() -> None:
    windows = "".join(
        f'[[window]]\nname = "w{i}"\nazimuth = 5\nwidth = 1\nheight = 1\nposition = [{i}, 0]\n'
        for i in range(8)
    )
    assert site_notes(spoiled("[[shade]]", windows + "[[shade]]")) == (
        'no shade names "w0", "w1", "w2", "w3", "w4" and 3 more: '
        "each gets a shade of its own with the defaults",
    )


@pytest.mark.parametrize(
    ("zone", "latitude", "longitude"),
    [
        ("Asia/Shanghai", 39.5, 76.0),  # Kashgar: the sun is almost three hours behind the clock
        ("Pacific/Kiritimati", 1.87, -157.4),  # a day ahead of its longitude
        ("Pacific/Auckland", -41.3, 174.8),
        ("Pacific/Chatham", -43.9, -176.5),
        ("Asia/Kolkata", 28.6, 77.2),
        ("Europe/Dublin", 53.3, -6.3),  # summer time by law its standard time
        ("America/Nuuk", 64.2, -51.7),
    ],
)
def test_true_zones_of_odd_hours_are_not_remarked_on(
    zone: str, latitude: float, longitude: float
) -> None:
    site = spoiled(
        '= 36.10\nlongitude = -79.95\ntimezone = "America/New_York"',
        f'= {latitude}\nlongitude = {longitude}\ntimezone = "{zone}"',
    )
    assert [note for note in site_notes(site) if "clock" in note] == []


PURPOSE = """
[[spot]]
name = "desk"
window = "kitchen"
distance = 1
height = 0.7
"""


@pytest.mark.parametrize(
    ("need", "shade", "expected"),
    [
        pytest.param(
            'for = ["heat", "glare"]',
            "",
            ['shade "study": none of its spots lies behind its windows to close for "glare"'],
            id="a window without spots, by the site's need",
        ),
        pytest.param(
            'for = ["heat", "glare"]\n[need.glare]\nreach = 2', "", [], id="but with a reach"
        ),
        pytest.param(
            "",
            "stops = [50, 100]",
            ['shade "roller": its stops are never used, as it closes for neither glare nor fading'],
            id="stops for heat alone",
        ),
        pytest.param(
            'for = ["heat", "fading"]\n[need.fading]\nspots = ["desk"]',
            "stops = [50, 100]",
            ['shade "study": none of its spots lies behind its windows to close for "fading"'],
            id="stops for fading",
        ),
    ],
)
def test_needs_that_ask_for_nothing(need: str, shade: str, expected: list[str]) -> None:
    study = '\n[[window]]\nname = "study"\nazimuth = 9\nwidth = 1\nheight = 1\nposition = [0, 1]\n'
    text = QUIET_SITE.replace('season = ["04-15", "10-15"]', need)
    text = text.replace("moves = 4", shade) + PURPOSE + study
    notes = [note for note in site_notes(site_from_text(text)) if note.startswith('shade "')]
    assert notes == expected


def test_a_wall_with_the_house_in_front_of_it_is_asked_about() -> None:
    """The house lies 20 m north of a wall that goes from east to west: its outside is north."""
    ends = "[[47.0, 8.0002], [47.0, 8.0]]"
    text = (
        '[site]\nname = "x"\nlatitude = 47.00018\nlongitude = 8.00011\n[[window]]\nname = "w"\n'
        f"wall = {ends}\nwidth = 1\nheight = 1\n"
    )
    notes = " ".join(site_notes(site_from_text(text)))
    assert 'window "w": the house\'s own place lies 20 m in front of that wall' in notes
    right = text.replace(ends, "[[47.0, 8.0], [47.0, 8.0002]]")
    assert "ends swapped" not in " ".join(site_notes(site_from_text(right)))
