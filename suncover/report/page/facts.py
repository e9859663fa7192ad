"""What the page's script needs besides the packed numbers."""

from __future__ import annotations

from suncover.base.clock import DAY_S
from suncover.report.gather import ReportData
from suncover.report.page.pack import ANGLE_STEP
from suncover.report.page.readout import DOES, depth_figures
from suncover.report.pictures import (
    day_curve,
    floor_plan,
    labels,
    side_cut,
    sky_paths,
    sky_view,
    top_view,
)
from suncover.report.pictures.axes import LEFT, RIGHT
from suncover.report.pictures.day_curve import power_scale
from suncover.report.pictures.depth_sweep import by_depth, middle, scales, sweep_of
from suncover.report.pictures.figure import HALF, Scale
from suncover.report.pictures.floor_plan import Top
from suncover.report.pictures.ink import LEVEL_W, LEVELS
from suncover.report.pictures.moment import NO_SUN
from suncover.report.pictures.side_cut import Side
from suncover.report.pictures.today_bars import LEFT as TODAY_LEFT
from suncover.report.pictures.today_bars import RIGHT as TODAY_RIGHT
from suncover.report.window_year import PATCH_STEP, POWER_STEP, ROOM_DEPTH


def facts(data: ReportData, arrays: list[list[object]]) -> dict[str, object]:
    """For JSON; `arrays` is the list of what is packed."""
    first = data.calendar.first
    days = len(data.calendar.days)
    return {
        "first": [first.year, first.month, first.day],
        "days": days,
        "day": data.start_day,
        "slot": data.start_slot,
        "units": data.units,
        "spots": [spot.spot.name for spot in data.spots],
        "arrays": arrays,
        "layout": _sizes(days),
        "steps": {"angle": ANGLE_STEP, "power": POWER_STEP, "patch": PATCH_STEP},
        "windows": [_window_facts(data, number) for number in range(len(data.windows))],
        "depths": [] if data.heat is None else _depth_facts(data),
        "does": DOES,
        "noSun": NO_SUN,
        "deep": ROOM_DEPTH,
        "week": [data.week.calendar.bounds.start, data.week.calendar.bounds.end],
        "weekSlots": data.week.calendar.slots.tolist(),
    }


def _window_facts(data: ReportData, number: int) -> dict[str, object]:
    year = data.windows[number]
    window, side, top = year.window, Side(year.window), Top(year)
    covers = (n for n, shade in enumerate(data.shades) if window.name in shade.shade.windows)
    return {
        "name": window.name,
        "azimuth": window.azimuth,
        "tilt": window.tilt,
        "height": window.height,
        "sill": window.sill,
        "reveal": window.reveal,
        "tip": side.tip,
        "around": year.mask.around,
        "spots": [[n, spot.spot.name] for n, spot in data.spots_of(window.name)],
        "power": power_scale(year).high,
        "doubt": None if year.doubt is None else [year.doubt.coming, year.doubt.leaving],
        "shade": next(covers, None),
        "bounds": side.bounds,
        "scale": side.scale,
        "top": {
            "half": top.half_width,
            "depth": top.depth,
            "scale": top.scale,
            "foot": top.foot,
        },
    }


def _depth_facts(data: ReportData) -> list[dict[str, object] | None]:
    """What was tried on each window; nothing for one that takes no overhang."""
    assert data.heat is not None
    windows: list[dict[str, object] | None] = []
    for number in range(len(data.windows)):
        best = sweep_of(data, data.heat, number)
        if best is None:
            windows.append(None)
            continue
        tried = by_depth(best)
        x, y = scales(best)
        windows.append(
            {
                "depth": [swept.depth for swept in tried],
                "x": _ends(x),
                "y": [round(y.low, 4), round(y.high, 4), y.start, y.end],
                "net": [round(middle(swept, best), 3) for swept in tried],
                "figures": ["|".join((*depth_figures(swept), best.unit)) for swept in tried],
            }
        )
    return windows


def _sizes(days: int) -> dict[str, object]:
    """The sizes by which the script draws what pictures of this program show at first, for a report
    of so many days.

    A picture's module holds them, so that each stands once. Scales are their four ends.
    """
    return {
        "clock": _ends(day_curve.CLOCK),
        "days": [0, days, LEFT, RIGHT],
        "sides": [LEFT, RIGHT],
        "today": [0, DAY_S, TODAY_LEFT, TODAY_RIGHT],
        "day": [day_curve.BOTTOM, day_curve.TOP],
        "sky": {
            "up": _ends(sky_paths.UP),
            "steps": sky_paths.STEPS,
            "dot": sky_view.DOT,
            "below": sky_view.HOUR_BELOW,
            "above": sky_view.HOUR_ABOVE,
        },
        "top": {
            "middle": HALF / 2.0,
            "dial": floor_plan.DIAL,
            "dot": top_view.DOT,
            "labels": floor_plan.LABELS,
            "foot": top_view.FOOT_OF_HOUR,
            "shallow": floor_plan.SHALLOW,
            "farthest": floor_plan.FARTHEST,
            "within": floor_plan.WITHIN,
            "aside": floor_plan.ASIDE,
        },
        "side": {"corner": side_cut.CORNER, "short": side_cut.SHORT},
        "labels": {
            "letter": labels.LETTER,
            "tall": labels.ABOVE + labels.BELOW,
            "room": labels.ROOM,
            "wide": labels.WIDE_ROOM,
        },
        "levels": [LEVEL_W, LEVELS],
    }


def _ends(scale: Scale) -> list[float]:
    return [scale.low, scale.high, scale.start, scale.end]
