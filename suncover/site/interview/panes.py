"""Questions about the windows and their shades."""

from __future__ import annotations

from collections.abc import Iterator

from suncover.site.interview.house import (
    FACING_HOW,
    azimuth_lines,
    azimuth_meaning,
    form_questions,
)
from suncover.site.interview.kinds import (
    by_kind,
    direction,
    doubtful_size,
    length_at_home,
    new_name,
)
from suncover.site.interview.phrases import along_lines, beside_lines, metres, where_lines
from suncover.site.interview.question import Line, Question, is_deep
from suncover.site.interview.talk import Talk
from suncover.site.interview.values import (
    facing_meaning,
    length_meaning,
    measure,
    number_check,
    one_of,
    parted,
    some,
    text,
    toml_measure,
    toml_text,
)
from suncover.site.kinds.values import Quantity
from suncover.site.parts import GLASS_KINDS

ENDLESS = "endless"
_OVERHANG = "[window.overhang]"
_SIZES = (
    (
        "width",
        "How wide is the glass?",
        "Without the frame. Metres, or with a unit: 48 in, 4 ft 2 in, 120 cm.",
        "1.2",
        "of the glass",
    ),
    (
        "height",
        "How high is the glass?",
        "From its lower to its upper edge, along its slope.",
        "1.4",
        "of the glass",
    ),
    (
        "sill",
        "How high above the floor is its lower edge?",
        "Indoors, from the floor up.",
        "0.9",
        "from the floor up to the glass",
    ),
    (
        "reveal",
        "How far back from the wall's outer face is the glass?",
        "Open the window and measure from the outside of the wall to the glass; 0 if it is flush.",
        "0.1",
        "the glass stands this far behind the wall",
    ),
)
MORE = "+ asks more about it: slope of the glass, side walls, where it is on the plan."


def window_questions(talk: Talk, key: str, number: int) -> Iterator[Question]:
    """One window."""
    answers = talk.answers
    deep = f"{key}.deep"
    yield Question(
        f"{key}.name",
        f"Window {number}: what is it called?",
        f"Each window has its own name, such as kitchen or study left. {MORE}",
        new_name(frozenset(talk.windows)),
        default=f"window {number}",
        example=key,
        table="[[window]]",
        lines=text("name"),
        deep=deep,
    )
    name = talk.get(f"{key}.name")
    yield from _facing_questions(talk, key, name, deep)
    for last, question, how, default, comment in _SIZES:
        yield _size(key, last, (question, how), default, comment)
    if is_deep(answers, key):
        yield from _deep_questions(talk, key, name)
    yield from _overhang_questions(talk, key)
    if is_deep(answers, key):
        for side in ("left", "right"):
            yield from _fin_questions(talk, key, side)


def _facing_questions(talk: Talk, key: str, name: str, deep: str) -> Iterator[Question]:
    """Which way a window faces, or the wall or window that tells it."""
    others = [*talk.walls, *talk.placed_windows]
    same = f" Or the name of its wall or of a window in the same wall: {some(others)}." * bool(
        others
    )

    def form(answer: str) -> str:
        return _named(answer, talk.walls, others) or direction(answer)[0]

    yield Question(
        f"{key}.azimuth",
        f"Which way does {name} face?",
        FACING_HOW + same,
        form,
        example="90",
        meaning=lambda a: _facing_meaning(talk, a, others),
        table="[[window]]",
        lines=lambda a: () if _named(a, talk.walls, others) else azimuth_lines(a),
        deep=deep,
    )
    other = _named(talk.get(f"{key}.azimuth"), talk.walls, others)
    if other is None:
        yield from form_questions(talk, key, "[[window]]")
    elif other in talk.walls:
        yield Question(
            f"{key}.along",
            f"How far is its glass from the left end of {other}?",
            "As seen from outdoors, facing the wall: from the wall's left end to the left edge of "
            "the glass. If its part of the wall stands out: 1.2, 0.4 out.",
            lambda answer: along_lines(answer, other),
            example="0",
            table="[[window]]",
            lines=lambda answer: along_lines(answer, other),
        )
    else:
        yield Question(
            f"{key}.beside",
            f"How far from {other} is it, and to which side?",
            "As seen from outdoors, facing them: from glass to glass, such as 1.2 right. If its "
            "part of the wall stands out: 1.2 right, 0.4 out.",
            lambda answer: beside_lines(answer, other),
            example="1 right",
            table="[[window]]",
            lines=lambda answer: beside_lines(answer, other),
        )


