"""Questions about what a site has once: the season, the needs, money, weather."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from suncover.site.interview.kinds import (
    by_kind,
    coordinates,
    is_word,
    length_at_home,
    quiet_hours,
    unless_word,
)
from suncover.site.interview.phrases import season_days, season_words
from suncover.site.interview.question import Line, Question
from suncover.site.interview.talk import Talk
from suncover.site.interview.values import (
    measure,
    names,
    number_check,
    one_of,
    parted,
    text,
    toml_list,
    toml_measure,
    toml_text,
)
from suncover.site.keeping import BrokerAddress, TopicName
from suncover.site.kinds.values import Name
from suncover.site.needs import NEED_NAMES


def place_of(talk: Talk) -> tuple[float, float]:
    return talk.known.place or coordinates(talk.answers["site.place"])


def hot_months(latitude: float) -> tuple[str, str]:
    """The warm half of the year, north or south of the equator."""
    return ("04-15", "10-15") if latitude >= 0 else ("10-15", "04-15")


def season_questions(talk: Talk, _table: str) -> Iterator[Question]:
    proposed = hot_months(place_of(talk)[0])
    yield Question(
        "need.season",
        "Should shades close for heat only in the hot months?",
        f"yes for {season_words(proposed)}, the warm half of the year there; no for the whole "
        "year; or two days like this: 15 Oct to 15 Apr.",
        lambda answer: season_days(answer, proposed),
        default="yes",
        meaning=lambda answer: season_meaning(answer, proposed),
        table="[need]",
        lines=lambda answer: season_lines("season", answer, proposed),
    )


def season_meaning(answer: str, proposed: tuple[str, str]) -> str:
    days = season_days(answer, proposed)
    return "that is all year" if days is None else f"that is {season_words(days)}"


def season_lines(key: str, answer: str, proposed: tuple[str, str]) -> tuple[Line, ...]:
    days = season_days(answer, proposed)
    if days is None:
        return ()
    return ((key, toml_list(list(days)), f"{season_words(days)}, both included"),)


def needs_questions(talk: Talk, _table: str) -> Iterator[Question]:
    yield Question(
        "need.for",
        "What do the shades close for?",
        f"One or more of {', '.join(NEED_NAMES)}, with commas between them.",
        _needs_check,
        default="heat",
        table="[need]",
        lines=names("for", "what shades close for", unless="heat"),
    )
    yield Question(
        "need.power",
        "From which strength on does sun on the glass count?",
        "In W/m² of glass, under a clear sky: 0 counts all sun, 60 leaves out what only grazes the "
        "glass or lies on a strip of it.",
        number_check(0, 1500),
        default="0",
        table="[need]",
        lines=measure("power", "W/m² of glass: slighter sun does not count", unless="0"),
    )
    wanted = _needs_check(talk.answers["need.for"])
    if "glare" in wanted:
        yield Question(
            "need.reach",
            "How far into the room may the sun fall before it dazzles?",
            "Metres on the floor; none if only the spots count.",
            lambda a: a.strip().casefold() == "none" or by_kind(length_at_home(over=True))(a),
            default="none",
            table="[need.glare]",
            lines=measure("reach", "metres into the room", unless="none"),
        )
    if "sleep" in wanted:
        yield Question(
            "need.dark",
            "Between which times must it be dark for sleep?",
            "Such as 21:00-07:00.",
            _times,
            default="21:00-07:00",
            table="[need.sleep]",
            lines=lambda answer: (("dark", toml_list(list(_times(answer))), ""),),
        )
    if "privacy" in wanted:
        yield Question(
            "need.until",
            "Until when do they stay closed after dusk?",
            "A time such as 22:30, or dawn.",
            lambda a: a.strip().casefold() == "dawn" or _times(f"{a}-00:01"),
            default="dawn",
            table="[need.privacy]",
            lines=lambda a: (
                () if a.strip().casefold() == "dawn"
                else (("until", toml_text(_times(f"{a}-00:01")[0]), ""),)
            ),
        )  # fmt: skip


def _times(answer: str) -> tuple[str, str]:
    hours = quiet_hours(answer)
    if hours is None:
        raise ValueError("write two times like this: 21:00-07:00")
    return hours


def _needs_check(answer: str) -> tuple[str, ...]:
    words = tuple(part.casefold() for part in parted(answer))
    for word in words:
        if word not in NEED_NAMES:
            raise ValueError(f'"{word}" is none of {", ".join(NEED_NAMES)}')
    if not words:
        raise ValueError(f"name one or more of {', '.join(NEED_NAMES)}")
    return words


def money_questions(_talk: Talk, _table: str) -> Iterator[Question]:
    yield Question("money.currency", "Which currency?", "Its sign or letters, put before amounts.",
                   by_kind(Name), default="$", table="[money]",
                   lines=text("currency"))  # fmt: skip
    for last, question in (
        ("electricity", "What does a kilowatt-hour of electricity cost?"),
        ("heating", "What does a kilowatt-hour of heat cost?"),
        ("overhang", "What would an overhang cost, for each window?"),
        ("shade", "What does a motor shade cost?"),
    ):
        yield Question(
            f"money.{last}",
            question,
            "A number, or a range of which you know the ends: 0.15 to 0.20; none if not known.",
            _price,
            default="none",
            table="[money]",
            lines=partial(_price_lines, last),
        )


def _price(answer: str) -> list[float]:
    if answer.strip().casefold() == "none":
        return []
    try:
        numbers = [float(part.replace(",", ".")) for part in answer.split(" to ")]
    except ValueError:
        numbers = []
    if not 1 <= len(numbers) <= 2 or min(numbers) < 0 or numbers != sorted(numbers):
        raise ValueError("write a number, two like this: 0.15 to 0.20, or none")
    return numbers


def _price_lines(key: str, answer: str) -> tuple[Line, ...]:
    numbers = [toml_measure(str(number)) for number in _price(answer)]
    if not numbers:
        return ()
    return ((key, numbers[0] if len(numbers) == 1 else f"[{', '.join(numbers)}]", ""),)


def keeper_questions(talk: Talk, _table: str) -> Iterator[Question]:
    """The program that moves the shades; what each motor needs is asked with its shade."""
    yield Question(
        "keeper.broker",
        "Which broker do the motors listen to?",
        "Its address, mqtt://127.0.0.1:1883 for one on this machine, mqtts:// with TLS; none where "
        "programs of yours move all shades. Before anything turns, read docs/cautions.md.",
        unless_word("none", by_kind(BrokerAddress)),
        default="mqtt://127.0.0.1:1883",
        table="[keeper]",
        lines=_broker_lines,
    )
    yield Question(
        "keeper.topic",
        "Which word begins the topic of every message?",
        "Such as larkspur; none to make it of the site's name.",
        unless_word("none", by_kind(TopicName)),
        default="none",
        table="[keeper]",
        lines=text("topic", "begins every topic", unless="none"),
    )
    broker = talk.answers["keeper.broker"].strip().casefold()
    if is_word(broker, "none"):
        return
    yield Question(
        "keeper.user",
        "With which name does the keeper log in to the broker?",
        "none where the broker asks for none.",
        by_kind(Name),
        default="none",
        table="[keeper]",
        lines=text("user", "logs in with this name", unless="none"),
    )
    if not is_word(talk.answers["keeper.user"], "none"):
        yield Question(
            "keeper.password_file",
            "Which file has its password?",
            "A file beside the site file that nobody else may read (chmod 600), never the password "
            "itself; none where the variable SUNCOVER_BROKER_PASSWORD holds it.",
            by_kind(Name),
            default="broker-password",
            table="[keeper]",
            lines=text("password_file", "alone in this file", unless="none"),
        )
    if broker.startswith("mqtts:"):
        yield Question(
            "keeper.ca_file",
            "Which file has the certificate to trust, where it is your own?",
            "In PEM, beside the site file; none for those that this machine trusts.",
            by_kind(Name),
            default="none",
            table="[keeper]",
            lines=text("ca_file", "signs the broker's certificate", unless="none"),
        )


def _broker_lines(answer: str) -> tuple[Line, ...]:
    if is_word(answer, "none"):
        return (("answer", "20", "seconds beyond its run in which a program must have ended"),)
    return (("broker", toml_text(answer), "motors listen to it"),)


def weather_questions(talk: Talk, _table: str) -> Iterator[Question]:
    yield Question(
        "weather.file",
        "Which file has the hourly weather of a year?",
        "Its name, beside the site file: TMY3, TM2, PVGIS, NSRDB or CSV; or bundled:greensboro, "
        "bundled:miami, bundled:sand-point; none for a clear sky.",
        by_kind(Name),
        default="none",
        table="[weather]",
        lines=text("file", unless="none"),
    )
    file = talk.get("weather.file").casefold()
    if file.endswith((".csv", ".csv.gz")):
        yield Question(
            "weather.stamp",
            "What does a row's time mean of its hour?",
            "start, middle or end; the file's own notes say.",
            one_of(("start", "middle", "end")),
            default="end",
            table="[weather]",
            lines=text("stamp"),
        )
    if file == "none":
        yield Question(
            "weather.sunshine",
            "Which share of the possible sunshine has each month?",
            "Twelve shares from 0 to 1, January first, with commas; weather services publish them. "
            "none if you do not know.",
            _sunshine,
            default="none",
            table="[weather]",
            lines=lambda a: (
                (("sunshine", f"[{', '.join(_sunshine(a))}]", "January to December"),)
                if _sunshine(a)
                else ()
            ),
        )


def _sunshine(answer: str) -> list[str]:
    if answer.strip().casefold() == "none":
        return []
    parts = parted(answer)
    if len(parts) != 12:
        raise ValueError("write twelve shares with commas between them, or none")
    for part in parts:
        number_check(0, 1)(part)
    return parts
