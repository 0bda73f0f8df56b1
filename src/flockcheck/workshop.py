"""Putting a run together: plugins, rulebooks and setups from folders to reports.

The only place besides `cli` and `club` that opens files.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Any, NamedTuple

from flockcheck import __version__
from flockcheck.plugins import GROUP, Gathered, Problem, gather, registry_of
from flockcheck.rulebook.book import Rulebook, load_books
from flockcheck.rulebook.model import RulebookError
from flockcheck.setup.reader import SetupError, read_setup_bytes
from flockcheck.setup.written import Setup
from flockcheck.text.document import MOST_BYTES, Fault

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


def tools(folders: Sequence[str] = ()) -> Tools:
    """The built-in and installed rulebooks with more on top. Raises RulebookError, OSError.

    A plugin's rulebook that is spoiled is left out and named; one that was asked for by its folder
    is an error, since the user would believe it was used.
    """
    found = gather(entry_points())
    problems = list(found.problems)
    asked = [(os.path.basename(os.path.abspath(folder)), folder) for folder in folders]
    books = list(found.rulebooks)
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
    problems += [problem for problem in found.problems if problem not in problems]
    return Tools(rulebook, found, tuple(problems))


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
    """A setup from a file, or from standard input for `-`. Raises SetupError."""
    try:
        if path == "-":
            data = sys.stdin.buffer.read(MOST_BYTES + 1)
            return read_setup_bytes(data, "-")
        with open(path, "rb") as file:
            data = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise SetupError(shown(path), (Fault(1, 1, "", os_words(error)),)) from None
    return read_setup_bytes(data, shown(path))


def os_words(error: OSError) -> str:
    """What the system says of a file, in plain words."""
    plain = {
        "FileNotFoundError": "there is no such file",
        "PermissionError": "this file may not be read by you",
        "IsADirectoryError": "this is a folder, not a file",
    }
    return plain.get(type(error).__name__, error.strerror or str(error))


def shown(path: str) -> str:
    """A path as reports show it: relative to here where it lies below, with `/`."""
    full = os.path.abspath(path)
    here = os.getcwd()
    inside = full.startswith(here.rstrip(os.sep) + os.sep)
    return (os.path.relpath(full, here) if inside else path).replace(os.sep, "/")


def find_setups(path: str) -> tuple[list[str], list[Problem]]:
    """Setup files at or below a path, sorted; hidden folders and links to folders are left out."""
    if path == "-" or not os.path.isdir(path):
        return [path], []
    found: list[str] = []
    problems: list[Problem] = []

    def trouble(error: OSError) -> None:
        problems.append(Problem(shown(str(error.filename)), "this folder may not be read by you"))

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
