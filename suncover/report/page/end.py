"""The page's end: the plan's quality, cautions, assumptions, sources, the site file, versions."""

from __future__ import annotations

from contextlib import suppress
from importlib.metadata import PackageNotFoundError, version

from suncover.export.text.aspect_text import aspect_remarks
from suncover.export.text.words import dates_text, need_text, season_text
from suncover.report.gather import ReportData
from suncover.report.page.blocks import facts_list, figure_block, listing
from suncover.report.pictures.markup import Markup, tag
from suncover.report.pictures.plan_bars import plan_bars
from suncover.report.uncovered import uncovered_words
from suncover.site.rough_shift import rough_shift

CAUTIONS = (
    "Never look at the sun, and not through a camera or a window either. Watch the light on the "
    "floor or the glass.",
    "Cords and bead chains strangle small children: use cordless shades or fix cords out of reach "
    "(ANSI/WCMA A100.1-2022, EN 13120). A shade that moves by itself can trap hands, pets and "
    "things on the sill; use a motor that stops when it meets something.",
    "Mains wiring is for a licensed electrician. 12 V and 24 V can start a fire too: fit a fuse "
    "near the supply.",
    "Glass can crack from heat: leave 50 mm between a dark shade and the glass, choose pale cloth, "
    "and ask a glazier in case of doubt.",
    "An overhang needs a permit in most places and a design that carries snow and wind, by someone "
    "licensed to do it.",
    "A shaded room can still be too hot. In a heat wave look after the old, the small and the "
    "sick, and go where it is cool.",
)
"""Common practice, but where a standard is named."""

ASSUMPTIONS = (
    "The sky is clear: clouds only take sun away, and no plan is ever closed too little for them.",
    "The sun is the middle of its disc, where the air's usual bending shows it.",
    "The home is as measured; how well its facing is known stands after this list.",
    "Pictures of the floor know no walls and no furniture of the room, and end at the window's "
    "lower edge: what a roof window lets in over the house, outward of it, is not drawn.",
    "The cut from the side takes the overhang as endless; hours, strengths and all other pictures "
    "take it as it is.",
)

SOURCES = (
    "Sun's position: I. Reda and A. Andreas, Solar Position Algorithm for Solar Radiation "
    "Applications, NREL/TP-560-34302, 2008.",
    "What counts as sunshine: WMO-No. 8, Guide to Instruments and Methods of Observation, "
    "120 W/m² of direct normal irradiance.",
    "Clear sky: P. Ineichen and R. Perez, A new airmass independent formulation for the Linke "
    "turbidity coefficient, Solar Energy 73, 2002; monthly turbidity as in pvlib.",
    "Light of the sky on walls: R. Perez and others, Modeling daylight availability and irradiance "
    "components, Solar Energy 44, 1990.",
    "Angles and shadows: Duffie and Beckman, Solar Engineering of Thermal Processes; ASHRAE "
    "Handbook, Fundamentals, chapter on fenestration.",
    "Shades behind and before glass: EN 13363-1 and ISO 52022-1, the simplified method.",
)

_PACKAGES = ("suncover", "pvlib", "numpy", "shapely", "tzdata")


def plan_section(data: ReportData) -> Markup:
    """How good the plan is."""
    remarks = [
        f"{year.shade.name}: {remark}" for year in data.shades for remark in year.plan.remarks
    ]
    uncovered = [
        [
            tag("b", year.shade.name),
            ": ",
            uncovered_words(data.site, year.shade, year.uncovered),
        ]
        for year in data.shades
        if year.sun
    ]
    return tag(
        "section",
        tag("h2", "How good the plan is", id="plan"),
        tag(
            "p",
            "A good plan covers all the sun it is there for, closes for little else, and moves "
            "seldom.",
        ),
        figure_block(plan_bars(data), unfolded=True),
        listing(remarks) if remarks else None,
        tag("h3", "What is not covered, why, and what one step would bring"),
        listing(uncovered),
        aria_labelledby="plan",
    )


def cautions_section(data: ReportData) -> Markup:
    """What can hurt."""
    return tag(
        "section", tag("h2", "Take care", id="care"), caution_list(data), aria_labelledby="care"
    )


def caution_list(data: ReportData) -> Markup:
    """What can hurt, in sentences."""
    of_heat = () if data.heat is None else data.heat.cautions
    last = "Local codes and licensed people on the spot come before anything on this page."
    cautions = [*CAUTIONS, *(caution for caution in of_heat if "permit" not in caution), last]
    return listing(cautions, "caution")


def notes_section(data: ReportData) -> Markup:
    """Assumptions, sources, versions."""
    place, need = data.site.place, data.site.need
    shifts = {
        window.name: rough_shift(window, place.latitude, need, window.azimuth_sd)
        for window in data.site.windows
        if window.azimuth_sd
    }
    heat = [] if data.heat is None else [f"Comparison: {words}" for words in data.heat.assumptions]
    return tag(
        "section",
        tag("h2", "What this rests on", id="rests"),
        tag("h3", "The place"),
        facts_list(place_facts(data)),
        tag("h3", "Assumed"),
        listing([*ASSUMPTIONS, *heat]),
        tag("h3", "How well the facing is known"),
        listing(aspect_remarks(data.site, shifts)),
        [tag("h3", "Worth a look in the site file"), listing(data.notes)] if data.notes else None,
        tag("h3", "Sources"),
        listing(SOURCES),
        tag("h3", "Made with"),
        tag("p", ", ".join(f"{name} {number}" for name, number in versions())),
        aria_labelledby="rests",
    )


def place_facts(data: ReportData) -> list[tuple[str, object]]:
    """Where the home is, and what counts there."""
    place = data.site.place
    north = f"{abs(place.latitude):g}° {'north' if place.latitude >= 0 else 'south'}"
    east = f"{abs(place.longitude):g}° {'east' if place.longitude >= 0 else 'west'}"
    return [
        ("place", f"{north}, {east}, {place.elevation:g} m above sea level"),
        ("clocks", place.zone_name),
        ("days", dates_text(data.calendar.first, data.calendar.last)),
        ("sun", need_text(data.site.need)),
        *_horizon(data),
        ("season", season_text(data.site.need.season)),
    ]


def _horizon(data: ReportData) -> list[tuple[str, object]]:
    if not data.site.place.horizon:
        return []
    highest = max(elevation for _, elevation in data.site.place.horizon)
    return [("far horizon", f"up to {highest:g}°, for every window")]


def versions() -> list[tuple[str, str]]:
    """The program's version, and those of the packages that its numbers come from."""
    numbers = []
    for name in _PACKAGES:
        with suppress(PackageNotFoundError):
            numbers.append((name, version(name)))
    return numbers


def file_section(data: ReportData) -> Markup:
    """The site file as it was read."""
    if data.source is None:
        return Markup()
    name = "The site file" if data.file is None else f"The site file, {data.file}"
    return tag(
        "section",
        tag("h2", name, id="file"),
        tag("pre", data.source, tabindex="0", role="region", aria_label=f"{name}: its text"),
        aria_labelledby="file",
    )
