"""Houses with a light logger whose truth is known: all that stands before a window, and all that
befalls a sensor.

Nothing is the package's but the site's models: the sun is ERFA's, rays are cast by `raycast.py`,
the clear sky is that of R. Bird and R. Hulstrom (SERI/TR-642-761, 1981; as pvlib has it), twilight
falls to a tenth in 3.7 degrees, the sun's side of the sky is brighter and panes are as in
`made_light.py`. The sun is as wide as it is. The sensor is one point: on the glass, behind it, or
flat on the sill within, where the frame shades it.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np
from made_light import clear_panes
from made_sightings import skyline_of
from pvlib import atmosphere, clearsky
from raycast import beam_share, erfa_sun, frame_of, sun_disc

from suncover.base.clock import day_bounds
from suncover.site.light_log import LightLog
from suncover.site.model import Site

PLACES = (
    (48.2, 16.4, "Europe/Vienna"),
    (59.3, 18.1, "Europe/Stockholm"),
    (36.1, -79.95, "America/New_York"),
    (-33.9, 151.2, "Australia/Sydney"),
    (-41.3, 174.8, "Pacific/Auckland"),
    (1.3, 103.8, "Asia/Singapore"),
    (-33.4, -70.7, "America/Santiago"),
    (35.7, 139.7, "Asia/Tokyo"),
)
KINDS = ("plain", "reveal", "overhang", "fins", "skyline", "obstacle")
PENUMBRA = 480.0  # seconds in which any shadow's edge has passed over the sun's disc
INTERVALS = (60.0, 120.0, 300.0, 300.0, 600.0, 600.0, 900.0, 900.0)


@dataclass(frozen=True)
class Logged:
    """A house, its light log, and by how many minutes the logger's clock is ahead."""

    site: Site
    log: LightLog
    clock_min: float
    sensor: str


def logged(seed: int, kind: str) -> Logged:
    """The house of a seed, with two to four weeks of its logger."""
    random = np.random.default_rng(seed)
    site = _house(random, kind)
    place = site.place
    sensor = str(random.choice(["on", "on", "behind", "behind", "sill"]))
    interval, days = float(random.choice(INTERVALS)), int(random.integers(14, 29))
    start = day_bounds(date(2027, 1, 1) + timedelta(int(random.integers(0, 330))), place.zone).start
    times = start + random.uniform(0, interval) + np.arange(0, days * 86_400.0, interval)
    sun = erfa_sun(times, place.latitude, place.longitude, 0.0)
    light, full = _light(random, site, sensor, times, sun)
    day, hour = (times - start) // 86_400, (times + place.longitude * 240) % 86_400 / 3600
    shut = random.random(days + 1) < random.choice([0, 0, 0.25])
    light = np.where(shut[day.astype(int)] & (hour > 10) & (hour < 17), 0.06 * light, light)
    light *= 1 + random.choice([0.003, 0.01, 0.02]) * random.normal(size=len(times))
    dusk, bed = (
        random.uniform(*hours, days + 1)[day.astype(int)] for hours in ((16.5, 19), (21, 24))
    )
    light += np.where((hour > dusk) & (hour < bed), full * random.choice([0, 0, 0.005, 0.02]), 0)
    light = np.maximum(light + 0.05 * random.normal(size=len(times)), 0)
    light = np.minimum(light, float(np.quantile(light, 0.999)) * random.choice([9, 9, 9, 0.8, 0.5]))
    kept = np.ones(len(times), dtype=bool)
    for begin in np.flatnonzero(random.random(len(times)) < random.choice([0, 0, 0.03]) / 12):
        kept[begin : begin + 12] = False
    ahead = float(random.choice([0, random.uniform(-15, 15), random.choice([-60, 60])]))
    values = 10 ** random.uniform(-1, 3) * light
    log = LightLog((times + 60 * ahead)[kept], values[kept], interval)
    return Logged(site, log, ahead, sensor)


def _house(random: np.random.Generator, kind: str) -> Site:
    latitude, longitude, zone = PLACES[int(random.integers(len(PLACES)))]
    azimuth = float(random.uniform(0, 360))
    window: dict[str, Any] = {
        "name": "w",
        "azimuth": azimuth,
        "width": float(random.uniform(0.6, 2)),
        "height": float(random.uniform(0.6, 1.8)),
        "sill": 0.9,
    }
    more: dict[str, Any] = {}
    if kind == "reveal":
        window["reveal"] = float(random.uniform(0.05, 0.3))
    elif kind == "overhang":
        depth, gap = random.uniform((0.3, 0.0), (1.3, 0.5)).tolist()
        window["overhang"] = {"depth": depth, "gap": gap}
    elif kind == "fins":
        depth, gap = random.uniform((0.3, 0.0), (1.2, 0.3)).tolist()
        window["fins"] = [
            {"side": str(random.choice(["left", "right"])), "depth": depth, "gap": gap}
        ]
    elif kind == "skyline":
        window["skyline"] = list(
            zip(range(0, 360, 45), random.uniform(0, 12, 8).tolist(), strict=True)
        )
    elif kind == "obstacle":
        window["position"] = (0.0, 0.0)
        way = np.radians(azimuth + random.uniform(-50, 50))
        x, y = random.uniform(10, 25) * np.array([np.sin(way), np.cos(way)])
        half, top = random.uniform((3, 4), (6, 12)).tolist()
        corners = [
            (x - half, y - half),
            (x + half, y - half),
            (x + half, y + half),
            (x - half, y + half),
        ]
        more["obstacle"] = [{"name": "barn", "footprint": corners, "top": top}]
    site = {"name": "made", "latitude": latitude, "longitude": longitude, "timezone": zone}
    return Site.model_validate({"site": site, "window": [window], **more})


