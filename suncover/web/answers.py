"""The questions of the JSON interface by their names, and what answers each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any, TypeVar

from suncover.base.errors import RequestError
from suncover.site.model import Site
from suncover.web import judge, sun
from suncover.web.disk import SiteFile
from suncover.web.start import ask

Json = dict[str, Any]
Value = TypeVar("Value")


@dataclass(frozen=True)
class Asked:
    """A request: its fields, the file that the page is about, and today's date."""

    fields: Json
    file: SiteFile
    today: date

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
    def judged(self) -> judge.Judged:
        """The text of the request."""
        return judge.judged(self.get("text", str), self.file.path)

    @property
    def site(self) -> Site:
        """The site of the request's text; raises FileFaults where it has faults."""
        return self.judged.sound


def _read(asked: Asked) -> Json:
    judge.judged.cache_clear()  # the files that a site names may have changed as well
    now = asked.file.read()
    return {"text": now.text, "digest": now.digest, "file": asked.file.path.name}


def _judge(asked: Asked) -> Json:
    return judge.judged_json(asked.judged)


def _change(asked: Asked) -> Json:
    text = judge.changed(asked.get("text", str), asked.get("changes", list))
    return {"text": text, **judge.judged_json(judge.judged(text, asked.file.path))}


def _save(asked: Asked) -> Json:
    text = asked.get("text", str)
    _ = asked.site  # what is wrong is refused
    saved = asked.file.save(text, asked.get("digest", str))
    return {"digest": saved.digest}


def _sun(asked: Asked) -> Json:
    return sun.window_sun(asked.site, asked.get("window", str), asked.get("year", int))


def _closed(asked: Asked) -> Json:
    return sun.window_plan(asked.site, asked.get("window", str), asked.get("year", int))


def _day(asked: Asked) -> Json:
    return sun.day_sun(asked.site, asked.day("day"))


def _heat(asked: Asked) -> Json:
    return sun.weather_kwh(asked.site, asked.get("window", str))


def _plan(asked: Asked) -> Json:
    form = asked.get("form", str)
    text, kind = sun.plan_file(asked.site, asked.day("first"), asked.day("last"), form)
    return {"text": text, "kind": kind}


def _ask(asked: Asked) -> Json:
    return ask(asked.fields.get("answers"), asked.today)


ANSWERS: dict[str, Callable[[Asked], Json]] = {
    "read": _read,
    "judge": _judge,
    "change": _change,
    "save": _save,
    "sun": _sun,
    "closed": _closed,
    "day": _day,
    "heat": _heat,
    "plan": _plan,
    "ask": _ask,
}
"""docs/web.md describes each."""
