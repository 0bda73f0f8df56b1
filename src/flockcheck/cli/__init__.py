"""The command line: one module a command, imported when it is used, and no logic of its own."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable
from importlib import import_module
from typing import Any

import click

from flockcheck import __version__
from flockcheck.cli.output import FAILED, TROUBLE, Trouble, drop, give, say, unwritten

COMMANDS = {
    "check": "Check setups before birds move out.",
    "club": "Tell how a club stands.",
    "days": "Show a stay day by day.",
    "new": "Write a setup to fill in.",
    "prove": "Validate a rulebook and run the examples of its rules.",
    "round": "Print the walk round the pen on move-out day.",
    "rules": "List the rules: topic, question, grades and sources.",
    "schema": "Print the JSON Schema of a setup, a report or a rulebook file.",
    "why": "Teach a rule, or explain a word.",
}


class Commands(click.Group):
    """The commands, each imported when it is asked for: a check need not pay for the others."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The names, in order."""
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """A command by its name."""
        if cmd_name not in COMMANDS:
            return None
        import_yaml()
        module = import_module(f"flockcheck.cli.{cmd_name}")
        found: click.Command = module.command
        return found

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands for `--help`, without importing any."""
        with formatter.section("Commands"):
            formatter.write_dl(sorted(COMMANDS.items()))

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command meant; a wrong name gets the nearest right one."""
        name = args[0] if args else ""
        if name and not name.startswith("-") and name not in COMMANDS:
            from flockcheck.setup.reader import nearest

            near = nearest(name, list(COMMANDS))
            hint = f"did you mean `{near}`?" if near else f"they are {', '.join(sorted(COMMANDS))}"
            ctx.fail(f"there is no command `{name}`; {hint}")
        return super().resolve_command(ctx, args)


class _Later:
    """A pattern that is compiled by `make` when it is first used."""

    def __init__(self, make: Callable[[], re.Pattern[Any]]) -> None:
        self._make = make

    def __getattr__(self, name: str) -> Any:
        return getattr(self._make(), name)


def import_yaml() -> None:
    """Import yaml without compiling the patterns of its slow reader, a tenth of a short run.

    The C parser uses none of them. While yaml is imported, in this process that is ours alone, its
    patterns are only taken note of; each is compiled if it is ever used.
    """
    if "yaml" in sys.modules:
        return
    ours: Any = re
    make = re.compile
    try:
        ours.compile = lambda *args, **named: _Later(lambda: make(*args, **named))
        import_module("yaml")
    finally:
        ours.compile = make


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["--help", "-h"], "max_content_width": 80},
)
@click.version_option(__version__, message="flockcheck %(version)s")
def cli() -> None:
    """Check a small flock's setup against cited rules before the birds move out.

    Describe pen, birds, feeder, drinker, ground and fence in a file that ends in .flock.yaml, then
    run `flockcheck check`.
    """


def main(args: list[str] | None = None) -> None:
    """Run the command line; a closed pipe ends quietly and nothing else escapes as a traceback."""
    try:
        cli.main(args=args, prog_name="flockcheck")
    except BrokenPipeError:
        drop(sys.stdout)
        sys.exit(0)
    except OSError as error:
        if error.filename is not None:
            own_mistake(error)
        else:
            # Click's own texts, such as the help, meet a full disk here.
            drop(sys.stdout)
            unwritten("what was to be shown", error).show()
        sys.exit(TROUBLE)
    except Exception as error:  # whatever it is, a keeper should not meet a traceback
        own_mistake(error)
        sys.exit(TROUBLE)


def own_mistake(error: BaseException) -> None:
    """Say that the program itself is at fault, and where, in one line on standard error."""
    trace = error.__traceback__
    where = ""
    while trace is not None:
        code = trace.tb_frame.f_code
        if "flockcheck" in code.co_filename:
            where = f" ({os.path.basename(code.co_filename)}, line {trace.tb_lineno})"
        trace = trace.tb_next
    says = f"{type(error).__name__}: {error}{where}"
    say(
        f"flockcheck has made a mistake of its own: {says}. No file was changed. "
        "Please report it, with the setup if you can."
    )


__all__ = ["FAILED", "TROUBLE", "Trouble", "cli", "give", "main"]
