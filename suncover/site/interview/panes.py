"""Questions about the windows."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from suncover.site.interview.house import (
    FACING_HOW,
    azimuth_lines,
    azimuth_meaning,
    form_questions,
)
from suncover.site.interview.kinds import by_kind, direction, is_word, new_name, one_of, parted
from suncover.site.interview.phrases import along_lines, beside_lines, where_lines
from suncover.site.interview.question import Line, Question, is_deep
from suncover.site.interview.sheet import Sheet
from suncover.site.interview.talk import Talk
from suncover.site.interview.values import (
    bare_number,
    facing_meaning,
    shortlist,
    toml_measure,
    toml_text,
)
from suncover.site.kinds.values import LengthFromZero
from suncover.site.parts import GLASS_KINDS

ENDLESS = "endless"
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

_depth = by_kind(LengthFromZero)  # of a roof or a side wall: 0 if there is none


def window_questions(talk: Talk, key: str, number: int) -> Iterator[Question]:
    """One window."""
    window = Sheet(key, "[[window]]", f"{key}.deep")
    yield window.ask(
        "name",
        f"Window {number}: what is it called?",
        f"Each window has its own name, such as kitchen or study left. {MORE}",
        f"window {number}",
        check=new_name(frozenset(talk.windows)),
        example=key,
    )
    yield from _facing_questions(talk, window)
    for size in _SIZES:
        yield window.ask(*size)
    if is_deep(talk.answers, key):
        yield from _deep_questions(talk, window)
    yield from _overhang_questions(talk, key)
    if is_deep(talk.answers, key):
        for side in ("left", "right"):
            yield from _fin_questions(talk, key, side)


def _facing_questions(talk: Talk, window: Sheet) -> Iterator[Question]:
    """Which way a window faces, or the wall or window that tells it."""
    references = [*talk.walls, *talk.placed_windows]
    name_hint = (
        f" Or the name of its wall or of a window in the same wall: {shortlist(references)}."
        * bool(references)
    )
    reference_of = partial(_reference, walls=talk.walls, references=references)
    yield window.plain(
        "azimuth",
        f"Which way does {talk.get(f'{window.key}.name')} face?",
        FACING_HOW + name_hint,
        lambda answer: reference_of(answer) or direction(answer),
        example="90",
        meaning=lambda answer: _facing_meaning(talk, answer, reference_of(answer)),
        lines=lambda answer: () if reference_of(answer) else azimuth_lines(answer),
    )
    reference = reference_of(talk.get(f"{window.key}.azimuth"))
    if reference is None:
        yield from form_questions(talk, window)
    elif reference in talk.walls:
        along = partial(along_lines, wall=reference)
        yield window.plain(
            "along",
            f"How far is its glass from the left end of {reference}?",
            "As seen from outdoors, facing the wall: from the wall's left end to the left edge of "
            "the glass. If its part of the wall stands out: 1.2, 0.4 out.",
            along,
            example="0",
            lines=along,
        )
    else:
        beside = partial(beside_lines, window=reference)
        yield window.plain(
            "beside",
            f"How far from {reference} is it, and to which side?",
            "As seen from outdoors, facing them: from glass to glass, such as 1.2 right. If its "
            "part of the wall stands out: 1.2 right, 0.4 out.",
            beside,
            example="1 right",
            lines=beside,
        )


def _facing_meaning(talk: Talk, answer: str, reference: str | None) -> str | None:
    """An azimuth in words, also that of a wall that is named."""
    if reference is None:
        return azimuth_meaning(answer)
    if reference in talk.facing:
        return f"{facing_meaning(talk.facing[reference])}, as {reference} does"
    return None


def _reference(answer: str, walls: list[str], references: list[str]) -> str | None:
    """The wall, or else the window, that an answer names; a direction goes before a window."""
    for name in walls:
        if is_word(answer, name.casefold()):
            return name
    try:
        direction(answer)
    except ValueError:
        return next((name for name in references if is_word(answer, name.casefold())), None)
    return None


def _deep_questions(talk: Talk, window: Sheet) -> Iterator[Question]:
    key, name = window.key, talk.get(f"{window.key}.name")
    yield window.ask(
        "tilt",
        "How steep is the glass?",
        "The angle between glass and horizontal: 90 for a wall, 0 for a flat roof window; lay a "
        "phone with a level app on the pane.",
        "90",
        "degrees: 90 a wall, 0 a flat roof window",
        nothing="90",
        meaning=_tilt_meaning,
    )
    yield window.ask(
        "floor",
        "How high above the ground is the room's floor?",
        "From the site's ground, which you call 0; below it, with a minus.",
        "0",
        "of the room, above the ground",
        nothing="0",
    )
    if f"{key}.along" not in talk.answers and f"{key}.beside" not in talk.answers:
        position = partial(where_lines, windows=talk.placed_windows)
        yield window.plain(
            "where",
            f"Where is {name} on the plan?",
            "none if nothing near by shades it. Or from a window before it, seen from outdoors: "
            "1.2 right of kitchen; 1.2 right of kitchen, 0.4 out. Or metres east, north of a "
            "point that you choose: 4.2, -3.",
            position,
            default="none",
            lines=position,
        )
    yield window.plain(
        "skyline",
        "What hides the sky far away, seen from it?",
        "none, or pairs of azimuth and elevation: 60 12, 95 8, 130 15.",
        _skyline,
        default="none",
        lines=_skyline,
    )
    yield window.ask(
        "glazing",
        "Which glass has it?",
        f"For what the sun's heat comes to: {', '.join(GLASS_KINDS)}; none if you do not know.",
        "none",
        nothing="none",
        check=one_of((*GLASS_KINDS, "none")),
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
    if is_word(answer, "none"):
        return ()
    pairs = [part.split() for part in parted(answer.replace("[", " ").replace("]", " "))]
    if not pairs or any(len(pair) != 2 or None in map(bare_number, pair) for pair in pairs):
        raise ValueError("write none, or pairs like this: 60 12, 95 8, 130 15")
    shown = ", ".join(f"[{toml_measure(a)}, {toml_measure(b)}]" for a, b in pairs)
    return (("skyline", f"[{shown}]", "what hides the sky: azimuth, elevation"),)


def _plate_lines(answer: str, *before: Line) -> tuple[Line, ...]:
    """How far a roof or a side wall stands out, after the lines `before`; none of one of 0."""
    if not _depth(answer):
        return ()
    return (*before, ("depth", toml_measure(answer), "out from the wall's face"))


def _overhang_questions(talk: Talk, key: str) -> Iterator[Question]:
    roof = Sheet(key, "[window.overhang]", f"{key}.deep")
    yield roof.ask(
        "overhang",
        "How deep is a roof or balcony over it?",
        "From the wall's face to its outer edge; 0 if there is none.",
        "0",
        key="depth",
        check=_depth,
        lines=_plate_lines,
    )
    if not _depth(talk.answers[f"{key}.overhang"]):
        return
    yield roof.ask(
        "gap",
        "How far above the glass is its underside?",
        "From the upper edge of the glass, not of the frame, straight up.",
        "0.2",
        "from the glass's upper edge up to it",
    )
    if is_deep(talk.answers, key):
        for side in ("left", "right"):
            yield roof.ask(
                f"overhang_{side}",
                f"How far does it run past the {side} edge of the glass?",
                f"Seen from outdoors; {ENDLESS} if much farther than it is deep.",
                ENDLESS,
                "past the glass",
                key=side,
                nothing=ENDLESS,
            )


def _fin_questions(talk: Talk, key: str, side: str) -> Iterator[Question]:
    fin = Sheet(key, f"[[window.fin]] {side}")
    yield fin.ask(
        f"fin_{side}",
        f"How deep is a side wall on the {side} of it?",
        f"On the {side} as seen from outdoors, facing the window, such as a balcony's side: from "
        "the wall's face to its outer edge; 0 if there is none.",
        "0",
        key="depth",
        check=_depth,
        lines=lambda answer: _plate_lines(answer, ("side", toml_text(side), "seen from outdoors")),
    )
    if not _depth(talk.answers[f"{key}.fin_{side}"]):
        return
    yield fin.ask(
        f"fin_{side}_gap",
        "How far is it from the edge of the glass?",
        "From the glass, not from the frame.",
        "0.1",
        "from the edge of the glass",
        key="gap",
    )
    for end, edge in (("above", "top"), ("below", "bottom")):
        yield fin.ask(
            f"fin_{side}_{end}",
            f"How far does it run past the {edge} edge of the glass?",
            f"{ENDLESS} if much farther; with a minus if it stops short of it.",
            ENDLESS,
            "past the glass",
            key=end,
            nothing=ENDLESS,
        )
