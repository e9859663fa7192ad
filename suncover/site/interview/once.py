"""Questions about what a site has once: the season, the needs, money, weather, the keeper."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from suncover.site.interview.kinds import is_word, one_of, parted, quiet_hours
from suncover.site.interview.phrases import season_days, season_lines, season_meaning, season_words
from suncover.site.interview.question import Line, Question
from suncover.site.interview.sheet import Sheet
from suncover.site.interview.talk import Talk
from suncover.site.interview.values import bare_number, toml_list, toml_measure, toml_text
from suncover.site.needs import NEED_NAMES


def hot_months(latitude: float) -> tuple[str, str]:
    """The warm half of the year, north or south of the equator."""
    return ("04-15", "10-15") if latitude >= 0 else ("10-15", "04-15")


def season_questions(talk: Talk, key: str) -> Iterator[Question]:
    proposed = hot_months(talk.place[0])
    yield Sheet(key, "[need]").plain(
        "season",
        "Should shades close for heat only in the hot months?",
        f"yes for {season_words(proposed)}, the warm half of the year there; no for the whole "
        "year; or two days like this: 15 Oct to 15 Apr.",
        partial(season_days, proposed=proposed),
        default="yes",
        meaning=partial(season_meaning, proposed=proposed),
        lines=partial(season_lines, proposed=proposed, key="season"),
    )


def needs_questions(talk: Talk, key: str) -> Iterator[Question]:
    need = Sheet(key, "[need]")
    yield need.plain(
        "for",
        "What do the shades close for?",
        f"One or more of {', '.join(NEED_NAMES)}, with commas between them.",
        _needs,
        default="heat",
        lines=lambda answer: (
            ()
            if is_word(answer, "heat")
            else (("for", toml_list(_needs(answer)), "what shades close for"),)
        ),
    )
    yield need.ask(
        "power",
        "From which strength on does sun on the glass count?",
        "In W/m² of glass, under a clear sky: 0 counts all sun, 60 leaves out what only grazes the "
        "glass or lies on a strip of it.",
        "0",
        "W/m² of glass: slighter sun does not count",
        nothing="0",
    )
    needs = _needs(talk.answers["need.for"])
    if "glare" in needs:
        yield Sheet(key, "[need.glare]").ask(
            "reach",
            "How far into the room may the sun fall before it dazzles?",
            "Metres on the floor; none if only the spots count.",
            "none",
            "metres into the room",
            nothing="none",
        )
    if "sleep" in needs:
        yield Sheet(key, "[need.sleep]").plain(
            "dark",
            "Between which times must it be dark for sleep?",
            "Such as 21:00-07:00.",
            _times,
            default="21:00-07:00",
            lines=lambda answer: [("dark", toml_list(_times(answer)), "")],
        )
    if "privacy" in needs:
        yield Sheet(key, "[need.privacy]").plain(
            "until",
            "Until when do they stay closed after dusk?",
            "A time such as 22:30, or dawn.",
            _until_lines,
            default="dawn",
            lines=_until_lines,
        )


def _times(answer: str) -> tuple[str, str]:
    hours = quiet_hours(answer)
    if hours is None:
        raise ValueError("write two times like this: 21:00-07:00")
    return hours


def _until_lines(answer: str) -> tuple[Line, ...]:
    if is_word(answer, "dawn"):
        return ()
    return (("until", toml_text(_times(f"{answer}-00:01")[0]), ""),)


def _needs(answer: str) -> tuple[str, ...]:
    words = tuple(str(one_of(NEED_NAMES)(part)) for part in parted(answer))
    if not words:
        raise ValueError(f"name one or more of {', '.join(NEED_NAMES)}")
    return words


def money_questions(_talk: Talk, key: str) -> Iterator[Question]:
    money = Sheet(key, "[money]")
    yield money.ask("currency", "Which currency?", "Its sign or letters, put before amounts.", "$")
    for last, question in (
        ("electricity", "What does a kilowatt-hour of electricity cost?"),
        ("heating", "What does a kilowatt-hour of heat cost?"),
        ("overhang", "What would an overhang cost, for each window?"),
        ("shade", "What does a motor shade cost?"),
    ):
        yield money.plain(
            last,
            question,
            "A number, or a range of which you know the ends: 0.15 to 0.20; none if not known.",
            _price,
            default="none",
            lines=partial(_price_lines, last),
        )


def _price(answer: str) -> list[float]:
    if is_word(answer, "none"):
        return []
    parts = [bare_number(part) for part in answer.split(" to ")]
    numbers = [number for number in parts if number is not None]
    if len(parts) > len(numbers) or len(parts) > 2 or numbers != sorted(numbers):
        raise ValueError("write a number, two like this: 0.15 to 0.20, or none")
    return numbers


def _price_lines(key: str, answer: str) -> tuple[Line, ...]:
    numbers = [toml_measure(str(number)) for number in _price(answer)]
    if not numbers:
        return ()
    return ((key, numbers[0] if len(numbers) == 1 else f"[{', '.join(numbers)}]", ""),)


def keeper_questions(talk: Talk, key: str) -> Iterator[Question]:
    """The program that moves the shades; what each motor needs is asked with its shade."""
    keeper = Sheet(key, "[keeper]")
    yield keeper.ask(
        "broker",
        "Which broker do the motors listen to?",
        "Its address, mqtt://127.0.0.1:1883 for one on this machine, mqtts:// with TLS; none where "
        "programs of yours move all shades. Before anything turns, read docs/cautions.md.",
        "mqtt://127.0.0.1:1883",
        nothing="none",
        lines=_broker_lines,
    )
    yield keeper.ask(
        "topic",
        "Which word begins the topic of every message?",
        "Such as larkspur; none to make it of the site's name.",
        "none",
        "begins every topic",
        nothing="none",
    )
    if is_word(talk.answers["keeper.broker"], "none"):
        return
    yield keeper.ask(
        "user",
        "With which name does the keeper log in to the broker?",
        "none where the broker asks for none.",
        "none",
        "logs in with this name",
        nothing="none",
    )
    if not is_word(talk.answers["keeper.user"], "none"):
        yield keeper.ask(
            "password_file",
            "Which file has its password?",
            "A file beside the site file that nobody else may read (chmod 600), never the password "
            "itself; none where the variable SUNCOVER_BROKER_PASSWORD holds it.",
            "broker-password",
            "alone in this file",
            nothing="none",
        )
    if talk.get("keeper.broker").casefold().startswith("mqtts:"):
        yield keeper.ask(
            "ca_file",
            "Which file has the certificate to trust, where it is your own?",
            "In PEM, beside the site file; none for those that this machine trusts.",
            "none",
            "signs the broker's certificate",
            nothing="none",
        )


def _broker_lines(answer: str) -> tuple[Line, ...]:
    if is_word(answer, "none"):
        return (("answer", "20", "seconds beyond its run in which a program must have ended"),)
    return (("broker", toml_text(answer), "motors listen to it"),)


def weather_questions(talk: Talk, key: str) -> Iterator[Question]:
    weather = Sheet(key, "[weather]")
    yield weather.ask(
        "file",
        "Which file has the hourly weather of a year?",
        "Its name, beside the site file: TMY3, TM2, PVGIS, NSRDB or CSV; or bundled:greensboro, "
        "bundled:miami, bundled:sand-point; none for a clear sky.",
        "none",
        nothing="none",
    )
    file = talk.get("weather.file").casefold()
    if file.endswith((".csv", ".csv.gz")):
        yield weather.ask(
            "stamp",
            "What does a row's time mean of its hour?",
            "start, middle or end; the file's own notes say.",
            "end",
        )
    if file == "none":
        yield weather.plain(
            "sunshine",
            "Which share of the possible sunshine has each month?",
            "Twelve shares from 0 to 1, January first, with commas; weather services publish them. "
            "none if you do not know.",
            _sunshine_lines,
            default="none",
            lines=_sunshine_lines,
        )


def _sunshine_lines(answer: str) -> tuple[Line, ...]:
    if is_word(answer, "none"):
        return ()
    parts = parted(answer)
    if len(parts) != 12 or None in map(bare_number, parts):
        raise ValueError("write twelve shares with commas between them, or none")
    return (("sunshine", f"[{', '.join(parts)}]", "January to December"),)
