"""The plain way: ask pvlib for the sun at every minute of a year, and look at each window.

    python minute_scan.py SITE.toml YEAR > spells.csv

What one would write in an afternoon with pvlib and numpy; the benchmark holds `suncover hours`
against it. Sun on a window is sun on any of 25 points of its glass. It shares no code with
suncover.
"""

import csv
import sys
import tomllib
from pathlib import Path

import numpy as np
import pandas as pd
from pvlib.location import Location

POINTS = [(x, y) for x in (0.001, 0.25, 0.5, 0.75, 0.999) for y in (0.001, 0.25, 0.5, 0.75, 0.999)]


def main(path, year):
    site = tomllib.loads(Path(path).read_text(encoding="utf-8"))
    place = site["site"]
    zone = place["timezone"]
    times = pd.date_range(f"{year}-01-01", f"{int(year) + 1}-01-01", freq="1min", tz=zone)[:-1]
    location = Location(place["latitude"], place["longitude"], zone, place.get("elevation", 0))
    sun = location.get_solarposition(times)
    beam = location.get_clearsky(times, solar_position=sun)["dni"].to_numpy()
    height = np.radians(sun["apparent_elevation"].to_numpy())
    azimuth = np.radians(sun["azimuth"].to_numpy())
    up = (height > 0) & (beam > site.get("need", {}).get("beam", 120))
    writer = csv.writer(sys.stdout)
    writer.writerow(["window", "date", "start", "end", "minutes"])
    for window in site["window"]:
        lit = up.copy()
        lit[up] = on_window(window, height[up], azimuth[up])
        edges = np.flatnonzero(np.diff(np.concatenate([[0], lit.astype(int), [0]])))
        for begin, end in zip(edges[::2], edges[1::2], strict=True):
            first = times[begin]
            last = times[end - 1] + pd.Timedelta("1min")
            writer.writerow(
                [window["name"], first.date(), first.isoformat(), last.isoformat(), end - begin]
            )


def on_window(window, height, azimuth):
    """Whether any of the points sees the sun, at instants with the sun up."""
    facing, tilt = np.radians(window["azimuth"]), np.radians(window.get("tilt", 90))
    east, north, high = (
        np.cos(height) * np.sin(azimuth),
        np.cos(height) * np.cos(azimuth),
        np.sin(height),
    )
    right = -east * np.cos(facing) + north * np.sin(facing)
    level = east * np.sin(facing) + north * np.cos(facing)
    out = level * np.sin(tilt) + high * np.cos(tilt)
    along = high * np.sin(tilt) - level * np.cos(tilt)
    lit = np.zeros(len(height), dtype=bool)
    front = np.flatnonzero(out > 0)
    p, q = right[front] / out[front], along[front] / out[front]
    wide, tall, deep = window["width"], window["height"], window.get("reveal", 0)
    some = np.zeros(len(front), dtype=bool)
    for fx, fy in POINTS:
        x, y = fx * wide, fy * tall
        free = (
            (x + deep * p >= 0)
            & (x + deep * p <= wide)
            & (y + deep * q >= 0)
            & (y + deep * q <= tall)
        )
        if "overhang" in window:
            roof = window["overhang"]
            with np.errstate(divide="ignore", invalid="ignore"):
                z = (tall + roof.get("gap", 0) - y) / q
            at = x + p * z
            free &= ~(
                (q > 0)
                & (z >= deep)
                & (z <= deep + roof["depth"])
                & (at >= -roof.get("left", 1e9))
                & (at <= wide + roof.get("right", 1e9))
            )
        for fin in window.get("fin", []):
            line = -fin.get("gap", 0) if fin["side"] == "left" else wide + fin.get("gap", 0)
            with np.errstate(divide="ignore", invalid="ignore"):
                z = (line - x) / p
            at = y + q * z
            free &= ~(
                (z >= deep)
                & (z <= deep + fin["depth"])
                & (at >= -fin.get("below", 1e9))
                & (at <= tall + fin.get("above", 1e9))
            )
        some |= free
    lit[front] = some
    return lit


if __name__ == "__main__":
    main(*sys.argv[1:])
