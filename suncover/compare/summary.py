"""A comparison boiled down to what a person asks for: a line for each option and each window.

The figures of the text and of the JSON both come from here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from suncover.base.shown import html_table, short_repr
from suncover.compare.money import DayKinds, Worth, assumptions, day_kinds, span, worth_of
from suncover.compare.options import ALWAYS, SUNNY, Variant
from suncover.compare.overhangs import BestOverhang, best_overhangs
from suncover.compare.year import Comparison, Outcome
from suncover.heat.shade_optics import (
    DEFAULT_FABRIC,
    DEFAULT_PLACE,
    FABRICS,
    LEAST_G,
    MOST_G,
    cautions,
)
from suncover.site.options import STANDS, Range

if TYPE_CHECKING:
    import pandas as pd

WATT_HOURS = 1000.0


@dataclass(frozen=True)
class Line:
    """An option for the house or for one window (`window`), over the year.

    `kept_out` is the share of the bare glass's gain; `less_kwh` how much less is let in than by
    what stands. `peak_w` is the greatest mean over a weather row and `peak_time` that row's middle
    (unix seconds), `cooling_peak_w` and `cooling_peak_time` the same on days that need cooling
    (None where there are none). `closed_h` are daylight hours with the shade down (for the house,
    the mean of its windows); `daylight` is the sky and ground light that is left, as a share of the
    bare glass's, None where it is not known. `worth` is what it adds to what stands.
    """

    __repr__ = short_repr

    option: str
    window: str | None
    admitted_kwh: float
    incident_kwh: float
    kept_out: float
    peak_w: float
    peak_time: int
    closed_h: float
    daylight: float | None
    worth: Worth
    price: Range | None
    extra: bool
    less_kwh: float
    cooling_peak_w: float
    cooling_peak_time: int | None


@dataclass(frozen=True)
class Summary:
    """All lines, the best overhangs of windows that take one, and what a person should know."""

    __repr__ = short_repr

    comparison: Comparison
    house: tuple[Line, ...]
    windows: dict[str, tuple[Line, ...]]
    overhangs: tuple[BestOverhang, ...]
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]
    kinds: DayKinds

    def line(self, option: str, window: str | None = None) -> Line:
        """The line of an option, of the house or a window.

        Raises
        ------
        RequestError
            When there is no such option or window; its text names the nearest.
        """
        name = self.comparison.variant(option).name
        lines = self.house
        if window is not None:
            lines = self.windows[self.comparison.site.window(window).name]
        return next(line for line in lines if line.option == name)

    def worth_between(self, option: str, beside: str) -> Worth:
        """What an option of the house adds to another, under the same assumptions."""
        return worth_of(self.comparison, self.kinds, option, beside=beside)

    def to_frame(self) -> pd.DataFrame:
        """A row for each option of the house and of every window (`window` is empty for the house):
        energies in kWh, money in the site's currency, ranges as two columns, `_low` and `_high`.
        """
        import pandas as pd

        all_lines = [*self.house, *(line for lines in self.windows.values() for line in lines)]
        return pd.DataFrame([_row(line) for line in all_lines])

    def overhang(self, window: str) -> BestOverhang | None:
        """The best overhang of a window; None for a roof window, which takes none.

        Raises
        ------
        RequestError
            When there is no such window; its text names the nearest.
        """
        name = self.comparison.site.window(window).name
        return next((best for best in self.overhangs if best.window == name), None)

    def _repr_html_(self) -> str:
        """For notebooks: each option of the whole house, and what to heed."""
        rows = [
            (
                line.option,
                f"{line.admitted_kwh:.0f}",
                f"{line.less_kwh:.0f}",
                f"{line.peak_w:.0f}",
                f"{line.closed_h:.0f}",
            )
            for line in self.house
        ]
        header = ("option", "kWh into the room", "less than as it stands", "peak, W", "hours down")
        caption = f"{self.comparison.site.place.name}: the year, option by option"
        return html_table(caption, header, rows, " ".join(self.cautions))


_RANGES = ("kept_out_kwh", "lost_kwh", "electricity_kwh", "heat_kwh", "net_kwh", "money", "payback")


def _row(line: Line) -> dict[str, object]:
    row: dict[str, object] = {
        "option": line.option,
        "window": line.window or "",
        "admitted_kwh": line.admitted_kwh,
        "incident_kwh": line.incident_kwh,
        "less_kwh": line.less_kwh,
        "kept_out_share": line.kept_out,
        "peak_w": line.peak_w,
        "cooling_peak_w": line.cooling_peak_w,
        "shade_down_h": line.closed_h,
        "daylight_share": line.daylight,
    }
    for name in _RANGES:
        pair = getattr(line.worth, name) or (None, None)
        shown = {"money": "worth", "payback": "payback_years"}.get(name, name)
        row[f"{shown}_low"], row[f"{shown}_high"] = pair
    return row


def summarize(comparison: Comparison, gaps: Sequence[float] = ()) -> Summary:
    """The summary of a comparison, the sweep of overhangs included.

    `gaps` in metres above the glass to try them at; that of each window's own overhang if empty.
    """
    kinds = day_kinds(comparison.site, comparison.days)
    names = [window.name for window in comparison.site.windows]
    return Summary(
        comparison,
        tuple(_line(comparison, kinds, variant, None, names) for variant in comparison.variants),
        {
            name: tuple(
                _line(comparison, kinds, variant, name, [name]) for variant in comparison.variants
            )
            for name in names
        },
        best_overhangs(comparison, kinds, gaps=gaps or None),
        (*_glass_and_shades(comparison), *assumptions(comparison.site, kinds)),
        tuple(_cautions(comparison)),
        kinds,
    )


def _line(
    comparison: Comparison,
    kinds: DayKinds,
    variant: Variant,
    window: str | None,
    names: Sequence[str],
) -> Line:
    outcomes = [comparison.outcomes[variant.name][name] for name in names]
    bare_outcomes = [comparison.outcomes["bare"][name] for name in names]
    admitted = sum((out.admitted for out in outcomes), np.zeros(len(comparison.weather.start)))
    # In the same order as what is admitted, so that the bare glass keeps out 0, and never -0.
    before = float(sum((out.admitted for out in bare_outcomes), np.zeros(len(admitted))).sum())
    standing = [comparison.outcomes[STANDS][name].admitted for name in names]
    now = sum(standing, np.zeros(len(comparison.weather.start)))
    step = comparison.weather.step
    peak = int(np.argmax(admitted))
    hot = np.where(kinds.cooling[1][comparison.days.day], admitted, -1.0)
    hottest = int(np.argmax(hot)) if hot.max() >= 0.0 else None
    return Line(
        variant.name,
        window,
        float(admitted.sum()) / WATT_HOURS,
        sum(float(out.incident.sum()) for out in outcomes) / WATT_HOURS,
        1.0 - float(admitted.sum()) / before if before else 0.0,
        float(admitted[peak]) * 3600.0 / step,
        int(comparison.weather.start[peak] + step / 2.0),
        sum(out.closed_h for out in outcomes) / len(outcomes),
        _light_left(outcomes, bare_outcomes),
        worth_of(comparison, kinds, variant.name, window),
        variant.price if window is None else None,
        variant.extra,
        float(now.sum() - admitted.sum()) / WATT_HOURS,
        0.0 if hottest is None else float(admitted[hottest]) * 3600.0 / step,
        None if hottest is None else int(comparison.weather.start[hottest] + step / 2.0),
    )


def _light_left(outcomes: Sequence[Outcome], bare_outcomes: Sequence[Outcome]) -> float | None:
    """The light of an option as a share of the bare glass's; None where one window's is unknown."""
    left = [out.daylight for out in outcomes if out.daylight is not None]
    before = sum(out.daylight or 0.0 for out in bare_outcomes)
    if len(left) < len(outcomes):
        return None
    return sum(left) / before if before else 1.0


def of_always(summary: Summary, option: str = "shade") -> float | None:
    """What the plan keeps out, as a share of what the shade closed all season would."""
    always = _kept(summary, ALWAYS)
    return _kept(summary, option) / always if always > 0.0 else None


def of_plan(summary: Summary) -> float | None:
    """What closing only in hours of real sun keeps out, as a share of what the plan does."""
    planned = _kept(summary, "shade")
    return _kept(summary, SUNNY) / planned if planned > 0.0 else None


def _kept(summary: Summary, option: str) -> float:
    return summary.line("bare").admitted_kwh - summary.line(option).admitted_kwh


def _glass_and_shades(comparison: Comparison) -> tuple[str, ...]:
    """What glass and shades the figures are for, where the site file leaves them open."""
    sentences = []
    bare = next(variant for variant in comparison.variants if variant.name == "bare")
    unknown = [fitted.glass for fitted in bare.windows if fitted.glass.assumed]
    if unknown:
        glass = unknown[0]
        sentences.append(
            f"glass where none is named: {glass.name}, g {glass.normal:.2f}, U {glass.u:.1f} W/m²K"
        )
    if any(effect.assumed for fitted in bare.windows for _, effect in fitted.effects):
        cloth = FABRICS[DEFAULT_FABRIC]
        sentences.append(
            f"shades where the file says nothing: {DEFAULT_PLACE}, {DEFAULT_FABRIC} cloth "
            f"(lets through {cloth.transmittance * 100:.0f} %, reflects "
            f"{cloth.reflectance * 100:.0f} %)"
        )
    if any(_other_glass(variant, bare) for variant in comparison.variants):
        sentences.append(
            "of other glass only the sun through it counts, not the warmth that glass conducts"
        )
    outside = sorted(
        {
            fitted.glass.name
            for fitted in bare.windows
            if not LEAST_G <= fitted.glass.normal <= MOST_G
        }
    )
    if outside:
        sentences.append(
            f"{', '.join(outside)}: g is outside {span((LEAST_G, MOST_G))}, for which the method "
            "for shades is stated; read its shade figures with care"
        )
    return tuple(sentences)


def _other_glass(variant: Variant, bare: Variant) -> bool:
    """Has the option another glass than the bare windows somewhere?"""
    pairs = zip(variant.windows, bare.windows, strict=True)
    return any(fitted.glass != bare_window.glass for fitted, bare_window in pairs)


def _cautions(comparison: Comparison) -> list[str]:
    sentences: dict[str, None] = {}
    for variant in comparison.variants:
        for fitted in variant.windows:
            for _, effect in fitted.effects:
                sentences.update(dict.fromkeys(cautions(effect)))
    sentences[
        "An overhang may need a permit, and must carry snow and wind: have it designed by someone "
        "licensed to."
    ] = None
    return list(sentences)
