"""Reading a site file: TOML in, a checked `Site` out, or all that is wrong with it at once."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from suncover.base.errors import Fault, FileFaults, RequestError
from suncover.base.textfile import one_fault, printable, read_text
from suncover.site.file.faults import Findings, read_table
from suncover.site.file.toml_reading import TomlReading, read_toml
from suncover.site.finding import Facts, Finding, cut, place_of
from suncover.site.finding import Path as ValuePath
from suncover.site.kinds.kind import shown
from suncover.site.model import Need, Place, Site
from suncover.site.parts import BUNDLED, Table
from suncover.site.rules import entries as site_rules
from suncover.site.tables import facts_of, tables_of
from suncover.site.tape.plan import on_the_plan

if TYPE_CHECKING:
    from suncover.site.file.toml_places import TomlPlaces

_TABLES = tables_of(Site)
Position = tuple[int | None, int | None]  # line and column


def load_site(path: str | os.PathLike[str]) -> Site:
    """The site that a file describes.

    The weather file, which the site file names beside itself, comes back as an absolute path, the
    file of its horizon as the horizon's points.

    Raises
    ------
    FileFaults
        When the file cannot be read or anything in it is wrong, or in the file of its horizon. It
        names every fault with its line and place (past a hundred, their number), slips that are no
        TOML among them. Text that is no site file at all has one fault, where reading stopped.
    """
    if not isinstance(path, (str, os.PathLike)):
        raise RequestError(f"{type(path).__name__} is no path of a site file")
    site = site_from_text(read_text(path), path)
    folder = Path(path).absolute().parent
    files = (os.fspath(path), *map(str, named_files(site, folder)))
    return with_named_files(site, folder).model_copy(update={"files": files})


def with_named_files(site: Site, folder: Path) -> Site:
    """The same site with what it names in `folder`: horizon and calendars read, the weather's path.

    Raises
    ------
    FileFaults
        When the file of its horizon or of a calendar has faults; those of all of them.
    """
    changes: dict[str, Any] = {}
    faults: list[Fault] = []
    if (horizon := site.place.horizon_file) is not None:
        from suncover.site.file.horizon_file import read_horizon  # noqa: PLC0415 - few have one

        with _collected(faults):
            points = read_horizon(folder / horizon, site.place.latitude, site.place.longitude)
            changes["place"] = site.place.model_copy(
                update={"horizon": points, "horizon_file": None}
            )
    calendars = []
    for calendar in site.calendars:
        everyone = {"shades": tuple(shade.name for shade in site.all_shades())}
        from suncover.site.calendar.events import read_calendar  # noqa: PLC0415 - few have one

        with _collected(faults):
            meanings = [
                meaning if meaning.shades is not None else meaning.model_copy(update=everyone)
                for meaning in calendar.meanings
            ]
            events = read_calendar(folder / calendar.file, meanings, site.place.zone)
            calendars.append(calendar.model_copy(update={"events": events}))
    if faults:
        raise FileFaults(faults)
    if calendars:
        changes["calendars"] = tuple(calendars)
    weather = site.weather
    if weather is not None and weather.file and not weather.file.startswith(BUNDLED):
        changes["weather"] = weather.model_copy(update={"file": str(folder / weather.file)})
    return site.model_copy(update=changes) if changes else site


def named_files(site: Site, folder: Path) -> list[Path]:
    """The files that a site names in `folder`, before `with_named_files`."""
    names = [site.place.horizon_file, *(calendar.file for calendar in site.calendars)]
    weather = site.weather
    if weather is not None and weather.file and not weather.file.startswith(BUNDLED):
        names.append(weather.file)
    return [folder / name for name in names if name]


@contextmanager
def _collected(faults: list[Fault]) -> Iterator[None]:
    """Puts the faults of a file aside, so that the next one is read as well."""
    try:
        yield
    except FileFaults as wrong:
        faults += wrong.faults


def site_from_text(text: str, file: str | os.PathLike[str] = "site file") -> Site:
    """The site that the text of a site file describes; `file` is its name in messages.

    Raises
    ------
    FileFaults
        As `load_site`.
    """
    if not isinstance(text, str):
        raise RequestError(f"{type(text).__name__} is no text of a site file; decode it first")
    reading = read_toml(text, file)
    if not reading.raw and not reading.faults:
        raise one_fault(
            file, "the file is empty; a site file has a [site] and a [[window]] for each window"
        )

    @cache  # made only when there is something to complain about, and once for all of it
    def places() -> TomlPlaces:
        from suncover.site.file.toml_places import TomlPlaces  # noqa: PLC0415 - so it loads

        return TomlPlaces(reading.text)

    return _checked(
        reading,
        file,
        lambda finding: places().find(finding.path, key=finding.at_key) or (None, None),
    )


def site_from_tables(
    raw: Mapping[str, Any],
    file: str | os.PathLike[str] = "site tables",
    line_of: Callable[[ValuePath], int | None] = lambda _: None,
) -> Site:
    """The site that the tables of a site file describe, read from wherever; lists for [[tables]].

    `file` is its name in messages, and `line_of` tells the line of a value by its path, keys and
    indexes from 0, where there are lines.

    Raises
    ------
    FileFaults
        As `load_site`.
    """
    if not isinstance(raw, Mapping):
        message = f"{type(raw).__name__} is no mapping of tables; give a dict such as tomllib reads"
        raise FileFaults([Fault(printable(os.fspath(file)), message)])
    reading = TomlReading(dict(raw), "")
    return _checked(reading, file, lambda finding: (line_of(finding.path), None))


def _checked(
    reading: TomlReading, file: str | os.PathLike[str], position_of: Callable[[Finding], Position]
) -> Site:
    findings = Findings()
    tables, facts = _read_tables(reading.raw, findings)
    if not findings.full and not reading.holes:
        for finding in site_rules.rule_findings(facts):
            findings.add(finding)
    if findings.total or reading.faults:
        raise _faults(findings, reading, file, position_of)
    return Site.of_tables(tables)


def _read_tables(
    raw: Mapping[str, Any], findings: Findings
) -> tuple[dict[str, Any], dict[str, list[Facts]]]:
    """Every table read by itself, so that a fault in one hides none in another.

    Returns the sound tables, by their keys in the file, and what is known of the entries of each
    kind, for the rules between them.
    """
    tables: dict[str, Any] = {}
    facts: dict[str, list[Facts]] = {"need": [facts_of(Need.model_construct())]}
    # The place first: what a compass shows depends on it, and where things stand by tape.
    if isinstance(raw.get("site"), dict):
        tables["site"], entry_facts = read_table(Place, raw["site"], ("site",), findings)
        facts["site"] = [entry_facts]
    for key, value in _on_the_plan(raw, tables.get("site"), findings).items():
        if key in tables:
            continue
        if key not in _TABLES:
            findings.add(
                Finding((key,), f"unknown key `{cut(key)}`", key, tuple(_TABLES), at_key=True)
            )
        elif _TABLES[key].repeated:
            tables[key], facts[key] = _read_entries(key, value, findings, tables.get("site"))
        elif isinstance(value, dict):
            tables[key], entry_facts = read_table(_TABLES[key].model, value, (key,), findings)
            facts[key] = [entry_facts]
        else:
            findings.add(Finding((key,), f"it may be given once; write [{key}] in single brackets"))
    if "site" not in raw:
        findings.add(Finding((), "there is no [site] table; it gives name, latitude and longitude"))
    if "window" not in raw or raw["window"] == []:
        findings.add(Finding((), "there is no window; write a [[window]] for each"))
    return tables, facts


def _on_the_plan(
    raw: Mapping[str, Any], place: Place | None, findings: Findings
) -> Mapping[str, Any]:
    """The tables with all keys of the tape as positions on the plan."""

    def read(model: type[Table], table: Mapping[str, Any], path: ValuePath) -> Table | None:
        return read_table(model, table, path, findings, place)[0]

    return on_the_plan(raw, place, read, findings.add)


def _read_entries(
    key: str, value: object, findings: Findings, place: Place | None
) -> tuple[list[Any], list[Facts]]:
    """The tables of one kind, such as every `[[window]]`, and what is known of each."""
    if not isinstance(value, list):
        findings.add(Finding((key,), f"there may be several; write [[{key}]] in double brackets"))
        return [], []
    entries: list[Any] = []
    facts: list[Facts] = []
    for index, raw in enumerate(value):
        if not isinstance(raw, dict):
            findings.add(Finding((key, index), f"{shown(raw)} is not a table; write [[{key}]]"))
            facts.append({})
            continue
        entry, entry_facts = read_table(_TABLES[key].model, raw, (key, index), findings, place)
        entries.append(entry)
        facts.append(entry_facts)
    return entries, facts


def _faults(
    findings: Findings,
    reading: TomlReading,
    file: str | os.PathLike[str],
    position_of: Callable[[Finding], Position],
) -> FileFaults:
    """The findings as faults in the order of the file.

    What a slip in the text brings with it is left out: the slip itself has been reported.
    """
    name = printable(os.fspath(file))
    names = _entry_names(reading.raw)
    faults = list(reading.faults)
    shown = left_out = 0
    for finding in findings.kept:
        line, column = position_of(finding)
        is_missing = finding.path == () or (finding.at_key and not finding.word)
        if line in reading.lines or (is_missing and (reading.gaps or reading.holes)):
            left_out += 1
            continue
        shown += 1
        path = finding.path[:-1] if finding.at_key else finding.path
        place = printable(place_of(path, names))
        faults.append(Fault(name, printable(finding.sentence), place, line, column))
    faults.sort(key=lambda fault: (fault.line or 0, fault.column or 0))
    return FileFaults(faults, max(findings.total - shown - left_out, 0))


def _entry_names(raw: Mapping[str, Any]) -> dict[tuple[str | int, ...], str]:
    """The names of the entries, `("window", 0)` and so on, as far as they have any."""
    return {
        (key, index): entry["name"]
        for key in _TABLES
        if isinstance(raw.get(key), list)
        for index, entry in enumerate(raw[key])
        if isinstance(entry, dict) and isinstance(entry.get("name"), str)
    }
