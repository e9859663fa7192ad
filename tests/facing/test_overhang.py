"""Overhangs whose truth is known, found from patches and from the hours that they take."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from made_sightings import changes, guessed, made_site, turned
from raycast import erfa_sun, patch_by_rays

from suncover.facing import overhang
from suncover.facing.overhang import estimate_overhangs
from suncover.site.model import Overhang, Site
from suncover.site.sightings import Sighting

NOISE_M = 0.05
NOISE_MIN = 2.0


def sightings_of(site: Site, random: np.random.Generator) -> list[Sighting]:
    """Comings, leavings, and patches measured at various hours of the year."""
    place, found = site.place, []
    for day in (date(2027, 2, 20) + timedelta(days=40 * n) for n in range(5)):
        on, off = changes(site, day)
        for seen, times in (("on", on[:1]), ("off", off[-1:])):
            for time in times:
                late = 60 * random.normal(0, NOISE_MIN)
                found.append(Sighting(window="w", time=round(time + late), seen=seen))
        if not on or off[-1] - on[0] < 3600:
            continue
        for share in (0.3, 0.6):
            at = round(on[0] + share * (off[-1] - on[0]))
            sun = erfa_sun([at], place.latitude, place.longitude, place.elevation)[:, 0]
            if sun[2] < 0.3:
                continue  # the patch of a low sun is longer than the room
            distance, left, _ = patch_by_rays(site, sun, 0.025)
            found.append(
                Sighting(
                    window="w",
                    time=at,
                    seen="patch",
                    distance=max(distance + random.normal(0, NOISE_M), 0.0),
                    offset=left + random.normal(0, NOISE_M),
                    corner="left",
                )
            )
    return found


@pytest.mark.parametrize(
    ("latitude", "azimuth", "depth", "gap"),
    [
        pytest.param(47.0, 190.0, 0.8, 0.3, marks=pytest.mark.slow),
        pytest.param(36.0, 150.0, 0.5, 0.1, marks=pytest.mark.slow),
        (-38.0, 20.0, 1.0, 0.4),
    ],
)
def test_depth_gap_and_azimuth_are_found_together(
    latitude: float, azimuth: float, depth: float, gap: float
) -> None:
    roof = {"depth": depth, "gap": gap}
    site = made_site(latitude, azimuth=azimuth, sill=0.9, overhang=roof)
    seen = sightings_of(site, np.random.default_rng(3))
    guess = guessed(
        site, azimuth=azimuth + 12, overhang=Overhang(depth=1.3 * depth, gap=gap + 0.15)
    )
    found = estimate_overhangs(guess, seen, ["w"])
    assert found.settled
    [result] = found.roofs
    for value, sd, truth, before in (
        (result.depth, result.depth_sd, depth, 0.3 * depth),
        (result.gap, result.gap_sd, gap, 0.15),
    ):
        assert abs(value - truth) < 3 * sd
        assert sd < before  # better known than it was
    assert turned(found.facing.azimuth, azimuth) < 3 * found.facing.sd
    assert found.facing.sd < 2.0


def test_the_same_sightings_give_the_same_result(monkeypatch: pytest.MonkeyPatch) -> None:
    """However few the draws are."""
    monkeypatch.setattr(overhang, "DRAWS", 25)
    site = made_site(47.0, azimuth=190.0, sill=0.9, overhang={"depth": 0.8, "gap": 0.3})
    seen = sightings_of(site, np.random.default_rng(4))[:6]
    first, again = (estimate_overhangs(site, seen, ["w"]) for _ in range(2))
    assert first.roofs == again.roofs


def test_without_an_overhang_in_the_file_there_is_nothing_to_find() -> None:
    site = made_site(47.0, azimuth=190.0)
    seen = [Sighting(window="w", time=1.8e9, seen="on")]
    with pytest.raises(ValueError, match="none of these windows has an overhang"):
        estimate_overhangs(site, seen, ["w"])
