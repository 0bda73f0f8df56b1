"""`flockcheck round`: the walk round the pen on move-out day, to print and tick."""

from __future__ import annotations

import sys

import click

from flockcheck.checkup.check import check
from flockcheck.cli.complete import setup_paths
from flockcheck.cli.home import Home
from flockcheck.cli.options import rulebook_option
from flockcheck.cli.output import TROUBLE, give
from flockcheck.cli.reading import faulty
from flockcheck.reports.roundtext import round_text


@click.command("round", short_help="Print the walk round the pen on move-out day.")
@click.argument("setup", required=False, metavar="[SETUP]", shell_complete=setup_paths)
@click.option("--whole", is_flag=True, help="Everything there is to look at, on more than a page.")
@rulebook_option
@click.option("--output", metavar="FILE", help="Write the page there.")
def command(setup: str | None, whole: bool, rulebooks: tuple[str, ...], output: str | None) -> None:
    """Print the walk round the pen on the day the birds move in: one page to tick with a pencil.

    For a SETUP it shows what its birds, kit, ground and predators ask for, with blanks for what
    the file leaves out; without one it is for any pen. What the setup's club gives is added.
    """
    home = Home(setup, rulebooks)
    read = home.read(setup) if setup is not None else None
    if read is not None:
        errors = check(read, home.rulebook).errors
        if errors:
            raise faulty(read.file, [(fault.line, fault.says) for fault in errors])
    give(round_text(home.rulebook, read, whole=whole), output)
    if home.problems:
        sys.exit(TROUBLE)
