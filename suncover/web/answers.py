"""The questions of the JSON interface by their names, and what answers each."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Any, TypeVar

from suncover.base.errors import RequestError
from suncover.report.units import units_of
from suncover.site.model import Site
from suncover.web import judge, look, sun, weigh
from suncover.web.bay import bay_changes
from suncover.web.disk import SiteFile
from suncover.web.forms import forms
from suncover.web.neighbours import with_neighbours
from suncover.web.outline import new_home
from suncover.web.start import ask

Json = dict[str, Any]
Value = TypeVar("Value")
Part = TypeVar("Part")


@lru_cache(maxsize=16)
def _changed(text: str, changes: str) -> str:
    return judge.changed(text, json.loads(changes))


class Abandoned(Exception):
    """Nobody waits for the answer any more."""


def _stays() -> bool:
    return False


@dataclass(frozen=True)
class Query:
    """A request: its fields, the file that the page is about, and today's date.

    `abandoned` tells whether nobody waits for the answer any more.
    """

    fields: Json
    file: SiteFile
    today: date
    abandoned: Callable[[], bool] = _stays

    def watch(self, parts: Iterable[Part]) -> Iterator[Part]:
        """Goes through the parts of a long piece of work; raises Abandoned once nobody waits."""
        for part in parts:
            if self.abandoned():
                raise Abandoned
            yield part

    def get(self, name: str, kind: type[Value]) -> Value:
        """A field that has to be there; raises RequestError where it is not or of another kind."""
        value = self.fields.get(name)
        if not isinstance(value, kind) or (kind is int and isinstance(value, bool)):
            raise RequestError(f"`{name}` is missing, or no {kind.__name__}")
        return value

    def day(self, name: str) -> date:
        """A date, YYYY-MM-DD."""
        text = self.get(name, str)
        try:
            return date.fromisoformat(text)
        except ValueError:
            raise RequestError(f"`{name}`: {text!r} is no date such as 2027-06-21") from None

    @property
    def text(self) -> str:
        """The text that the request is about, with its `changes` if it has some."""
        text = self.get("text", str)
        if not self.fields.get("changes"):
            return text
        return _changed(text, json.dumps(self.get("changes", list)))

    @property
    def judged(self) -> judge.Judged:
        """That text, judged."""
        return judge.judged(self.text, self.file.path)

    @property
    def site(self) -> Site:
        """The site of that text; raises FileFaults where it has faults."""
        return self.judged.sound


def _read(query: Query) -> Json:
    judge.judged.cache_clear()  # the files that a site names may have changed as well
    now = query.file.read()
    return {
        "text": now.text,
        "digest": now.digest,
        "file": query.file.path.name,
        "units": units_of(now.text),
    }


def _judge(query: Query) -> Json:
    return judge.judged_json(query.judged)


def _change(query: Query) -> Json:
    _ = query.get("changes", list)
    judged = query.judged
    return {"text": judged.text, **judge.judged_json(judged)}


def _save(query: Query) -> Json:
    text = query.get("text", str)
    _ = judge.judged(text, query.file.path).sound  # what is wrong is refused
    saved = query.file.save(text, query.get("digest", str))
    return {"digest": saved.digest}


def _sun(query: Query) -> Json:
    rough = query.fields.get("rough") is True
    return sun.window_sun(query.site, query.get("window", str), query.get("year", int), rough=rough)


def _house(query: Query) -> Json:
    return sun.house_sun(query.site, query.get("year", int), query.watch)


def _closed(query: Query) -> Json:
    window = query.get("window", str)
    return sun.window_plan(query.site, window, query.get("year", int), query.watch)


def _day(query: Query) -> Json:
    if "window" in query.fields:
        return look.window_day(query.site, query.get("window", str), query.day("day"))
    return look.house_day(query.site, query.day("day"))


def _moment(query: Query) -> Json:
    wall = query.get("wall", str) if query.fields.get("wall") is not None else None
    return look.moment(query.site, query.day("day"), query.get("cell", int), wall)


def _weigh(query: Query) -> Json:
    window = query.get("window", str)
    if not query.fields.get("changes"):
        return weigh.weighed(query.site, window)
    before = judge.judged(query.get("text", str), query.file.path).sound
    return weigh.weighed_trial(before, query.site, window)


def _plan(query: Query) -> Json:
    form = query.get("form", str)
    days = query.day("first"), query.day("last")
    text, kind = sun.plan_file(query.site, *days, form, query.watch)
    return {"text": text, "kind": kind}


def _report(query: Query) -> Json:
    judged, name = query.judged, query.file.path.name
    return {"text": sun.report_text(judged.sound, judged.text, name, query.today, query.watch)}


def _forms(query: Query) -> Json:  # noqa: ARG001  (they are the same for every file)
    return {"forms": forms()}


def _begin(query: Query) -> Json:
    return new_home(query.fields)


def _bay(query: Query) -> Json:
    changes = bay_changes(judge.tables(query.get("text", str)), query.fields)
    text = judge.changed(query.get("text", str), changes)
    return {"text": text, **judge.judged_json(judge.judged(text, query.file.path))}


def _around(query: Query) -> Json:
    text, summary = with_neighbours(query.site, query.text, query.get("map", str))
    return {"text": text, "told": summary, **judge.judged_json(judge.judged(text, query.file.path))}


def _ask(query: Query) -> Json:
    return ask(query.fields.get("answers"), query.today)


ANSWERS: dict[str, Callable[[Query], Json]] = {
    "read": _read,
    "forms": _forms,
    "judge": _judge,
    "change": _change,
    "bay": _bay,
    "around": _around,
    "save": _save,
    "sun": _sun,
    "house": _house,
    "closed": _closed,
    "day": _day,
    "moment": _moment,
    "weigh": _weigh,
    "plan": _plan,
    "report": _report,
    "begin": _begin,
    "ask": _ask,
}
"""docs/web.md describes each."""

LONG = frozenset((_closed, _weigh, _plan, _report))
"""Those that may take a second of a core, and are never asked while something is dragged."""
