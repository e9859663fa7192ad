"""Remarks on a site that are no faults."""
# ruff: noqa: E501  (a case to a line)

import pytest
from site_texts import site_of, table, window

from suncover.site.notes import site_notes

NEW_YORK = "America/New_York"
TREE = table("tree", name="maple", trunk=[9, 0], width=7, bottom=2.5, top=11, leaf=0.15)
SHED = table("obstacle", name="shed", footprint=[[9, 0], [12, 0], [12, 3]], top=3)


def notes(
    *more,
    at=(36.1, -79.95),
    timezone=NEW_YORK,
    need=None,
    season=("04-15", "10-15"),
    kitchen=None,
    roller=None,
    around=TREE,
):
    """What is remarked on of a house without oddities, changed in these."""
    quiet = {"moves": 4, "quiet": ["21:30", "07:00"], **(roller or {})}
    tables = (
        table("need", season=season, **(need or {})),
        window(
            **{"skyline": [[60, 12], [95, 8], [300, -1]], "position": [0, 0], **(kitchen or {})}
        ),
        *more,
        table("shade", name="roller", windows=["kitchen"], **quiet),
        around,
    )
    return list(site_notes(site_of(*tables, at=at, timezone=timezone)))


FOUND = "time zone: {}, found from the coordinates"
SWAPPED = "latitude {}, longitude {} is in {}: are they swapped{}, or is a minus sign missing?"
LOFT = window("loft", 5, 1, 1)


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({}, []),
        ({"timezone": None}, [FOUND.format(NEW_YORK)]),
        ({"timezone": None, "at": (43.8, 87.6), "season": None},
         [FOUND.format("Asia/Shanghai"),
          "at these coordinates Asia/Shanghai and Asia/Urumqi are in use; Asia/Shanghai is taken; state `timezone` to choose"]),
        ({"at": (36.1, 79.95)},
         ["36.1° north, 79.95° east has the clocks of Asia/Shanghai, but 36.1° north, 79.95° west those of America/New_York: is a minus sign wrong?"]),
        ({"at": (-79.95, 36.1)},
         ["clocks of America/New_York are 7 h off the sun's time at longitude 36.1: are latitude and longitude swapped, or is a minus sign missing?",
          "the season 04-15 to 10-15 is the cool half-year"]),
        ({"timezone": None, "at": (-64.2, -31.4), "season": None},
         [SWAPPED.format(-64.2, -31.4, "the open sea", " (that would be in the time zone America/Argentina/Cordoba)"), FOUND.format("Etc/GMT+2")]),
        ({"timezone": None, "at": (-79.95, 36.1), "season": None},
         [SWAPPED.format(-79.95, 36.1, "Antarctica", " (that would be in the time zone America/New_York)"), FOUND.format("Antarctica/Syowa")]),
        ({"at": (36.1, -59.95)}, [SWAPPED.format(36.1, -59.95, "the open sea", "")]),
        ({"timezone": "America/Chicago"},
         ["the coordinates lie in the time zone America/New_York, whose clocks differ from those of America/Chicago: are both right?"]),
        ({"timezone": "America/Toronto"}, []),  # the same clocks
        ({"need": {"beam": 1400, "fraction": 1}},
         ["no share of the glass is above fraction 1, so nothing is ever covered",
          "the sun hardly ever gives 1400 W/m², so nothing may be covered"]),
        ({"roller": {"need": {"fraction": 1}}}, ['shade "roller": no share of the glass is above fraction 1, so nothing is ever covered']),
        ({"season": ("10-15", "04-15")}, ["the season 10-15 to 04-15 is the cool half-year"]),
        ({"season": ("01-01", "12-31")}, []),
        ({"kitchen": {"width": 120}}, ['window "kitchen": width is 120 m; was another unit meant, such as "120 cm" or "120 in"?']),
        ({"kitchen": {"skyline": [[60, -2], [95, 0]]}}, ['window "kitchen": its skyline nowhere rises above the horizon, so it hides nothing']),
        ({"kitchen": {"skyline": [[200, 12], [300, 8]]}},
         ['window "kitchen": no point of its skyline is in front of it; azimuths of the skyline count from true north']),
        ({"kitchen": {"position": None}}, ["no window has a `position`, so no obstacle or tree shades any"]),
        ({"kitchen": {"position": None}, "around": SHED}, ["no window has a `position`, so no obstacle or tree shades any"]),
        ({"kitchen": {"position": None}, "around": ""}, []),
        ({"roller": {"moves": 3}}, ['shade "roller": moves = 3 works as 2, as each closing goes with an opening']),
        ({"roller": {"quiet": ["07:00", "21:30"]}}, ['shade "roller": its quiet hours hold noon; are start and end swapped?']),
    ],
)  # fmt: skip
def test_oddities_are_remarked_on(change, expected):
    assert notes(**change) == expected


def test_bare_windows_are_remarked_on_and_counted():
    assert notes(LOFT) == [
        'without a `position`, and so not shaded by obstacles or trees: "loft"',
        'no shade names "loft": each gets a shade of its own with the defaults',
    ]
    assert notes(*(window(f"w{i}", 5, 1, 1, position=[i, 0]) for i in range(8))) == [
        'no shade names "w0", "w1", "w2", "w3", "w4" and 3 more: '
        "each gets a shade of its own with the defaults",
    ]


def test_latitude_and_longitude_of_nought_are_remarked_on():
    assert notes(at=(0, 0), timezone=None)[0].startswith("latitude and longitude are both 0")


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
def test_true_zones_of_odd_hours_are_not_remarked_on(zone, latitude, longitude):
    found = notes(at=(latitude, longitude), timezone=zone, season=None)
    assert [note for note in found if "clock" in note] == []


NO_SPOT = 'shade "study": none of its spots lies behind its windows to close for "{}"'


@pytest.mark.parametrize(
    ("need", "stops", "expected"),
    [
        ({"for": ["heat", "glare"]}, None, [NO_SPOT.format("glare")]),
        ({"for": ["heat", "glare"], "glare": {"reach": 2}}, None, []),
        ({}, [50, 100], ['shade "roller": its stops are never used, as it closes for neither glare nor fading']),
        ({"for": ["heat", "fading"], "fading": {"spots": ["desk"]}}, [50, 100], [NO_SPOT.format("fading")]),
    ],
)  # fmt: skip
def test_needs_that_ask_for_nothing(need, stops, expected):
    desk = table("spot", name="desk", window="kitchen", distance=1, height=0.7)
    study = window("study", 9, 1, 1, position=[0, 1])
    found = notes(study, desk, season=None, need=need, roller={"moves": None, "stops": stops})
    assert [note for note in found if note.startswith('shade "')] == expected


def test_a_wall_with_the_house_in_front_of_it_is_asked_about():
    """The house lies 20 m north of a wall that goes from east to west: its outside is north."""
    ends = [[47.0, 8.0002], [47.0, 8.0]]
    wrong, right = (
        " ".join(site_notes(site_of(window("w", None, wall=wall), at=(47.00018, 8.00011))))
        for wall in (ends, ends[::-1])
    )
    assert 'window "w": the house\'s own place lies 20 m in front of that wall' in wrong
    assert "ends swapped" not in right
