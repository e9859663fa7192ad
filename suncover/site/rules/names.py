"""Rules of names: each entry has its own, and those that are named are there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from suncover.site.finding import Facts, Finding
from suncover.site.parts import GLASS_KINDS

NAMED_BY: Mapping[str, tuple[tuple[str, str], ...]] = {
    "window": (
        ("window", "right_of"),
        ("window", "left_of"),
        ("tree", "from"),
        ("obstacle", "from"),
        ("spot", "window"),
        ("sighting", "window"),
        ("shade", "windows"),
        ("canopy", "windows"),
        ("option", "windows"),
    ),
    "wall": (("wall", "after"), ("window", "wall"), ("tree", "from"), ("obstacle", "from")),
    "shade": (("supply", "shades"), ("group", "shades"), ("exception", "shades")),
    "glazing": (("window", "glazing"), ("option", "glazing")),
}
"""The keys that name an entry of a kind: of each the kind of table that has it, and the key."""

NAMES_MAY_REPEAT = ("exception",)  # what is on: every summer the holidays


def name_findings(entries: Mapping[str, Sequence[Facts]]) -> Iterator[Finding]:
    """Names that stand twice, are not there, or clash with that of a shade that goes unsaid."""
    for kind in entries:
        if kind not in NAMES_MAY_REPEAT:
            yield from _duplicate_names(kind, entries[kind])
    yield from _unknown_references(entries)
    yield from _double_windows(entries.get("shade", ()))
    yield from _default_shade_clashes(entries)


def _duplicate_names(kind: str, entries: Sequence[Facts]) -> Iterator[Finding]:
    first: dict[str, int] = {}
    for index, entry in enumerate(entries):
        name = entry.get("name")
        if name is None:
            continue
        if name in first:
            message = f'[[{kind}]] {first[name] + 1} has the name "{name}" too; give each its own'
            yield Finding((kind, index, "name"), message)
        else:
            first[name] = index


def _names(entries: Sequence[Facts]) -> dict[str, None]:
    """The names of the entries, in their order, quick to search."""
    return {entry["name"]: None for entry in entries if entry.get("name") is not None}


def _unknown_references(entries: Mapping[str, Sequence[Facts]]) -> Iterator[Finding]:
    """Names of entries that are not there. (What is measured by tape has been placed before.)"""
    further_names = {"glazing": dict.fromkeys(GLASS_KINDS), "shade": bare_windows(entries)}
    for target, users in NAMED_BY.items():
        names = _names(entries.get(target, ())) | further_names.get(target, {})
        listing = list(names)
        for kind, key in users:
            for index, entry in enumerate(entries.get(kind, ())):
                value = entry.get(key)
                single = isinstance(value, str)
                for place, name in enumerate([value] if single else value or ()):
                    if isinstance(name, str) and name not in names:
                        path = (kind, index, key) if single else (kind, index, key, place)
                        yield Finding(path, f'no {target} is named "{name}"', name, listing)
        if target == "shade":
            yield from _unknown_in_calendars(entries, names)


def _unknown_in_calendars(
    entries: Mapping[str, Sequence[Facts]], names: Mapping[str, None]
) -> Iterator[Finding]:
    for index, calendar in enumerate(entries.get("calendar", ())):
        for number, meaning in enumerate(calendar.get("event") or ()):
            for place, name in enumerate(meaning.shades or ()):
                if name not in names:
                    path = ("calendar", index, "event", number, "shades", place)
                    yield Finding(path, f'no shade is named "{name}"', name, list(names))


def bare_windows(entries: Mapping[str, Sequence[Facts]]) -> dict[str, None]:
    """The windows that no shade names, in their order: each gets a shade of its own name."""
    covered = {name for shade in entries.get("shade", ()) for name in shade.get("windows") or ()}
    return {name: None for name in _names(entries.get("window", ())) if name not in covered}


def _double_windows(shades: Sequence[Facts]) -> Iterator[Finding]:
    for index, shade in enumerate(shades):
        first: dict[str, int] = {}
        for place, name in enumerate(shade.get("windows") or ()):
            if first.setdefault(name, place) != place:
                message = f'the window "{name}" is named twice; name it once'
                yield Finding(("shade", index, "windows", place), message)


def _default_shade_clashes(entries: Mapping[str, Sequence[Facts]]) -> Iterator[Finding]:
    """A window that no shade names gets a shade of its own name: that name must be free."""
    shades = entries.get("shade", ())
    if any(shade.get("windows") is None for shade in shades):
        return  # it is not known which windows are covered
    bare = bare_windows(entries)
    for index, shade in enumerate(shades):
        name = shade.get("name")
        if name in bare:
            yield Finding(
                ("shade", index, "name"),
                f'window "{name}" is named by no shade and so gets one of its own name; '
                f'rename this shade, or add "{name}" to its windows',
            )
