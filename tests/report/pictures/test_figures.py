"""All pictures of a report: whole, alone, with words and numbers, and true to the data."""

import re
import sys
from dataclasses import replace
from unittest.mock import patch

import numpy as np
import pytest
import shapely
from report_home import report_data
from svg_reading import SVG, numbers, parsed, spans_at, walk, with_class, words

from suncover.base.errors import RequestError
from suncover.compare.overhangs import DEPTHS
from suncover.export.text.compare_advice import overhang_verdict
from suncover.report.calendar_days import by_day
from suncover.report.pictures.day_curve import day_curve
from suncover.report.pictures.depth_sweep import depth_sweep, scales, sweep_table
from suncover.report.pictures.figure import HALF, WIDE, Figure, Key, Table, round_steps
from suncover.report.pictures.figures import PER_SHADE, PER_WINDOW, report_figures
from suncover.report.pictures.floor_plan import Top
from suncover.report.pictures.heat_months import heat_months, monthly_kwh
from suncover.report.pictures.markup import Markup
from suncover.report.pictures.month_bars import month_bars, months_of
from suncover.report.pictures.plan_bars import plan_bars
from suncover.report.pictures.season_ribbon import most_hours, season_ribbon
from suncover.report.pictures.side_cut import Side, beam_band, beam_of
from suncover.report.pictures.side_view import side_view
from suncover.report.pictures.sky_view import sky_view
from suncover.report.pictures.top_view import patch_hours, top_view
from suncover.report.pictures.week_bars import week_bars
from suncover.report.units import in_units, length_mark
from suncover.site.options import STANDARD_OPTIONS

DATA = report_data()
FIGURES = list(report_figures(DATA))
HALF_MINUTE_H = 0.5 / 60


@pytest.mark.parametrize("figure", FIGURES, ids=lambda figure: figure.name)
def test_a_picture_stands_alone(figure):
    """Well-formed XML, with a title, a description, its own style, and nothing from outside; and
    the same in words and numbers.
    """
    assert len(figure.alt) > 40
    assert figure.table.rows
    assert all(len(row) == len(figure.table.head) for row in figure.table.rows)
    assert figure.width in (WIDE, HALF)
    svg = figure.svg()
    root = parsed(svg)
    assert root.tag == f"{SVG}svg"
    assert root.findtext(f"{SVG}title") == figure.title
    assert root.findtext(f"{SVG}desc") == in_units(figure.alt, figure.units)
    known = set(re.findall(r"\.([a-z][\w-]*)", root.findtext(f"{SVG}style") or ""))
    classes = {name for names in re.findall(r'class="([^"]*)"', svg) for name in names.split()}
    assert classes - known <= {"full", "day-mark", "wide"}
    assert re.findall(r"(?:https?:)?//[^\s\"']+", svg) == ["http://www.w3.org/2000/svg"]
    used = set(re.findall(r"(?:url\(|href=\")#([^)\"]+)", svg))
    assert used <= {one.get("id") for one in root.iter()}
    assert "var(" not in svg


def test_names_and_captions_are_unique_and_names_fit_for_files():
    names = [figure.name for figure in FIGURES]
    assert len(set(names)) == len(names) == 1 + 2 * len(PER_SHADE) + 2 * len(PER_WINDOW) + 4
    assert all(re.fullmatch(r"[a-z0-9-]+", name) for name in names)
    captions = [figure.table.caption for figure in FIGURES]
    assert len(set(captions)) == len(captions)


def test_names_from_the_site_file_show_as_they_are_written():
    texts = " ".join(" ".join(words(parsed(figure.svg()))) for figure in FIGURES)
    for name in (
        "kitchen </title><script>alert(1)</script>",
        "kitchen 'roller'",
        "<desk>",
        "neighbour & son",
    ):
        assert name in texts
    assert "<script>" not in "".join(figure.svg() for figure in FIGURES)


