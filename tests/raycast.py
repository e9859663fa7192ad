"""A sun and a ray caster that share nothing with the package: what the geometry is held against.

The sun is ERFA's (the IAU's SOFA routines, through the package pyerfa), refracted by the formula of
the solar position algorithm (Reda & Andreas, NREL/TP-560-34302, eq. 42). Rays are cast in the
site's own east-north-up metres against each thing as the site file describes it: rectangles in
space, footprints crossed edge by edge, ellipsoids by their quadratic.
"""

import erfa
import numpy as np

from suncover.site.model import Site, Window


def erfa_sun(seconds, latitude, longitude, elevation=0.0):
    """Unit vectors (3, n) to the apparent sun at unix seconds."""
    seconds = np.asarray(seconds, float)
    utc1 = 2440587.5 + np.floor(seconds / 86400.0)
    utc2 = (seconds % 86400.0) / 86400.0
    # UT1 is taken as UTC (they differ by less than 0.9 s), terrestrial time as UTC + 69.2 s (2026).
    tt2 = utc2 + 69.2 / 86400.0
    earth_helio, earth_bary = erfa.epv00(utc1, tt2)
    sun = -earth_helio["p"]
    # Aberration: the light left the sun 499 s ago; the Earth moves at 1e-4 of the speed of light.
    speed = earth_bary["v"] / 173.1446326846693
    distance = np.linalg.norm(sun, axis=-1, keepdims=True)
    towards = sun / distance + speed
    towards /= np.linalg.norm(towards, axis=-1, keepdims=True)
    matrix = erfa.pnm06a(utc1, tt2)
    of_date = np.einsum("nij,nj->ni", matrix, towards)
    sidereal = erfa.gst06a(utc1, utc2, utc1, tt2)
    turn = sidereal + np.radians(longitude)
    lat = np.radians(latitude)
    place = erfa.gd2gc(1, np.radians(longitude), lat, elevation) / 149597870700.0
    x = of_date[:, 0] * np.cos(turn) + of_date[:, 1] * np.sin(turn)
    y = -of_date[:, 0] * np.sin(turn) + of_date[:, 1] * np.cos(turn)
    z = of_date[:, 2]
    away = distance[:, 0]
    x = x * away - np.hypot(place[0], place[1])
    y = y * away
    z = z * away - place[2]
    up = x * np.cos(lat) + z * np.sin(lat)
    north = -x * np.sin(lat) + z * np.cos(lat)
    vector = np.stack([y, north, up])
    vector /= np.linalg.norm(vector, axis=0)
    height = np.degrees(np.arcsin(vector[2]))
    pressure = ((44331.514 - elevation) / 11880.516) ** (1 / 0.1902632)
    lifted = height + np.where(
        height >= -0.83337,
        pressure
        / 1010
        * 283
        / (273 + 12)
        * 1.02
        / (60 * np.tan(np.radians(height + 10.3 / (height + 5.11)))),
        0.0,
    )
    level = np.hypot(vector[0], vector[1])
    new = np.cos(np.radians(lifted)) / level
    return np.stack([vector[0] * new, vector[1] * new, np.sin(np.radians(lifted))])


SUN_RADIUS = np.radians(0.2666)  # 959.63 arcseconds at its mean distance (IAU)


def sun_disc(middle, parts=12):
    """Unit vectors (parts, 3, n) to as many equal parts of the sun's disc, for `middle` (3, n)."""
    number = np.arange(parts)
    out, turn = SUN_RADIUS * np.sqrt((number + 0.5) / parts), number * np.pi * (3 - np.sqrt(5))
    level = np.stack([middle[1], -middle[0], np.zeros_like(middle[0])]) / np.hypot(*middle[:2])
    upward = np.cross(level, middle, axis=0)
    aside = np.einsum("k,cn->kcn", out * np.cos(turn), level)
    return middle + aside + np.einsum("k,cn->kcn", out * np.sin(turn), upward)


def frame_of(window: Window):
    """Middle of the lower edge, and the unit vectors right, up the glass, outward."""
    a, t = np.radians(window.azimuth), np.radians(window.tilt)
    outward = np.array([np.sin(t) * np.sin(a), np.sin(t) * np.cos(a), np.cos(t)])
    right = np.array([-np.cos(a), np.sin(a), 0.0])
    upward = np.cross(outward, right)
    east, north = window.position or (0.0, 0.0)
    return np.array([east, north, window.floor + window.sill]), right, upward, outward


