"""Tables that say where things stand by tape, turned into tables in metres east and north.

What cannot be placed is a finding, and its table goes on with what stands in for it, so that its
other keys are judged as well.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from pydantic import ValidationError

from suncover.site.aspect import FORMS, Facing
from suncover.site.finding import Finding, Path
from suncover.site.kinds.values import LengthAboveZero, Name, Point
from suncover.site.place import Place
from suncover.site.tape.frames import Frame, rectangle, rounded
from suncover.site.tape.keys import BY_TAPE, FromHere, ObstacleByTape, Wall, WindowByTape
from suncover.site.tape.reading import behind_face, by_name, from_fault, number, tape_part

_FORM_KEYS = (*FORMS, "measured", "azimuth_sd")
_PAST_WALL_M = 0.1  # that a window may reach past its wall: a tape along a wall is not better
_SQUARE = 90.0
_BEFORE = {"wall": ("after",), "window": ("right_of", "left_of")}
"""The keys that name another of the kind, which has to be placed before."""

Tell = Callable[[Finding], None]
Read = Callable[[Any, Mapping[str, Any], Path], Any]
"""Reads a table into a model; None if it has faults, which it tells by itself."""


def on_the_plan(
    raw: Mapping[str, Any], place: Place | None, read: Read, tell: Tell
) -> dict[str, Any]:
    """The tables of a site file with all keys of the tape as positions; the rest as it is."""
    return _Tables(raw, place, read, tell).resolved()


class _Tables:
    """The tables of a file, and the frames found in them so far.

    A frame is None where none can be found; the reason has then been reported, or is a fault by
    itself.
    """

    def __init__(self, raw: Mapping[str, Any], place: Place | None, read: Read, tell: Tell) -> None:
        self._raw, self._place, self._read, self._tell = raw, place, read, tell
        self._named = {kind: by_name(raw, kind) for kind in _BEFORE}
        self._frames: dict[str, dict[str, Frame | None]] = {kind: {} for kind in _BEFORE}
        self._circles: set[tuple[str, str]] = set()  # walls and windows that lead to themselves
        self._walls_read: dict[str, Wall | None] = {}
        self._placed: dict[int, dict[str, Any]] = {}

    def resolved(self) -> dict[str, Any]:
        tables = dict(self._raw)
        placing: dict[str, Callable[[int, Any], Any]] = {
            "wall": self._plain_wall,
            "window": self._plain_window,
            "tree": partial(self._plain_thing, "tree", "trunk"),
            "obstacle": partial(self._plain_thing, "obstacle", "footprint"),
        }
        for kind, placed in placing.items():
            if isinstance(tables.get(kind), list):
                tables[kind] = [placed(*entry) for entry in enumerate(tables[kind])]
        return tables

    def _frame(self, kind: str, name: str) -> Frame | None:
        """The frame of a wall or window, once all that it is measured from has its own."""
        for link in self._chain(kind, name):
            index, raw = self._named[kind][link]
            frame = self._wall_frame(link) if kind == "wall" else self._window_frame(index, raw)
            self._frames[kind][link] = frame
        return self._frames[kind].get(name)

    def _chain(self, kind: str, name: str) -> list[str]:
        """What has to be placed before a wall or window, in that order, and then itself.

        Step by step and not each calling for the next, as a file may have thousands in a row.
        """
        entries, frames = self._named[kind], self._frames[kind]
        chain: dict[str, None] = {}
        at: Any = name
        while isinstance(at, str) and at in entries and at not in frames:
            if at in chain:
                names = list(chain)
                self._circles |= {(kind, link) for link in names[names.index(at) :]}
                break
            chain[at] = None
            entry = entries[at][1]
            at = next((entry[key] for key in _BEFORE[kind] if key in entry), None)
        return list(chain)[::-1]

    # --- walls

    def _plain_wall(self, index: int, raw: Any) -> Any:
        """A wall as the models take it: with its start and its azimuth."""
        name = raw.get("name") if isinstance(raw, dict) else None
        if not isinstance(name, str) or self._named["wall"][name][0] != index:
            return raw
        frame = self._frame("wall", name)
        if frame is None:  # reported already; a stand-in brings no second fault
            name = name if number(Name, name) else f"[[wall]] {index + 1}"
            return {"name": name, "azimuth": 0.0, "length": 1.0, "start": [0.0, 0.0]}
        wall = self._walls_read[name]
        sd = {} if wall is None or wall.azimuth_sd is None else {"azimuth_sd": wall.azimuth_sd}
        start = rounded(frame.point)
        return {
            "name": name,
            "azimuth": frame.azimuth,
            **sd,
            "length": frame.length,
            "start": start,
        }

    def _wall_frame(self, name: str) -> Frame | None:
        index, raw = self._named["wall"][name]
        turned = "after" in raw and not any(form in raw for form in FORMS)
        wall = self._read(Wall, {**raw, "azimuth": 0.0} if turned else raw, ("wall", index))
        self._walls_read[name] = wall
        if wall is None:
            return None
        if (wrong := self._wall_fault(name, wall, turned)) is not None:
            key, message, word = wrong
            self._wrong(("wall", index, *key), message, word, self._named["wall"] if word else ())
            return None
        if wall.after is None:
            return Frame(wall.start or (0.0, 0.0), wall.azimuth, length=wall.length)
        before = self._frames["wall"].get(wall.after)
        if before is None or before.length is None:
            return None
        azimuth = wall.azimuth
        if turned:
            corner = _SQUARE if wall.corner is None else wall.corner
            azimuth = round((before.azimuth - 180.0 + corner) % 360.0, 6)
            if (first := self._walls_read[wall.after]) is not None:
                self._walls_read[name] = wall.model_copy(update={"azimuth_sd": first.azimuth_sd})
        return Frame(before.at(before.length), azimuth, length=wall.length)

    def _wall_fault(
        self, name: str, wall: Wall, turned: bool
    ) -> tuple[tuple[str, ...], str, str] | None:
        """What is wrong with the place of a wall: the key, why, and a name that is not known."""
        wrong: tuple[tuple[str, ...], str, str] | None = None
        if wall.corner is not None and not turned:
            message = "it tells the direction, as the azimuth does; give one of them"
            if wall.after is None:
                message = "it is the angle to the wall it comes `after`; name that wall"
            wrong = ("corner",), message, ""
        elif wall.after is None and wall.start is None and self._named["wall"][name][0] > 0:
            wrong = (), "say where it starts: `after` another wall, or `start`", ""
        elif wall.after is not None and wall.start is not None:
            wrong = ("start",), "`start` and `after` say the same; give one of them", ""
        elif wall.after is not None and wall.after not in self._named["wall"]:
            wrong = ("after",), f'no wall is named "{wall.after}"', wall.after
        elif ("wall", name) in self._circles:
            wrong = ("after",), "these walls come after one another in a circle", ""
        return wrong

    # --- windows

    def _plain_window(self, index: int, raw: Any) -> Any:
        if not isinstance(raw, dict) or not tape_part("window", raw):
            return raw  # its frame is made once something is measured from it
        name = raw.get("name")
        if isinstance(name, str) and self._named["window"][name][0] == index:
            self._frame("window", name)
        else:
            self._window_frame(index, raw)
        return self._placed[index]

    def _window_frame(self, index: int, raw: Mapping[str, Any]) -> Frame | None:
        """The frame at a window: on the wall's face before the middle of the glass's lower edge."""
        path: Path = ("window", index)
        tape = tape_part("window", raw)
        plain = self._placed[index] = {key: raw[key] for key in raw if key not in tape}
        if not tape:
            return self._frame_of_plain(plain)
        keys = self._read(WindowByTape, tape, path)
        base = None if keys is None else self._base_of_window(path, keys, plain)
        width = number(LengthAboveZero, raw.get("width"))
        if keys is None or base is None or width is None:
            if not any(form in plain for form in FORMS):
                plain["azimuth"] = 0.0  # a stand-in: what is wrong has been reported
            return None
        on_wall = keys.wall is not None
        if on_wall and base.length is not None and keys.along + width > base.length + _PAST_WALL_M:
            past = keys.along + width - base.length
            message = (
                f'its glass would end {past:.2f} m past the right end of "{keys.wall}", which is '
                f"{base.length:g} m long"
            )
            self._wrong((*path, "along"), message)
            return None
        side = 1.0 if on_wall or keys.right_of is not None else -1.0
        gap = keys.along if on_wall else (base.half + keys.apart)
        edge = base.moved(side * gap, keys.out or 0.0)
        azimuth = self._azimuth(plain)
        own = Frame(edge.point, base.azimuth if azimuth is None else azimuth)
        face = Frame(own.at(side * width / 2), own.azimuth, width / 2)
        plain["position"] = rounded(face.at(0.0, -behind_face(plain)))
        return face

    def _base_of_window(
        self, path: Path, tape: WindowByTape, plain: dict[str, Any]
    ) -> Frame | None:
        """What a window is measured from; its azimuth and facade go into the plain table."""
        names = {key: getattr(tape, key) for key in ("wall", "right_of", "left_of")}
        named = [key for key, name in names.items() if name is not None]
        if len(named) != 1:
            keys = " and ".join(f"`{key}`" for key in named)
            message = f"{keys} say the same; give one of them" if named else (
                "say from where: `wall`, or `right_of` or `left_of` another window"
            )  # fmt: skip
            self._wrong(path, message)
            return None
        key = named[0]
        needed = "along" if key == "wall" else "apart"
        excluded = "apart" if key == "wall" else "along"
        if getattr(tape, needed) is None:
            self._wrong((*path, key), f"give `{needed}` too, as the tape shows it")
            return None
        if getattr(tape, excluded) is not None:
            self._wrong((*path, excluded), f"it does not go with `{key}`; give `{needed}`")
            return None
        if "position" in plain:
            message = f"`position` and `{key}` say the same; give one of them"
            self._wrong((*path, "position"), message)
            return None
        return self._named_base(path, key, str(names[key]), plain)

    def _named_base(self, path: Path, key: str, name: str, plain: dict[str, Any]) -> Frame | None:
        kind = "wall" if key == "wall" else "window"
        known = self._named[kind]
        if name not in known:
            self._wrong((*path, key), f'no {kind} is named "{name}"', name, known)
            return None
        has_form = any(form in plain for form in FORMS)
        if key == "wall":
            if has_form:
                form = next(form for form in FORMS if form in plain)
                message = f"the wall tells it; take `{form}` away"
                self._wrong((*path, form), message)
                return None
            base = self._frame("wall", name)
            if base is not None:
                plain |= self._way_of_wall(name, base)
                plain.setdefault("facade", name)
            return base
        if ("window", name) in self._circles:
            self._wrong((*path, key), "the windows are measured from one another in a circle")
            return None
        base = self._window_on_plan((*path, key), name)
        if base is not None and not has_form:
            neighbour = self._placed[self._named["window"][name][0]]
            plain |= {
                key: neighbour[key] for key in (*_FORM_KEYS, "facade") if key in neighbour
            } | plain
        return base

    def _window_on_plan(self, path: Path, name: str) -> Frame | None:
        """The frame of a window that something is measured from, which must have a place."""
        base = self._frame("window", name)
        raw = self._named["window"][name][1]
        if base is None and "position" not in raw and not tape_part("window", raw):
            message = f'"{name}" is not on the plan; give it a place, such as position = [0, 0]'
            self._wrong(path, message)
        return base

    def _way_of_wall(self, name: str, wall: Frame) -> dict[str, Any]:
        """The way a wall faces, as its windows take it: in its own form where it has one."""
        raw, tape = self._named["wall"][name][1], self._walls_read[name]
        if any(form in raw for form in FORMS):
            return {key: raw[key] for key in _FORM_KEYS if key in raw}
        sd = {} if tape is None or tape.azimuth_sd is None else {"azimuth_sd": tape.azimuth_sd}
        return {"azimuth": wall.azimuth, **sd}

    def _frame_of_plain(self, plain: Mapping[str, Any]) -> Frame | None:
        """The frame at a window that has its position in metres east and north."""
        point, width = (
            number(Point, plain.get("position")),
            number(LengthAboveZero, plain.get("width")),
        )
        azimuth = self._azimuth(plain)
        if point is None or width is None or azimuth is None:
            return None
        return Frame(point, azimuth, width / 2).moved(0.0, behind_face(plain))

    def _azimuth(self, plain: Mapping[str, Any]) -> float | None:
        """The azimuth that a table says in whichever form; None if it says none that is sound."""
        forms = {key: plain[key] for key in _FORM_KEYS if key in plain}
        if not any(form in forms for form in FORMS):
            return None
        try:
            table = Facing.model_validate({"name": "x", **forms}, context={"place": self._place})
        except ValidationError:
            return None
        return table.azimuth

    # --- what stands around

    def _plain_thing(self, kind: str, key: str, index: int, raw: Any) -> Any:
        """A tree or an obstacle as the models take it."""
        tape = tape_part(kind, raw) if isinstance(raw, dict) else {}
        if not tape:
            return raw
        path = (kind, index)
        plain = {name: raw[name] for name in raw if name not in tape}
        measured = self._read(BY_TAPE[kind], tape, path)
        place = None if measured is None else self._place_of(path, measured, key in raw, key)
        stand_in = [0.0, 0.0] if kind == "tree" else [[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]]
        if place is None:
            return {**plain, key: stand_in}
        point, direction = place
        if isinstance(measured, ObstacleByTape):
            if measured.width is None or measured.depth is None:
                missing = "width" if measured.width is None else "depth"
                self._wrong(path, f"`{missing}` is missing; an obstacle by tape has both sides")
                return {**plain, key: stand_in}
            return {**plain, key: rectangle(point, direction, measured.width, measured.depth)}
        return {**plain, key: rounded(point)}

    def _place_of(
        self, path: Path, tape: FromHere, has_plain: bool, key: str
    ) -> tuple[tuple[float, float], float] | None:
        """The point that was measured, and the direction in which it was."""
        if (wrong := from_fault(tape, has_plain, key)) is not None:
            last, message = wrong
            self._wrong((*path, *last), message)
            return None
        base = self._reference(path, tape)
        if base is None:
            return None
        if tape.out is not None:
            return base.at(0.0, tape.out), base.azimuth
        assert tape.distance is not None
        assert tape.direction is not None
        return base.beyond(tape.distance, tape.direction), tape.direction

    def _reference(self, path: Path, tape: FromHere) -> Frame | None:
        """The frame that something is measured from, moved to the right as the tape says."""
        name = str(tape.reference)
        if name in self._named["window"] and tape.along is None:
            base = self._window_on_plan((*path, "from"), name)
            return base and base.moved(tape.right or 0.0)
        if name in self._named["wall"]:
            wall = self._frame("wall", name)
            if wall is None or wall.length is None:
                return None
            middle = wall.length / 2 + (tape.right or 0.0)
            return wall.moved(middle if tape.along is None else tape.along)
        if name in self._named["window"]:
            message = f'"{name}" is a window; `along` goes with a wall, `right` with a window'
            self._wrong((*path, "along"), message)
            return None
        known = [*self._named["window"], *self._named["wall"]]
        self._wrong((*path, "from"), f'no window or wall is named "{name}"', name, known)
        return None

    def _wrong(self, path: Path, message: str, word: str = "", known: Any = ()) -> None:
        self._tell(Finding(path, message, word, list(known)))