def test_a_notebook_shows_the_picture():
    assert FIGURES[0]._repr_svg_() == FIGURES[0].svg()


def test_png_has_the_size_asked_for():
    pytest.importorskip("resvg_py", reason="PNG pictures need the package resvg_py")
    data = FIGURES[0].png(scale=1.5)
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    assert int.from_bytes(data[16:20], "big") == round(FIGURES[0].width * 1.5)


def test_png_without_its_package_says_what_to_install():
    with (
        patch.dict(sys.modules, {"resvg_py": None}),
        pytest.raises(RequestError, match=r"pip install 'suncover\[plot\]'"),
    ):
        FIGURES[0].png()


def test_a_long_legend_breaks_into_lines():
    keys = tuple(Key(Markup("<g/>"), "a text of some length that takes room") for _ in range(5))
    figure = Figure("a", "A", "Alt.", HALF, 100.0, Markup(), Table("t", ("a",), ()), keys)
    heights = {
        one.get("transform")
        for one in parsed(figure.svg()).iter(f"{SVG}g")
        if (one.get("transform") or "").startswith("translate(8 ")
    }
    assert len(heights) == 5


@pytest.mark.parametrize(
    ("most", "steps"),
    [
        (10.0, [0, 2, 4, 6, 8, 10]),
        (640.0, [0, 200, 400, 600]),
        (0.9, [0, 0.2, 0.4, 0.6, 0.8]),
        (3.0, [0, 1, 2, 3]),
    ],
)
def test_steps_of_an_axis_are_round(most, steps):
    assert round_steps(most) == pytest.approx(steps)


# --- true to the data ---------------------------------------------------------------------------


@pytest.mark.parametrize("number", range(2))
def test_bars_of_months_are_the_windows_hours(number):
    window, months = DATA.windows[number], months_of(DATA, number)
    by_month = [0.0] * 12
    for day, minutes in zip(DATA.calendar.days, window.minutes_by_day, strict=True):
        by_month[day.month - 1] += minutes * 60
    assert [one.sun for one in months] == pytest.approx(by_month)
    assert all(0 <= one.covered <= one.sun for one in months)
    bars = walk(with_class(parsed(month_bars(DATA, number).svg()), "sun")[0].get("d") or "")
    heights = [max(y for _, y in bar) - min(y for _, y in bar) for bar in bars]
    most = max(by_month)
    assert heights == pytest.approx([170 * value / most for value in by_month], abs=0.11)


def test_covered_hours_are_those_of_the_plan():
    closings = DATA.shades[0].plan.closings
    covered = sum(one.covered for one in months_of(DATA, 0))
    assert covered == sum(closing.sun_seconds for closing in closings)


def test_ribbons_are_the_hours_of_each_day():
    shade = DATA.shades[0]
    sun = DATA.calendar.seconds_by_day(shade.sun)
    assert sun.sum() == sum(piece.end - piece.start for piece in shade.sun)
    root = parsed(season_ribbon(DATA, 0).svg())
    for style, pieces in (("sun", shade.sun), ("shade", shade.closed)):
        path = with_class(root, style)[0].get("d") or ""
        hours = DATA.calendar.seconds_by_day(pieces) / 3600
        for day in range(0, 365, 5):
            spans = spans_at(path, 52 + 656 * (day + 0.5) / 365)
            height = sum(high - low for low, high in spans)
            # 62 units are the scale's hours; lines are eased by 0.3 of one, and drawn to a tenth.
            assert height == pytest.approx(62 * hours[day] / most_hours(DATA), abs=0.6)
    rows = season_ribbon(DATA, 0).table.rows
    assert sum(float(row[1]) for row in rows) == pytest.approx(sun.sum() / 3600, abs=0.6)
    assert sum(int(row[3]) for row in rows) == len(shade.plan.closings)


