"""One setup for a command that takes one, and the page it is shown on."""

from __future__ import annotations

import sys

from flockcheck.cli.output import Trouble
from flockcheck.files import os_words, read_setup_file, read_start, shown
from flockcheck.setup.reader import SetupError
from flockcheck.setup.written import Setup
from flockcheck.text.document import MOST_BYTES, decode

# More faults than this are for `check` to show.
_MOST_FAULTS = 10


def read_one(path: str) -> Setup:
    """A setup from a file, or from standard input for `-`. Raises Trouble with what is wrong."""
    try:
        return read_setup_file(path)
    except SetupError as error:
        raise faulty(error.file, [(fault.line, fault.says) for fault in error.faults]) from None
    except OSError as error:
        about = "standard input" if path == "-" else shown(path)
        raise Trouble(f"{about}: {os_words(error)}") from None


def text_of(file: str) -> str | None:
    """A setup's text without byte-order marks, by its name in a report; None: it can't be had."""
    if file == "-":
        # Standard input can be read once only.
        return None
    try:
        return decode(read_start(file, MOST_BYTES + 1))
    except (OSError, ValueError):
        return None


def faulty(file: str, faults: list[tuple[int, str]]) -> Trouble:
    """What is said of a setup with faults: each with its line."""
    name = "standard input" if file == "-" else file
    lines = [f"{name} can't be read; put this right first:"]
    lines += [f"  line {line}: {says}" for line, says in faults[:_MOST_FAULTS]]
    more = len(faults) - _MOST_FAULTS
    if more > 0:
        lines.append(f"  and {more} more; `flockcheck check {name}` shows them all")
    return Trouble("\n".join(lines))


def page_width(output: str | None) -> int:
    """The terminal's width where a text goes to one; 80 columns elsewhere."""
    if output is None and sys.stdout is not None and sys.stdout.isatty():
        import shutil

        return shutil.get_terminal_size().columns
    return 80
