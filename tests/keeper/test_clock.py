"""The clock of a keeper that runs is set by hours, either way; nights in which clocks change."""

import time
from datetime import datetime

from command_line import run
from keeper_run import SUNNY_SITE, Broker, Motors, Run, SetClock, needs_broker, wait_for


@needs_broker
def test_a_clock_that_is_set_by_hours_and_days_is_obeyed_in_ten_seconds(tmp_path):
    """A south window: one order for one difference, also where a plan must be made for it first."""
    path, clock, broker = tmp_path / "home.toml", SetClock(tmp_path), Broker(tmp_path)
    path.write_text(SUNNY_SITE.format(port=broker.port, shade=""))
    motors = Motors(broker.port)
    clock.set("2027-06-21T11:00+02:00")
    keeper = Run(path, env=clock.env)
    try:
        wait_for(lambda: motors.state("south") == "as planned")
        for instant, position in (
            ("2027-06-21T22:00+02:00", 0),
            ("2027-06-21T12:00+02:00", 100),
            ("2027-12-21T04:00+01:00", 0),
            ("2026-06-21T13:00+02:00", 100),
        ):
            count = len(motors.orders)
            clock.set(instant)
            start = time.monotonic()
            wait_for(lambda: motors.last("south/at")["position"] == position, what=instant)  # noqa: B023
            wait_for(lambda: motors.state("south") == "as planned")
            assert time.monotonic() - start < 10 + 1
            assert [order["position"] for order in motors.orders[count:]] == [position]
        assert keeper.end() == 0
    finally:
        keeper.kill()
        motors.close()
        broker.kill()


def test_in_nights_in_which_clocks_change_it_orders_what_is_planned(tmp_path):
    """Zurich's clocks go 2 -> 3 on 28 March 2027 and 3 -> 2 on 31 October, at 01:00 UTC.

    A shade that is down from dusk to half past two, which does not come or comes twice.
    """
    path = tmp_path / "home.toml"
    shade = '[shade.need]\nfor = ["privacy"]\n[shade.need.privacy]\nuntil = "02:30"'
    path.write_text(SUNNY_SITE.format(port=1, shade=shade))
    for days in (("2027-03-26", "2027-03-30"), ("2027-10-29", "2027-11-02")):
        dates = ("--from", days[0], "--to", days[1])
        planned = run("plan", path, *dates, "--csv", "-").rows
        rehearsed = run("keep", path, "--rehearse", *dates).rows
        moves = [(row["close"], "100") for row in planned] + [(row["open"], "0") for row in planned]
        assert [(row["time"], row["position"]) for row in rehearsed] == sorted(
            moves, key=lambda move: datetime.fromisoformat(move[0])
        )
        assert len(planned) == 5
        # Held over the change, until after it: one order then, as the shade should be up.
        held, until = days[0][:8], {"2027-03-26": "28T04:00+02:00", "2027-10-29": "31T04:00+01:00"}
        events = tmp_path / "events.csv"
        last = f"{held}{until[days[0]]}"
        events.write_text(
            f'time,topic,payload\n{last[:11]}00:30,larkspur/hold,"{{""until"": ""{last}""}}"\n'
        )
        late = run("keep", path, "--rehearse", *dates, "--events", events).rows
        assert [row["position"] for row in late] == ["100", "0"] * 5
        changed = [row["time"] for row, was in zip(late, rehearsed, strict=True) if row != was]
        assert changed == [f"{last[:16]}:00{last[16:]}"]