def test_the_week_starts_today_and_has_eight_days():
    rows = week_bars(DATA, 0).table.rows
    assert [row[0] for row in rows][:2] == ["Sun 21 Jun", "Mon 22 Jun"]
    assert len(rows) == 8
    closed = by_day(DATA.week.shades[0].closed, 8)
    drawn = walk(with_class(parsed(week_bars(DATA, 0).svg()), "wash")[0].get("d") or "")
    expected = [piece for day in closed for piece in day]
    assert len(drawn) == len(expected)
    for box, piece in zip(drawn, expected, strict=True):
        ends = [108 + 596 * seconds / 86_400 for seconds in (piece.start, piece.end)]
        sides = [x for x, _ in box]
        assert [min(sides), max(sides)] == pytest.approx(ends, abs=0.11)


def test_the_day_curve_has_the_height_of_the_power():
    window, day = DATA.windows[1], DATA.start_day
    root = parsed(day_curve(DATA, 1).svg())
    area = next(one for one in root.iter() if one.get("data-part") == "sun")
    heights = [float(value) for value in re.findall(r"V([\d.]+)H", area.get("d") or "")]
    scale = np.ceil(window.power.max() / 200) * 200 / 136
    drawn = [(150 - height) * scale for height in heights]
    cells = [value for value in window.power[day] if value]
    assert drawn == pytest.approx(cells, abs=0.05 * scale + 0.5)


def test_the_sky_has_the_sun_where_it_is():
    """Dots at full hours: 656 units stand for 180° to the sides, 264 for 90° up."""
    window, day = DATA.windows[1], DATA.start_day
    root = parsed(sky_view(DATA, 1).svg())
    group = next(one for one in root.iter() if one.get("data-part") == "hours")
    dots = [(float(one.get("cx")), float(one.get("cy"))) for one in group.iter(f"{SVG}circle")]
    expected = []
    for slot in range(0, 48, 2):
        side = (DATA.sun.azimuth[day, slot] - window.window.azimuth + 180) % 360 - 180
        height = DATA.sun.elevation[day, slot]
        if height > 0 and abs(side) <= 90:
            expected.append((380 + side / 90 * 328, 280 - height / 90 * 264))
    assert len(dots) == len(expected) > 5
    for dot, place in zip(dots, expected, strict=True):
        assert dot == pytest.approx(place, abs=0.02)


@pytest.mark.parametrize("elevation", [10.0, 35.0, 60.0, 80.0])
@pytest.mark.parametrize("side", [-60.0, 0.0, 45.0])
def test_the_cut_has_the_shadow_of_the_handbook(elevation, side):
    """S = P tan Ω below the overhang, tan Ω = tan β / cos γ (ASHRAE Handbook, Fundamentals,
    fenestration chapter); P is the depth with the reveal, S counts from the overhang.
    """
    window = DATA.windows[0].window
    roof = window.overhang
    beam = beam_of(window, side, elevation)
    slope = np.tan(np.radians(elevation)) / np.cos(np.radians(side))
    shadow = (roof.depth + window.reveal) * slope - roof.gap
    head = window.reveal * slope  # the opening's upper edge throws its own
    assert window.height - beam.high == pytest.approx(max(shadow, head, 0.0))
    assert beam.low == 0.0


def test_no_beam_from_behind_or_below():
    window = DATA.windows[0].window
    assert beam_of(window, 95.0, 30.0) is None
    assert beam_of(window, 0.0, -1.0) is None


def test_the_side_view_is_to_scale():
    """Glass of 1.40 m and an overhang of 0.60 m are drawn at 7 to 3."""
    root = parsed(side_view(DATA, 0).svg())
    glass = numbers(with_class(root, "glass")[0].get("d") or "")
    plate = numbers(with_class(root, "plate")[0].get("d") or "")
    height = abs(glass[3] - glass[1])
    depth = abs(plate[2] - plate[0])
    assert height / depth == pytest.approx(1.40 / 0.60, abs=0.01)


