"""What a window's pictures are drawn from, held against the exposure and against formulas."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from report_home import home, report_data
from site_texts import site_of
from site_texts import window as pane

from suncover.base.spell import clip
from suncover.facade.exposure import observer_of
from suncover.facade.frame import incidence_angle, profile_angle
from suncover.facade.hours import hours
from suncover.report.calendar_days import CELLS, Calendar, by_day
from suncover.report.window_year import POWER_STEP, ROOM_DEPTH, ROOM_SIDE, window_year
from suncover.sun.clearsky import clear_sky_dni
from suncover.sun.position import sun_position

DATA = report_data()
FIRST, LAST = DATA.calendar.first, DATA.calendar.last
SUN = hours(home(), FIRST, LAST)
NUMBERS = range(len(DATA.windows))


@pytest.mark.parametrize("number", NUMBERS)
def test_the_cells_of_every_day_sum_to_the_minutes_of_its_exposure(number):
    """Days counted here with `zoneinfo` alone, from midnight to midnight."""
    window = DATA.windows[number]
    zone = ZoneInfo("America/New_York")
    spells = SUN[window.window.name]
    for index, day in enumerate(DATA.calendar.days):
        midnights = [
            int(datetime(one.year, one.month, one.day, tzinfo=zone).timestamp())
            for one in (day, day + timedelta(days=1))
        ]
        seconds = sum(spell.seconds for spell in clip(spells, *midnights))
        assert window.minutes_by_day[index] == pytest.approx(seconds / 60, abs=1e-9)


@pytest.mark.parametrize("number", NUMBERS)
def test_every_cell_holds_the_sun_between_its_two_clock_times(number):
    """On days without a change of clocks a cell is ten minutes of true time."""
    window = DATA.windows[number]
    zone = ZoneInfo("America/New_York")
    spells = SUN[window.window.name]
    for day in (date(2026, 1, 15), date(2026, 4, 20), date(2026, 6, 21), date(2026, 10, 1)):
        start = int(datetime(day.year, day.month, day.day, tzinfo=zone).timestamp())
        index = DATA.calendar.index(day)
        for cell in range(CELLS):
            part = clip(spells, start + 600 * cell, start + 600 * (cell + 1))
            assert window.seconds[index, cell] == sum(spell.seconds for spell in part)


@pytest.mark.parametrize("number", NUMBERS)
def test_no_second_is_lost_over_the_year(number):
    window = DATA.windows[number]
    total = sum(spell.seconds for spell in SUN[window.window.name])
    assert window.seconds.sum() == total
    assert sum(piece.end - piece.start for piece in window.pieces) == total


def test_power_is_the_clear_beam_on_open_glass():
    """W/m² = DNI cos θ (Duffie and Beckman, eq. 1.6.3) where nothing is in front of the glass."""
    bare = site_of(pane("w", 250, 1, 1))
    day = date(2026, 6, 21)
    calendar = Calendar(day, day, bare.place.zone)
    spells = hours(bare, day, day)["w"]
    window = window_year(bare, bare.windows[0], spells, calendar)
    middles = np.array([calendar.bounds.start + 600 * cell + 300 for cell in range(CELLS)])
    observer = observer_of(bare.place)
    sun = sun_position(middles, observer)
    angle = incidence_angle(sun.apparent_elevation, sun.azimuth, 250.0)
    expected = clear_sky_dni(middles, observer) * np.cos(np.radians(angle))
    whole = window.seconds[0] == 600
    assert whole.sum() > 20
    assert window.power[0][whole] == pytest.approx(expected[whole], abs=POWER_STEP / 2 + 1e-9)
    assert (window.power[0][window.seconds[0] == 0] == 0).all()


def test_shade_lowers_the_power():
    """At noon of midsummer the eaves leave less of the glass in sun than the sky alone would."""
    site = home()
    name = site.windows[0].name
    open_window = site.windows[0].model_copy(update={"overhang": None, "fins": ()})
    day = date(2026, 6, 21)
    calendar = Calendar(day, day, site.place.zone)
    spells = hours(site, day, day)[name]
    covered = window_year(site, site.windows[0], spells, calendar).power
    bare = window_year(site, open_window, spells, calendar).power
    assert (covered <= bare + 1e-9).all()
    assert covered[0, 66] < 0.8 * bare[0, 66]  # 11:00 by the clock


@pytest.mark.parametrize("number", NUMBERS)
def test_a_slot_is_lit_when_a_spell_holds_its_instant(number):
    window = DATA.windows[number]
    spells = SUN[window.window.name]
    slots = DATA.calendar.slots
    starts = np.array([spell.start for spell in spells])
    ends = np.array([spell.end for spell in spells])
    order = np.searchsorted(starts, slots, side="right") - 1
    expected = (order >= 0) & (slots < ends[order])
    assert (window.lit == expected).all()


def test_patches_are_where_the_rays_land():
    """Unshaded upright glass: from sill / tan Ω to (sill + height) / tan Ω inward, tan Ω the
    profile angle's (ASHRAE Handbook, Fundamentals, fenestration chapter).
    """
    window = DATA.windows[1]
    checked = 0
    for (day, slot), rings in window.patches.items():
        sun = sun_position(float(DATA.calendar.slots[day, slot]), observer_of(home().place))
        slope = np.tan(
            np.radians(profile_angle(sun.apparent_elevation, sun.azimuth, window.window.azimuth))
        )
        far = (window.window.sill + window.window.height) / slope
        near = window.window.sill / slope
        inward = np.concatenate([ring[:, 0] for ring in rings])
        clear = sun.apparent_elevation > 32  # above the neighbour's roof, 6.5 m up and 12 m away
        if clear and far < ROOM_DEPTH and len(rings) == 1 and len(rings[0]) == 4:
            # Outlines are eased by a centimetre at the most.
            assert inward.max() == pytest.approx(far, abs=0.01)
            assert inward.min() == pytest.approx(near, abs=0.01)
            checked += 1
        assert inward.max() <= ROOM_DEPTH + 1e-9
        assert max(abs(ring[:, 1]).max() for ring in rings) <= ROOM_SIDE + 1e-9
    assert checked > 500


def test_every_patch_is_at_a_lit_slot():
    for window in DATA.windows:
        assert all(window.lit[place] for place in window.patches)


def test_the_mask_hides_what_stands_below_the_skyline():
    """12° at azimuth 60, which is 35° to the left of straight out; 8° straight out."""
    mask = DATA.windows[0].mask
    left = round(mask.around - 35)
    assert (mask.outside[:11, left] == 0).all()
    assert mask.outside[14, left] == 1
    ahead = round(mask.around)
    assert (mask.outside[:7, ahead] == 0).all()
    assert mask.outside[9, ahead] == 1


def test_the_mask_of_the_overhang_ends_at_its_cut_off_angle():
    """Straight out, all of the glass is in shade from (gap + height) / (reveal + depth) on."""
    window, mask = DATA.windows[0].window, DATA.windows[0].mask
    roof = window.overhang
    out = roof.depth + window.reveal
    ahead = mask.plates[:, mask.plates.shape[1] // 2]
    heights = np.arange(len(ahead)) / 2 + 0.25
    whole = np.degrees(np.arctan2(roof.gap + window.height, out))
    assert heights[ahead == 0].min() == pytest.approx(whole, abs=0.5)


def test_pieces_of_a_day_keep_to_the_day():
    days = by_day(DATA.windows[0].pieces, len(DATA.calendar.days))
    assert all(0 <= p.start < p.end <= 86_400 for day in days for p in day)
