"""What a comparison comes to, in sentences for the person at home: what to do first, then why."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from suncover.compare.money import Worth
from suncover.compare.options import SUNNY, standing_shades
from suncover.compare.overhangs import BestOverhang
from suncover.compare.season import best_season
from suncover.compare.summary import Line, Summary, of_always, of_plan
from suncover.export.text.words import percent
from suncover.site.options import STANDS, Range

FOREVER = 100.0  # years; a payback beyond is no payback
MOST_OPTIONS = 6  # sentences on options; the table has the rest


def advice(summary: Summary) -> list[str]:
    """What the figures come to, as sentences for a person."""
    added = added_lines(summary)
    return [
        *_first(summary, added),
        *_between(summary, added),
        *_standing(summary),
        *(option_sentence(summary, line) for line in added[:MOST_OPTIONS]),
        *_season_advice(summary),
        *_plan_advice(summary),
    ]


def standing_words(summary: Summary) -> str:
    """What stands today: `overhangs at 2 of 4 windows; shades closed by their plan`."""
    site = summary.comparison.site
    roofs = sum(window.overhang is not None for window in site.windows)
    count = len(site.windows)
    roofs_text = f"overhangs at {roofs} of {count} windows" if roofs else "no overhang"
    if count == 1 and roofs:
        roofs_text = "its overhang"
    standing, possible = len(standing_shades(site)), len(site.all_shades())
    if standing == 0:
        return f"{roofs_text}, no shade"
    share_text = "" if standing == possible else f"{standing} of {possible} "
    return f"{roofs_text}, {share_text}shades closed by their plan"


def is_same(summary: Summary, line: Line) -> bool:
    """Is an option just what stands?"""
    now = summary.line(STANDS, line.window)
    same_energy = (line.admitted_kwh, line.incident_kwh) == (now.admitted_kwh, now.incident_kwh)
    return same_energy and line.worth.kept_out_kwh == line.worth.lost_kwh == (0.0, 0.0)


def added_lines(summary: Summary) -> list[Line]:
    """The options that are something else than what stands, the best first; not those of every
    comparison that only take away what stands.
    """
    site = summary.comparison.site
    away = {"bare"}
    if standing_shades(site):
        away.add("overhang")
    if any(window.overhang is not None for window in site.windows):
        away.add("shade")
    lines = [
        line
        for line in summary.house
        if not line.extra and line.option not in away and not is_same(summary, line)
    ]
    # Two options that come to the same are one: with no overhang, `both` is `shade`.
    distinct: dict[tuple[float, float, Range | None], Line] = {}
    for line in lines:
        distinct.setdefault((line.admitted_kwh, line.closed_h, line.price), line)
    return sorted(distinct.values(), key=lambda line: -sum(line.worth.net))


def _first(summary: Summary, added: Sequence[Line]) -> Iterator[str]:
    """What to do."""
    if not added:
        yield (
            "All that is compared stands already, or takes away what stands. What you think of "
            "doing goes into [[option]] tables."
        )
        return
    best = added[0]
    low, high = best.worth.net
    gain = gain_words(summary, best.worth)
    if low > 0.0:
        name = label(summary, best.option)
        yield f"Best by these figures: {name}. Beside what stands that {gain}."
    elif high > 0.0:
        yield (
            f"Nothing here is sure to bring more than it costs. Nearest comes "
            f"{label(summary, best.option)}: beside what stands that {gain}."
        )
    else:
        yield "Leave it as it stands: whatever is compared here costs more than it brings."


def _standing(summary: Summary) -> Iterator[str]:
    """What the overhangs and the shades that stand do, each beside being without it."""
    site = summary.comparison.site
    shaded = bool(standing_shades(site))
    if any(window.overhang is not None for window in site.windows):
        worth = summary.worth_between(STANDS, "shade" if shaded else "bare")
        # Where only some shades stand, the option `shade` has the others too.
        if len(standing_shades(site)) in (0, len(site.all_shades())):
            yield f"Today's overhangs: {_does(summary, worth)}."
    if shaded:
        yield f"Today's shades: {_does(summary, summary.worth_between(STANDS, 'overhang'))}."


def _between(summary: Summary, added: Sequence[Line]) -> Iterator[str]:
    """Whether the best of the options is ahead of the next, or that their ranges overlap."""
    if len(added) < 2 or added[0].worth.net[1] <= 0.0:
        return
    best, second = added[:2]
    if best.worth.net[0] > second.worth.net[1]:
        return
    ahead = summary.worth_between(best.option, second.option).net
    if ahead[0] > 0.0:
        yield (
            f"The ranges of {best.option} and {second.option} overlap; under the same assumptions "
            f"{best.option} is ahead all the same."
        )
    else:
        yield (
            f"Whether {best.option} or {second.option} brings more cannot be said: their ranges "
            "overlap."
        )


def option_sentence(summary: Summary, line: Line) -> str:
    """What an option does on hot and on cold days, what is left of it, and when it pays."""
    worth = line.worth
    text = f"{_capital(label(summary, line.option))}: {_does(summary, worth)}"
    pays = worth.payback
    if pays is None or line.price in (None, (0.0, 0.0)):
        return f"{text}."
    if pays[0] > FOREVER:
        return f"{text}. It never pays for itself."
    if math.isinf(pays[1]) or pays[1] > FOREVER:
        return f"{text}. It pays for itself in {year_text(pays[0])} years at best, and may never."
    return f"{text}. It pays for itself in {range_words(pays, year_text)} years."


def label(summary: Summary, option: str) -> str:
    """An option as it is named in a sentence."""
    roofed = any(window.overhang is not None for window in summary.comparison.site.windows)
    words = {"shade": "shades by the plan", "both": "shades by the plan"}
    if roofed:
        words["both"] = "shades by the plan beside the overhangs"
    return f"{words[option]} ({option})" if option in words else option


def _does(summary: Summary, worth: Worth) -> str:
    """What is kept out on hot days, what is lost on cold ones, and what is left of it."""
    kept = _sun_words(worth.kept_out_kwh, "kept out")
    lost = _sun_words(worth.lost_kwh, "lost")
    return (
        f"{kept} on days that need cooling, {lost} on days that need heating; in all that "
        f"{gain_words(summary, worth)}"
    )


def _sun_words(pair: Range, effect: str) -> str:
    low, high = pair
    if high < 0.5 and low < -0.5:
        return f"{range_words((-high, -low))} kWh more let in"
    return f"{range_words(pair)} kWh {effect}"


def gain_words(summary: Summary, worth: Worth) -> str:
    """What is left of a gain after its loss: `saves 40 to 90 kWh of electricity a year`."""
    if worth.money is None:
        return _signed(worth.net_kwh, "kWh of electricity a year")
    mark = currency_mark(summary.comparison.site.money.currency)
    kwh = range_words(worth.net_kwh)
    return f"{_signed(worth.money, 'a year', mark)} ({kwh} kWh of electricity)"


def _signed(pair: Range, unit: str, before: str = "") -> str:
    low, high = pair
    if round(high) <= 0 and round(low) < 0:
        return f"costs {before}{range_words((-high, -low))} {unit}"
    if round(low) >= 0:
        return f"saves {before}{range_words(pair)} {unit}"
    return f"may save up to {before}{high:,.0f} {unit}, or cost up to {before}{-low:,.0f}"


def currency_mark(currency: str) -> str:
    """A currency before an amount: letters stand apart from it, signs at it."""
    return f"{currency} " if currency[-1].isalpha() else currency


def whole_text(number: float) -> str:
    """A number without decimals."""
    return f"{round(number):,}"


def range_words(pair: Range, text: Callable[[float], str] = whole_text) -> str:
    """`120 to 260`, or one number where both ends are the same."""
    low, high = (text(end) for end in pair)
    return low if low == high else f"{low} to {high}"


def year_text(number: float) -> str:
    """Years with as many digits as they deserve."""
    return f"{number:.0f}" if number >= 10 else f"{number:.2g}"


def _season_advice(summary: Summary) -> Iterator[str]:
    """Another season for the shades, where that is worth something, by what it brings net."""
    better = best_season(summary.comparison, summary.kinds)
    if better is None:
        return
    first, last = better.season
    gain = better.worth
    yield (
        f'Close the shades from {first} to {last} only (season = ["{first}", "{last}"] in [need]): '
        f"that {gain_words(summary, gain)} beside closing as now, when they keep out winter sun."
    )


def _plan_advice(summary: Summary) -> Iterator[str]:
    share, sunny = of_always(summary), of_plan(summary)
    # A plan for more than heat closes out of the season as well: then that says nothing.
    if share is None or share > 1.0 + 1e-9:
        return
    text = f"Closing by the plan keeps out {percent(share)} of what closing all season would"
    if sunny is not None and not summary.comparison.weather.clear:
        hours, planned = summary.line(SUNNY).closed_h, summary.line("shade").closed_h
        text += (
            f"; moving only when the sun really shines keeps {percent(sunny)} of that, with "
            f"{hours:.0f} hours down in place of {planned:.0f}"
        )
    yield f"{text}."


def _metres(depth: float) -> str:
    return f"{depth:.2f} m"


def overhang_verdict(best: BestOverhang, length: Callable[[float], str] = _metres) -> str:
    """What to make of the sweep of a window's overhangs, in a few words, with metres as `length`
    writes them.
    """
    if best.best is None:
        if best.today.depth > 0.0:
            return "none is worth its loss of winter sun, today's neither"
        return "none is worth its loss of winter sun"
    if best.today_will_do:
        return "today's is as good as any"
    deep = length(best.best.depth)
    if best.at_the_end:
        near = next(
            (swept.depth for swept in best.tried if swept.net >= 0.9 * best.best.net),
            best.best.depth,
        )
        deep = f"deeper still brings more; {length(near)} has 90 % of it"
    else:
        deep = f"{deep} is best"
    if best.can_be_told:
        return deep
    if best.today.depth > 0.0:
        return f"today's will do: whether {length(best.best.depth)} is better cannot be said"
    return f"{deep}, but it may cost more than it brings"


def _capital(name: str) -> str:
    return f"{name[:1].upper()}{name[1:]}"
