"""What sensors say, and when they have been silent for too long to be believed."""

from __future__ import annotations

from dataclasses import replace
from statistics import median

from suncover.keeper.agenda import Agenda
from suncover.keeper.state import FAR, MOST_GAPS, Gate, Gauge, Remark, State

# A sensor whose usual interval is not known yet is silent after three of these.
ASSUMED_GAP_S = 1200.0
SHORTEST_GAP_S = 1.0  # readings that come in a burst are one
SILENT_GAPS = 3


def with_reading(state: State, sensor: str, value: float, now: float) -> tuple[State, list[Remark]]:
    """The state after a sensor's value has come."""
    before = state.gauges.get(sensor)
    gaps: tuple[float, ...] = ()
    remarks = []
    if before is not None:
        gap = now - before.at
        gaps = before.gaps
        if not before.silent and gap >= SHORTEST_GAP_S:
            gaps = (*gaps, gap)[-MOST_GAPS:]
        if before.silent:
            remarks.append(Remark("sensor", f'the sensor "{sensor}" is heard again'))
    gauges = {**state.gauges, sensor: Gauge(value, now, gaps)}
    return replace(state, gauges=gauges), remarks


def silent_from(gauge: Gauge) -> float:
    """The instant from which a sensor that says nothing more is silent."""
    usual = median(gauge.gaps) if gauge.gaps else ASSUMED_GAP_S
    return gauge.at + SILENT_GAPS * max(usual, SHORTEST_GAP_S)


def with_gates(agenda: Agenda, state: State, now: float) -> tuple[State, float, list[Remark]]:
    """Whether the sun shines and the wind is strong, and when that may change without a reading.

    Without a sensor, or with one that is silent, the sky is taken for clear and the air for calm.
    """
    wake, remarks = FAR, []
    gauges = dict(state.gauges)
    for name, gauge in state.gauges.items():
        quiet_at = silent_from(gauge)
        if now >= quiet_at and not gauge.silent:
            gauges[name] = replace(gauge, silent=True)
            text = f'the sensor "{name}" has been silent for three of its usual intervals; '
            remarks.append(Remark("sensor", f"{text}the plan by the clear sky holds"))
        elif not gauge.silent:
            wake = min(wake, quiet_at)
    state = state if gauges == state.gauges else replace(state, gauges=gauges)
    sunny, windy = state.sunny, state.windy
    if agenda.sunny is not None:
        rule = agenda.sunny
        value = _value_of(state, rule.sensor)
        shines = None if value is None else value > rule.above
        sunny, at = _gate_after(sunny, shines, True, rule.on, rule.off, now)
        wake = min(wake, at)
    if agenda.windy is not None:
        blow = agenda.windy
        value = _value_of(state, blow.sensor)
        strong = None if value is None else value > blow.above
        windy, at = _gate_after(windy, strong, False, 0.0, blow.calm, now)
        wake = min(wake, at)
        if windy.on != state.windy.on:
            text = "strong wind: shades outdoors go up" if windy.on else "the wind has gone down"
            remarks.append(Remark("wind", text))
    if sunny.on != state.sunny.on:
        text = "the sun shines" if sunny.on else "the sun does not shine"
        remarks.append(Remark("sun", text))
    if (sunny, windy) != (state.sunny, state.windy):
        state = replace(state, sunny=sunny, windy=windy)
    return state, wake, remarks


def _value_of(state: State, sensor: str) -> float | None:
    gauge = state.gauges.get(sensor)
    return None if gauge is None or gauge.silent else gauge.value


def _gate_after(
    gate: Gate, says: bool | None, unheard: bool, on_s: float, off_s: float, now: float
) -> tuple[Gate, float]:
    """A gate after what the sensor says (None: nothing), and when it turns if that goes on."""
    if says is None:
        return Gate(unheard), FAR
    if says == gate.on:
        return Gate(gate.on), FAR
    since = now if gate.turning is None else min(gate.turning, now)
    at = since + (on_s if says else off_s)
    if now >= at:
        return Gate(says), FAR
    return Gate(gate.on, since), at
