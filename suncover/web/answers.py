"""The questions of the JSON interface by their names, and what answers each."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Any, TypeVar

from suncover.base.errors import RequestError
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
    """Whoever asked has gone."""


def _stays() -> bool:
    return False


@dataclass(frozen=True)
class Asked:
    """A request: its fields, the file that the page is about, and today's date.

    `gone` tells whether nobody waits for the answer any more.
    """

    fields: Json
    file: SiteFile
    today: date
    gone: Callable[[], bool] = _stays

    def watch(self, parts: Iterable[Part]) -> Iterator[Part]:
        """Goes through the parts of a long piece of work; raises Abandoned once nobody waits."""
        for part in parts:
            if self.gone():
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


def _read(asked: Asked) -> Json:
    judge.judged.cache_clear()  # the files that a site names may have changed as well
    now = asked.file.read()
    return {"text": now.text, "digest": now.digest, "file": asked.file.path.name}


def _judge(asked: Asked) -> Json:
    return judge.judged_json(asked.judged)


def _change(asked: Asked) -> Json:
    _ = asked.get("changes", list)
    one = asked.judged
    return {"text": one.text, **judge.judged_json(one)}


def _save(asked: Asked) -> Json:
    text = asked.get("text", str)
    _ = judge.judged(text, asked.file.path).sound  # what is wrong is refused
    saved = asked.file.save(text, asked.get("digest", str))
    return {"digest": saved.digest}


def _sun(asked: Asked) -> Json:
    rough = asked.fields.get("rough") is True
    return sun.window_sun(asked.site, asked.get("window", str), asked.get("year", int), rough=rough)


def _house(asked: Asked) -> Json:
    return sun.house_sun(asked.site, asked.get("year", int), asked.watch)


def _closed(asked: Asked) -> Json:
    window = asked.get("window", str)
    return sun.window_plan(asked.site, window, asked.get("year", int), asked.watch)


def _day(asked: Asked) -> Json:
    if "window" in asked.fields:
        return look.window_day(asked.site, asked.get("window", str), asked.day("day"))
    return look.house_day(asked.site, asked.day("day"))


def _moment(asked: Asked) -> Json:
    wall = asked.get("wall", str) if asked.fields.get("wall") is not None else None
    return look.moment(asked.site, asked.day("day"), asked.get("cell", int), wall)


def _weigh(asked: Asked) -> Json:
    window = asked.get("window", str)
    if not asked.fields.get("changes"):
        return weigh.weighed(asked.site, window)
    before = judge.judged(asked.get("text", str), asked.file.path).sound
    return weigh.weighed_trial(before, asked.site, window)


def _plan(asked: Asked) -> Json:
    form = asked.get("form", str)
    days = asked.day("first"), asked.day("last")
    text, kind = sun.plan_file(asked.site, *days, form, asked.watch)
    return {"text": text, "kind": kind}


def _report(asked: Asked) -> Json:
    one, name = asked.judged, asked.file.path.name
    return {"text": sun.report_text(one.sound, one.text, name, asked.today, asked.watch)}


def _forms(asked: Asked) -> Json:  # noqa: ARG001  (they are the same for every file)
    return {"forms": forms()}


def _begin(asked: Asked) -> Json:
    return new_home(asked.fields)


def _bay(asked: Asked) -> Json:
    changes = bay_changes(judge.tables(asked.get("text", str)), asked.fields)
    text = judge.changed(asked.get("text", str), changes)
    return {"text": text, **judge.judged_json(judge.judged(text, asked.file.path))}


def _around(asked: Asked) -> Json:
    text, told = with_neighbours(asked.site, asked.text, asked.get("map", str))
    return {"text": text, "told": told, **judge.judged_json(judge.judged(text, asked.file.path))}


def _ask(asked: Asked) -> Json:
    return ask(asked.fields.get("answers"), asked.today)


ANSWERS: dict[str, Callable[[Asked], Json]] = {
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
