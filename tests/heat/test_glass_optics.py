"""Panes and stacks of panes: Fresnel and Bouguer, energy kept, and heat that flows inward."""

import numpy as np
import pytest

from suncover.heat.glass_optics import (
    INSIDE_H,
    OUTSIDE_H,
    Pane,
    fresnel,
    heat_gain,
    hemispherical,
    inward_shares,
    pane_optics,
    stack_optics,
    u_value,
)

ANGLES = np.arange(0.0, 91.0, 5.0)
CLEAR = Pane(3.0, 0.03)
COATED = Pane(4.0, 0.02, coating=(0.55, 0.20, 0.30))


def test_reflectance_at_normal_incidence_and_at_60_degrees():
    """Duffie and Beckman, example 5.1.1: n = 1.526: 0.0434 at 0°; 0.185 and 0.001 at 60°."""
    normal = fresnel(0.0, 1.526)
    assert float(normal[0]) == pytest.approx(0.0434, abs=5e-5)
    assert float(normal[1]) == pytest.approx(0.0434, abs=5e-5)
    across, along = fresnel(60.0, 1.526)
    assert float(across) == pytest.approx(0.185, abs=5e-4)
    assert float(along) == pytest.approx(0.001, abs=5e-4)


def test_polarised_light_passes_whole_at_brewsters_angle():
    """The reflectance along vanishes at atan n (Brewster)."""
    assert float(fresnel(np.degrees(np.arctan(1.526)), 1.526)[1]) < 1e-15


def test_one_cover_at_60_degrees():
    """Duffie and Beckman, example 5.3.1 (from memory): 2.3 mm, 32 per m, 60 degrees.

    Transmittance 0.624 and 0.912 for the two polarisations, 0.768 for their mean; absorptance
    0.085.
    """
    pane = Pane(2.3, 0.032)
    polarised = pane_optics(pane, 60.0).through[:, 0]
    assert polarised == pytest.approx([0.624, 0.912], abs=1.5e-3)
    through, absorbed = stack_optics((pane,), 60.0)
    assert float(through[0]) == pytest.approx(0.768, abs=1e-3)
    assert float(absorbed[0, 0]) == pytest.approx(0.085, abs=1e-3)


@pytest.mark.parametrize(
    "panes",
    [(CLEAR,), (CLEAR, CLEAR), (CLEAR, COATED), (COATED, CLEAR, CLEAR)],
    ids=["single", "double", "coated inside", "triple"],
)
def test_light_is_passed_absorbed_or_turned_back(panes):
    through, absorbed = stack_optics(panes, ANGLES)
    assert (through >= 0).all()
    assert (absorbed >= -1e-12).all()
    total = through + absorbed.sum(axis=0)
    assert (total <= 1.0 + 1e-12).all()
    # What is missing is the reflectance of the whole, never less than that of the outer face.
    outer = pane_optics(panes[0], ANGLES)
    lowest = 0.5 * sum(fresnel(np.minimum(ANGLES, 89.999), 1.526)) if panes[0] is CLEAR else 0.0
    assert (1.0 - total >= lowest - 1e-6).all()
    assert outer.through.shape == (2, len(ANGLES))


def test_two_panes_by_the_series_of_echoes():
    """T = T1 T2 (1 + R1 R2 + ...) for each polarisation, summed term by term."""
    optics = pane_optics(CLEAR, 50.0)
    expected = 0.0
    for t, r in zip(optics.through[:, 0], optics.back[:, 0], strict=True):
        expected += sum(t * t * (r * r) ** n for n in range(60)) / 2
    through, _ = stack_optics((CLEAR, CLEAR), 50.0)
    assert float(through[0]) == pytest.approx(expected, abs=1e-12)


def test_clear_stacks_are_alike_from_both_sides():
    panes = Pane(3.0, 0.03), Pane(6.0, 0.01), Pane(4.0, 0.05)
    for stack in (panes[:2], panes):
        ahead, _ = stack_optics(stack, ANGLES)
        back, _ = stack_optics(stack[::-1], ANGLES)
        assert ahead == pytest.approx(back, abs=1e-12)


def test_a_coating_has_its_own_values_at_right_angles_and_passes_nothing_at_90():
    optics = pane_optics(COATED, [0.0, 90.0])
    assert optics.through[:, 0] == pytest.approx([0.55, 0.55])
    assert optics.front[:, 0] == pytest.approx([0.20, 0.20])
    assert optics.back[:, 0] == pytest.approx([0.30, 0.30])
    assert optics.through[:, 1] == pytest.approx([0.0, 0.0], abs=1e-6)


def test_u_value_is_the_sum_of_resistances():
    """EN 673: 1/U = 1/he + d/1.0 + 1/gap + d/1.0 + 1/hi. Of what a pane absorbs, as much flows
    inward as lies of that outside its middle.
    """
    outer = 1 / OUTSIDE_H + 0.003 / 2
    inner = outer + 0.003 + 1 / 5.7
    whole = inner + 0.003 / 2 + 1 / INSIDE_H
    assert u_value((CLEAR, CLEAR), (5.7,)) == pytest.approx(1 / whole)
    found = inward_shares((CLEAR, CLEAR), (5.7,))
    assert found == pytest.approx([outer / whole, inner / whole])
    with pytest.raises(ValueError, match="2 panes have 1 gaps, not 0"):
        u_value((CLEAR, CLEAR), ())


def test_gain_lies_between_what_passes_and_what_is_not_turned_back():
    through, absorbed = stack_optics((CLEAR, CLEAR), ANGLES)
    gain = heat_gain((CLEAR, CLEAR), (5.7,), ANGLES)
    assert (gain >= through - 1e-12).all()
    assert (gain <= through + absorbed.sum(axis=0) + 1e-12).all()


def test_hemispherical_integrals_that_have_a_closed_form():
    """Integral of g sin 2t from 0 to 90°: 1 for g = 1; 2/3 for g = cos t."""
    fine = np.linspace(0, 90, 2001)
    assert hemispherical([0, 90], [1, 1]) == pytest.approx(1.0, abs=1e-12)
    assert hemispherical(fine, np.cos(np.radians(fine))) == pytest.approx(2 / 3, abs=1e-6)
    assert hemispherical([0, 90], [0, 1]) == pytest.approx(0.5, abs=1e-12)
