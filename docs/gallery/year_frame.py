"""A year of one window in one DataFrame: sun, sky, light on the glass and gain, row by row."""

from __future__ import annotations

import sys
from pathlib import Path

import pandas as pd

import suncover

SITE = suncover.site_from_tables(
    {
        "site": {"name": "Study", "latitude": 39.74, "longitude": -105.0, "elevation": 1650},
        "window": [{"name": "south", "azimuth": 175, "width": 1.5, "height": 1.4}],
    }
)
ROOF = suncover.Overhang(depth=0.7, gap=0.25)


def year() -> pd.DataFrame:
    """Each row of the weather told at its middle; the clear sky, as no weather file is named."""
    weather = suncover.load_weather(SITE)
    table = suncover.frame(weather, SITE)
    table = table.set_index(table.pop("time") + pd.Timedelta(weather.step / 2, "s"))
    sun = suncover.sun_position(table.index, suncover.observer_of(SITE.place))
    light = suncover.window_light(
        sun["apparent_zenith"], sun["azimuth"], 90, 175,
        dni=table["dni_w_m2"], ghi=table["ghi_w_m2"], dhi=table["dhi_w_m2"],
        width=1.5, height=1.4, overhang=ROOF,
    )  # fmt: skip
    light["gain_w_m2"] = suncover.window_gain(light, "double low-e")
    return table.join(sun[["apparent_elevation", "azimuth"]]).join(light)


def main(folder: Path) -> None:
    """Write the months of the year."""
    table = year()
    month = table.index.strftime("%m")
    row_hours = (table.index[1] - table.index[0]) / pd.Timedelta("1h")
    sums = table[["beam", "circumsolar", "sky", "ground", "total", "gain_w_m2"]] * row_hours / 1000
    months = sums.groupby(month).sum().round(1)
    months.index.name = "month"
    lit = table["sunlit"].where(table["beam"] > 0.0)
    months["sunlit"] = lit.groupby(month).mean().round(2)
    text = (
        f"{len(table)} rows, {len(table.columns)} columns; by month, kWh per m² of glass,\n"
        "and the mean share of the glass that is lit while sun comes to it\n\n"
        + months.rename(columns={"gain_w_m2": "into the room"}).to_string()
        + "\n"
    )
    (folder / "year_frame.txt").write_text(text, encoding="utf-8")
    print(text, end="")


if __name__ == "__main__":
    main(Path(sys.argv[1] if len(sys.argv) > 1 else "."))
