"""Putting a run together: plugins, rulebooks and setups from folders to reports.

The only place besides `cli` and `club` that opens files.
"""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Any, NamedTuple

from flockcheck import __version__
from flockcheck.checkup.model import Problem
from flockcheck.measures.graph.registry import RegistryError
from flockcheck.plugins import GROUP, RULES, Gathered, gather, registry_of
from flockcheck.rulebook.book import Rulebook, load_books
from flockcheck.rulebook.model import BookFault, RulebookError
from flockcheck.setup.reader import read_setup_bytes
from flockcheck.setup.written import Setup
from flockcheck.text.document import MOST_BYTES

# What setup files are called.
NAMES = ("flock.yaml",)
ENDING = ".flock.yaml"


class Tools(NamedTuple):
    """What a run works with: the rulebook, the report formats, and what could not be had."""

    rulebook: Rulebook
    gathered: Gathered
    problems: tuple[Problem, ...]


def cache_folder() -> str:
    """Where compiled rulebooks are kept for this user."""
    from platformdirs import user_cache_dir

    return user_cache_dir("flockcheck", appauthor=False)


def tools(folders: Sequence[str] = (), *, alone: bool = False) -> Tools:
    """The built-in and installed rulebooks with more on top. Raises RulebookError, OSError.

    With `alone` only the folders given are read, on the measures that are there.

    A plugin's rulebook that is spoiled is left out and named, and so are measures that do not fit
    the others; a book that was asked for by its folder is an error, since the user would believe it
    was used.
    """
    found = gather(entry_points())
    problems = list(found.problems)
    books = [] if alone else list(found.rulebooks)
    asked = _named(folders, books)
    while True:
        registry = registry_of(found)
        try:
            rulebook = load_books(
                [*books, *asked], registry, version=__version__, cache=cache_folder
            )
            break
        except RulebookError as error:
            plugin = [pair for pair in books[1:] if pair[0] == error.book]
            if not plugin:
                raise
            books.remove(plugin[0])
            first = error.faults[0]
            says = f"{first.file}, line {first.line}: {first.says}. It is left out of this run"
            problems.append(Problem(f"rulebook {error.book}", says))
        except RegistryError as error:
            origin = registry.origin(error.measure)
            given = [one for one in found.measures if one.__name__ == origin]
            if origin.startswith("flockcheck.") or not given:
                says = next((one.says for one in problems), str(error))
                raise RulebookError(RULES, (BookFault("", 0, "", says),)) from None
            found.measures.remove(given[0])
            says = f"{error}. They are left out of this run"
            problems.append(Problem(f"measures of {origin}", says))
    problems += [problem for problem in found.problems if problem not in problems]
    return Tools(rulebook, found, tuple(problems))


def _named(folders: Sequence[str], books: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """Rulebook folders, each with a name of its own; one that is there already is passed over."""
    there = {os.path.realpath(folder): name for name, folder in books}
    named: list[tuple[str, str]] = []
    for folder in folders:
        full = os.path.realpath(folder)
        if full in there:
            continue
        name = os.path.basename(full) or full
        while name in there.values():
            name += "'"
        there[full] = name
        named.append((name, folder))
    return named


def load_rulebook(*folders: str) -> Rulebook:
    """The built-in and installed rulebooks with these folders on top.

    Raises RulebookError with every mistake in a book, OSError for a folder that can't be read.
    """
    return tools(folders).rulebook


def entry_points() -> list[tuple[str, Any]]:
    """Installed plugins other than the built-in rules: name and loader.

    Asking every installed distribution takes longer than a whole check, so the folders on the path
    are first searched for a metadata file that names our group.
    """
    if not any(_may_have_plugins(folder) for folder in sys.path):
        return []
    from importlib.metadata import entry_points as installed

    found = sorted(installed(group=GROUP), key=lambda point: (point.name, point.value))
    return [(point.name, point.load) for point in found if point.value != "flockcheck_rules"]


def _may_have_plugins(folder: str) -> bool:
    """Whether a folder of the path has an entry point file of our group, besides our own."""
    try:
        entries = [e.name for e in os.scandir(folder or ".") if e.name.endswith(("-info", ".egg"))]
    except OSError:
        return False
    for name in entries:
        if name.startswith("flockcheck-"):
            continue
        try:
            with open(os.path.join(folder, name, "entry_points.txt"), "rb") as file:
                if b"[flockcheck]" in file.read(MOST_BYTES):
                    return True
        except OSError:
            continue
    return False


def read_setup_file(path: str) -> Setup:
    """A setup from a file, or from standard input for `-`.

    Raises SetupError with every mistake in it, OSError where it can't be read at all.
    """
    if path == "-":
        if sys.stdin is None:
            raise OSError(errno.EBADF, "there is no standard input")
        return read_setup_bytes(sys.stdin.buffer.read(MOST_BYTES + 1), "-")
    with open(path, "rb") as file:
        data = file.read(MOST_BYTES + 1)
    return read_setup_bytes(data, shown(path))


def os_words(error: OSError) -> str:
    """What the system says of a file or folder, in plain words."""
    plain = {
        errno.ENOENT: "there is no such file or folder",
        errno.EACCES: "it may not be read or written by you",
        errno.EPERM: "it may not be read or written by you",
        errno.EISDIR: "this is a folder, not a file",
        errno.ENOTDIR: "this is a file, not a folder",
        errno.ENOSPC: "there is no room left",
    }
    name = str(error.filename or "")
    if error.errno == errno.ENOENT and os.path.islink(name):
        return "this link leads nowhere"
    return plain.get(error.errno or 0, error.strerror or str(error))


def shown(path: str) -> str:
    """A path as reports show it: relative to here where it lies below, with `/`."""
    try:
        full, here = os.path.abspath(path), os.getcwd()
    except OSError:
        full, here = path, os.sep
    inside = full.startswith(here.rstrip(os.sep) + os.sep) and here != os.sep
    name = (os.path.relpath(full, here) if inside else path).replace(os.sep, "/")
    # A name that is no UTF-8 is shown as far as it can be.
    return name.encode("utf-8", "surrogateescape").decode("utf-8", "replace")


def find_setups(path: str) -> tuple[list[str], list[Problem]]:
    """Setup files at or below a path, sorted; hidden folders and links to folders are left out."""
    if path == "-" or not os.path.isdir(path):
        return [path], []
    found: list[str] = []
    problems: list[Problem] = []

    def trouble(error: OSError) -> None:
        problems.append(Problem(shown(str(error.filename)), os_words(error)))

    for here, folders, files in os.walk(path, onerror=trouble):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        found += [
            os.path.join(here, name)
            for name in files
            if (name in NAMES or name.endswith(ENDING)) and not name.startswith(".")
        ]
    found.sort(key=lambda one: one.replace(os.sep, "/"))
    return found, problems


def package_folder() -> str:
    """The folder of the built-in rulebook."""
    return os.path.dirname(str(import_module("flockcheck_rules").__file__))