def _facing_meaning(talk: Talk, answer: str, others: list[str]) -> str | None:
    """An azimuth in words, also that of a wall that is named."""
    other = _named(answer, talk.walls, others)
    if other is None:
        return azimuth_meaning(answer)
    if other in talk.facing:
        return f"{facing_meaning(talk.facing[other])}, as {other} does"
    return None


def _named(answer: str, walls: list[str], others: list[str]) -> str | None:
    """The wall, or else the window, that an answer names; a direction goes before a window."""
    word = answer.strip().casefold()
    for name in walls:
        if name.casefold() == word:
            return name
    try:
        direction(answer)
    except ValueError:
        return next((name for name in others if name.casefold() == word), None)
    return None


def _size(key: str, last: str, asked: tuple[str, str], default: str, comment: str) -> Question:
    question, how = asked
    return Question(
        f"{key}.{last}",
        question,
        how,
        by_kind(length_at_home(over=last in ("width", "height"))),
        default=default,
        doubt=doubtful_size(f"window.{last}", last),
        meaning=length_meaning,
        table="[[window]]",
        lines=measure(last, comment),
        deep=f"{key}.deep",
    )


def _deep_questions(talk: Talk, key: str, name: str) -> Iterator[Question]:
    yield Question(
        f"{key}.tilt",
        "How steep is the glass?",
        "The angle between glass and horizontal: 90 for a wall, 0 for a flat roof window; lay a "
        "phone with a level app on the pane.",
        number_check(0, 180),
        default="90",
        meaning=_tilt_meaning,
        table="[[window]]",
        lines=measure("tilt", "degrees: 90 a wall, 0 a flat roof window", unless="90"),
    )
    yield Question(
        f"{key}.floor",
        "How high above the ground is the room's floor?",
        "From the site's ground, which you call 0; below it, with a minus.",
        by_kind(Quantity(-1000, 1000, length=True)),
        default="0",
        doubt=doubtful_size("window.floor", "floor"),
        meaning=length_meaning,
        table="[[window]]",
        lines=measure("floor", "of the room, above the ground", unless="0"),
    )
    if f"{key}.along" not in talk.answers and f"{key}.beside" not in talk.answers:
        windows = talk.placed_windows
        yield Question(
            f"{key}.where",
            f"Where is {name} on the plan?",
            "none if nothing near by shades it. Or from a window before it, seen from outdoors: "
            "1.2 right of kitchen; 1.2 right of kitchen, 0.4 out. Or metres east, north of a "
            "point that you choose: 4.2, -3.",
            lambda answer: where_lines(answer, windows),
            default="none",
            table="[[window]]",
            lines=lambda answer: where_lines(answer, windows),
        )
    yield Question(
        f"{key}.skyline",
        "What hides the sky far away, seen from it?",
        "none, or pairs of azimuth and elevation: 60 12, 95 8, 130 15.",
        _skyline,
        default="none",
        table="[[window]]",
        lines=_skyline,
    )
    yield Question(
        f"{key}.glazing",
        "Which glass has it?",
        f"For what the sun's heat comes to: {', '.join(GLASS_KINDS)}; none if you do not know.",
        one_of((*GLASS_KINDS, "none")),
        default="none",
        table="[[window]]",
        lines=text("glazing", unless="none"),
    )


def _tilt_meaning(answer: str) -> str:
    tilt = float(answer.replace(",", "."))
    if tilt == 90:
        return "that is upright"
    if tilt == 0:
        return "that is flat and looks up"
    return "that leans out over the ground" if tilt > 90 else f"that is a slope of {tilt:g}°"


