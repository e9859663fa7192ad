"""The `suncover` command: a group that loads a command's module only when that command is called.

One command, one file. A command parses, calls the library and prints; what goes wrong on purpose
(`SuncoverError`) becomes exit status 2 here, one line per fault on standard error.
"""

from __future__ import annotations

import difflib
import importlib
import sys
from typing import Any

import click

from suncover.errors import SuncoverError

# Command -> its one-line help, in the order in which a person meets them. The module is
# `suncover.cli.<command>`, the click command in it has the name of the command.
COMMANDS = {
    "check": "Read a site file and say what is wrong in it, or what it means.",
    "hours": "When direct sun is on each window.",
    "plan": "The season's closings and openings of each shade, as calendar and table.",
    "today": "What each shade does today, when, and why.",
}


class _Commands(click.Group):
    """Lists all commands without importing them."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002  (click's signature)
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"suncover.cli.{cmd_name}")
        command: click.Command = getattr(module, cmd_name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and not args[0].startswith("-") and args[0] not in COMMANDS:
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
    _never_fail_on_output()
    try:
        status = commands.main(args=args, prog_name="suncover", standalone_mode=False)
    except SuncoverError as error:
        _stop(str(error), 2)
    except click.ClickException as error:
        error.show()
        sys.exit(2)
    except (click.Abort, KeyboardInterrupt):
        _stop("stopped; nothing was written", 130)
    except BrokenPipeError:
        # The reader (head, less) has seen enough. Nothing may be flushed into the closed pipe.
        sys.stdout = None  # type: ignore[assignment]
        sys.exit(0)
    sys.exit(status if isinstance(status, int) else 0)


def _stop(text: str, status: int) -> None:
    for line in text.splitlines():
        print(line, file=sys.stderr)
    sys.exit(status)


def _never_fail_on_output() -> None:
    """A terminal that knows no degree sign shows a question mark instead of a traceback."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")
