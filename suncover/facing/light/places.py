"""Where on its window a light sensor may lie, and when the sun comes to it there.

A bare pane gets the sun all at once. But in a reveal, under an overhang, beside a fin, or behind
the frame, a shadow's edge passes over the glass, and comes to each point of it at another time. The
sensor lies at one point, which nobody has measured.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from suncover.facade.daylight import Daylight
from suncover.facade.exposure import observer_of, window_scene
from suncover.facade.frame import window_axes
from suncover.facade.scene import WindowScene
from suncover.facade.spots import Spots
from suncover.facade.yard.matter import with_what_matters
from suncover.facing.around import HALF_DAY, STEP, SunAround
from suncover.facing.light.pattern import solar_days
from suncover.site.model import Need, Site, Window
from suncover.sun.position import DAY

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

# Shares of the width and height of the glass, and metres behind it: where a sensor is taken to lie,
# each in the middle of a cell. It lies on the sill as often as anywhere else.
ACROSS = tuple((2 * cell + 1) / 16 for cell in range(8))
UP_STEP = 0.15
UP = (0.03, 0.14, 0.29, 0.44, 0.59, 0.74, 0.89)
UP_SHARE = (0.5, 0.08, 0.08, 0.08, 0.08, 0.09, 0.09)
BEHIND_M = (0.0, 0.01, 0.03, 0.08)
EVEN_SD = 0.2887  # one standard deviation of what lies evenly within a cell of one: 1/sqrt(12)
STEP_M = 0.02  # by which a place is moved to see what that does
MOST_LEANED = 20.0  # of degrees turned for one leaned: with a sun overhead it would be any
NEAREST_MIN = 180.0  # farther from what was seen, an edge is another one


class Place(NamedTuple):
    """Metres from the left edge of the glass, up from its lower edge, and out of it (at most 0)."""

    x: float
    y: float
    z: float


@dataclass(frozen=True)
class Places:
    """Where the sensor may lie, (k,) places with their `share`s among those of a `level`, which is
    that of `BEHIND_M`; each stands for as much as `across`, `up` and `behind` about it, one
    standard deviation in metres.
    """

    every: tuple[Place, ...]
    share: Floats
    across: float
    up: Floats
    behind: Floats
    level: NDArray[np.intp]

    def take(self, keep: NDArray[np.intp]) -> Places:
        """Only those that `keep` picks."""
        every = tuple(self.every[at] for at in keep)
        return replace(
            self,
            every=every,
            share=self.share[keep],
            up=self.up[keep],
            behind=self.behind[keep],
            level=self.level[keep],
        )


def is_bare(site: Site, window: Window) -> bool:
    """Whether nothing near hides the sun from a part of the glass alone."""
    stands = window.position is not None and bool(site.obstacles or site.trees)
    return not (window.reveal or window.overhang or window.fins or stands)


def places_on(window: Window, *, bare: bool, levels: Sequence[int]) -> Places:
    """All places of a sensor on some `levels` of `BEHIND_M`.

    On the very pane of a `bare` window all are one.
    """
    every, share, up, deep, of = [], [], [], [], []
    for level in levels:
        depth = BEHIND_M[level]
        single = bare and depth == 0.0
        for at, y_share in ((0.5, 1.0),) if single else zip(UP, UP_SHARE, strict=True):
            for x in (0.5,) if single else ACROSS:
                every.append(Place(x * window.width, at * window.height, -depth))
                share.append(y_share / (1 if single else len(ACROSS)))
                up.append(0.02 if at == UP[0] else UP_STEP * EVEN_SD * window.height)
                deep.append(0.4 * depth)
                of.append(level)
    return Places(
        tuple(every),
        np.array(share),
        window.width / len(ACROSS) * EVEN_SD,
        np.array(up),
        np.array(deep),
        np.array(of, dtype=np.intp),
    )


def one_place(place: Place) -> Places:
    """A place that is known."""
    none = np.zeros(1)
    return Places((place,), np.ones(1), 0.0, none, none, np.zeros(1, dtype=np.intp))


class SunAtPlaces:
    """When the sun comes to places of a window, and leaves them, about some times.

    `times` (n,) unix seconds, `coming` (n,) whether the sun came then.
    """

    def __init__(self, site: Site, window: Window, times: Floats, coming: Bools) -> None:
        self._site, self._window, self._times, self._coming = site, window, times, coming
        observer = observer_of(site.place)
        noon = (solar_days(times, observer) + 0.5) * DAY - observer.longitude * 240.0
        self._sun = SunAround(observer, np.asarray(noon, dtype=np.float64))
        self._row = np.searchsorted(self._sun.instants, noon)
        self._minutes = (times - noon) / 60.0
        self._span = int(times.min() - 2 * HALF_DAY), int(times.max() + 2 * HALF_DAY)
        self._direction = Daylight.of(times, observer).direction
        self._scenes: dict[float, WindowScene] = {}
        self._known: dict[tuple[float, Place], Floats] = {}

    def of(self, which: NDArray[np.intp]) -> SunAtPlaces:
        """The same about `some` of the times alone."""
        return SunAtPlaces(self._site, self._window, self._times[which], self._coming[which])

    def late(self, azimuths: Floats, places: Sequence[Place]) -> Floats:
        """By how many minutes what was seen at each of k places is later than it should be, if the
        window faced that one of `azimuths` (k,): (k, n); nan where nothing like it should be seen
        within three hours.
        """
        asked = list(zip(azimuths.tolist(), places, strict=True))
        missing: dict[float, list[Place]] = {}
        for azimuth, place in dict.fromkeys(asked):
            if (azimuth, place) not in self._known:
                missing.setdefault(azimuth, []).append(place)
        for azimuth, new_places in missing.items():
            late = self._late_by(self._scene(azimuth), new_places)
            self._known.update(
                {(azimuth, at): row for at, row in zip(new_places, late, strict=True)}
            )
        return np.stack([self._known[case] for case in asked])

    def _scene(self, azimuth: float) -> WindowScene:
        if azimuth not in self._scenes:
            turned = self._window.model_copy(update={"azimuth": azimuth % 360.0})
            site = with_what_matters(self._site, turned)
            need = Need(beam=0.0, fraction=0.0)
            self._scenes[azimuth] = window_scene(site, turned, need, *self._span)
        return self._scenes[azimuth]

    def _late_by(self, scene: WindowScene, places: Sequence[Place]) -> Floats:
        """As `late` has it, asked anew."""
        near = NEAREST_MIN + STEP / 60.0
        when = self._sun.spot_changes(
            Spots(scene, np.array(places)), self._minutes.min() - near, self._minutes.max() + near
        )
        late = np.full((len(places), len(self._minutes)), np.nan)
        for begins in (True, False):
            own = np.flatnonzero(when.begins == begins)
            asked = np.flatnonzero(self._coming == begins)
            # The changes of each place and day side by side, one in each layer.
            day = when.spot[own] * len(self._sun.instants) + when.row[own]
            layer = np.arange(len(day)) - np.searchsorted(day, day)
            shape = (int(layer.max(initial=0)) + 1, len(places), len(self._sun.instants))
            minutes = np.full(shape, np.inf)
            minutes[layer, when.spot[own], when.row[own]] = when.minutes[own]
            apart = self._minutes[asked] - minutes[:, :, self._row[asked]]
            nearest = np.abs(apart).argmin(axis=0)[None]
            late[:, asked] = np.take_along_axis(apart, nearest, axis=0)[0]
        return np.where(np.abs(late) < NEAREST_MIN, late, np.nan)

    def leaned(self, azimuths: Floats) -> Floats:
        """By how many degrees a plane would have to be turned, for the sun to come to it as it
        comes to one that leans back by a degree: (k, n).
        """
        tilt = self._window.tilt
        rows = []
        for azimuth in azimuths.tolist():
            turned = window_axes((azimuth + 1.0) % 360.0, tilt)[2]
            turned = turned - window_axes((azimuth - 1.0) % 360.0, tilt)[2]
            leaned = window_axes(azimuth % 360.0, tilt - 1.0)[2]
            leaned = leaned - window_axes(azimuth % 360.0, tilt + 1.0)[2]
            across = turned @ self._direction
            rows.append(leaned @ self._direction / np.where(np.abs(across) > 1e-4, across, 1e-4))
        return np.asarray(np.clip(np.array(rows), -MOST_LEANED, MOST_LEANED))

    def cosine(self, azimuth: float) -> Floats:
        """Cosine (n,) of the sun's angle to the window at the times."""
        outward = window_axes(azimuth % 360.0, self._window.tilt)[2]
        return np.asarray(outward @ self._direction)


def moved(place: Place, window: Window, axis: int) -> tuple[Place, float]:
    """A place a little aside (0), up (1) or inward (2) that the glass has too, and by how much."""
    x, y, z = place
    if axis == 0:
        step = STEP_M if x + STEP_M < window.width else -STEP_M
        return Place(x + step, y, z), step
    if axis == 1:
        step = STEP_M if y + STEP_M < window.height else -STEP_M
        return Place(x, y + step, z), step
    return Place(x, y, z - STEP_M), -STEP_M
