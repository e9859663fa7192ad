"""A plan against what a motor's log says it did: which sun came in, and why.

The log is made up: a motor that is some minutes late, and does nothing on two days.
"""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd

import suncover

SITE = suncover.site_from_tables(
    {
        "site": {"name": "Loft", "latitude": -37.81, "longitude": 144.96},
        "window": [{"name": "west", "azimuth": 275, "width": 1.8, "height": 1.5, "sill": 0.6}],
        "shade": [{"name": "west blind", "windows": ["west"], "travel": 40}],
    }
)
SPAN = date(2027, 1, 11), date(2027, 1, 20)


def made_up_log(plan: pd.DataFrame) -> pd.DataFrame:
    """When the motor began to close and to open, as a logger on it would have noted."""
    chance = np.random.default_rng(7)
    log = plan[["shade", "close", "open"]].drop(index=[3, 6])
    late = pd.to_timedelta(chance.exponential(240.0, len(log)).round(), unit="s")
    return log.assign(close=log["close"] + late)


def main(folder: Path) -> None:
    """Write the table of days: planned, logged, and what the sun made of it."""
    plan = suncover.frame(suncover.season_plan(SITE, *SPAN), SITE)
    log = made_up_log(plan)
    zone = SITE.place.zone
    done = suncover.read_plan(log, ["west blind"], zone)
    audit = suncover.audit_plan(SITE, done, *SPAN)
    let_in = suncover.frame(audit.shades[0].uncovered, SITE)
    let_in = let_in.groupby(let_in["start"].dt.date)["minutes"].sum()
    days = plan.set_index("date")[["close", "open", "sun_minutes"]]
    closed = suncover.frame(done, SITE).set_index("date")["close"]
    days["late_minutes"] = ((closed - days["close"]).dt.total_seconds() / 60).round(1)
    days["sun_let_in_minutes"] = let_in.reindex(days.index).fillna(0.0).round(1)
    for column in ("close", "open"):
        days[column] = days[column].dt.strftime("%H:%M")
    days["sun_minutes"] = days["sun_minutes"].round()
    (row,) = suncover.frame(audit).to_dict("records")
    text = (
        days.to_string(na_rep="none")
        + f"\n\nkept: {row['covered_share']:.0%} of the sun that the plan promised to keep off\n"
    )
    (folder / "plan_and_log.txt").write_text(text, encoding="utf-8")
    print(text, end="")


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "."))
