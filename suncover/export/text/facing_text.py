"""What sightings show, as a page for a person: each wall, what disagrees, what to watch next."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from suncover.base.clock import clock_text, local_date
from suncover.export.text.text_table import Style, joined, wrapped
from suncover.export.text.words import listed, long_date, number, weekday_text
from suncover.facing.effect import azimuth_effect_minutes
from suncover.facing.estimate import Check, Facing
from suncover.facing.walls import WallStudy
from suncover.facing.watch import Watch
from suncover.site.kinds.azimuth import azimuth_words
from suncover.site.model import Site
from suncover.site.sightings import CAUTION

MOST_TOLD = 12  # sightings that disagree, with a line each
SHORT = 0.5  # minutes: less is none
_SEEN = {
    "on": "the sun came",
    "off": "the sun left",
    "already-on": "the sun was on it",
    "still-on": "the sun was still on it",
    "not-yet-on": "the sun was not yet on it",
    "already-off": "the sun was off it",
    "patch": "the patch was measured",
}


def facing_text(site: Site, studies: Sequence[WallStudy], *, strong: Style = str) -> str:
    """The page."""
    lines = wrapped(f"Which way the windows of {site.place.name} face")
    lines[0] = strong(lines[0])
    for study in studies:
        lines += ["", *_wall(site, study, strong)]
    return joined([*lines, "", *wrapped(CAUTION)])


def _wall(site: Site, study: WallStudy, strong: Style) -> Iterator[str]:
    facing = study.facing
    yield strong(wrapped(listed(study.windows))[0])
    if facing is None:
        yield "  no sightings yet"
    else:
        yield from _result(site, study, facing)
        yield from _disagreeing(site, facing)
        yield from _besides(study)
    if study.watch is not None:
        sd = facing.sd if facing is not None else math.inf
        yield from wrapped(_watch(site, study.watch, sd), first="  ")
    elif facing is None or facing.doubt:
        yield from wrapped(
            "This week no coming or leaving of the sun tells more. Measure its patch on the floor, "
            "or watch in another season.",
            first="  ",
        )


def _result(site: Site, study: WallStudy, facing: Facing) -> Iterator[str]:
    way = azimuth_words(facing.azimuth)
    count = number(len(facing.checks), "sighting")
    yield f"  faces {facing.azimuth:.1f}° ({way}), ± {facing.sd:.1f}°, by {count}"
    window = site.window(study.windows[0])
    turned = (facing.azimuth - window.azimuth + 180.0) % 360.0 - 180.0
    differs = abs(turned) >= 0.05
    if differs and not facing.doubt:
        side = "clockwise" if turned > 0 else "anticlockwise"
        yield from wrapped(
            f"The file has {window.azimuth:g}°; that is {abs(turned):.1f}° to be turned {side}.",
            first="  ",
        )
    for azimuth, share in facing.others:
        yield f"  {azimuth:.0f}° ({azimuth_words(azimuth)}) fits as well: {share:.0%} likely"
    if doubt := facing.doubt:
        keep = f" Until then keep to the file's {window.azimuth:g}°." if differs else ""
        yield from wrapped(f"Not to be relied on yet: {doubt}.{keep}", first="  ")
        return
    last = max(check.sighting.time for check in facing.checks)
    year = local_date(int(last), site.place.zone).year
    turned_window = window.model_copy(update={"azimuth": facing.azimuth % 360.0})
    effect = azimuth_effect_minutes(site, turned_window, facing.sd, year)
    minutes = max(effect.coming, effect.leaving)
    if minutes < SHORT:
        yield "  That moves the sun's times by less than a minute."
    else:
        yield f"  That leaves the sun's times open by about {math.ceil(minutes)} min."


def _disagreeing(site: Site, facing: Facing) -> Iterator[str]:
    wrong = [check for check in facing.checks if check.wrong > 0.5]
    for check in wrong[:MOST_TOLD]:
        yield from wrapped(_disagreement(site, check), first="  - ", indent="    ")
    if len(wrong) > MOST_TOLD:
        yield f"  … and {len(wrong) - MOST_TOLD} more disagree"


def _disagreement(site: Site, check: Check) -> str:
    sighting, zone = check.sighting, site.place.zone
    at = int(sighting.time)
    time_text = f"{long_date(local_date(at, zone))}, {clock_text(at, zone)}"
    sentence = f"{time_text}, {sighting.window}: {_SEEN[sighting.seen]}"
    if math.isnan(check.off):
        return f"{sentence}, but none should be there that day. It was left out."
    if sighting.seen == "patch":
        far = "farther" if check.off > 0 else "nearer"
        return f"{sentence}, {abs(check.off):.2f} m {far} than all else says. It was left out."
    late = "later" if check.off > 0 else "sooner"
    return f"{sentence}, {abs(check.off):.0f} min {late} than all else says. It was left out."


def _besides(study: WallStudy) -> Iterator[str]:
    for roof in study.roofs:
        yield from wrapped(
            f"{roof.window}: its overhang is {roof.depth:.2f} m deep (± {roof.depth_sd:.2f}), "
            f"with a gap of {roof.gap:.2f} m (± {roof.gap_sd:.2f}).",
            first="  ",
        )
    if study.unsettled:
        yield "  The sightings do not tell the overhang."
    for point in study.skyline:
        yield from wrapped(
            f"{point.sighting.window}: something hides the sun up to {point.elevation:.1f}° "
            f"(± {point.sd:.1f}) at azimuth {point.azimuth:.0f}°.",
            first="  ",
        )


def _watch(site: Site, watch: Watch, sd: float) -> str:
    zone = site.place.zone
    begin, end = int(watch.begin), int(watch.end)
    verb = "reaches" if watch.seen == "on" else "leaves"
    day = weekday_text(local_date((begin + end) // 2, zone))
    gain = f"should bring it to ± {watch.sd:.1f}°"
    if f"{watch.sd:.1f}" == f"{sd:.1f}":
        gain = "would make it a little surer"
    return (
        f"Watch next: when the sun {verb} the {watch.window} window on a clear day, between "
        f"{clock_text(begin, zone)} and {clock_text(end, zone)} around {day}. "
        f"That {gain}."
    )
