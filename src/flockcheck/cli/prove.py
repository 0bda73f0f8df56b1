"""`flockcheck prove`: is a rulebook sound, and do its rules find what their examples say?"""

from __future__ import annotations

import os
import sys

import click

from flockcheck.checkup.prove import BASE, Proof, prove
from flockcheck.cli.check import load_tools
from flockcheck.cli.output import FAILED, TROUBLE, Trouble, give, tell
from flockcheck.files import os_words
from flockcheck.rulebook.book import read_files

# A book with all of these needs no other below it.
_OWN = (BASE, "levers.yaml", "sources.yaml", "tables")


@click.command("prove", short_help="Validate a rulebook and run its examples.")
@click.argument("rulebook", metavar="RULEBOOK")
def command(rulebook: str) -> None:
    """Validate the rulebook in a folder and run the examples of its rules.

    A folder with a base setup, levers, sources and tables of its own stands alone; any other is
    proved on top of the built-in rules, with their base setup unless it has one. Exit status: 0 it
    holds, 1 an example came out otherwise or lacks, 2 the rulebook or a plugin can't be used.
    """
    if not os.path.isdir(rulebook):
        raise Trouble(f"{rulebook} is no folder; name the folder that holds the rules")
    alone = all(os.path.exists(os.path.join(rulebook, name)) for name in _OWN)
    kit = load_tools((rulebook,), alone=alone, most=10_000)
    tell(kit.problems)
    try:
        files = read_files(rulebook)
    except OSError as error:
        raise Trouble(f"{rulebook}: {os_words(error)}") from None
    proof = prove(kit.rulebook, files)
    give(_text(proof, rulebook), None)
    if kit.problems:
        sys.exit(TROUBLE)
    sys.exit(0 if proof.passes else FAILED)


def _text(proof: Proof, folder: str) -> str:
    lines = [f"{one.file}, line {one.line}: {one.says}" for one in proof.wrong]
    lines += [f"{one.file}: {one.says}" for one in proof.lacks]
    lines += [
        f"{BASE}: leaves {rule} open, for want of {', '.join(needs) or 'a table row'}"
        for rule, needs in proof.unchecked
    ]
    counted = f"{folder}: {proof.rules} rules, {proof.examples} examples"
    if proof.passes:
        return "\n".join([*lines, f"{counted}; every one comes out as it says."]) + "\n"
    amiss = len(proof.wrong) + len(proof.lacks)
    return "\n".join([*lines, f"{counted}; {amiss} to put right."]) + "\n"
