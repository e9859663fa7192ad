"""What stands before a window by the tables of its site: its obstacles and trees as solids."""

from __future__ import annotations

from datetime import timedelta

import numpy as np

from suncover.base.clock import local_date, season_spells
from suncover.facade.daylight import BeamGate
from suncover.facade.frame import window_axes
from suncover.facade.yard.footprints import convex_parts
from suncover.facade.yard.solids import Standpoint, crown_before_glass, prism_before_glass
from suncover.facade.yard.surroundings import BeamThrough, Foliage, Surroundings, VeilingTree
from suncover.site.model import Place, Site, Tree, Window


def standpoint_of(window: Window) -> Standpoint | None:
    """Where the window is on the site, or None if the file does not say."""
    if window.position is None:
        return None
    east, north = window.position
    origin = np.array([east, north, window.floor + window.sill])
    return Standpoint(origin, window_axes(window.azimuth, window.tilt), window.width)


def surroundings_of(site: Site, window: Window, gate: BeamGate) -> Surroundings | None:
    """The obstacles and trees before a window, for the times and the beam of a gate; None if it has
    no position.
    """
    frame = standpoint_of(window)
    if frame is None:
        return None
    prisms = [
        prism_before_glass(part, obstacle.base, obstacle.top, frame)
        for obstacle in site.obstacles
        for part in convex_parts(obstacle.footprint)
    ]
    crowns = [
        (tree, crown_before_glass(tree.trunk, tree.width, tree.bottom, tree.top, frame))
        for tree in site.trees
    ]
    return Surroundings(
        prisms=tuple(prism for prism in prisms if prism is not None),
        trees=tuple(
            VeilingTree(crown, foliage_of(tree, site.place, gate))
            for tree, crown in crowns
            if crown is not None
        ),
        light=BeamThrough(gate.start, gate.end, gate.observer, gate.beam),
    )


def foliage_of(tree: Tree, place: Place, gate: BeamGate) -> Foliage:
    """What a crown lets through in the time of a gate; leaves come and go at local midnight."""
    if tree.in_leaf is None:
        return Foliage(tree.leaf, tree.leaf, np.zeros((0, 2)))
    # The search for crossings looks a few days past the end.
    margin = timedelta(days=BeamGate.MARGIN)
    first, last = (local_date(instant, place.zone) for instant in (gate.start, gate.end))
    spells = season_spells(tree.in_leaf, first - margin, last + margin, place.zone)
    spans = np.array([(spell.start, spell.end) for spell in spells], dtype=np.float64)
    return Foliage(tree.leaf, tree.bare, spans.reshape(-1, 2))
