"""The lit part of a window's glass by plain polygons: each plate thrown on it along the sun."""

import shapely

from suncover.site.model import Window

FAR = 1e4  # metres; stands for an endless plate: far beyond the glass, and rounding still small


def lit_glass(window: Window, p: float, q: float) -> shapely.Geometry:
    """Of the glass, from (0, 0) to (width, height), the part past the opening and all plates.

    The sun's direction runs `p` to the right and `q` up the glass for each metre out of it.
    """
    width, height, reveal = window.width, window.height, window.reveal
    glass = shapely.box(0, 0, width, height)
    opening = shapely.box(-reveal * p, -reveal * q, width - reveal * p, height - reveal * q)
    plates = []
    if (roof := window.overhang) is not None:
        begin = -(FAR if roof.left is None else roof.left)
        end = width + (FAR if roof.right is None else roof.right)
        level = height + roof.gap
        plates.append((roof.depth, [(begin, level), (end, level)]))
    for fin in window.fins:
        low = -(FAR if fin.below is None else fin.below)
        high = height + (FAR if fin.above is None else fin.above)
        line = -fin.gap if fin.side == "left" else width + fin.gap
        plates.append((fin.depth, [(line, low), (line, high)]))
    shadows = []
    for depth, (one, other) in plates:
        ring = [(*one, reveal), (*other, reveal), (*other, reveal + depth), (*one, reveal + depth)]
        shadow = shapely.Polygon([(x - p * z, y - q * z) for x, y, z in ring])
        # Thrown edge-on, a plate has no shadow; its polygon would be a line.
        if shadow.area > 0.0:
            shadows.append(shapely.intersection(shapely.make_valid(shadow), glass))
    return shapely.difference(shapely.intersection(glass, opening), shapely.union_all(shadows))