@pytest.mark.parametrize("elevation", [4.0, 12.0, 20.0, 35.0, 60.0])
@pytest.mark.parametrize("side", [0.0, 40.0, 75.0])
def test_all_that_the_beam_lights_in_the_cut_is_drawn(elevation, side):
    """Points in the picture, by the ray through each: it meets the glass in its lit part or not."""
    window = DATA.windows[1].window
    cut = Side(window)
    beam = beam_of(window, side, elevation)
    band = shapely.Polygon(beam_band(cut, beam))
    left, right, low, high = cut.bounds
    steps = 40
    for out in np.linspace(left, right, steps + 2)[1:-1]:
        for up in np.linspace(low, high - 0.05, steps + 2)[1:-1]:
            if out < 0 and up < 0:  # under the floor
                continue
            along = up - beam.up / beam.out * out - window.sill  # at the glass, a wall's
            margin = min(along - beam.low, beam.high - along)
            point = shapely.Point(out, up)
            if abs(margin) > 0.02 and band.boundary.distance(point) > 1e-6:
                assert band.contains(point) == (margin > 0), (out, up)


def test_hours_stand_within_their_own_patch():
    """Where the patch of another hour lies over it, somewhere that is free, if there is any."""
    window = DATA.windows[1]
    top = Top(window)
    tried = 0
    for day in range(0, 365, 20):
        words = {
            int(number): (float(x), float(y))
            for x, y, number in re.findall(
                r'x="([-\d.]+)" y="([-\d.]+)"[^>]*>(\d+)<',
                "".join(patch_hours(DATA, top, day)),
            )
        }
        for hour, (x, y) in words.items():
            rings = window.patches[day, 2 * hour]
            shapes = [shapely.Polygon([top.paper((r, i)) for i, r in ring]) for ring in rings]
            assert shapely.union_all(shapes).buffer(1.0).contains(shapely.Point(x, y - 4))
            tried += 1
    assert tried > 30


def test_a_standing_picture_says_where_and_when_it_is():
    for figure in FIGURES:
        assert figure.note.startswith(DATA.site.place.name)
        assert figure.note in words(parsed(figure.svg()))


def test_the_top_view_draws_the_patch_of_its_time():
    window, day, slot = DATA.windows[1], DATA.start_day, DATA.slot_of(1)
    root = parsed(top_view(DATA, 1).svg())
    patch = next(one for one in root.iter() if one.get("data-part") == "patch")
    points = numbers(patch.get("d") or "")
    glass = numbers(with_class(root, "glass")[0].get("d") or "")
    scale = abs(glass[2] - glass[0]) / window.window.width
    rings = window.patches[day, slot]
    assert len(points) == 2 * sum(len(ring) for ring in rings)
    deepest = max(ring[:, 0].max() for ring in rings)
    assert (glass[1] - min(points[1::2])) / scale == pytest.approx(deepest, abs=0.1 / scale + 0.002)


def test_months_of_heat_are_the_comparisons():
    comparison = DATA.heat.comparison
    values = monthly_kwh(DATA.heat)
    for option in STANDARD_OPTIONS:
        assert values[option].sum() == pytest.approx(comparison.house(option).sum() / 1000)
        assert values[option].sum() == pytest.approx(DATA.heat.line(option).admitted_kwh)
    year = heat_months(DATA.heat).table.rows[-1]
    assert year[1:] == tuple(
        f"{DATA.heat.line(name).admitted_kwh:.0f}" for name in STANDARD_OPTIONS
    )


def test_the_sweep_has_every_depth_that_was_tried():
    figure = depth_sweep(DATA, DATA.heat, 0)
    assert len(figure.table.rows) == len(DEPTHS)
    assert "today" in words(parsed(figure.svg()))
    assert "today" not in words(parsed(depth_sweep(DATA, DATA.heat, 1).svg()))


