"""How good the plan is: where each shade's hours go."""

from __future__ import annotations

from collections.abc import Iterator

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
    round_steps,
    text,
)
from suncover.report.pictures.markup import Markup, tag
from suncover.report.shade_year import PlanQuality

_LEFT, _RIGHT, _TOP, _ROW = 12.0, 708.0, 6.0, 64.0
_BAR = 24.0


def plan_bars(data: ReportData) -> Figure:
    """A bar for each shade: sun covered, closed for other needs, closed without need, sun not
    covered; in hours.
    """
    most = max([one.quality.asked_h + one.quality.needless_h for one in data.shades] + [1.0])
    x = Scale(0.0, most, _LEFT, _RIGHT)
    bottom = _TOP + _ROW * len(data.shades)
    body = list(_axis(x, most, bottom))
    for row, shade in enumerate(data.shades):
        quality, top = shade.quality, _TOP + _ROW * row
        body.append(text(_LEFT, top + 22, shade.shade.name, "b"))
        said = f"{_covered(quality)} covered" if quality.asked_h else "nothing to cover"
        body.append(text(_RIGHT, top + 22, said, "e q"))
        top += 30
        sunny, covered = x(quality.covered_h - quality.dark_h), x(quality.covered_h)
        needless = x(quality.covered_h + quality.needless_h)
        end = x(quality.asked_h + quality.needless_h)
        body.append(rect(_LEFT, top, needless - _LEFT, _BAR, "wash"))
        body.append(rect(_LEFT, top + 6, sunny - _LEFT, _BAR - 12, "sun"))
        body.append(rect(sunny, top + 6, covered - sunny, _BAR - 12, "shade"))
        body.append(
            tag(
                "path", d=f"M{_LEFT} {top}H{needless:.1f}V{top + _BAR}H{_LEFT}Z", class_="edge line"
            )
        )
        body.append(rect(needless, top + 6, end - needless, _BAR - 12, "sun"))
    return Figure(
        name="plan-quality",
        title="What the plan does with each shade's hours",
        alt=" ".join(_sentence(data, row) for row in range(len(data.shades))),
        width=WIDE,
        height=bottom + 26.0,
        body=Markup("".join(body)),
        table=quality_table(data),
        legend=(
            Key(Markup(rect(0, 0, 20, 12, "wash") + rect(0, 3, 20, 6, "sun")), "sun, shade closed"),
            *(
                [
                    Key(
                        Markup(rect(0, 0, 20, 12, "wash") + rect(0, 3, 20, 6, "shade")),
                        "closed for sleep, privacy or an exception",
                    )
                ]
                if any(one.quality.dark_h for one in data.shades)
                else []
            ),
            Key(
                Markup(rect(0.7, 0.7, 18.6, 10.6, "wash edge-of")),
                "closed by day without need: waits, short gaps kept closed, quiet hours",
            ),
            Key(Markup(rect(0, 3, 20, 6, "sun")), "sun that was to be kept out and is not"),
        ),
    )


def _axis(x: Scale, most: float, bottom: float) -> Iterator[Markup]:
    """Hours along the foot, with rules through all bars."""
    for hours in round_steps(most, 5.0):
        at = x(hours)
        yield line(at, _TOP + 26, at, bottom, "grid")
        style = "q" if not hours else "q e" if at > _RIGHT - 30 else "q m"
        yield text(at, bottom + 18, f"{hours:,.0f} h" if hours else "0", style)


def _covered(quality: PlanQuality) -> str:
    return share_of(quality.covered_h, quality.asked_h)


def _sentence(data: ReportData, row: int) -> str:
    quality = data.shades[row].quality
    return (
        f"{data.shades[row].shade.name}: {quality.covered_h:.0f} of {quality.asked_h:.0f} hours "
        f"covered, {quality.needless_h:.0f} hours closed by day without need."
        + (
            f" {quality.dark_h:.0f} of the hours covered are for sleep, privacy or an exception."
            if quality.dark_h
            else ""
        )
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
