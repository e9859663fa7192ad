"""A portfolio on a cluster: a table of windows goes to a scheduler, a table of results comes back.

The cluster is one of two workers in this process; give the address of your own in its place.
"""

from __future__ import annotations

import sys
import tempfile
from datetime import date
from pathlib import Path

import pandas as pd
from distributed import LocalCluster

from suncover.portfolio.engines import on_cluster
from suncover.portfolio.run import run_portfolio
from suncover.portfolio.sources import open_source
from suncover.portfolio.store import Store
from suncover.portfolio.work import Request

ASKED = Request(date(2027, 7, 1), date(2027, 7, 7), plan=True, heat=False)


def made_up_windows() -> pd.DataFrame:
    """Six houses of four windows each, the rows of a house together."""
    rows = [
        {
            "site.name": f"House {number}", "site.latitude": 45.0 + number, "site.longitude": 7.5,
            "name": side, "azimuth": azimuth, "width": 1.2, "height": 1.4,
        }
        for number in range(6)
        for side, azimuth in (("north", 5), ("east", 95), ("south", 185), ("west", 275))
    ]  # fmt: skip
    return pd.DataFrame(rows)


def main(folder: Path) -> None:
    """Write the table of hours by house and side."""
    with tempfile.TemporaryDirectory() as work:
        table = Path(work, "windows.csv")
        made_up_windows().to_csv(table, index=False)
        here = {"host": "127.0.0.1", "protocol": "tcp", "dashboard_address": None}
        with LocalCluster(n_workers=2, processes=False, **here) as cluster:
            engine = on_cluster(cluster.scheduler_address)
            run_portfolio(
                open_source(table), Store(Path(work, "out"), ASKED), ASKED, engine,
                report=lambda _: None,
            )  # fmt: skip
        hours = pd.read_csv(Path(work, "out", "hours.csv"))
    sums = hours.pivot_table(index="site", columns="window", values="sun_hours", aggfunc="sum")
    text = "Hours of direct sun in a week of July\n\n" + sums.round(1).to_string() + "\n"
    (folder / "portfolio_cluster.txt").write_text(text, encoding="utf-8")
    print(text, end="")


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "."))
