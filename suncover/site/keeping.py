"""How a site's plan is acted on: the broker, what motors must answer, sensors that have a say.

    [keeper] ── sunny: Sunny       a closing for heat waits for real sun
             └─ wind: Wind         shades outside go up in a strong wind
    [[sensor]]                     what measures either

What a shade's own motor needs (`program`, `end_stop` and so on) stands with the shade.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from string import Formatter
from typing import Annotated, Any, Literal
from urllib.parse import urlsplit

from pydantic import AfterValidator, Field

from suncover.base.slugs import slug_of
from suncover.site.finding import Facts, Finding
from suncover.site.kinds.kind import Kind, fault, shown
from suncover.site.kinds.values import FileName, Name, Quantity, listed
from suncover.site.parts import Table

LONGEST_DURATION_S = 7 * 86400.0

_UNITS = {"s": 1.0, "sec": 1.0, "min": 60.0, "h": 3600.0, "d": 86400.0}
_DURATION = r"(\d+(?:\.\d+)?) *(s|sec|min|h|d)"


def duration(*words: str) -> Kind:
    """A length of time as text with its unit, `"2 h"`; in seconds. `words` stand for themselves."""

    def read(value: Any) -> float | str:
        if isinstance(value, str) and value in words:
            return value
        match = re.fullmatch(_DURATION, value.strip(), re.ASCII) if isinstance(value, str) else None
        if match is None:
            also = "".join(f' or "{word}"' for word in words)
            raise fault(
                f'{shown(value)} is not a time with its unit, such as "15 min", "2 h"{also}'
            )
        seconds = float(match[1]) * _UNITS[match[2]]
        if seconds > LONGEST_DURATION_S:
            raise fault(f"{shown(value)} is more than a week")
        return seconds

    alternatives = "".join(f"|{word}" for word in words)
    pattern = rf"^([0-9]+(\.[0-9]+)? *(s|sec|min|h|d){alternatives})$"
    return Kind(read, {"type": "string", "pattern": pattern})


def _topic(text: str) -> str:
    """Refuses what is no topic of MQTT: levels with slashes between them, no wildcards."""
    if set("+#\0") & set(text) or text.startswith(("/", "$")) or text.endswith("/"):
        raise fault(f"{shown(text)} is no topic: no + or #, no slash or $ at its ends")
    return text


def _address(text: str) -> str:
    """Refuses what is no address of a broker, and what holds more than that."""
    try:
        parts = urlsplit(text)
        is_broker = parts.scheme in ("mqtt", "mqtts") and parts.hostname and parts.port != 0
    except ValueError:
        is_broker = False
    if not is_broker:
        raise fault(f'{shown(text)} is no broker such as "mqtt://127.0.0.1:1883"')
    if parts.username or parts.password:
        raise fault("no name and password belong here; use `user` and `password_file`")
    if parts.path.strip("/") or parts.query or parts.fragment:
        raise fault(f"{shown(text)} goes on after the port; leave that out")
    return text


BrokerAddress = Annotated[Name, AfterValidator(_address)]
TopicName = Annotated[Name, AfterValidator(_topic)]
Time = Annotated[float, duration()]
Wait = Annotated[float, Quantity(0, 3600, unit="seconds")]
AfterHand = Annotated[float | Literal["next"], duration("next")]
Level = Annotated[float, Quantity()]

PLACEHOLDERS = ("shade", "direction", "seconds", "position")


def _word(text: str) -> str:
    """Refuses a word of a program's call whose braces stand for nothing."""
    try:
        names = {name for _, name, _, _ in Formatter().parse(text) if name is not None}
    except ValueError:
        names = {""}
    if not names <= set(PLACEHOLDERS):
        placeholders = ", ".join(f"{{{name}}}" for name in PLACEHOLDERS)
        raise fault(f"{shown(text)} has braces that stand for nothing; there are {placeholders}")
    return text


ProgramWord = Annotated[FileName, AfterValidator(_word)]
Program = Annotated[
    tuple[ProgramWord, ...],
    listed('words, such as ["relay", "{shade}", "{direction}"]', at_least=1),
]


class Sensor(Table):
    """Something that measures and tells it by messages: `[[sensor]]`."""

    name: Name = Field(description="Unique among the sensors.")
    topic: TopicName = Field(description="The whole topic on which its values come.")
    member: Name | None = Field(
        None, description="Where its messages are JSON objects: the member that holds the value."
    )
    measures: Literal["light", "beam", "global", "wind"] = Field(
        description="`light` in any unit, `beam` or `global` in W/m², `wind` in m/s."
    )


