"""The sizes by which the page's script draws what pictures of this program show at first.

A picture's module holds them; here they are gathered for the script, so that each stands once.
"""

from __future__ import annotations

from suncover.report.pictures import day_curve, labels, side_cut, sky_view, top_view
from suncover.report.pictures.axes import DAY_S, LEFT, RIGHT
from suncover.report.pictures.figure import HALF, Scale
from suncover.report.pictures.ink import LEVEL_W, LEVELS
from suncover.report.pictures.today_bars import LEFT as TODAY_LEFT
from suncover.report.pictures.today_bars import RIGHT as TODAY_RIGHT


def layout(days: int) -> dict[str, object]:
    """All of them, for a report of so many days. Scales are their four ends."""
    return {
        "clock": _ends(day_curve.CLOCK),
        "days": [0, days, LEFT, RIGHT],
        "sides": [LEFT, RIGHT],
        "today": [0, DAY_S, TODAY_LEFT, TODAY_RIGHT],
        "day": [day_curve.BOTTOM, day_curve.TOP],
        "sky": {
            "up": _ends(sky_view.UP),
            "steps": sky_view.STEPS,
            "dot": sky_view.DOT,
            "below": sky_view.HOUR_BELOW,
            "above": sky_view.HOUR_ABOVE,
        },
        "top": {
            "middle": HALF / 2.0,
            "dial": top_view.DIAL,
            "dot": top_view.DOT,
            "labels": top_view.LABELS,
            "foot": top_view.FOOT_OF_HOUR,
            "shallow": top_view.SHALLOW,
            "farthest": top_view.FARTHEST,
            "within": top_view.WITHIN,
            "aside": top_view.ASIDE,
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
