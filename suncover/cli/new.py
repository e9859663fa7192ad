"""`suncover new`: a first site file by questions and answers, or one more window."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click

from suncover.cli.dates import clocks_here, today_in
from suncover.cli.output import refuse_inputs, remark

if TYPE_CHECKING:
    from suncover.site.interview.questions import KnownHome, Question

BACK, MORE = "<", "+"
_INDENT = "  "


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option(
    "--answers",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="ANSWERS",
    help="A TOML file with the answers; nothing is asked.",
)
def new(file: Path, answers: Path | None) -> None:
    """Write a site file FILE by question and answer, or add to one that is there.

    Every answer is checked at once and said in other words, and every question says how to
    measure. An empty line takes the answer in brackets; < goes back; + asks for more about the same
    thing: a window's slope and surroundings, the house's walls, and in the end what stands around,
    what shades share, the season, money, weather. What was answered is kept in FILE.answers until
    all is said: after a break, the same command goes on from there. A file that is there keeps its
    comments and its layout.

    \b
    Examples:
      suncover new home.toml
      suncover new home.toml --answers answers.toml
    """
    if answers is not None:
        refuse_inputs([file], [answers])
    text, home = _file_so_far(file)
    given_answers = _interview(file, home) if answers is None else _read(answers, home)
    _write(file, text, given_answers, home, "the answers" if answers is None else _shown(answers))
    kept_file = _kept_in(file)
    if answers is None and kept_file.exists():
        kept_file.unlink()
    _say_what_next(file)


def _file_so_far(file: Path) -> tuple[str | None, KnownHome]:
    """The text of the file, if it is there, and what an interview need not ask then."""
    from suncover.site.interview.questions import KnownHome

    today, clocks = today_in(None), clocks_here()
    if not file.exists():
        return None, KnownHome(today, clocks=clocks)
    from suncover.base.textfile import read_text
    from suncover.site.file.sitefile import load_site

    site = load_site(file)
    text = read_text(file)
    home = KnownHome(
        today,
        windows=[window.name for window in site.windows],
        shades=[shade.name for shade in site.all_shades()],
        place=(site.place.latitude, site.place.longitude),
        walls=[wall.name for wall in site.walls],
        placed=[window.name for window in site.windows if window.position is not None],
        names={
            "obstacle": [obstacle.name for obstacle in site.obstacles],
            "tree": [tree.name for tree in site.trees],
            "canopy": [canopy.name for canopy in site.canopies],
            "spot": [spot.name for spot in site.spots],
            "supply": [supply.name for supply in site.supplies],
            "group": [group.name for group in site.groups],
        },
        tables=[table for table in ("need", "money", "weather") if table in tomllib.loads(text)],
        clocks=clocks,
    )
    return text, home


def _shown(path: Path) -> str:
    from suncover.base.textfile import printable

    return printable(str(path))


def _kept_in(file: Path) -> Path:
    return file.with_name(f"{file.name}.answers")


def _interview(file: Path, home: KnownHome) -> dict[str, str]:
    """The answers of a person; each is kept as soon as it is given."""
    from suncover.base.atomic import write_atomically
    from suncover.site.interview.compose import answers_text
    from suncover.site.interview.questions import next_question

    kept_file = _kept_in(file)
    answers: dict[str, str] = {}
    if kept_file.exists():
        answers = _sound(_flat(kept_file), home)
        remark(f"going on with the answers in {_shown(kept_file)}; remove that file to start anew")
    elif home.place is not None:
        remark(f"{_shown(file)} is there already; this adds to it")
    order = list(answers)
    while (question := next_question(answers, home)) is not None:
        answer = _ask(question, may_deepen=answers.get(question.deep or "") != "yes")
        if answer is None:
            if not _step_back(answers, order):
                remark("this is the first question")
            continue
        key = question.key
        if answer == MORE and question.deep is not None:
            key, answer = question.deep, "yes"
        answers[key] = answer
        order.append(key)
        write_atomically(kept_file, answers_text(answers).encode())
    return answers


def _step_back(answers: dict[str, str], order: list[str]) -> bool:
    """Takes back the last answer, and what asked for more after it; False if there is none."""
    while order:
        key = order.pop()
        del answers[key]
        if not key.endswith("deep"):
            return True
    return False


def _ask(question: Question, *, may_deepen: bool) -> str | None:
    """An answer that is right, or + where there is more to ask; None to go back."""
    click.echo()
    click.echo(_wrapped(question.how))
    while True:
        answer: str = click.prompt(question.text, default=question.default, type=str)
        if answer.strip() == BACK:
            return None
        if answer.strip() == MORE:
            if question.deep is not None and may_deepen:
                click.echo(f"{_INDENT}more will be asked about it")
                return MORE
            click.echo(f"{_INDENT}there is no more to ask here; answer the question")
            continue
        try:
            question.check(answer)
        except ValueError as wrong:
            click.echo(_wrapped(str(wrong)))
            continue
        doubt = question.doubt(answer)
        if doubt and not _is_meant(doubt):
            continue
        if meaning := question.meaning(answer):
            click.echo(_wrapped(f"{meaning}: right? ({BACK} goes back)"))
        return answer


def _is_meant(doubt: str) -> bool:
    """Whether a doubtful answer is taken as it is; < goes back to its question as no does."""
    from suncover.site.interview.kinds import yes_or_no

    click.echo(_wrapped(doubt))
    while True:
        answer: str = click.prompt("  Take it as it is? yes or no", default="no", type=str)
        if answer.strip() == BACK:
            return False
        try:
            return yes_or_no(answer)
        except ValueError as wrong:
            click.echo(f"{_INDENT}{wrong}")


def _wrapped(text: str) -> str:
    return click.wrap_text(text, initial_indent=_INDENT, subsequent_indent=_INDENT)


def _flat(path: Path) -> dict[str, str]:
    from suncover.base.textfile import read_text
    from suncover.site.file.toml_text import parse_toml
    from suncover.site.interview.compose import flat

    return flat(parse_toml(read_text(path, 1_000_000), path))


def _read(path: Path, home: KnownHome) -> dict[str, str]:
    """The answers in a file; remarks on them go to the screen."""
    from suncover.site.interview.answers import read_answers

    answers, remarks = read_answers(path, home)
    for text in remarks:
        remark(text)
    return answers


def _sound(stored: Mapping[str, str], home: KnownHome) -> dict[str, str]:
    """The answers that are still right, in the order of the questions."""
    from suncover.site.interview.answers import fault_of_answer
    from suncover.site.interview.questions import next_question

    answers = {key: value for key, value in stored.items() if key.endswith("deep")}
    while (question := next_question(answers, home)) is not None:
        if question.key not in stored or fault_of_answer(question, stored[question.key]):
            break
        answers[question.key] = stored[question.key]
    return answers


def _write(
    file: Path, text: str | None, answers: Mapping[str, str], home: KnownHome, source: str
) -> None:
    """The answers into the file; `source` is where they come from, in messages."""
    from suncover.base.atomic import write_atomically
    from suncover.base.errors import Fault, FileFaults
    from suncover.site.file.edit import with_windows_added
    from suncover.site.file.sitefile import site_from_text
    from suncover.site.interview.compose import added_tables, site_file

    if text is None:
        result = site_file(answers, home)
    else:
        result = with_windows_added(text, added_tables(answers, home))
    try:
        site_from_text(result, file)  # faults between entries come out here
    except FileFaults as wrong:
        # Their lines are those of a text that nobody has seen.
        raise FileFaults(
            [Fault(source, fault.message, fault.place) for fault in wrong.faults]
        ) from None
    mark = b"\xef\xbb\xbf"  # where it was there, it stays
    marked = home.place is not None and file.read_bytes().startswith(mark)
    write_atomically(file, (mark if marked else b"") + result.encode())


def _say_what_next(file: Path) -> None:
    from suncover.site.sightings import CAUTION

    click.echo()
    name = _shown(file)
    click.echo(f"{name} is written. See what it says: suncover check {name}")
    click.echo(
        "The directions matter most. Note when the sun comes onto each window and leaves it\n"
        f"(suncover sight), and see what that says: suncover facing {name}"
    )
    click.echo(CAUTION)