def _light(
    random: np.random.Generator, site: Site, sensor: str, times: np.ndarray, sun: np.ndarray
) -> tuple[np.ndarray, float]:
    """W/m² on the sensor without noise, and what full sun gives."""
    window = site.windows[0]
    origin, right, upward, outward = frame_of(window)
    # The sensor's face is parallel to the pane to half a millimetre over its ten centimetres.
    askew = random.normal(0, 0.3)
    face = frame_of(window.model_copy(update={"azimuth": window.azimuth + askew}))[3]
    panes, absorbed = int(random.choice([1, 2, 2, 3])), random.uniform(0.016, 0.12)
    low = sensor == "sill" or random.random() < 0.6
    x, y = random.uniform(-0.45, 0.45) * window.width, random.uniform(0, 0.1 if low else 0.9)
    deep = {"on": 0.0, "behind": random.choice([0.0, 0.005]), "sill": random.uniform(0.02, 0.12)}
    point = origin + x * right + y * window.height * upward - deep[sensor] * outward
    height, cosine = np.degrees(np.arcsin(sun[2])), outward @ sun
    beam, sky = _sky(random, times, height)
    disc = sun_disc(sun)
    shown = (outward @ disc > 0) & (beam > 0)
    shown &= np.degrees(np.arcsin(disc[:, 2])) > skyline_of(
        window, np.degrees(np.arctan2(disc[:, 0], disc[:, 1])) % 360
    )

    def cast(part: int, row: np.ndarray) -> None:
        at = np.flatnonzero(shown[part] & row)
        points = np.tile(point, (len(at), 1))
        rays = beam_share(site, window, points, disc[part][:, at], beyond=deep[sensor])
        shown[part, at] = rays > 0

    cast(0, np.ones(len(times), dtype=bool))
    changes = times[1:][shown[0, 1:] != shown[0, :-1]]
    near = np.abs(times[:, None] - changes).min(axis=1, initial=np.inf) < PENUMBRA
    for part in range(1, len(shown)):
        shown[part] &= near | shown[0]
        cast(part, near)
    ahead = np.maximum(disc[:, 2] if sensor == "sill" else face @ disc, 0)
    if sensor != "on":
        ahead *= clear_panes(np.clip(outward @ disc, 1e-6, 1), panes, absorbed)
    direct = beam * (ahead * shown).mean(axis=0)
    around = 0.5 * sky * (1 + random.choice([0.31, 0.44, 0.59]) * cosine) + 0.1 * (
        beam * np.maximum(sun[2], 0) + sky
    )
    around *= {"on": 1.0, "behind": 0.65, "sill": 0.3}[sensor]
    bounced = random.uniform(0, 0.03) * beam * np.maximum(cosine, 0)
    return direct + around + bounced, 800.0


def _sky(
    random: np.random.Generator, times: np.ndarray, height: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """The beam and the sky's light on level ground under days clear, overcast, broken or half."""
    number = ((times - times[0]) // 86_400).astype(int)
    haze = random.uniform(0.05, 0.35, number.max() + 1)[number]
    zenith = 90 - np.clip(height, 0.05, 90)
    mass = atmosphere.get_relative_airmass(zenith)
    clear = clearsky.bird(zenith, mass, haze, 0.8 * haze, 1.5, dni_extra=1361.0)
    beam = np.nan_to_num(clear["dni"]) * np.clip((height + 0.25) / 0.5, 0, 1)
    sky = np.where(height > 1, np.nan_to_num(clear["dhi"]), 0)
    sky = np.maximum(sky, 6 * 10 ** (np.minimum(height, 1) / 3.7))
    share = random.uniform(0.35, 0.7)
    for day in range(number.max() + 1):
        row, kind = number == day, random.random()
        if kind < share:
            continue
        hours = (times[row] - times[0]) % 86_400 / 3600
        if kind < share + 0.12:  # clear for one half of it
            beam[row] *= (hours < 12) == (random.random() < 0.5)
        elif random.random() < 0.4:
            beam[row], sky[row] = 0, sky[row] * random.uniform(0.4, 1.6)
        else:
            knots = random.random(int(24 / random.choice([0.17, 0.5])) + 2)
            cover = np.interp(hours / 24 * (len(knots) - 1), np.arange(len(knots)), knots)
            beam[row] *= np.clip(2.2 - 3.2 * cover, 0, 1)
            sky[row] *= 1 + 0.8 * cover
    return beam, sky
