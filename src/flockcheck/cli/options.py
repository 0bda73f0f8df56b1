"""Options that several commands have, in the same words."""

from __future__ import annotations

import click

from flockcheck.cli.complete import standards_known

rulebook_option = click.option(
    "--rulebook",
    "rulebooks",
    multiple=True,
    metavar="FOLDER",
    help="Take the rules of this folder too. Can be given again.",
)
standard_option = click.option(
    "--standard",
    "standards",
    multiple=True,
    metavar="NAME",
    shell_complete=standards_known,
    help="Judge an opt-in set of limits as well. Can be given again.",
)
