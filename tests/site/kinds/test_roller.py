"""A roller's turns and run times: closed form, layers summed, and the spiral integrated."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from suncover.site.kinds.roller import (
    full_run_seconds,
    roll_diameter,
    run_share,
    turns_of_length,
    turns_to_position,
)

TUBES = st.floats(0.025, 0.08)
FABRICS = st.floats(0.0002, 0.002)
DROPS = st.floats(0.3, 4.0)


def test_closed_form_of_a_common_roller():
    """D = √(d² + 4 t L / π), turns (D - d) / 2t: 50 mm, 0.5 mm, 2.4 m: 63.47 mm, 13.466 turns."""
    assert roll_diameter(0.050, 0.0005, 2.4) == pytest.approx(0.06347, abs=0.000005)
    assert turns_of_length(0.050, 0.0005, 2.4) == pytest.approx(13.466, abs=0.0005)


@given(tube=TUBES, fabric=FABRICS, layers=st.integers(1, 40))
def test_layers_summed_one_by_one(tube, fabric, layers):
    """Layer k of n lies on a roll of diameter d + 2kt; the middle of its thickness goes round
    π (d + (2k + 1) t). The fabric's cross-section is that length times its thickness.
    """
    length = sum(np.pi * (tube + (2 * k + 1) * fabric) for k in range(layers))
    assert turns_of_length(tube, fabric, length) == pytest.approx(layers, rel=1e-9)
    assert roll_diameter(tube, fabric, length) == pytest.approx(tube + 2 * layers * fabric)


@given(tube=TUBES, fabric=FABRICS, turns=st.floats(1, 30))
def test_length_of_the_spiral_itself(tube, fabric, turns):
    """The spiral r = d / 2 + t φ / 2π, integrated: it is longer than its circles by the slope of a
    turn, (t / π d)² / 2 of the whole at the most.
    """
    angle = np.linspace(0.0, 2 * np.pi * turns, 20001)
    rise = fabric / (2 * np.pi)
    speed = np.hypot(tube / 2 + rise * angle, rise)
    length = float(np.trapezoid(speed, angle))
    slope = fabric / (np.pi * tube)
    assert turns_of_length(tube, fabric, length) == pytest.approx(turns, rel=slope**2 + 1e-7)


def test_half_the_turns_is_not_half_the_drop():
    whole = turns_to_position(0.050, 0.0005, 2.4, 100)
    # The full roll lets down more a turn, so half the drop takes less than half the turns: the
    # diameter at half is √(0.05² + 4 · 0.0005 · 1.2 / π) = 57.137 mm.
    half = (0.0634715 - 0.0571370) / (2 * 0.0005)
    assert turns_to_position(0.050, 0.0005, 2.4, 50) == pytest.approx(half, abs=0.001)
    assert half < 0.48 * whole


@given(tube=TUBES, fabric=FABRICS, drop=DROPS, spare=st.floats(0, 1), data=st.data())
def test_shares_of_the_run(tube, fabric, drop, spare, data):
    low, high = sorted(data.draw(st.tuples(st.floats(0, 100), st.floats(0, 100))))
    share = run_share(tube, fabric, drop, low, spare)
    assert -1e-12 <= share <= run_share(tube, fabric, drop, high, spare) + 1e-12
    # On thick rolls the motor is ahead of an even run, never behind it.
    assert share <= low / 100 + 1e-9
    assert run_share(tube, fabric, drop, 100, spare) == pytest.approx(1)
    assert run_share(tube, fabric, drop, 0, spare) == pytest.approx(0, abs=1e-12)


@given(tube=TUBES, fabric=FABRICS, drop=DROPS, spare=st.floats(0, 1), position=st.floats(0, 100))
def test_fabric_let_down_by_the_turns(tube, fabric, drop, spare, position):
    """From the roll's own thickness: what the turns let down is the position's drop."""
    turns = turns_to_position(tube, fabric, drop, position, spare)
    top = roll_diameter(tube, fabric, drop + spare)
    # A turn takes a layer off: the middle of the outermost layer goes round π (D - t).
    length = np.pi * turns * (top - fabric * turns)
    assert length == pytest.approx(drop * position / 100, abs=1e-9)


def test_full_run_at_a_motors_speed():
    assert full_run_seconds(0.050, 0.0005, 2.4, 28) == pytest.approx(13.466 / 28 * 60, abs=0.01)
    # Fabric that never leaves the tube makes it thicker, and the run shorter.
    assert full_run_seconds(0.050, 0.0005, 2.4, 28, spare=0.5) < 13.4 / 28 * 60
