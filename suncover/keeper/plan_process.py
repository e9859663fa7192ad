"""Makes an agenda in a process of its own: `python -m suncover.keeper.plan_process SITE NOW`.

The sun takes some memory to compute. This process has it for a second and gives it back, while the
one that keeps the shades goes on. The agenda comes as JSON on standard output; faults go to
standard error, a line each, with exit status 2.
"""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

from suncover.base.clock import DAY_S, FIRST_DATE, LAST_DATE, local_date
from suncover.base.errors import SuncoverError
from suncover.export.files.plan_ics import plan_ics
from suncover.keeper.agenda import Agenda, Motor
from suncover.keeper.make_agenda import agenda_and_plans, keeper_faults, make_agenda
from suncover.keeper.plain import to_plain
from suncover.keeper.planner import signature
from suncover.plan.numbers import numbered
from suncover.plan.staircase import step_at
from suncover.site.file.sitefile import load_site
from suncover.site.model import Site

# Days before today and after it that are planned: as far as calendars look ahead.
BACK, AHEAD = 3, 60
# A shade without a move in them is looked at for this long either way.
FAR = 370


def days_around(site: Site, day: date, back: int, ahead: int) -> tuple[date, date]:
    """The dates to plan. Full runs are counted from where a plan begins: always in one January."""
    first = max(day - timedelta(days=back), FIRST_DATE)
    if any(shade.home_after for shade in site.shades):
        first = first.replace(month=1, day=1)
    return first, min(day + timedelta(days=ahead), LAST_DATE)


def agenda_at(path: Path, now: int) -> Agenda:
    """The agenda of a site file for the days around an instant.

    Raises
    ------
    SuncoverError
        When the file is faulty, or no keeper can act on it.
    """
    # Of what it reads, not of what a hand makes of it while the plan is being made.
    first_read = signature([path])
    site = load_site(path)
    files = tuple(str(Path(file).absolute()) for file in site.files)
    read = signature(files) if signature([path]) == first_read else ""
    keeper_faults(site, path)
    day = local_date(now, site.place.zone)
    near = days_around(site, day, BACK, AHEAD)
    agenda, plans = agenda_and_plans(site, *near)
    if not all(_has_moves(motor, now) for motor in agenda.motors):
        far = make_agenda(site, *days_around(site, day, FAR, FAR))
        motors = tuple(_cut(motor, now, agenda.end) for motor in far.motors)
        agenda = replace(far, motors=motors, end=agenda.end)
    numbered_plans = numbered(plans, near[0], lambda *dates: agenda_and_plans(site, *dates)[1])
    ahead = [
        closing
        for plan in numbered_plans
        for closing in plan.closings
        if closing.open > now - DAY_S
    ]
    beside = path.absolute().parent
    secret, trusted = agenda.password_file, agenda.ca_file
    return replace(
        agenda,
        calendar=plan_ics(ahead, site.place).decode(),
        files=files,
        signature=read,
        password_file=None if secret is None else str(beside / secret),
        ca_file=None if trusted is None else str(beside / trusted),
    )


def _has_moves(motor: Motor, now: int) -> bool:
    number = step_at(motor.steps, now)
    return number >= 0 and number + 1 < len(motor.steps)


def _cut(motor: Motor, now: int, end: int) -> Motor:
    """The motor with its steps around now, up to an end and at least to the next step."""
    number = max(step_at(motor.steps, now), 0)
    last = max(number + 2, step_at(motor.steps, end) + 1)
    return replace(motor, steps=motor.steps[max(number - 1, 0) : last])


def main() -> None:
    """Prints the agenda; exits with 2 where the site's file is at fault."""
    path, now = Path(sys.argv[1]), int(sys.argv[2])
    try:
        agenda = agenda_at(path, now)
    except SuncoverError as error:
        sys.stderr.reconfigure(errors="replace")  # type: ignore[union-attr]  # a real one here
        print(error, file=sys.stderr)
        sys.exit(2)
    sys.stdout.write(json.dumps(to_plain(agenda)))


if __name__ == "__main__":
    main()
