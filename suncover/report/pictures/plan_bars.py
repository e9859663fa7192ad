"""How good the plan is: where each shade's hours go."""

from __future__ import annotations

from collections.abc import Iterator

from suncover.export.text.words import share_of
from suncover.report.gather import ReportData
from suncover.report.pictures import draw
from suncover.report.pictures.figure import WIDE, Figure, Key, Scale, Table, round_steps
from suncover.report.pictures.markup import Markup, as_markup, tag
from suncover.report.shade_year import PlanQuality

_LEFT, _RIGHT, _TOP, _ROW = 12.0, 708.0, 6.0, 64.0
_BAR = 24.0


def plan_bars(data: ReportData) -> Figure:
    """A bar for each shade: sun covered, closed for other needs, closed without need, sun not
    covered; in hours.
    """
    qualities = [shade.quality for shade in data.shades]
    most = max([quality.asked_h + quality.needless_h for quality in qualities] + [1.0])
    x = Scale(0.0, most, _LEFT, _RIGHT)
    bottom = _TOP + _ROW * len(qualities)
    body = list(_axis(x, most, bottom))
    for row, shade in enumerate(data.shades):
        body += _bar(x, shade.shade.name, shade.quality, _TOP + _ROW * row)
    return Figure(
        name="plan-quality",
        title="What the plan does with each shade's hours",
        alt=" ".join(_sentence(shade.shade.name, shade.quality) for shade in data.shades),
        width=WIDE,
        height=bottom + 26.0,
        body=as_markup(body),
        table=quality_table(data),
        legend=_legend(with_dark=any(quality.dark_h for quality in qualities)),
    )


def _bar(x: Scale, name: str, quality: PlanQuality, top: float) -> list[Markup]:
    """A shade's name, how much is covered, and the bar under both."""
    covered_words = f"{_covered(quality)} covered" if quality.asked_h else "nothing to cover"
    sunny, covered = x(quality.covered_h - quality.dark_h), x(quality.covered_h)
    needless = x(quality.covered_h + quality.needless_h)
    end = x(quality.asked_h + quality.needless_h)
    bar = top + 30
    outline = f"M{_LEFT} {bar}H{needless:.1f}V{bar + _BAR}H{_LEFT}Z"
    return [
        draw.text(_LEFT, top + 22, name, "b"),
        draw.text(_RIGHT, top + 22, covered_words, "e q"),
        draw.rect(_LEFT, bar, needless - _LEFT, _BAR, "wash"),
        draw.rect(_LEFT, bar + 6, sunny - _LEFT, _BAR - 12, "sun"),
        draw.rect(sunny, bar + 6, covered - sunny, _BAR - 12, "shade"),
        tag("path", d=outline, class_="edge line"),
        draw.rect(needless, bar + 6, end - needless, _BAR - 12, "sun"),
    ]


def _legend(*, with_dark: bool) -> tuple[Key, ...]:
    def closed(style: str) -> Markup:
        return Markup(draw.rect(0, 0, 20, 12, "wash") + draw.rect(0, 3, 20, 6, style))

    dark = Key(closed("shade"), "closed for sleep, privacy or an exception")
    return (
        Key(closed("sun"), "sun, shade closed"),
        *([dark] if with_dark else []),
        Key(
            draw.rect(0.7, 0.7, 18.6, 10.6, "wash edge"),
            "closed by day without need: waits, short gaps kept closed, quiet hours",
        ),
        Key(draw.rect(0, 3, 20, 6, "sun"), "sun that was to be kept out and is not"),
    )


def _axis(x: Scale, most: float, bottom: float) -> Iterator[Markup]:
    """Hours along the foot, with rules through all bars."""
    for hours in round_steps(most, 5.0):
        at = x(hours)
        yield draw.line(at, _TOP + 26, at, bottom, "grid")
        style = "q" if not hours else "q e" if at > _RIGHT - 30 else "q m"
        yield draw.text(at, bottom + 18, f"{hours:,.0f} h" if hours else "0", style)


def _covered(quality: PlanQuality) -> str:
    return share_of(quality.covered_h, quality.asked_h)


def _sentence(name: str, quality: PlanQuality) -> str:
    dark = f" {quality.dark_h:.0f} of the hours covered are for sleep, privacy or an exception."
    return (
        f"{name}: {quality.covered_h:.0f} of {quality.asked_h:.0f} hours covered, "
        f"{quality.needless_h:.0f} hours closed by day without need."
        f"{dark if quality.dark_h else ''}"
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
        tuple(_row(shade.shade.name, shade.quality) for shade in data.shades),
    )


def _row(name: str, quality: PlanQuality) -> tuple[str, ...]:
    return (
        name,
        f"{quality.asked_h:.1f}",
        f"{quality.covered_h:.1f}",
        _covered(quality),
        f"{quality.let_in_h:.1f}",
        f"{quality.needless_min_a_day:.1f}",
        f"{quality.closings}",
        f"{quality.moves_a_day:.1f}",
        f"{quality.most_moves}",
    )
