"""Logs of light sensors made without the package's sun, sky and geometry; the truth is known.

The sun is ERFA's, and as wide as it is; the beam is 1353 x 0.7^(AM^0.678) W/m² (A. Meinel and M.
Meinel, Applied Solar Energy, 1976), sky light a tenth of it and a part that grows with the sun's
height. Twilight falls to a tenth in 3.7 degrees. The side of the sky where the sun is is brighter,
by as much as the skies of ISO 15469:2004 (CIE S 011) have it where the sun is on the horizon: to an
upright plane that faces it they give 1.31 (type 7, partly cloudy), 1.44 (type 12, clear) or 1.59
(type 13, hazy) times the mean of all round, and as much less to one that faces away.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from raycast import beam_share, erfa_sun, frame_of, sun_disc

from suncover.base.clock import day_bounds
from suncover.site.light_log import LightLog
from suncover.site.model import Site


@dataclass(frozen=True)
class Logger:
    """A sensor on the middle of the glass of "w", and what befalls it."""

    interval: float = 600.0
    clock_min: float = 0.0  # ahead
    through_glass: bool = False
    panes: int = 2  # where it is through glass
    absorbed: float = 0.0  # by a pane of what passes it straight
    askew: float = 0.0  # degrees by which the sensor's face is turned clockwise from the pane's
    leaning: float = 0.0  # degrees by which it leans back
    behind: float = 0.0  # metres behind the glass, where it is through it
    noise: float = 0.01  # of the reading
    gain: float = 37.0
    most: float = np.inf  # as a share of what full sun gives
    clear: float = 0.5  # share of the days without a cloud
    lamp: float = 0.0  # as a share of what full sun gives, in the evening until 23 h
    shut: float = 0.0  # share of the days on which a shade is closed from noon on
    gaps: float = 0.0  # share of the readings that are missing, in stretches
    sided: float = 0.44  # by what share sky light is stronger from the side of the sun
    sky: Mapping[str, float] = field(default_factory=dict)


def made_log(
    site: Site, logger: Logger, random: np.random.Generator, first: date, days: int
) -> LightLog:
    """The log of `days` days, by the logger's clock."""
    start = day_bounds(first, site.place.zone).start
    true = (
        start
        + random.uniform(0, logger.interval)
        + np.arange(0.0, days * 86_400.0, logger.interval)
    )
    place, window = site.place, site.windows[0]
    origin, _, upward, outward = frame_of(window)
    turned = {"azimuth": window.azimuth + logger.askew, "tilt": window.tilt - logger.leaning}
    face = frame_of(window.model_copy(update=turned))[3]
    sun = erfa_sun(true, place.latitude, place.longitude, place.elevation)
    cosine = outward @ sun
    height = np.degrees(np.arcsin(sun[2]))
    up = height > 0
    mass = 1 / (np.maximum(sun[2], 0) + 0.50572 * (np.maximum(height, 0) + 6.07995) ** -1.6364)
    beam = np.where(up, 1353 * 0.7 ** (mass**0.678), 0.0)
    sky = np.where(up, 0.1 * beam + 60 * np.maximum(sun[2], 0) ** 0.7, 0.0)
    sky = np.maximum(sky, 6 * 10 ** (np.minimum(height, 1) / 3.7))
    # Half of the sky is before the window, and so much of the ground, which gives back a fifth.
    ground = 0.1 * (beam * np.maximum(sun[2], 0) + sky)
    sky = 0.5 * sky * (1 + logger.sided * cosine)
    disc = sun_disc(sun)
    lit = up & (outward @ disc > 0)
    if window.reveal or window.overhang or window.fins or logger.behind:
        suns = np.moveaxis(disc, 1, 0)[:, lit]
        there = origin + window.height / 2 * upward - logger.behind * outward
        middle = np.tile(there, (suns.shape[1], 1))
        lit[lit] = beam_share(site, window, middle, suns, beyond=logger.behind) > 0
    ahead = np.maximum(face @ disc, 0.0)
    if logger.through_glass:
        ahead *= clear_panes(np.clip(outward @ disc, 1e-6, 1), logger.panes, logger.absorbed)
    direct = beam * (ahead * lit).mean(axis=0)
    passed, veil = _weather(random, true, logger, days, start)
    light = (direct * passed + sky * veil + ground * passed) * (
        1 + logger.noise * random.normal(size=len(true))
    )
    hour = ((true + place.longitude * 240) % 86_400) / 3600
    day = ((true - start) // 86_400).astype(int)
    shut = random.random(days + 1) < logger.shut
    light *= np.where(shut[day] & (hour > 12), 0.05, 1.0)
    light += np.where((hour > 17) & (hour < 23), 800 * logger.lamp, 0.0)
    light = np.minimum(light + 0.2 * np.abs(random.normal(size=len(true))), 800 * logger.most)
    kept = np.ones(len(true), dtype=bool)
    for begin in np.flatnonzero(random.random(len(true)) < logger.gaps / 12):
        kept[begin : begin + 12] = False
    times = true + 60.0 * logger.clock_min
    return LightLog(times[kept], logger.gain * light[kept], logger.interval)


def clear_panes(cosine: np.ndarray, panes: int, absorbed: float) -> np.ndarray:
    """What panes let through, by Fresnel's formulas (index 1.526) and Bouguer's law: reflections
    between all faces, times what each pane leaves (J. Duffie and W. Beckman, Solar Engineering of
    Thermal Processes, 4th edition, sections 5.1 to 5.3).
    """
    first = np.arccos(np.minimum(cosine, 1 - 1e-9))
    second = np.arcsin(np.sin(first) / 1.526)
    across = (np.sin(second - first) / np.sin(second + first)) ** 2
    along = (np.tan(second - first) / np.tan(second + first)) ** 2
    through = sum((1 - r) / (1 + (2 * panes - 1) * r) for r in (across, along)) / 2
    return through * (1 - absorbed) ** (panes / np.cos(second))


def _weather(
    random: np.random.Generator, true: np.ndarray, logger: Logger, days: int, start: float
) -> tuple[np.ndarray, np.ndarray]:
    """What clouds leave of the beam and make of sky light, at each reading."""
    passed, veil = np.ones(len(true)), np.ones(len(true))
    day = ((true - start) // 86_400).astype(int)
    for number in range(days):
        row = np.flatnonzero(day == number)
        kind = random.random()
        if kind < logger.clear:  # clear, more or less hazy
            passed[row] = random.uniform(0.85, 1.0)
        elif kind < logger.clear + (1 - logger.clear) / 3:  # overcast
            passed[row], veil[row] = 0.0, random.uniform(0.5, 1.5)
        else:  # broken cloud: it comes and goes in some twenty minutes
            knots = random.random(int(86_400 / 1200) + 2)
            cover = np.interp((true[row] - start) % 86_400 / 1200, np.arange(len(knots)), knots)
            passed[row] = np.clip(2.0 - 3.0 * cover, 0.0, 1.0)
            veil[row] = 1.0 + 0.8 * cover
    return passed, veil
