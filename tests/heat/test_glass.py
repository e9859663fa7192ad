"""Glass tables: generic kinds against the handbook's by angle, own tables, own g-values."""

import numpy as np
import pytest

from suncover.heat.glass import CLASSES, class_table, glass_table, table_for, table_of
from suncover.site.model import Glazing, Place, Site, Window
from suncover.site.parts import GLASS_KINDS

PLACE = Place(name="x", latitude=40, longitude=-100)
ANGLES = (0, 40, 50, 60, 70, 80)

HANDBOOK = {
    "single clear": ((0.86, 0.84, 0.82, 0.78, 0.67, 0.42), 0.78),  # 3 mm
    "double clear": ((0.76, 0.74, 0.71, 0.64, 0.50, 0.26), 0.66),  # 3 mm
    "double low-e": ((0.65, 0.64, 0.62, 0.56, 0.43, 0.23), 0.57),  # low-e 0.1
    "double sun low-e": ((0.37, 0.36, 0.34, 0.31, 0.24, 0.13), 0.33),  # low-e 0.05, 6 mm
    "double tinted": ((0.49, 0.46, 0.44, 0.39, 0.31, 0.17), 0.41),  # bronze, 6 mm
    "triple clear": ((0.68, 0.65, 0.62, 0.54, 0.39, 0.18), 0.57),  # 3 mm
    "triple low-e": ((0.62, 0.60, 0.57, 0.49, 0.36, 0.16), 0.52),  # low-e 0.2 on the inner pane
}
# U of panes 4-12-4 with air and 4-16-4 with a coating of 0.05 and argon, by EN 673 as makers print
# it, W/m²K, one decimal; from memory.
PRINTED_U = {"single clear": 5.8, "double clear": 2.9, "double low-e": 1.2, "triple clear": 1.9}
# The same chapter, visible transmittance at the centre of glass, at right angles; from memory. The
# row of the tinted unit is that of bronze glass, 6 mm, before a clear pane.
HANDBOOK_LIGHT = {
    "single clear": 0.90,
    "double clear": 0.81,
    "double low-e": 0.76,
    "double sun low-e": 0.70,
    "double tinted": 0.47,
    "triple clear": 0.74,
    "triple low-e": 0.68,
}
# Two digits are printed, and panes of one kind differ from maker to maker by some hundredths.
HANDBOOK_SPREAD = 0.035


@pytest.mark.parametrize("name", list(HANDBOOK))
def test_generic_kinds_agree_with_the_handbook_by_angle(name):
    gains, diffuse = HANDBOOK[name]
    table = class_table(name)
    found = np.interp(ANGLES, table.angles, table.gains)
    # Where three panes are crossed aslant, the handbook's fall off earlier.
    spread = HANDBOOK_SPREAD + (0.03 if name.startswith("triple") else 0.0)
    assert found == pytest.approx(gains, abs=spread)
    assert table.diffuse == pytest.approx(diffuse, abs=spread)


@pytest.mark.parametrize("name", list(CLASSES))
def test_light_and_warmth_of_generic_kinds_are_the_published(name):
    assert class_table(name).light == pytest.approx(HANDBOOK_LIGHT[name], abs=0.005)
    if name in PRINTED_U:
        assert class_table(name).u == pytest.approx(PRINTED_U[name], abs=0.05)


def test_own_glass_has_the_light_that_its_maker_states_or_none():
    assert table_of(own_table()).light is None
    assert table_of(own_table().model_copy(update={"light": 0.72})).light == 0.72
    assert table_of(Glazing(name="x", kind="double clear")).light == 0.81
    # Glass of another g-value than the kind's is another glass.
    assert table_of(Glazing(name="x", kind="double clear", g=0.5)).light is None
    assert table_of(Glazing(name="x", kind="double clear", g=0.5, light=0.6)).light == 0.6


@pytest.mark.parametrize("name", list(CLASSES))
def test_every_kind_falls_with_the_angle_to_nothing(name):
    assert set(CLASSES) == set(GLASS_KINDS)
    table = class_table(name)
    assert table.angles[0] == 0
    assert table.angles[-1] == 90
    assert table.gains[-1] == pytest.approx(0.0, abs=1e-6)
    assert (np.diff(table.gains) <= 0.003).all()  # bare panes rise a little before they fall
    assert table.gains[-1] < table.diffuse < table.normal


def own_table() -> Glazing:
    return Glazing(name="own", angles=(0, 45, 90), gains=(0.8, 0.6, 0.0), diffuse=0.55, u=2.0)


def test_an_own_table_is_linear_between_its_angles():
    table = table_of(own_table())
    cosine = np.cos(np.radians([0.0, 22.5, 67.5, 90.0]))
    assert table.gain(cosine) == pytest.approx([0.8, 0.7, 0.3, 0.0], abs=1e-9)
    assert table.gain([-0.3, 0.0]) == pytest.approx([0.0, 0.0])
    assert table.gain(1.0 + 1e-15) == 0.8  # a cosine of more than 1, by rounding
    assert (table.diffuse, table.u, table.normal) == (0.55, 2.0, 0.8)


def test_an_own_g_value_scales_the_kind_and_keeps_its_shape():
    table = table_of(Glazing(name="mine", kind="double clear", g=0.5))
    kind = class_table("double clear")
    ratio = 0.5 / kind.normal
    assert table.normal == pytest.approx(0.5)
    assert table.diffuse == pytest.approx(kind.diffuse * ratio)
    assert np.array(table.gains[:-1]) / np.array(kind.gains[:-1]) == pytest.approx(ratio)
    assert table.u == kind.u
    assert table_of(Glazing(name="mine", kind="double clear", u=1.3)).u == 1.3


def test_a_window_without_glazing_gets_a_stated_default():
    window = Window(name="w", azimuth=180, width=1, height=1)
    site = Site(place=PLACE, windows=(window,))
    table = table_for(site, window)
    assert table.assumed
    assert table.name == "double clear"


def test_the_sites_own_glazing_goes_before_a_kind_of_its_name():
    own = own_table().model_copy(update={"name": "double clear"})
    window = Window(name="w", azimuth=180, width=1, height=1, glazing="double clear")
    site = Site(place=PLACE, windows=(window,), glazings=(own,))
    assert table_for(site, window).normal == 0.8
    assert not table_for(site, window).assumed
    assert glass_table(site, "single clear").normal > 0.8


def test_a_film_leaves_its_share_at_every_angle():
    table = table_of(own_table()).scaled(0.5)
    assert table.gains == pytest.approx((0.4, 0.3, 0.0))
    assert table.diffuse == pytest.approx(0.275)
