"""What a minute of need is worth by the heat that it lets in.

    asked spells ──> pieces of a few minutes ──> clear sky ──> light on each window of the shade
                                                                        │ its glass
                                              worth of each piece <── watts into the room

The heat is all that comes through the glass of the shade's windows while the shade is up: beam,
sky and ground light, under a clear sky. A plan is made for days whose weather nobody knows yet, so
no weather file has a say: a typical year's rain on some 14 June would leave the shade up on that
date for no reason.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from suncover.base.spell import Spell, intersect, subtract
from suncover.facade.exposure import observer_of
from suncover.heat.gain import light_on
from suncover.heat.glass import table_for
from suncover.heat.tally import Tally
from suncover.site.model import Shade, Site
from suncover.sun.clearsky import clear_light
from suncover.sun.sky import sky_of
from suncover.sun.weather.year import LightRows

Floats = NDArray[np.float64]

STEP_S = 300
"""Pieces are at most as long: a wall's sun changes by a few per cent in that time."""
WATT_MINUTES_PER_KWH = 60_000.0


def pieces_of(spells: Sequence[Spell]) -> list[Spell]:
    """The spells (sorted, disjoint) in even pieces of at most `STEP_S`, to whole seconds."""
    pieces = []
    for spell in spells:
        count = -(-spell.seconds // STEP_S)
        edges = [spell.start + spell.seconds * n // max(count, 1) for n in range(count + 1)]
        pieces += [Spell(a, b) for a, b in pairwise(edges)]
    return pieces


def admitted_watts(site: Site, shade: Shade, pieces: Sequence[Spell]) -> Floats:
    """Heat into the room through all windows of a shade that is up, W, in each piece (n,).

    Taken at the middles of the pieces, under a clear sky.
    """
    power = np.zeros(len(pieces))
    if not pieces:
        return power
    middle = np.array([(piece.start + piece.end) / 2 for piece in pieces])
    observer = observer_of(site.place)
    step = float(STEP_S)
    rows = LightRows(middle - step / 2, step, *clear_light(middle, observer))
    sky = sky_of(rows, observer, site.place.albedo)
    if not len(sky.seconds):
        return power
    tally = Tally.by_row(sky, len(pieces))
    for name in shade.windows:
        window = site.window(name)
        inside = light_on(site, window, tally).inside(table_for(site, window))
        power += inside.total * (window.width * window.height * 3600.0 / step)
    return power


def worth_by_heat(
    site: Site, shade: Shade, need: Sequence[Spell], other_need: Sequence[Spell]
) -> tuple[list[Spell], list[float], list[float]]:
    """The spells of a need in pieces, what a minute of each is worth, and its watts.

    A kilowatt-hour is worth `site.best.kwh` minutes. In the spells of `other_need` a purpose other
    than heat asks for the shade as well: there a minute counts a minute at least. All spells are
    sorted and disjoint.
    """
    inside = pieces_of(intersect(need, other_need))
    pieces = sorted(inside + pieces_of(subtract(need, other_need)))
    watts = admitted_watts(site, shade, pieces)
    worth = watts * site.best.kwh / WATT_MINUTES_PER_KWH
    full = set(inside)
    floor = np.array([float(piece in full) for piece in pieces])
    return pieces, [float(value) for value in np.maximum(worth, floor)], [float(w) for w in watts]