def _skyline(answer: str) -> tuple[Line, ...]:
    """The pairs of a skyline as its line."""
    if answer.strip().casefold() == "none":
        return ()
    pairs = [part.split() for part in parted(answer.replace("[", " ").replace("]", " "))]
    if any(len(pair) != 2 for pair in pairs) or not pairs:
        raise ValueError("write none, or pairs like this: 60 12, 95 8, 130 15")
    azimuth, elevation = number_check(0, 360), number_check(-90, 90)
    for first, second in pairs:
        azimuth(first)
        elevation(second)
    shown = ", ".join(f"[{toml_measure(a)}, {toml_measure(b)}]" for a, b in pairs)
    return (("skyline", f"[{shown}]", "what hides the sky: azimuth, elevation"),)


def _overhang_questions(talk: Talk, key: str) -> Iterator[Question]:
    length = by_kind(length_at_home())
    yield Question(
        f"{key}.overhang",
        "How deep is a roof or balcony over it?",
        "From the wall's face to its outer edge; 0 if there is none.",
        length,
        default="0",
        doubt=doubtful_size("overhang.depth", "overhang"),
        meaning=length_meaning,
        table=_OVERHANG,
        lines=lambda a: (
            (("depth", toml_measure(a), "out from the wall's face"),) if length(a) else ()
        ),
        deep=f"{key}.deep",
    )
    if not length(talk.answers[f"{key}.overhang"]):
        return
    yield Question(
        f"{key}.gap",
        "How far above the glass is its underside?",
        "From the upper edge of the glass, not of the frame, straight up.",
        length,
        default="0.2",
        doubt=doubtful_size("overhang.gap", "gap"),
        meaning=length_meaning,
        table=_OVERHANG,
        lines=measure("gap", "from the glass's upper edge up to it"),
        deep=f"{key}.deep",
    )
    if is_deep(talk.answers, key):
        for side in ("left", "right"):
            yield _end(
                f"{key}.overhang_{side}",
                f"How far does it run past the {side} edge of the glass?",
                f"Seen from outdoors; {ENDLESS} if much farther than it is deep.",
                _OVERHANG,
                side,
            )


def _fin_questions(talk: Talk, key: str, side: str) -> Iterator[Question]:
    table = f"[[window.fin]] {side}"
    length = by_kind(length_at_home())
    yield Question(
        f"{key}.fin_{side}",
        f"How deep is a side wall on the {side} of it?",
        f"On the {side} as seen from outdoors, facing the window, such as a balcony's side: from "
        "the wall's face to its outer edge; 0 if there is none.",
        length,
        default="0",
        doubt=doubtful_size("fin.depth", "fin"),
        meaning=length_meaning,
        table=table,
        lines=lambda a: (
            (
                ("side", toml_text(side), "seen from outdoors"),
                ("depth", toml_measure(a), "out from the wall's face"),
            )
            if length(a)
            else ()
        ),
    )
    if not length(talk.answers[f"{key}.fin_{side}"]):
        return
    yield Question(
        f"{key}.fin_{side}_gap",
        "How far is it from the edge of the glass?",
        "From the glass, not from the frame.",
        length,
        default="0.1",
        meaning=length_meaning,
        table=table,
        lines=measure("gap", "from the edge of the glass"),
    )
    for end, where in (("above", "top"), ("below", "bottom")):
        yield _end(
            f"{key}.fin_{side}_{end}",
            f"How far does it run past the {where} edge of the glass?",
            f"{ENDLESS} if much farther; with a minus if it stops short of it.",
            table,
            end,
        )


def _end(key: str, question: str, how: str, table: str, name: str) -> Question:
    """How far a plate runs past an edge of the glass."""

    def check(answer: str) -> object:
        return None if answer.strip().casefold() == ENDLESS else metres(answer)

    return Question(
        key,
        question,
        how,
        check,
        default=ENDLESS,
        table=table,
        lines=lambda a: () if check(a) is None else ((name, toml_measure(a), "past the glass"),),
    )