def beam_share(site: Site, window: Window, points, sun, *, in_leaf=True, beyond=0.0):
    """Share of the beam (m,) that reaches points (m, 3) of the site from the direction `sun` (3,),
    or each from a direction of its own, (3, m).

    0 where a plate, the wall's face or a prism is in the way; crowns multiply. `beyond` is how far
    behind the glass the points lie (0: on it): a ray from there must pass the glass as well.
    """
    origin, right, upward, outward = frame_of(window)
    points = np.atleast_2d(points)
    sun = np.broadcast_to(np.transpose(sun), points.shape)
    ahead = sun @ outward
    share = np.where(ahead > 0, 1.0, 0.0)
    local = points - origin

    def at(depth):
        """Where the rays are when `depth` metres out of the glass: right of the middle, up."""
        length = (depth - local @ outward) / np.where(ahead > 0, ahead, 1.0)
        hit = local + length[:, None] * sun
        return hit @ right, hit @ upward

    for depth in ([0.0] if beyond else []) + ([window.reveal] if window.reveal else []):
        x, y = at(depth)
        share[(np.abs(x) > window.width / 2) | (y < 0) | (y > window.height)] = 0.0
    if window.overhang:
        roof = window.overhang
        share[
            _meets(
                local,
                sun,
                (upward, window.height + roof.gap),
                (outward, window.reveal, window.reveal + roof.depth),
                (right, -window.width / 2 - _end(roof.left), window.width / 2 + _end(roof.right)),
            )
        ] = 0.0
    for fin in window.fins:
        side = -1 if fin.side == "left" else 1
        share[
            _meets(
                local,
                sun,
                (right, side * (window.width / 2 + fin.gap)),
                (outward, window.reveal, window.reveal + fin.depth),
                (upward, -_end(fin.below), window.height + _end(fin.above)),
            )
        ] = 0.0
    if window.position is not None:
        for obstacle in site.obstacles:
            share[_meets_prism(points, sun, obstacle)] = 0.0
        for tree in site.trees:
            hit = _meets_crown(points, sun, tree)
            share[hit] *= tree.leaf if in_leaf else tree.bare
    return share


def _end(length):
    return 1e6 if length is None else length


def _meets(local, sun, plane, first, second):
    """Do rays from `local` along `sun` meet the rectangle in `plane` between bounds on two axes?"""
    normal, offset = plane
    speed = sun @ normal
    level = np.abs(speed) < 1e-15
    length = (offset - local @ normal) / np.where(level, 1.0, speed)
    hit = local + length[:, None] * sun
    inside = (length > 0) & ~level
    for axis, low, high in (first, second):
        inside &= (hit @ axis >= low) & (hit @ axis <= high)
    return inside


def _meets_prism(points, sun, obstacle):
    """Rays against an upright prism: its walls one by one, then its lid and its floor."""
    ring = np.array(obstacle.footprint, float)
    hit = np.zeros(len(points), bool)
    for (x0, y0), (x1, y1) in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        # Cross the vertical plane through the edge.
        nx, ny = y1 - y0, x0 - x1
        speed = sun[:, 0] * nx + sun[:, 1] * ny
        length = ((x0 - points[:, 0]) * nx + (y0 - points[:, 1]) * ny) / np.where(speed, speed, 1.0)
        at = points + length[:, None] * sun
        along = ((at[:, 0] - x0) * (x1 - x0) + (at[:, 1] - y0) * (y1 - y0)) / (
            (x1 - x0) ** 2 + (y1 - y0) ** 2
        )
        hit |= (
            (speed != 0)
            & (length > 1e-9)
            & (along >= 0)
            & (along <= 1)
            & (at[:, 2] >= obstacle.base)
            & (at[:, 2] <= obstacle.top)
        )
    rise = sun[:, 2]
    for level in (obstacle.base, obstacle.top):
        length = (level - points[:, 2]) / np.where(rise, rise, 1.0)
        at = points + length[:, None] * sun
        hit |= (rise != 0) & (length > 1e-9) & _in_ring(at[:, 0], at[:, 1], ring)
    return hit


def _in_ring(x, y, ring):
    """Even-odd rule."""
    inside = np.zeros(len(x), bool)
    for (x0, y0), (x1, y1) in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        if y0 == y1:
            continue
        crosses = (y0 > y) != (y1 > y)
        inside ^= crosses & (x < (x1 - x0) * (y - y0) / (y1 - y0) + x0)
    return inside


def _meets_crown(points, sun, tree):
    half = np.array([tree.width / 2, tree.width / 2, (tree.top - tree.bottom) / 2])
    middle = np.array([*tree.trunk, (tree.top + tree.bottom) / 2])
    start, along = (points - middle) / half, sun / half
    a, b, c = (along * along).sum(1), (start * along).sum(1), (start * start).sum(1) - 1
    root = b * b - a * c
    return (root > 0) & (-b + np.sqrt(np.maximum(root, 0)) > 0)


def patch_by_rays(site: Site, sun: np.ndarray, step: float = 0.01) -> tuple[float, float, float]:
    """Far edge and its two corners from points of the floor that see the sun."""
    window = site.windows[0]
    _, right, _, _ = frame_of(window)
    facing = np.radians(window.azimuth)
    inward = -np.array([np.sin(facing), np.cos(facing), 0.0])
    deep, wide = np.arange(0.02, 6, step), np.arange(-4, 4, step)
    grid_deep, grid_wide = (part.ravel() for part in np.meshgrid(deep, wide, indexing="ij"))
    points = grid_deep[:, None] * inward + grid_wide[:, None] * right
    lit = beam_share(site, window, points, sun, beyond=1.0) > 0
    distance = grid_deep[lit].max()
    edge = grid_wide[lit & (grid_deep > distance - 1.5 * step)]
    return float(distance), float(edge.min()), float(edge.max())
