"""A year of weather through the windows: as they stand, as they would be, and by kept options."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import Any

from suncover.base.errors import RequestError
from suncover.compare.money import assumptions, day_kinds, worth_of
from suncover.compare.year import Comparison, compare_year
from suncover.export.files.compare_json import worth_json
from suncover.site.model import Site
from suncover.site.options import STANDARD_OPTIONS, STANDS
from suncover.sun.weather.load import load_weather

Json = dict[str, Any]
TRIED = "as tried"


@lru_cache(maxsize=4)
def _compared(site: Site) -> Comparison:
    return compare_year(site, load_weather(site), yardsticks=False)


def weighed(site: Site, window: str) -> Json:
    """What stands and each of the site's options over the year of its weather, for one window and
    for the house.

    `options` are lists of figures, by `option`: of each, `window` and `house`, with `admitted_kwh`
    into the room, `closed_h` in daylight (for the house, the mean of its windows), and what it adds
    to what stands as in `compare`'s JSON, ranges as [low, high].

    Raises
    ------
    RequestError, FileFaults
        When there is no such window, or the weather cannot be read.
    """
    comparison = _compared(site)
    names = [v.name for v in comparison.variants if v.name not in STANDARD_OPTIONS]
    return _weighed_json(comparison, window, names)


def weighed_trial(site: Site, tried: Site, window: str) -> Json:
    """The answer of `weighed` for what stands and for the same house changed, the option `TRIED`.

    Raises
    ------
    RequestError, FileFaults
        As `weighed`; also when the changed house has other windows.
    """
    if [pane.name for pane in site.windows] != [pane.name for pane in tried.windows]:
        raise RequestError("a trial has the windows that are there; put new ones into the text")
    present, changed = _compared(site), _compared(tried)
    variant = replace(changed.variant(STANDS), name=TRIED)
    outcomes = {name: replace(out, option=TRIED) for name, out in changed.outcomes[STANDS].items()}
    joint = replace(
        present,
        variants=(*present.variants, variant),
        outcomes={**present.outcomes, TRIED: outcomes},
    )
    return _weighed_json(joint, window, [STANDS, TRIED])


def _weighed_json(comparison: Comparison, window: str, names: list[str]) -> Json:
    site, weather = comparison.site, comparison.weather
    site.window(window)
    kinds = day_kinds(site, comparison.days)
    options = []
    for name in names:
        outcomes = comparison.outcomes[name]
        hours = [outcome.closed_h for outcome in outcomes.values()]
        options.append(
            {
                "option": name,
                "window": {
                    "admitted_kwh": float(outcomes[window].admitted.sum()) / 1000.0,
                    "closed_h": outcomes[window].closed_h,
                    **worth_json(worth_of(comparison, kinds, name, window)),
                },
                "house": {
                    "admitted_kwh": float(comparison.house(name).sum()) / 1000.0,
                    "closed_h": sum(hours) / len(hours),
                    **worth_json(worth_of(comparison, kinds, name)),
                },
            }
        )
    return {
        "source": weather.source,
        "remarks": list(weather.remarks),
        "assumptions": list(assumptions(site, kinds)),
        "currency": site.money.currency,
        "options": options,
    }
