"""The page on commands has every command, every option and every column, and no others."""

import re
from pathlib import Path

import click
import pytest
from command_line import HOME, run, write_home

from suncover.cli import COMMANDS, commands
from suncover.export.files.plan_csv import PLAN_COLUMNS
from suncover.export.files.spells_csv import HOURS_COLUMNS, SPOTS_COLUMNS

PAGE = (Path(__file__).parents[2] / "docs" / "commands.md").read_text(encoding="utf-8")
SECTIONS = dict(re.findall(r"^## suncover (\w+)\n(.*?)(?=^## |\Z)", PAGE, re.M | re.S))


def command_of(name: str) -> click.Command:
    found = commands.get_command(click.Context(commands), name)
    assert found is not None
    return found


def options_of(name: str) -> set[str]:
    """The option names that a command takes, `--help` aside."""
    return {
        word
        for param in command_of(name).params
        if isinstance(param, click.Option) and not param.hidden
        for word in (*param.opts, *param.secondary_opts)
    } - {"-h", "--help"}


def options_in(text: str) -> set[str]:
    return set(re.findall(r"(?<![\w-])--?[a-z][a-z-]*", text))


def test_the_page_has_the_commands_of_the_program():
    assert sorted(SECTIONS) == sorted(COMMANDS)
    table = re.findall(r"^\| \[`suncover (\w+)`\]\(#suncover-\1\) \|", PAGE, re.M)
    assert sorted(table) == sorted(COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_a_section_has_the_options_of_its_command(name):
    """In the line that shows how to call it, and in its table."""
    section = SECTIONS[name]
    usage = re.search(r"```text\n(suncover .*?)```", section, re.S)
    assert usage is not None
    table = "\n".join(re.findall(r"^\| (`-.*?`) \|", section, re.M))
    shorter = {word for word in options_of(name) if len(word) == 2}
    assert options_in(table) == options_of(name)
    for param in command_of(name).params:
        assert isinstance(param, click.Argument) or set(param.opts) & options_in(usage[1])
    assert options_in(usage[1]) <= options_of(name)
    assert shorter <= options_in(table)


@pytest.mark.parametrize("name", COMMANDS)
def test_choices_of_an_option_are_named(name):
    for param in command_of(name).params:
        if isinstance(param.type, click.Choice):
            assert all(f"`{choice}`" in SECTIONS[name] for choice in param.type.choices)


@pytest.mark.parametrize(
    ("name", "columns"),
    [("hours", HOURS_COLUMNS), ("plan", PLAN_COLUMNS), ("spots", SPOTS_COLUMNS)],
)
def test_the_columns_are_those_that_are_written(name, columns):
    assert f"`{','.join(columns)}`" in SECTIONS[name]


def test_the_faults_shown_are_those_of_such_a_file(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    text = HOME.replace("azimuth = 95", "azimuth = 400").replace("height = 1.40", "height = 1,4")
    write_home(tmp_path, text.replace("travel", "travl"))
    said = run("check", "home.toml")
    assert said.err in SECTIONS["check"]


def test_the_groups_own_options_are_named():
    assert {"--help", "-h", "--version"} <= options_in(PAGE.partition("## What all")[0])


def test_every_exit_status_is_explained():
    shared = PAGE.partition("## What all commands share")[2].partition("## suncover")[0]
    for status in ("0, done", "1, a check", "2, the command line", "130, interrupted"):
        assert status in shared
