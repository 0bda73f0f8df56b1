"""The command line: one module a command, imported when it is used, and no logic of its own."""

from __future__ import annotations

import sys
from importlib import import_module
from typing import Any

import click

from flockcheck import __version__

COMMANDS = {
    "check": "Check setups before birds move out.",
    "prove": "Validate a rulebook and run the examples of its rules.",
    "rules": "List the rules: topic, question, grades and sources.",
    "schema": "Print the JSON Schema of a setup, a report or a rulebook file.",
}

# Something is wrong with a setup; something could not be handled.
FAILED, TROUBLE = 1, 2


class Commands(click.Group):
    """The commands, each imported when it is asked for: a check need not pay for the others."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The names, in order."""
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """A command by its name."""
        if cmd_name not in COMMANDS:
            return None
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
        _drop_output()
        sys.exit(0)


def _drop_output() -> None:
    """Send what is left to nowhere, so that the interpreter's last flush has nothing to say."""
    import os

    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())


def give(text: str, output: str | None) -> None:
    """Print a text, or write it to a file that is replaced only when all of it is there.

    Raises click.ClickException (exit status 2) where the file can't be written.
    """
    if output is None or output == "-":
        stream: Any = sys.stdout
        if hasattr(stream, "reconfigure"):
            # A terminal that can't show a sign gets another in its place, never a traceback.
            stream.reconfigure(errors="replace")
        stream.write(text)
        stream.flush()
        return
    from flockcheck.cli.files import replace_file

    replace_file(output, text)


class Trouble(click.ClickException):
    """Something that could not be handled: said in one line, exit status 2."""

    exit_code = TROUBLE

    def show(self, file: Any = None) -> None:
        """Say it on standard error."""
        click.echo(f"flockcheck: {self.format_message()}", err=True)