class Sunny(Table):
    """Closes for heat only while the sun really shines: `[keeper.sunny]`."""

    sensor: Name = Field(description="Name of a [[sensor]] of light, beam or global.")
    above: Level = Field(description="Its value from which the sun shines.")
    on: Time = Field(
        "2 min",
        validate_default=True,
        description='So long above it before a closing, such as "2 min".',
    )
    off: Time = Field(
        "20 min",
        validate_default=True,
        description='So long below it before an opening, such as "20 min".',
    )


class Wind(Table):
    """Shades outside go up in a strong wind, and stay up: `[keeper.wind]`."""

    sensor: Name = Field(description="Name of a [[sensor]] of wind.")
    above: Level = Field(description="Its value, in m/s, above which the wind is too strong.")
    calm: Time = Field(
        "15 min",
        validate_default=True,
        alias="for",
        description='So long below it before they may come down: "15 min".',
    )


class Keeper(Table):
    """The program that acts on the plan, and its motors: `[keeper]`."""

    broker: BrokerAddress | None = Field(
        None,
        description="Address of the MQTT 5 broker, `mqtt://` or, for TLS, `mqtts://`; left out "
        "where programs move all shades.",
    )
    topic: TopicName | None = Field(
        None, description="Begins every topic; made of the site's name if left out."
    )
    user: Name | None = Field(None, description="Name to log in to the broker with.")
    password_file: FileName | None = Field(
        None,
        description="File with the password, beside the site file; or the variable "
        "SUNCOVER_BROKER_PASSWORD holds it.",
    )
    ca_file: FileName | None = Field(
        None,
        description="With TLS: file with the certificate that the broker's must be signed by, in "
        "PEM, beside the site file. Left out, those that this machine trusts.",
    )
    stale: Annotated[float, Quantity(1, 3600, unit="seconds")] = Field(
        60.0, description="Seconds after which an order must not be obeyed any more."
    )
    answer: Wait = Field(
        20.0, description="Seconds beyond a run in which a motor must have answered."
    )
    sunny: Sunny | None = Field(None, description="Closing only for real sun.")
    wind: Wind | None = Field(None, description="Going up in a strong wind.")


def keeper_findings(entries: Mapping[str, Sequence[Facts]]) -> Iterator[Finding]:
    """Names that meet in one topic, and sensors that are not there or measure something else."""
    keepers = entries.get("keeper", ())
    if not keepers:
        return
    yield from _topics_meet(entries)
    sensors = {s["name"]: s for s in entries.get("sensor", ()) if "name" in s}
    for key, kinds in (("sunny", ("light", "beam", "global")), ("wind", ("wind",))):
        rule = keepers[0].get(key)
        if rule is None:
            continue
        path, sensor = ("keeper", key, "sensor"), sensors.get(rule.sensor)
        if sensor is None:
            yield Finding(path, f'no sensor is named "{rule.sensor}"', rule.sensor, list(sensors))
        elif sensor.get("measures", kinds[0]) not in kinds:
            measures = " or ".join(f'"{kind}"' for kind in kinds)
            yield Finding(path, f'"{rule.sensor}" measures {sensor["measures"]}, not {measures}')


def _topics_meet(entries: Mapping[str, Sequence[Facts]]) -> Iterator[Finding]:
    covered = {name for shade in entries.get("shade", ()) for name in shade.get("windows") or ()}
    entries_named = [
        (("shade", index, "name"), shade.get("name"))
        for index, shade in enumerate(entries.get("shade", ()))
    ]
    entries_named += [
        (("window", index, "name"), window.get("name"))
        for index, window in enumerate(entries.get("window", ()))
        if window.get("name") not in covered
    ]
    first: dict[str, str] = {}
    for path, name in entries_named:
        if name is None:
            continue
        slug = slug_of(name)
        if not slug:
            message = f'"{name}" has no letter a to z or digit for a topic; give it one'
            yield Finding(path, message)
        elif slug in first and first[slug] != name:
            yield Finding(
                path,
                f'"{name}" and "{first[slug]}" both have the topic "{slug}"; rename one of them',
            )
        first.setdefault(slug, name)
    place = next(iter(entries.get("site", ())), {})
    topic = entries["keeper"][0].get("topic")
    if topic is None and "name" in place and not slug_of(place["name"]):
        yield Finding(("keeper",), "the site's name makes no topic; give it here: `topic`")
