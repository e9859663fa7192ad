"""The page for people: each shade's state, its next move and why, and buttons for hold and hand."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from suncover.base.clock import local_date
from suncover.export.text.now_text import position_text, when_text
from suncover.keeper.agenda import Motor, steps_around
from suncover.keeper.messages import state_word

if TYPE_CHECKING:
    from suncover.keeper.loop import Snapshot

# How states are called at home.
_STATE_WORDS = {
    "as planned": "as planned",
    "moving": "moving",
    "by hand": "left alone: moved by hand",
    "held": "held",
    "no answer": "its motor does not answer",
    "not known": "not known where it stands",
}

_PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="refresh" content="20; url={{ base }}">
<title>{{ site }}: shades</title>
<style>
:root { color-scheme: light dark; --edge: #8886; --strong: #0b57a4; --bad: #a3290a; }
@media (prefers-color-scheme: dark) { :root { --strong: #8ec5ff; --bad: #ff9d80; } }
body { font: 1.05rem/1.45 system-ui, sans-serif; margin: 0 auto; padding: 1rem;
  max-width: 42rem; }
h1 { font-size: 1.4rem; margin: 0; }
h2 { font-size: 1.15rem; margin: 0; overflow-wrap: anywhere; }
section { border: 1px solid var(--edge); border-radius: .6rem; padding: .8rem 1rem;
  margin: .8rem 0; }
p { margin: .3rem 0; overflow-wrap: anywhere; }
.state { font-weight: 600; color: var(--strong); }
.bad { color: var(--bad); }
.bar { height: .6rem; border: 1px solid var(--edge); border-radius: .3rem; overflow: hidden; }
.bar span { display: block; height: 100%; background: var(--strong); }
form { display: flex; flex-wrap: wrap; gap: .5rem; margin: .5rem 0 0; }
button { font: inherit; padding: .55rem .8rem; min-height: 2.75rem; border-radius: .5rem;
  border: 1px solid var(--edge); background: transparent; color: inherit; cursor: pointer; }
button:hover, button:focus-visible { border-color: var(--strong); }
small { opacity: .8; }
</style>
</head>
<body>
<h1>{{ site }}</h1>
<p><small>{{ when }}, by the clocks there</small></p>
{% if broker_gone %}<p class="state bad" role="alert">The broker is not there: no motor can be
reached by messages.</p>{% endif %}
<section aria-labelledby="all">
<h2 id="all">All shades</h2>
<p class="state">{{ hold or "free to move" }}</p>
<form method="post" action="{{ base }}hold">
{% if hold %}<button name="off" value="1">Let them move again</button>{% else %}
<button name="hours" value="1">Hold for 1 hour</button>
<button name="hours" value="3">3 hours</button>
<button name="hours" value="12">12 hours</button>
<button name="hours" value="">Until further notice</button>{% endif %}
</form>
</section>
{% for shade in shades %}
<section aria-labelledby="{{ shade.slug }}">
<h2 id="{{ shade.slug }}">{{ shade.name }}</h2>
<p class="state{{ ' bad' if shade.bad }}">{{ shade.state }}</p>
{% if shade.position is not none %}
<div class="bar" role="img" aria-label="{{ shade.stands }}">
<span style="width: {{ shade.position }}%"></span></div>
<p>It is {{ shade.stands }}.</p>{% endif %}
{% if shade.why %}<p>By the plan it is {{ shade.planned }}: {{ shade.why }}</p>{% endif %}
{% if shade.waits %}<p>It waits: {{ shade.waits }}</p>{% endif %}
<p>{{ shade.next }}</p>
<form method="post" action="{{ base }}hand">
<input type="hidden" name="shade" value="{{ shade.slug }}">
<button name="position" value="0">I opened it</button>
<button name="position" value="100">I closed it</button>
<button name="position" value="">I moved it</button>
</form>
</section>
{% endfor %}
<p><small>A shade that you moved by hand is left alone for a while.
<a href="{{ base }}plan.ics">The plan as a calendar</a> to subscribe to.</small></p>
</body>
</html>
"""


def page_html(snapshot: Snapshot, now: float, base: str) -> str:
    """The page; every text in it is escaped. `base` begins its addresses."""
    from jinja2 import Environment

    agenda, state = snapshot.agenda, snapshot.state
    today = local_date(int(now), agenda.zone)
    hold = ""
    if state.hold is not None:
        until = state.hold.until
        till = (
            "until further notice" if until is None else when_text(int(until), today, agenda.zone)
        )
        hold = f"held {till if until is None else f'until {till}'}: nothing moves"
    values = {
        "site": agenda.site,
        "base": base,
        "when": when_text(int(now), today, agenda.zone),
        "hold": hold,
        "broker_gone": agenda.broker is not None and state.linked is None,
        "shades": [_shade(snapshot, motor, now) for motor in agenda.motors],
    }
    return Environment(autoescape=True).from_string(_PAGE).render(values)


def _shade(snapshot: Snapshot, motor: Motor, now: float) -> dict[str, Any]:
    agenda, state = snapshot.agenda, snapshot.state
    today = local_date(int(now), agenda.zone)
    waits = snapshot.waits.get(motor.slug, "")
    word = state_word(agenda, motor, state, now, waits)
    step, after = steps_around(motor, now)
    position = state.of(motor.slug).position
    does = "No move is planned for a year."
    if after is not None:
        verb = {0: "Opens", 100: "Closes"}.get(after.position, f"Goes to {after.position} % closed")
        reason = f": {after.reason}" if after.position else ""
        does = f"{verb} at {when_text(after.at, today, agenda.zone)}{reason}"
    planned = step.position if step else 0
    return {
        "slug": motor.slug,
        "name": motor.name,
        "state": _STATE_WORDS[word],
        "bad": word in ("no answer", "not known"),
        "position": None if position is None else round(position),
        "stands": "" if position is None else position_text(position),
        "planned": position_text(planned),
        "why": step.reason if step and planned else "",
        "waits": waits,
        "next": does,
    }
