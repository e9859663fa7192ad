"""How long a roller's motor runs to each position: the arithmetic of the wound spiral.

The motor turns the tube evenly, but the fabric lies round it in layers, so that a turn lets down
more of it at first, from the full roll, than at last. With a tube of diameter d, fabric of
thickness t and a length L of it on the tube, the roll's cross-section is the tube's and the
fabric's together:

    π D² / 4 = π d² / 4 + t L        D = √(d² + 4 t L / π)        turns = (D − d) / 2t

as each turn adds a layer of thickness t on either side. Lengths in metres.
"""

from __future__ import annotations

import math

FULL = 100.0  # position of a shade that is all the way down, per cent


def roll_diameter(tube: float, fabric: float, length: float) -> float:
    """Diameter of a tube of diameter `tube` with `length` of fabric of thickness `fabric` on it."""
    return math.sqrt(tube * tube + 4.0 * fabric * length / math.pi)


def turns_of_length(tube: float, fabric: float, length: float) -> float:
    """Turns that `length` of fabric of thickness `fabric` takes round a tube of diameter `tube`."""
    return (roll_diameter(tube, fabric, length) - tube) / (2.0 * fabric)


def turns_to_position(
    tube: float, fabric: float, drop: float, position: float, spare: float = 0.0
) -> float:
    """Turns of the tube from all the way up to `position` per cent of `drop`.

    `spare` is the length of fabric that stays on the tube when the shade is all the way down.
    """
    core = roll_diameter(tube, fabric, spare)
    left = drop * (1.0 - position / FULL)
    return turns_of_length(core, fabric, drop) - turns_of_length(core, fabric, left)


def run_share(
    tube: float, fabric: float, drop: float, position: float, spare: float = 0.0
) -> float:
    """Share of the motor's full run, 0 to 1, that it takes from all the way up to `position`."""
    full_run = turns_to_position(tube, fabric, drop, FULL, spare)
    return turns_to_position(tube, fabric, drop, position, spare) / full_run


def full_run_seconds(
    tube: float, fabric: float, drop: float, turns_per_minute: float, spare: float = 0.0
) -> float:
    """Seconds from all the way up to all the way down at `turns_per_minute`."""
    return 60.0 * turns_to_position(tube, fabric, drop, FULL, spare) / turns_per_minute
