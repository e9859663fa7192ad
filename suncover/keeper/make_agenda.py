"""From a site and dates to an agenda: the plan of these days, and what the keeper must heed."""

from __future__ import annotations

import os
from collections.abc import Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from suncover.base.clock import FIRST_DATE, LAST_DATE, dates_bounds, quiet_spells
from suncover.base.errors import Fault, FileFaults
from suncover.base.slugs import slug_of
from suncover.base.spell import Spell
from suncover.keeper.agenda import Agenda, Feed, Motor, Sensor, SunRule, WindRule
from suncover.plan.exceptions import happenings, up_spells
from suncover.plan.season import plans_for, shade_sun
from suncover.plan.staircase import steps_of
from suncover.plan.standing import motor_runs

if TYPE_CHECKING:
    from suncover.plan.closings.shade_plan import Closing, ShadePlan
    from suncover.plan.season import ShadeSun
    from suncover.site.keeping import Keeper
    from suncover.site.model import Shade, Site

# What is made of a run where a shade does not say how long it goes on to find its zero: a tenth of
# it, a second at least. Our own assumption.
OVERRUN_SHARE, LEAST_OVERRUN_S = 0.1, 1.0


def make_agenda(site: Site, first: date, last: date) -> Agenda:
    """The keeper's agenda for the days from `first` to `last`, both included.

    Raises
    ------
    RequestError
        As `season_plan`.
    """
    return agenda_and_plans(site, first, last)[0]


def agenda_and_plans(site: Site, first: date, last: date) -> tuple[Agenda, list[ShadePlan]]:
    """The agenda, and the plans that it is made of, whose closings are not numbered."""
    zone = site.place.zone
    span = dates_bounds(first, last, zone)
    suns = shade_sun(site, first, last)
    plans = plans_for(site, suns)
    around = (max(first - timedelta(days=2), FIRST_DATE), min(last + timedelta(days=2), LAST_DATE))
    wide = dates_bounds(*around, zone)
    all_happenings = happenings(site, wide)
    motors = []
    for sun, plan in zip(suns, plans, strict=True):
        shade = sun.shade
        quiet = quiet_spells(shade.quiet, *around, zone)
        up = up_spells(happening for happening in all_happenings if happening.is_for(shade))
        motors.append(_motor(shade, plan.closings, sun, quiet, up))
    keeper = site.keeper
    agenda = Agenda(
        site.place.name,
        (keeper and keeper.topic) or slug_of(site.place.name),
        site.place.zone_name,
        span.start,
        span.end,
        tuple(motors),
        tuple(
            Feed(supply.name, tuple(map(slug_of, supply.shades)), supply.at_once, supply.gap)
            for supply in site.supplies
        ),
        tuple(
            Sensor(sensor.name, sensor.topic, sensor.measures, sensor.member)
            for sensor in site.sensors
        ),
        **({} if keeper is None else _settings(keeper)),
    )
    return agenda, plans


def _settings(keeper: Keeper) -> dict[str, Any]:
    sunny, wind = keeper.sunny, keeper.wind
    return {
        "sunny": sunny and SunRule(sunny.sensor, sunny.above, sunny.on, sunny.off),
        "windy": wind and WindRule(wind.sensor, wind.above, wind.calm),
        "stale": keeper.stale,
        "answer": keeper.answer,
        "broker": keeper.broker,
        "user": keeper.user,
        "password_file": keeper.password_file,
        "ca_file": keeper.ca_file,
    }


def _motor(
    shade: Shade,
    closings: Sequence[Closing],
    sun: ShadeSun,
    quiet: tuple[Spell, ...],
    up: tuple[Spell, ...],
) -> Motor:
    overrun = shade.overrun
    if overrun is None:
        overrun = max(OVERRUN_SHARE * shade.travel, LEAST_OVERRUN_S)
    return Motor(
        shade.name,
        slug_of(shade.name),
        steps_of(closings),
        motor_runs(shade),
        sunlit=_for_heat_alone(closings, sun),
        quiet=quiet,
        up=up,
        outdoors=shade.place == "outside",
        end_stop=shade.end_stop,
        overrun=overrun,
        home_after=shade.home_after,
        after_hand=None if shade.after_hand == "next" else float(shade.after_hand),
        program=shade.program,
        moves=shade.moves,
        shortest=60.0 * shade.shortest,
        merge=60.0 * shade.merge,
    )


def _for_heat_alone(closings: Sequence[Closing], sun: ShadeSun) -> tuple[Spell, ...]:
    """The closings in which nothing but the sun's heat asks for the shade to be down."""
    spells = [Spell(closing.close, closing.open) for closing in closings]
    if sun.wants is None:
        return tuple(spells)
    other_wants = sorted(want.spell for want in sun.wants if want.need != "heat")
    return tuple(
        spell
        for spell in spells
        if not any(want.start < spell.end and want.end > spell.start for want in other_wants)
    )


def keeper_faults(site: Site, file: str | os.PathLike[str]) -> None:
    """Refuses a site that no keeper can act on.

    Raises
    ------
    FileFaults
        Where there is no [keeper], or a shade has neither a broker nor a program of its own.
    """
    name = os.fspath(file)
    bare = [shade.name for shade in site.all_shades() if shade.program is None]
    if site.keeper is None:
        hint = 'with broker = "mqtt://…" or a `program` for each shade'
        if not bare:
            hint = "that line alone: each shade has a `program`"
        raise FileFaults([Fault(name, f"there is no [keeper]; add it, {hint}")])
    if site.keeper.broker is None:
        message = "it has no `program`, and [keeper] no `broker`; give either"
        if bare:
            raise FileFaults([Fault(name, message, f'shade "{shade}"') for shade in bare])
