"""How good the plan is: where each shade's hours go."""

from __future__ import annotations

from suncover.export.text.words import share_of
from suncover.report.gather import ReportData
from suncover.report.pictures.figure import (
    WIDE,
    Figure,
    Key,
    Scale,
    Table,
    line,
    rect,
    swatch,
    text,
)
from suncover.report.pictures.markup import Markup, tag
from suncover.report.shade_year import PlanQuality

_LEFT, _RIGHT, _TOP, _ROW = 12.0, 708.0, 6.0, 64.0
_BAR = 24.0


def plan_bars(data: ReportData) -> Figure:
    """A bar for each shade: sun covered, closed for nothing, sun let in; in hours."""
    most = max([one.quality.asked_h + one.quality.needless_h for one in data.shades] + [1.0])
    x = Scale(0.0, most, _LEFT, _RIGHT)
    body: list[Markup] = []
    for row, shade in enumerate(data.shades):
        quality, top = shade.quality, _TOP + _ROW * row
        body.append(text(_LEFT, top + 22, shade.shade.name, "b"))
        said = f"{_covered(quality)} covered" if quality.asked_h else "nothing to cover"
        body.append(text(_RIGHT, top + 22, said, "e q"))
        top += 30
        covered, needless = x(quality.covered_h), x(quality.covered_h + quality.needless_h)
        end = x(quality.asked_h + quality.needless_h)
        body.append(rect(_LEFT, top, needless - _LEFT, _BAR, "wash"))
        body.append(rect(_LEFT, top + 6, covered - _LEFT, _BAR - 12, "sun"))
        body.append(
            tag(
                "path", d=f"M{_LEFT} {top}H{needless:.1f}V{top + _BAR}H{_LEFT}Z", class_="edge line"
            )
        )
        body.append(rect(needless, top + 6, end - needless, _BAR - 12, "sun"))
        body.append(line(_LEFT, top + _BAR + 6, _RIGHT, top + _BAR + 6, "grid"))
    return Figure(
        name="plan-quality",
        title="What the plan does with each shade's hours",
        alt=" ".join(_sentence(data, row) for row in range(len(data.shades))),
        width=WIDE,
        height=_TOP + _ROW * len(data.shades),
        body=Markup("".join(body)),
        table=quality_table(data),
        legend=(
            Key(Markup(rect(0, 0, 20, 12, "wash") + rect(0, 3, 20, 6, "sun")), "sun, shade closed"),
            Key(
                swatch("wash"),
                "closed by day without need: waits, gaps between two spells, quiet hours",
            ),
            Key(Markup(rect(0, 3, 20, 6, "sun")), "sun not kept out, though it was to be"),
        ),
    )


def _covered(quality: PlanQuality) -> str:
    return share_of(quality.covered_h, quality.asked_h)


def _sentence(data: ReportData, row: int) -> str:
    quality = data.shades[row].quality
    return (
        f"{data.shades[row].shade.name}: {quality.covered_h:.0f} of {quality.asked_h:.0f} hours "
        f"covered, {quality.needless_h:.0f} hours closed by day without need."
    )


def quality_table(data: ReportData) -> Table:
    """The figures behind the bars."""
    return Table(
        "The plan of each shade, over the days of this report",
        (
            "shade",
            "to cover, h",
            "covered, h",
            "covered",
            "not kept out, h",
            "closed for nothing, min a day",
            "closings",
            "moves a day",
            "most in a day",
        ),
        tuple(
            (
                one.shade.name,
                f"{one.quality.asked_h:.1f}",
                f"{one.quality.covered_h:.1f}",
                _covered(one.quality),
                f"{one.quality.let_in_h:.1f}",
                f"{one.quality.needless_min_a_day:.1f}",
                f"{one.quality.closings}",
                f"{one.quality.moves_a_day:.1f}",
                f"{one.quality.most_moves}",
            )
            for one in data.shades
        ),
    )
