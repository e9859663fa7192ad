"""The `suncover` command: a group that loads a command's module only when that command is called.

One command, one file. A command parses, calls the library and prints; what goes wrong on purpose
(`SuncoverError`) becomes exit status 2 here, one line per fault on standard error.
"""

from __future__ import annotations

import contextlib
import importlib
import os
import signal
import sys
from typing import Any

import click

from suncover.base.errors import SuncoverError
from suncover.base.garbage import look_seldom
from suncover.base.textfile import printable

# Command -> its one-line help, in the order in which a person meets them. The module is
# `suncover.cli.<command>`, the click command in it has the name of the command.
COMMANDS = {
    "new": "Write a first site file by question and answer, or add a window to one.",
    "open": "The site in a browser: change it, try an overhang, see the sun on every window.",
    "check": "Read a site file and say what is wrong in it, or what it means.",
    "around": "What stands about the home: neighbours by a map, hills by a raster of heights.",
    "hours": "When direct sun is on each window.",
    "plan": "The season's closings and openings of each shade, as calendar and table.",
    "today": "What each shade does today, when, and why.",
    "now": "Where every shade should be at this moment, and what comes next.",
    "keep": "Keep every shade where the plan has it: orders its motor, day and night.",
    "audit": "A plan held against the sun: what it covers, and what it costs.",
    "spots": "When direct sun falls on places in a room.",
    "compare": "Overhang against shade: heat, comfort and money over a weather year.",
    "report": "One page with pictures: what to do next, the year, every window, the heat.",
    "portfolio": "Many sites at once: sun, plans and heat, in tables.",
    "sight": "Write down when the sun came onto a window, or left it.",
    "facing": "Which way the windows really face, by what was seen of the sun.",
}


class _ReaderGoneError(Exception):
    """Whoever read the output (head, less) has seen enough."""


class _EndedError(KeyboardInterrupt):
    """Somebody asks the program to end (SIGTERM); what is half done is cleaned up first."""


_STOPPED = "stopped; no file is half written"


class _Commands(click.Group):
    """Lists all commands without importing them."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002  (click's signature)
        return list(COMMANDS)

    def get_command(
        self,
        ctx: click.Context,  # noqa: ARG002  (click's signature)
        cmd_name: str,
    ) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"suncover.cli.{cmd_name}")
        command: click.Command = getattr(module, cmd_name)
        return command

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except BrokenPipeError:  # click would end with status 1
            raise _ReaderGoneError from None

    def format_commands(
        self,
        ctx: click.Context,  # noqa: ARG002  (click's signature)
        formatter: click.HelpFormatter,
    ) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and not args[0].startswith("-") and args[0] not in COMMANDS:
            import difflib

            near = difflib.get_close_matches(args[0], COMMANDS, n=1)
            hint = f", did you mean {near[0]}?" if near else f"; there are {', '.join(COMMANDS)}"
            raise click.UsageError(f"no command is called {args[0]!r}{hint}", ctx)
        return super().resolve_command(ctx, args)


@click.group(
    cls=_Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(package_name="suncover", prog_name="suncover")
def commands() -> None:
    """Sun on your windows: when it comes, when each shade should close for it, what that saves.

    Start with `suncover check SITE` on a site file (sample_sites/ has some to copy).
    """


def main(args: list[str] | None = None) -> Any:
    """Run the command line; exits with 0 done, 1 a check found something, 2 wrong input."""
    look_seldom()
    _open_what_is_closed()
    _never_fail_on_output()
    _end_as_by_ctrl_c()
    # Numpy's own threads take longer to start than a short command does, and its matrices here are
    # small; long work has threads of ours (`base.cores`).
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # To look for plugins of pydantic would read the names of all installed packages.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    try:
        status = commands.main(args=args, prog_name="suncover", standalone_mode=False)
        sys.stdout.flush()  # so that what fails at it fails here
    except SuncoverError as error:
        _stop(str(error), 2)
    except click.exceptions.NoArgsIsHelpError as error:
        error.show()
        sys.exit(2)
    except click.ClickException as error:
        _stop(_one_line(error), 2)
    except (click.Abort, KeyboardInterrupt) as stopped:
        ended = isinstance(stopped.__cause__ or stopped, _EndedError)
        _stop(_STOPPED, 128 + (signal.SIGTERM if ended else signal.SIGINT))
    except (_ReaderGoneError, BrokenPipeError):
        _silence_output()
        sys.exit(0)
    except OSError as error:
        _silence_output()
        name = printable(os.fsdecode(error.filename or "standard output"))
        _stop(f"{name}: {error.strerror or error}", 2)
    sys.exit(status if isinstance(status, int) else 0)


def _one_line(error: click.ClickException) -> str:
    """A fault of the command line: which command, what is wrong, where to read on."""
    context = getattr(error, "ctx", None)
    command = context.command_path if context else "suncover"
    message = " ".join(error.format_message().split()).rstrip(".")
    message = message.replace("a valid float range", "a number")  # click's own name for a type
    return f"{command}: {message}; {command} --help explains"


def _stop(text: str, status: int) -> None:
    for line in text.splitlines():
        print(line, file=sys.stderr)
    sys.exit(status)


def _silence_output() -> None:
    """Sends what is still to be flushed nowhere, or the interpreter would try again at its end."""
    with contextlib.suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())


def _open_what_is_closed() -> None:
    """Stands something in for a closed stream, or the next file to be opened takes its place.

    Standard output is stood in for by what cannot be written to: what was to be seen and is not is
    a fault.
    """
    for name, flag in (("stdin", os.O_RDONLY), ("stdout", os.O_RDONLY), ("stderr", os.O_WRONLY)):
        if getattr(sys, name) is None:
            mode = "r" if name == "stdin" else "w"
            setattr(sys, name, os.fdopen(os.open(os.devnull, flag), mode, encoding="utf-8"))


def _never_fail_on_output() -> None:
    """A terminal that knows no degree sign shows a question mark instead of a traceback.

    Bytes that are no text come through as marks that every kind of answer refuses.
    """
    for stream, errors in (
        (sys.stdin, "surrogateescape"),
        (sys.stdout, "replace"),
        (sys.stderr, "replace"),
    ):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors=errors)


def _end_as_by_ctrl_c() -> None:
    """Lets requests to end run through what cleans up, unless somebody else looks after them."""

    def end(*_: object) -> None:
        raise _EndedError

    for name in ("SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is signal.SIG_DFL:
            with contextlib.suppress(ValueError):  # not the main thread
                signal.signal(number, end)
