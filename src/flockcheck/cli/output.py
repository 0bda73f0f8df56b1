"""Where a command's text goes, and what is said when it can't go there."""

from __future__ import annotations

import contextlib
import os
import sys
from typing import Any

import click

# Something is wrong with a setup; something could not be handled.
FAILED, TROUBLE = 1, 2


class Trouble(click.ClickException):
    """Something that could not be handled: said in one line, exit status 2."""

    exit_code = TROUBLE

    def show(self, file: Any = None) -> None:
        """Say it on standard error."""
        click.echo(f"flockcheck: {self.format_message()}", err=True)


def give(text: str, output: str | None) -> None:
    """Print a text, or write it to a file that is replaced only when all of it is there.

    A reader that has seen enough and closed the pipe is no trouble. Raises Trouble (exit status 2)
    where the text can't be written.
    """
    if output is not None and output != "-":
        replace_file(output, text)
        return
    stream: Any = sys.stdout
    if stream is None:
        raise Trouble("there is no standard output to write to; use --output")
    if hasattr(stream, "reconfigure"):
        # A terminal that can't show a sign gets another in its place, never a traceback.
        stream.reconfigure(errors="replace")
    try:
        stream.write(text)
        stream.flush()
    except BrokenPipeError:
        drop_output()
    except OSError as error:
        drop_output()
        raise _unwritten("the report", error) from None


def drop_output() -> None:
    """Send what is left to nowhere, so that the interpreter's last flush has nothing to say."""
    with contextlib.suppress(OSError, AttributeError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)


def replace_file(path: str, text: str) -> None:
    """Write a file whole or not at all. Raises Trouble where it can't be written."""
    import tempfile

    folder = os.path.dirname(os.path.abspath(path))
    part = ""
    try:
        if os.path.exists(path) and not os.path.isfile(path):
            # A device or pipe can't be replaced, only written to.
            with open(path, "w", encoding="utf-8") as file:
                file.write(text)
            return
        handle, part = tempfile.mkstemp(dir=folder, suffix=".part")
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        # mkstemp makes a private file; the report gets the mode any new file here would have.
        mask = os.umask(0)
        os.umask(mask)
        os.chmod(part, 0o666 & ~mask)
        os.replace(part, path)
    except OSError as error:
        if part:
            with contextlib.suppress(OSError):
                os.unlink(part)
        raise _unwritten(path, error) from None


def _unwritten(what: str, error: OSError) -> Trouble:
    from flockcheck.workshop import os_words

    return Trouble(f"{what} can't be written: {os_words(error)}")