def test_the_curve_of_depths_is_what_each_adds_in_its_range():
    """Nothing at the depth that stands, and the middle of the range within its band."""
    for number, best in enumerate(DATA.heat.overhangs):
        root = parsed(depth_sweep(DATA, DATA.heat, number).svg())
        curve, _key = with_class(root, "sunline")
        band, _key = with_class(root, "range")
        zero, _key = with_class(root, "zero")
        x, y = scales(best)
        drawn = shapely.LineString(walk(curve.get("d") or "")[0])
        area = shapely.Polygon(walk(band.get("d") or "")[0]).buffer(0.2)
        tried = sorted(best.tried, key=lambda swept: swept.depth)
        assert len(drawn.coords) <= len(tried)
        for swept in tried:
            point = shapely.Point(x(swept.depth), y(swept.net - best.today.net))
            assert drawn.distance(point) <= 0.1
            assert area.contains(point)
        assert numbers(zero.get("d") or "")[1] == pytest.approx(y(0.0), abs=0.1)
        if best.today.depth:
            near = min(tried, key=lambda swept: abs(swept.depth - best.today.depth))
            assert near.net == pytest.approx(best.today.net, abs=0.02 * abs(best.today.net) + 0.05)


def test_the_verdict_stands_in_what_is_said_of_the_picture():
    for number, best in enumerate(DATA.heat.overhangs):
        assert overhang_verdict(best, length_mark) in depth_sweep(DATA, DATA.heat, number).alt


def test_names_of_depths_stand_clear_of_the_curves():
    """Even where the best depth is at the end of a curve that is nearly level there."""
    for number, best in enumerate(DATA.heat.overhangs):
        root = parsed(depth_sweep(DATA, DATA.heat, number).svg())
        paths = with_class(root, "sunline")
        curves = [shapely.LineString(walk(one.get("d") or "")[0]) for one in paths]
        for one in root.iter(f"{SVG}text"):
            if one.text in ("today", "best", "best, or deeper"):
                x, y = float(one.get("x") or 0), float(one.get("y") or 0)
                width = 0.6 * 13 * len(one.text)
                left = x - width if "e" in (one.get("class") or "").split() else x
                box = shapely.box(left, y - 0.73 * 13, left + width, y)
                assert not any(curve.intersects(box) for curve in curves), best.window


def test_bars_of_the_plan_are_the_audits_figures():
    for shade in DATA.shades:
        quality, audit = shade.quality, shade.audit
        assert quality.covered_h + quality.let_in_h == pytest.approx(quality.asked_h)
        assert quality.covered_h == pytest.approx((audit.promised - audit.missed) / 3600)
        assert quality.closings == len(shade.plan.closings)
        assert quality.needless_h == pytest.approx(audit.needless / 3600)
        assert audit.broken is False
    assert [row[0] for row in plan_bars(DATA).table.rows] == ["kitchen 'roller'", "study"]


def test_bars_of_the_plan_say_no_more_than_is_covered():
    """5.3 of 1082 hours let in are not 100 % covered."""
    first = DATA.shades[0]
    quality = replace(first.quality, asked_h=1082.0, covered_h=1076.7, let_in_h=5.3)
    nothing = replace(first.quality, asked_h=0.0, covered_h=0.0, let_in_h=0.0)
    shades = [replace(first, quality=quality), replace(first, quality=nothing)]
    figure = plan_bars(replace(DATA, shades=shades))
    assert [row[3] for row in figure.table.rows] == ["99.5 %", "-"]
    told = words(parsed(figure.svg()))
    assert "99.5 % covered" in told
    assert "nothing to cover" in told


def test_an_overhang_never_lets_more_in_than_none():
    """What rounding takes below nothing is shown as nothing; what was tried is else as it was."""
    best = DATA.heat.overhangs[0]
    below = replace(best, tried=(replace(best.tried[0], kept_out=-0.2, lost=-0.1), *best.tried[1:]))
    least, *deeper = sweep_table(below).rows
    assert least[1:3] == ("0.0", "0.0")
    assert deeper == list(sweep_table(best).rows[1:])
