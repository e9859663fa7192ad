"""What a window of a site gets in each row of a weather year, for programs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from suncover.base.instants import second_of
from suncover.base.shown import short_repr
from suncover.facade.exposure import observer_of, window_scene
from suncover.heat.gain import light_on, window_views
from suncover.heat.glass import table_for
from suncover.heat.tally import Tally
from suncover.heat.view_factors import Views
from suncover.site.model import Site
from suncover.sun.sky import Sky, SkyModel, sky_of
from suncover.sun.weather.year import WeatherYear

if TYPE_CHECKING:
    import pandas as pd

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class RowLight:
    """Light on a window's glass under all that stands before it, means over each row, (rows,).

    `start` unix seconds; `beam` from the sun and close about it, `sky` from dome and horizon,
    `ground` from below, `admitted` what enters the room with the shades up: W per m² of glass.
    `lit_share` is the share of the glass that the sun reaches, over the part of the row in which
    the sun is up; `sky_view`, `ground_view` and `horizon_view` are what it sees of them.
    """

    __repr__ = short_repr

    window: str
    start: Floats
    beam: Floats
    sky: Floats
    ground: Floats
    admitted: Floats
    lit_share: Floats
    sky_view: Floats
    ground_view: Floats
    horizon_view: Floats

    def to_frame(self) -> pd.DataFrame:
        """A column for each of these arrays, by the rows' starts, UTC."""
        import pandas as pd

        index = pd.to_datetime(np.rint(self.start).astype(np.int64), unit="s", utc=True)
        watts = ("beam", "sky", "ground", "admitted")
        columns = {f"{name}_w_m2": getattr(self, name) for name in watts}
        shares = ("lit_share", "sky_view", "ground_view", "horizon_view")
        columns |= {name: getattr(self, name) for name in shares}
        return pd.DataFrame(columns, index=index.rename("time"))


def light_by_row(
    site: Site, window: str, weather: WeatherYear, model: SkyModel = "perez"
) -> RowLight:
    """The light on a window of a site in each row of a weather year.

    Raises
    ------
    RequestError
        When there is no such window or sky model.
    """
    pane = site.window(window)
    sky = sky_of(weather, observer_of(site.place), site.place.albedo, model)
    rows, hours = len(weather.start), weather.step / 3600.0
    tally = Tally.by_row(sky, rows)
    light = light_on(site, pane, tally)
    factors = np.array([(view.sky, view.ground, view.horizon) for view in light.views])[light.state]
    views = [_mean(sky, factor, rows) for factor in factors.T]
    # In rows without light the window has the views of the last row with light.
    lit_rows = np.bincount(sky.row, minlength=rows) > 0
    last = np.maximum.accumulate(np.where(lit_rows, np.arange(rows), -1))
    last = np.where(last < 0, int(np.argmax(lit_rows)), last)
    beam, dome, ground = light.outside().parts / hours
    lit = np.zeros(len(sky.row))
    lit[light.facing.slots] = light.lit
    on_sky, on_ground, on_horizon = (view[last] for view in views)
    return RowLight(
        window=pane.name,
        start=weather.start,
        beam=beam,
        sky=dome,
        ground=ground,
        admitted=light.inside(table_for(site, pane)).total / hours,
        lit_share=_mean(sky, lit, rows),
        sky_view=on_sky,
        ground_view=on_ground,
        horizon_view=on_horizon,
    )


def _mean(sky: Sky, values: Floats, rows: int) -> Floats:
    """Means over the slots of each row; 0 where it has none."""
    count = np.bincount(sky.row, minlength=rows)
    return np.asarray(np.bincount(sky.row, values, rows) / np.maximum(count, 1))


def view_factors(site: Site, window: str, time: object = None) -> Views:
    """What the glass of a window sees of sky, ground and horizon past all that stands before it.

    Trees are in the leaf that they have at `time` (an instant in any form; midsummer's day of the
    north if left out).

    Raises
    ------
    RequestError
        When there is no such window, or `time` is no instant.
    """
    pane = site.window(window)
    second = MIDSUMMER if time is None else second_of(time)
    scene = window_scene(site, pane, site.need, int(second) - 1, int(second) + 2)
    no_light = np.zeros(1)
    row = np.zeros(1, dtype=np.intp)
    sky = Sky(np.array([second]), no_light, np.zeros((3, 1)), row, *[no_light] * 6)
    views, state = window_views(scene, pane, Tally.by_row(sky, 1))
    return views[int(state[0])]


MIDSUMMER = 1_782_000_000.0  # 21 June 2026
