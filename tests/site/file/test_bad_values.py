"""What is said about one bad value or key in a site file: the whole message, for each."""

from __future__ import annotations

from pathlib import Path

import pytest
from site_texts import GLAZING, OBSTACLE, SHADE, SMALL, SPOT, TREE, WINDOW, edited, faults

BAD_VALUES = [
    # the site
    pytest.param(
        edited("36.10", "95"), "3:12: [site]: latitude: 95 is not between -90 and 90", id="latitude"
    ),
    pytest.param(
        edited("-79.95", "-279.95"),
        "4:13: [site]: longitude: -279.95 is not between -180 and 180",
        id="longitude",
    ),
    pytest.param(
        edited("36.10", "true"), "3:12: [site]: latitude: true is not a number", id="boolean"
    ),
    pytest.param(
        edited("36.10", '"36.10"'),
        '3:12: [site]: latitude: "36.10": as text it needs a letter, N or S: "36.10 N"',
        id="number as text",
    ),
    pytest.param(
        edited("-79.95", '"79.95 S"'),
        '4:13: [site]: longitude: "79.95 S": this is not a longitude, which has E or W behind it',
        id="letter of the other axis",
    ),
    pytest.param(
        edited("= 1.20", '= "1.20"'),
        '9:9: window "kitchen": width: "1.20" has no unit; add one of mm, cm, m, in, ft (such as '
        '"1.20 cm"), or leave out the quotes for metres',
        id="length without unit",
    ),
    pytest.param(
        edited("36.10", "2026-04-15"),
        "3:12: [site]: latitude: 2026-04-15 is not a number",
        id="date for a number",
    ),
    pytest.param(
        edited("36.10", "[36.10]"), "3:12: [site]: latitude: a list is not a number", id="list"
    ),
    pytest.param(
        edited("36.10", "nan"), "3:12: [site]: latitude: nan is not a finite number", id="nan"
    ),
    pytest.param(
        edited("36.10", "-inf"), "3:12: [site]: latitude: -inf is not a finite number", id="inf"
    ),
    pytest.param(
        edited("36.10", "1" + 400 * "0"),
        "3:12: [site]: latitude: this huge number is too large",
        id="10 to the 400",
    ),
    pytest.param(
        edited("36.10", "36.10\nelevation = 9001"),
        "4:13: [site]: elevation: 9001 is not between -500 and 9000 m",
        id="elevation",
    ),
    pytest.param(
        edited("36.10", '36.10\ntimezone = "America/NewYork"'),
        '4:12: [site]: timezone: "America/NewYork" is not the name of a time zone; '
        'did you mean "America/New_York"?',
        id="zone",
    ),
    pytest.param(
        edited("36.10", "36.10\nalbedo = 1.2"),
        "4:10: [site]: albedo: 1.2 is not between 0 and 1",
        id="albedo",
    ),
    pytest.param(
        edited("latitude = 36.10", "lattitude = 36.10\nlatitude = 36.10"),
        "3:1: [site]: unknown key `lattitude`, did you mean `latitude`?",
        id="unknown key with a near one",
    ),
    pytest.param(
        edited("[site]", "[need]\nwind = 3\n[site]"),
        "2:1: [need]: unknown key `wind`; known here are beam, fraction, power, season, for, "
        "glare, fading, sleep, privacy",
        id="unknown key with none near",
    ),
    pytest.param(
        edited("[[window]]", "[neeed]\nbeam = 1\n[[window]]"),
        "6:1: unknown key `neeed`, did you mean `need`?",
        id="unknown table",
    ),
    pytest.param(
        edited('name = "Larkspur Lane"\n', ""),
        "1:1: [site]: `name` is missing; give it: name of the site",
        id="missing key",
    ),
    pytest.param(
        edited("[site]", "[[site]]"),
        "1:1: [site]: it may be given once; write [site] in single brackets",
        id="site in double brackets",
    ),
    pytest.param(
        edited("Larkspur Lane", ""), "2:8: [site]: name: this is empty; give it a text", id="empty"
    ),
    pytest.param(
        edited("Larkspur Lane", "Larkspur\\nLane"),
        '2:8: [site]: name: "Larkspur\\nLane" has a line break or another control character in it',
        id="line break in a name",
    ),
    pytest.param(
        edited("Larkspur Lane", "Lane\\u001b[31m\\u0085x"),
        '2:8: [site]: name: "Lane\\x1b[31m\\x85x" has a line break or another control character '
        "in it",
        id="terminal sequence in a name",
    ),
    pytest.param(
        edited("Larkspur Lane", "Larkspur "),
        '2:8: [site]: name: "Larkspur " has a blank at an end; take it away',
        id="blank at the end of a name",
    ),
    pytest.param(
        edited("Larkspur Lane", "x" * 3000),
        f'2:8: [site]: name: "{"x" * 39}…" is longer than 100 characters',
        id="long name",
    ),
    pytest.param(
        edited('"Larkspur Lane"', "5"),
        "2:8: [site]: name: 5 is not text; write it in quotes",
        id="number for a name",
    ),
    # the need
    pytest.param(
        edited("[[window]]", "[need]\nbeam = -1\n[[window]]"),
        "7:8: [need]: beam: -1 is not 0 W/m² or more",
        id="beam",
    ),
    pytest.param(
        edited("[[window]]", "[need]\nfraction = 1.5\n[[window]]"),
        "7:12: [need]: fraction: 1.5 is not between 0 and 1",
        id="fraction",
    ),
    pytest.param(
        edited("[[window]]", '[need]\nseason = ["02-30", "10-15"]\n[[window]]'),
        '7:11: [need]: season, first day: "02-30" is not a day of the year (month-day)',
        id="30 February",
    ),
    pytest.param(
        edited("[[window]]", '[need]\nseason = ["04-15", "15 Oct"]\n[[window]]'),
        '7:20: [need]: season, last day: "15 Oct" is not a month and day such as "04-15"',
        id="no month-day",
    ),
    pytest.param(
        edited("[[window]]", '[need]\nseason = [2026-04-15, "10-15"]\n[[window]]'),
        '7:11: [need]: season, first day: 2026-04-15 has a year; write month and day, "04-15"',
        id="date with a year",
    ),
    pytest.param(
        edited("[[window]]", '[need]\nseason = ["04-15"]\n[[window]]'),
        "7:10: [need]: season: this list has 1 member; it should be a list of two month-days, "
        'first and last: ["04-15", "10-15"]',
        id="season of one day",
    ),
    # windows
    pytest.param(
        edited("= 95", "= 400"),
        '8:11: window "kitchen": azimuth: 400 is not between 0 and 360',
        id="azimuth above 360",
    ),
    pytest.param(
        edited("= 95", "= -5"),
        '8:11: window "kitchen": azimuth: -5 is not between 0 and 360',
        id="azimuth below 0",
    ),
    pytest.param(
        edited(WINDOW, f"{WINDOW}\ntilt = 190"),
        '9:8: window "kitchen": tilt: 190 is not between 0 and 180',
        id="tilt",
    ),
    pytest.param(
        edited("1.20", "0"), '9:9: window "kitchen": width: 0 is not 0.001 m or more', id="no width"
    ),
    pytest.param(
        edited("1.40", "-1.4"),
        '10:10: window "kitchen": height: -1.4 is not 0.001 m or more',
        id="height below 0",
    ),
    pytest.param(
        edited("1.20", '"48"'),
        '9:9: window "kitchen": width: "48" has no unit; add one of mm, cm, m, in, ft '
        '(such as "48 cm"), or leave out the quotes for metres',
        id="length without unit",
    ),
    pytest.param(
        edited("1.20", '"4 cubits"'),
        '9:9: window "kitchen": width: "4 cubits" has a unit that is not known: cubits; '
        "the units are mm, cm, m, in, ft",
        id="unknown unit",
    ),
    pytest.param(
        edited("1.20", '"-4 in"'),
        '9:9: window "kitchen": width: -0.1016 is not 0.001 m or more',
        id="length as text below 0",
    ),
    pytest.param(
        edited("1.20", "1_200_000"),
        '9:9: window "kitchen": width: 1200000 is not at most 100000 m',
        id="length beyond all reason",
    ),
    pytest.param(
        edited(WINDOW, f"{WINDOW}\nreveal = -0.1"),
        '9:10: window "kitchen": reveal: -0.1 is not 0 m or more',
        id="reveal below 0",
    ),
    pytest.param(
        edited('name = "kitchen"\n', ""),
        "6:1: [[window]] 1: `name` is missing; give it: unique among the windows",
        id="window without a name",
    ),
    pytest.param(
        edited(WINDOW, f"{WINDOW}\nsil = 0.9"),
        '9:1: window "kitchen": unknown key `sil`, did you mean `sill`?',
        id="unknown key of a window",
    ),
    pytest.param(
        edited(WINDOW, f"{WINDOW}\nfins = []"),
        '9:1: window "kitchen": unknown key `fins`, did you mean `fin`?',
        id="field name of the model is no key",
    ),
    pytest.param(
        edited("[[window]]", "[window]"),
        "6:1: [window]: there may be several; write [[window]] in double brackets",
        id="window in single brackets",
    ),
    pytest.param(
        edited("[site]", "tree = [3]\n[site]"),
        "1:9: [[tree]] 1: 3 is not a table; write [[tree]]",
        id="entry that is no table",
    ),
    pytest.param(
        edited(WINDOW, f"{WINDOW}\nskyline = [[60, 12], [95, 91]]"),
        '9:27: window "kitchen": skyline, point 2, elevation: 91 is not between -90 and 90',
        id="elevation in the skyline",
    ),
    pytest.param(
        edited(WINDOW, f"{WINDOW}\nskyline = [[60, 12], [-95, 9]]"),
        '9:23: window "kitchen": skyline, point 2, azimuth: -95 is not between 0 and 360',
        id="azimuth in the skyline",
    ),
    pytest.param(
        edited(WINDOW, f"{WINDOW}\nskyline = [[60, 12, 3]]"),
        '9:12: window "kitchen": skyline, point 1: this list has 3 members; '
        "it should be a list of two angles: azimuth, elevation",
        id="skyline point of three numbers",
    ),
    pytest.param(
        edited(WINDOW, f"{WINDOW}\nskyline = [60]"),
        '9:12: window "kitchen": skyline, point 1: 60 is not a list of two angles: '
        "azimuth, elevation",
        id="flat skyline",
    ),
    pytest.param(
        edited(WINDOW, f"{WINDOW}\nskyline = [[0, 12], [0, 5], [360, 7]]"),
        '9:11: window "kitchen": skyline: more than two points have azimuth 0; two make a step',
        id="three skyline points of one azimuth",
    ),
    pytest.param(
        edited(WINDOW, f"{WINDOW}\nposition = [1]"),
        '9:12: window "kitchen": position: this list has 1 member; '
        "it should be a list of two lengths: east, north",
        id="position of one number",
    ),
    pytest.param(
        edited(WINDOW, f'{WINDOW}\nposition = [1, "2"]'),
        '9:16: window "kitchen": position, north: "2" has no unit; add one of mm, cm, m, in, ft '
        '(such as "2 cm"), or leave out the quotes for metres',
        id="position as text",
    ),
    pytest.param(
        edited("", "", "[window.overhang]\ngap = 0.2\n"),
        '11:1: window "kitchen": overhang: `depth` is missing; '
        "give it: metres out from the wall's face",
        id="overhang without depth",
    ),
    pytest.param(
        edited("", "", "[window.overhang]\ndepth = 0\ngap = 0.2\n"),
        '12:9: window "kitchen": overhang.depth: 0 is not 0.001 m or more',
        id="overhang of no depth",
    ),
    pytest.param(
        edited("", "", "overhang = { depth = 1, gap = -0.2 }\n"),
        '11:31: window "kitchen": overhang.gap: -0.2 is not 0 m or more',
        id="gap below 0 in an inline table",
    ),
    pytest.param(
        edited("", "", "overhang.depth = 1\noverhang.dept = 1\n"),
        '12:1: window "kitchen": overhang: unknown key `dept`, did you mean `depth`?',
        id="unknown dotted key",
    ),
    pytest.param(
        edited("", "", "overhang = 0.6\n"),
        '11:12: window "kitchen": overhang: 0.6 is not a table; write [window.overhang]',
        id="overhang that is no table",
    ),
    pytest.param(
        edited("", "", "overhang = {depth = 1, left = -1, right = -0.2}\n"),
        '11:12: window "kitchen": overhang: left and right leave nothing of the overhang; '
        "check their signs",
        id="overhang of no width",
    ),
    pytest.param(
        edited("", "", '[[window.fin]]\nside = "left"\ndepth = 1\n[[window.fin]]\nside = "top"\n'),
        '15:8: window "kitchen": fin 2.side: "top" is not "left" or "right"\n'
        '14:1: window "kitchen": fin 2: `depth` is missing; '
        "give it: metres out from the wall's face",
        id="second fin",
    ),
    pytest.param(
        edited("", "", '[window.fin]\nside = "left"\ndepth = 1\n'),
        '11:1: window "kitchen": fin: a table is not a list of tables, each [[window.fin]]',
        id="fin in single brackets",
    ),
    # shades
    pytest.param(
        edited('windows = ["kitchen"]\n', "", SHADE),
        '12:1: shade "roller": `windows` is missing; give it: names of the windows that it covers',
        id="shade without windows",
    ),
    pytest.param(
        edited('["kitchen"]', "[]", SHADE),
        '14:11: shade "roller": windows: this list has 0 members; '
        'it should be a list of window names, such as ["kitchen"]',
        id="shade of no windows",
    ),
    pytest.param(
        edited('["kitchen"]', '"kitchen"', SHADE),
        '14:11: shade "roller": windows: "kitchen" is not a list of window names, '
        'such as ["kitchen"]',
        id="windows that are no list",
    ),
    pytest.param(
        edited('["kitchen"]', '["kitchen", "kichen"]', SHADE),
        '14:23: shade "roller": windows, name 2: no window is named "kichen", '
        'did you mean "kitchen"?',
        id="unknown window",
    ),
    pytest.param(
        edited('["kitchen"]', '["kitchen", "kitchen"]', SHADE),
        '14:23: shade "roller": windows, name 2: the window "kitchen" is named twice; name it once',
        id="window twice",
    ),
    pytest.param(
        SMALL + SHADE + "travel = -1\n",
        '15:10: shade "roller": travel: -1 is not between 0 and 3600 seconds',
        id="travel below 0",
    ),
    pytest.param(
        SMALL + SHADE + 'lead = "2 mn"\n',
        '15:8: shade "roller": lead: "2 mn" has a unit that is not known: mn; the units are s, '
        "min, h",
        id="unknown unit of time",
    ),
    pytest.param(
        SMALL + SHADE + 'travel = "75"\n',
        '15:10: shade "roller": travel: "75" has no unit; add s, min or h (such as "75 s")',
        id="time without unit",
    ),
    pytest.param(
        SMALL + SHADE + 'travel = "2 h"\n',
        '15:10: shade "roller": travel: 7200 is not between 0 and 3600 seconds',
        id="time out of bounds",
    ),
    pytest.param(
        SMALL + '\n[[exception]]\nname = "away"\ndo = "up"\ndates = ["2026-02-30", "2026-03-01"]\n',
        '15:10: exception "away": dates 1: 2026-02-30: February 2026 has no such day',
        id="no such day",
    ),
    pytest.param(
        SMALL + SHADE + "moves = 1\n",
        '15:9: shade "roller": moves: 1 is not 2 or more',
        id="one move",
    ),
    pytest.param(
        SMALL + SHADE + "moves = 4.0\n",
        '15:9: shade "roller": moves: 4 is not a whole number',
        id="moves with a dot",
    ),
    pytest.param(
        SMALL + SHADE + 'quiet = ["21:30", "21:30"]\n',
        '15:9: shade "roller": quiet: quiet hours start and end at the same time; '
        "leave the key out for none",
        id="quiet of no length",
    ),
    pytest.param(
        SMALL + SHADE + 'quiet = ["21:30", "24:00"]\n',
        '15:19: shade "roller": quiet, end: "24:00" is not between 00:00 and 23:59 '
        '(midnight is "00:00")',
        id="24 o'clock",
    ),
    pytest.param(
        SMALL + SHADE + 'quiet = ["9 pm", "07:00"]\n',
        '15:10: shade "roller": quiet, start: "9 pm" is not a time of day as it is read here; '
        'write "21:00"',
        id="hour of twelve",
    ),
    pytest.param(
        SMALL + SHADE + 'quiet = ["21:30", "7:30"]\n',
        '15:19: shade "roller": quiet, end: "7:30" is not a time of day as it is read here; '
        'write "07:30"',
        id="hour of one digit",
    ),
    pytest.param(
        SMALL + SHADE + 'quiet = ["late", "07:00"]\n',
        '15:10: shade "roller": quiet, start: "late" is not a time of day such as "21:30"',
        id="no time of day",
    ),
    pytest.param(
        SMALL + SHADE + 'in_quiet = "never"\n',
        '15:12: shade "roller": in_quiet: "never" is not "early" or "late"',
        id="in_quiet",
    ),
    pytest.param(
        SMALL + SHADE + "transmittance = 0.5\nreflectance = 0.6\n",
        '16:15: shade "roller": reflectance: transmittance and reflectance add up to 1.1; '
        "at most 1 is possible",
        id="more light than falls on it",
    ),
    pytest.param(
        SMALL + SHADE + "[shade.need]\nbeams = 3\n",
        '16:1: shade "roller": need: unknown key `beams`, did you mean `beam`?',
        id="unknown key of a shade's need",
    ),
    pytest.param(
        SMALL + SHADE + SHADE,
        '17:8: shade "roller": name: [[shade]] 1 has the name "roller" too; give each its own',
        id="two shades of one name",
    ),
    pytest.param(
        edited('"roller"', '"loft"', SHADE)
        + '\n[[window]]\nname = "loft"\nazimuth = 1\nwidth = 1\nheight = 1\n',
        '13:8: shade "loft": name: window "loft" is named by no shade and so gets one of its own '
        'name; rename this shade, or add "loft" to its windows',
        id="shade with the name of another's default",
    ),
    # surroundings
    pytest.param(
        edited("[0, 4]]", "[0, 4]", OBSTACLE).replace(", [4, 4], [0, 4]", "]"),
        '14:13: obstacle "shed": footprint: a footprint needs at least three corners, not 2',
        id="footprint of two corners",
    ),
    pytest.param(
        edited("[4, 4], [0, 4]", "[8, 0]", OBSTACLE),
        '14:13: obstacle "shed": footprint: the corners lie on one line, so they enclose no area',
        id="footprint without area",
    ),
    pytest.param(
        edited("[4, 4], [0, 4]", "[0, 4], [4, 4]", OBSTACLE),
        '14:13: obstacle "shed": footprint: the outline crosses or touches itself: '
        "side 2 meets side 4; give the corners in their order round the outline",
        id="footprint that crosses itself",
    ),
    pytest.param(
        edited("[4, 0],", "[4, nan],", OBSTACLE),
        '14:26: obstacle "shed": footprint, corner 2, north: nan is not a finite number',
        id="corner that is no number",
    ),
    pytest.param(
        edited("top = 3", "base = 3\ntop = 3", OBSTACLE),
        '16:7: obstacle "shed": top: top 3 m is not above base 3 m',
        id="obstacle of no height",
    ),
    pytest.param(
        edited(WINDOW, f"{WINDOW}\nposition = [1, 1]", OBSTACLE),
        '9:12: window "kitchen": position: the glass stands inside obstacle "shed"; '
        "move it out of the footprint",
        id="window inside an obstacle",
    ),
    pytest.param(
        edited("top = 11", "top = 2", TREE),
        '17:7: tree "maple": top: top 2 m is not above bottom 2.5 m',
        id="tree upside down",
    ),
    pytest.param(
        edited("leaf = 0.15", "leaf = 15", TREE),
        '18:8: tree "maple": leaf: 15 is not between 0 and 1',
        id="leaf in percent",
    ),
    pytest.param(
        edited('window = "kitchen"', 'window = "Kitchen"', SPOT),
        '14:10: spot "desk": window: no window is named "Kitchen", did you mean "kitchen"?',
        id="spot behind an unknown window",
    ),
    pytest.param(
        edited("distance = 1.6", "distance = -1.6", SPOT),
        '15:12: spot "desk": distance: -1.6 is not 0 m or more',
        id="spot out of doors",
    ),
    # glass and weather
    pytest.param(
        edited(WINDOW, f'{WINDOW}\nglazing = "cleer"', GLAZING),
        '9:11: window "kitchen": glazing: no glazing is named "cleer", did you mean "clear"?',
        id="unknown glazing",
    ),
    pytest.param(
        edited("[0, 90]", "[0, 60, 50, 90]", GLAZING).replace("0.7, 0]", "0.7, 0.6, 0.5, 0]"),
        '14:10: glazing "clear": angles: the angles must ascend, but 50 follows 60',
        id="angles out of order",
    ),
    pytest.param(
        edited("[0, 90]", "[10, 90]", GLAZING),
        '14:10: glazing "clear": angles: the angles must start at 0 and end at 90',
        id="angles that start late",
    ),
    pytest.param(
        edited("[0, 90]", "[0, 80]", GLAZING),
        '14:10: glazing "clear": angles: the angles must start at 0 and end at 90',
        id="angles that end early",
    ),
    pytest.param(
        edited("[0.7, 0]", "[0.7, 0.5, 0]", GLAZING),
        '15:9: glazing "clear": gains: 3 gains for 2 angles; give one for each',
        id="more gains than angles",
    ),
    pytest.param(
        edited("[0.7, 0]", "[70, 0]", GLAZING),
        '15:10: glazing "clear": gains, gain 1: 70 is not between 0 and 1',
        id="gains in percent",
    ),
    pytest.param(
        edited("[[window]]", '[weather]\nfile = "year.csv.gz"\n[[window]]'),
        '6:1: [weather]: stamp: it must be given for a CSV file: "start", "middle" or "end"',
        id="CSV without stamp",
    ),
    pytest.param(
        edited("[[window]]", '[weather]\nfile = "year.csv"\nstamp = "noon"\n[[window]]'),
        '8:9: [weather]: stamp: "noon" is not "start", "middle" or "end"',
        id="unknown stamp",
    ),
    # the file as a whole
    pytest.param(
        SMALL[: SMALL.index("[[window]]")],
        "there is no window; write a [[window]] for each",
        id="no window",
    ),
    pytest.param(
        edited("[site]", "window = []\n[site]")[: -len(SMALL[SMALL.index("[[window]]") :])],
        "there is no window; write a [[window]] for each",
        id="empty list of windows",
    ),
    pytest.param(
        SMALL[SMALL.index("[[window]]") :],
        "there is no [site] table; it gives name, latitude and longitude",
        id="no site",
    ),
    pytest.param(
        "",
        "the file is empty; a site file has a [site] and a [[window]] for each window",
        id="empty file",
    ),
]


@pytest.mark.parametrize(("text", "expected"), BAD_VALUES)
def test_what_is_wrong_is_said_with_its_place_and_remedy(
    tmp_path: Path, text: str, expected: str
) -> None:
    assert sorted(faults(text, tmp_path)) == sorted(expected.split("\n"))
