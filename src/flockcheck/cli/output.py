"""Where a command's text goes, and what is said when it can't go there."""

from __future__ import annotations

import contextlib
import errno
import json
import os
import re
import stat
import sys
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from flockcheck.checkup.model import Problem

# Something is wrong with a setup; something could not be handled.
FAILED, TROUBLE = 1, 2


class Trouble(click.ClickException):
    """Something that could not be handled: said in one line, exit status 2."""

    exit_code = TROUBLE

    def show(self, file: Any = None) -> None:
        """Say it on standard error."""
        say(f"flockcheck: {self.format_message()}")


def say(text: str) -> None:
    """Say something on standard error; where that is closed or full, nobody is there to hear."""
    from flockcheck.text.document import on_screen

    try:
        click.echo("\n".join(map(on_screen, text.split("\n"))), err=True)
    except OSError:
        drop(sys.stderr)


def tell(problems: Iterable[Problem]) -> None:
    """Say on standard error what went wrong with the run."""
    for problem in problems:
        say(f"flockcheck: {problem.about}: {problem.says}.")


def give(text: str, output: str | None, *, data: bool = False) -> None:
    """Print a text, or write it to a file that is replaced only when all of it is there.

    A reader that has seen enough and closed the pipe is no trouble. What the screen can't show is
    replaced by `?`, and in a text that is `data` for programs by JSON's own escapes. Raises Trouble
    (exit status 2) where the text can't be written.
    """
    if output is not None and output != "-":
        replace_file(output, text)
        return
    stream: Any = sys.stdout
    if stream is None:
        raise Trouble("there is no standard output to write to; use --output")
    if data:
        text = _escaped(text, getattr(stream, "encoding", None) or "utf-8")
    if hasattr(stream, "reconfigure"):
        # A terminal that can't show a sign gets another in its place, never a traceback.
        stream.reconfigure(errors="replace")
    try:
        stream.write(text)
        stream.flush()
    except BrokenPipeError:
        drop(stream)
    except OSError as error:
        drop(stream)
        raise unwritten("what was to be shown", error) from None


def give_lines(lines: Iterator[str], output: str | None) -> None:
    """Print lines of data as they come, or write them to a file that is replaced when all came.

    None of them is kept. A reader that has seen enough and closed the pipe ends them, quietly.
    Raises Trouble (exit status 2) where they can't be written.
    """
    if output is not None and output != "-":
        replace_file(output, lines)
        return
    stream: Any = sys.stdout
    if stream is None:
        raise Trouble("there is no standard output to write to; use --output")
    if hasattr(stream, "reconfigure"):
        stream.reconfigure(errors="replace")
    encoding = getattr(stream, "encoding", None) or "utf-8"
    try:
        for line in lines:
            stream.write(_escaped(line, encoding))
        stream.flush()
    except BrokenPipeError:
        drop(stream)
    except OSError as error:
        drop(stream)
        raise unwritten("what was to be shown", error) from None


def _escaped(text: str, encoding: str) -> str:
    """A text with what the encoding lacks as JSON writes it: `\\u00e9` for an e with an accent."""
    try:
        text.encode(encoding)
        return text
    except (UnicodeEncodeError, LookupError):
        return re.sub(r"[^\x00-\x7f]", lambda found: json.dumps(found[0])[1:-1], text)


def drop(stream: Any) -> None:
    """Send what is left to nowhere, so that the interpreter's last flush has nothing to say."""
    with contextlib.suppress(OSError, AttributeError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)


def replace_file(path: str, text: str | Iterable[str]) -> None:
    """Write a text, or lines, whole or not at all. Raises Trouble where it can't be written."""
    from flockcheck.files import shown

    # The file itself, where the path is a link to it.
    full = os.path.realpath(path)
    lines = (text,) if isinstance(text, str) else text
    data = (line.encode("utf-8", "replace") for line in lines)
    if not os.path.exists(os.path.dirname(full)):
        says = f"there is no folder {shown(os.path.dirname(path) or os.curdir)}"
        raise Trouble(f"{shown(path)} can't be written: {says}; make it first")
    try:
        if os.path.exists(full) and not os.path.isfile(full):
            _write_into(full, data)
        else:
            _replace(full, data)
    except OSError as error:
        raise unwritten(shown(path), error) from None


def _write_into(full: str, data: Iterable[bytes]) -> None:
    """Write into a device or pipe, which can't be replaced; a pipe that nobody reads is refused."""
    handle = os.open(full, os.O_WRONLY | getattr(os, "O_NONBLOCK", 0))
    if stat.S_ISFIFO(os.fstat(handle).st_mode):
        os.set_blocking(handle, True)
    with os.fdopen(handle, "wb") as file:
        file.writelines(data)


def _replace(full: str, data: Iterable[bytes]) -> None:
    import tempfile

    folder = os.path.dirname(full)
    there = os.path.exists(full)
    if there and not os.access(full, os.W_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), full)
    handle, part = tempfile.mkstemp(dir=folder, suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.writelines(data)
        # mkstemp makes a private file; the report keeps its mode, or gets that of any new file.
        mask = os.umask(0)
        os.umask(mask)
        os.chmod(part, stat.S_IMODE(os.stat(full).st_mode) if there else 0o666 & ~mask)
        os.replace(part, full)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(part)
        raise


def unwritten(what: str, error: OSError) -> Trouble:
    """What to say where a text can't be written."""
    # Imported here: it brings the reader of setups along, which few runs of `--help` need.
    from flockcheck.files import os_words

    return Trouble(f"{what} can't be written: {os_words(error)}")
