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
    return commands.get_command(click.Context(commands), name)


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
    """In the line that shows how to call it, and in its table; with each word to choose from."""
    section = SECTIONS[name]
    usage = re.search(r"```text\n(suncover .*?)```", section, re.S)[1]
    table = "\n".join(re.findall(r"^\| (`-.*?`) \|", section, re.M))
    assert options_in(table) == options_of(name)
    assert options_in(usage) <= options_of(name)
    for param in command_of(name).params:
        assert isinstance(param, click.Argument) or set(param.opts) & options_in(usage)
        if isinstance(param.type, click.Choice):
            assert all(f"`{choice}`" in section for choice in param.type.choices)


def test_the_columns_are_those_that_are_written():
    for name, columns in (
        ("hours", HOURS_COLUMNS),
        ("plan", PLAN_COLUMNS),
        ("spots", SPOTS_COLUMNS),
    ):
        assert f"`{','.join(columns)}`" in SECTIONS[name]


def test_the_faults_shown_are_those_of_such_a_file(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    text = HOME.replace("azimuth = 95", "azimuth = 400").replace("height = 1.40", "height = 1,4")
    write_home(tmp_path, text.replace("travel", "travl"))
    assert run("check", "home.toml").err in SECTIONS["check"]


def test_the_groups_own_options_and_every_exit_status_are_explained():
    assert {"--help", "-h", "--version"} <= options_in(PAGE.partition("## What all")[0])
    shared = PAGE.partition("## What all commands share")[2].partition("## suncover")[0]
    for status in ("0, done", "1, a check", "2, the command line", "130, interrupted"):
        assert status in shared
