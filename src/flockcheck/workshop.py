"""Putting a run together: the rulebooks, measures and report formats of all plugins.

What does not fit the rest is left out and named, and the rest works without it.
"""

from __future__ import annotations

import contextlib
import os
import sys
import warnings
from collections.abc import Iterable, Sequence
from typing import Protocol

from flockcheck import __version__
from flockcheck.checkup.model import Problem
from flockcheck.files import readable
from flockcheck.installed import installed_plugins
from flockcheck.measures.graph.registry import Registry, RegistryError
from flockcheck.plugins import (
    BOOKS,
    MEASURES,
    RULES,
    Gathered,
    error_words,
    gather,
    registry_of,
)
from flockcheck.rulebook.book import Rulebook, load_books
from flockcheck.rulebook.model import BookFault, RulebookError
from flockcheck.text.records import NamedTuple

# Rulebooks: the name of each, and its folder.
Books = list[tuple[str, str]]


class Tools(NamedTuple):
    """What a run works with: the rulebook, the report formats, and what could not be had."""

    rulebook: Rulebook
    gathered: Gathered
    problems: tuple[Problem, ...]


def cache_folder() -> str:
    """Where compiled rulebooks and reports are kept for this user."""
    if sys.platform == "linux" and "ANDROID_DATA" not in os.environ:
        # As platformdirs has it, whose import takes a tenth of a short run.
        base = os.environ.get("XDG_CACHE_HOME", "")
        return os.path.join(base if base.strip() else os.path.expanduser("~/.cache"), "flockcheck")
    from platformdirs import user_cache_dir

    return user_cache_dir("flockcheck", appauthor=False)


def tools(folders: Sequence[str] = (), *, alone: bool = False) -> Tools:
    """The built-in and installed rulebooks with more on top. Raises RulebookError, OSError.

    With `alone` only the folders given are read, on the measures that are there.

    A part of a plugin that can't be used is left out and named; a book that was asked for by its
    folder is an error, since the user would believe it was used.
    """
    installed = installed_plugins()
    found = gather(installed.plugins)
    found.problems[:0] = installed.problems
    if not found.rulebooks:
        says = "its package is not there, or damaged. Install flockcheck again"
        raise RulebookError(RULES, (BookFault("", 0, "", says),))
    asked = _asked(folders, found, alone)
    while True:
        registry = registry_of(found)
        try:
            rulebook = _load(found, asked, alone, registry)
        except Exception as error:
            if _leave_out(found, asked, alone, registry, error):
                continue
            if isinstance(error, RegistryError):
                raise RulebookError(RULES, (BookFault("", 0, "", str(error)),)) from None
            raise
        return Tools(rulebook, found, tuple(found.problems))


class Failing(Protocol):
    """Something on which measures or rules failed: a report, say."""

    @property
    def file(self) -> str:
        """The setup's name."""

    @property
    def failures(self) -> tuple[str, ...]:
        """What failed, and how."""


def failures_told(found: Iterable[Failing], kit: Tools) -> list[Problem]:
    """Measures and rules that failed on some setups, each told once with who is to mend it."""
    files: dict[str, list[str]] = {}
    for one in found:
        for failure in one.failures:
            files.setdefault(failure, []).append(one.file)
    return [_failure_told(failure, where, kit) for failure, where in files.items()]


def _failure_told(failure: str, files: list[str], kit: Tools) -> Problem:
    name, _, says = failure.partition(": ")
    rule = kit.rulebook.rules.get(name.removeprefix("rule "))
    if rule is not None and name.startswith("rule "):
        about, plugin = name, kit.gathered.giver(book=rule.book)
    else:
        about = f"measure {name}"
        plugin = kit.gathered.giver(module=kit.rulebook.registry.origin(name))
    more = f" and {len(files) - 1} more" if len(files) > 1 else ""
    mend = "Please report it, with the setup if you can"
    if plugin is not None:
        about += f" of plugin {plugin.name}"
        mend = "Mend or uninstall the plugin"
    says = f"it failed on {files[0]}{more} ({says}), so that what rests on it was not checked"
    return Problem(about, f"{says}. {mend}")


def _load(found: Gathered, asked: Books, alone: bool, registry: Registry) -> Rulebook:
    books = [*([] if alone else found.rulebooks), *asked]
    return load_books(books, registry, version=__version__, cache=cache_folder)


def _leave_out(
    found: Gathered, asked: Books, alone: bool, registry: Registry, error: Exception
) -> bool:
    """Leave out the part of a plugin that an error is due to, and tell; False if it is due to none.

    Most errors name a book or a measure. Others, as when a plugin's table takes the place of one
    that the built-in rules need, are due to the part without which all can be loaded.
    """
    if isinstance(error, RulebookError) and error.book in [name for name, _ in asked]:
        return False
    for plugin in found.guests:
        for book in plugin.rulebooks:
            if _is_of(error, book):
                says = _first(error) if isinstance(error, RulebookError) else error_words(error)
                found.trouble(plugin, f"its rulebook {book[0]} (hook {BOOKS}) is no use: {says}")
                plugin.rulebooks.remove(book)
                return True
        if isinstance(error, RegistryError):
            origin = registry.origin(error.measure)
            if origin in [module.__name__ for module in plugin.measures]:
                found.trouble(plugin, f"its hook {MEASURES} gives what is no use: {error}")
                plugin.measures.clear()
                return True
    return not isinstance(error, OSError) and _leave_out_by_trial(found, asked, alone, error)


def _leave_out_by_trial(found: Gathered, asked: Books, alone: bool, error: Exception) -> bool:
    guests = [plugin for plugin in reversed(found.guests) if plugin.rulebooks or plugin.measures]
    for plugin in guests:
        books, measures = plugin.rulebooks, plugin.measures
        for part, some_books, some_measures in (
            ("rulebooks", [], measures),
            ("measures", books, []),
            ("rulebooks and measures", [], []),
        ):
            plugin.rulebooks, plugin.measures = some_books, some_measures
            with contextlib.suppress(Exception):
                _load(found, asked, alone, registry_of(found))
                says = _first(error) if isinstance(error, RulebookError) else error_words(error)
                found.trouble(plugin, f"with its {part} the built-in rules are no use: {says}")
                return True
        plugin.rulebooks, plugin.measures = books, measures
    if guests:
        # More than one is to blame: without any of them there are still the built-in rules.
        guests[0].rulebooks, guests[0].measures = [], []
        found.trouble(guests[0], "its rulebooks and measures don't go together with others'")
    return bool(guests)


def _is_of(error: Exception, book: tuple[str, str]) -> bool:
    """Whether an error is a rulebook's own: a mistake in it, or a file of it that can't be read."""
    name, folder = book
    if isinstance(error, OSError):
        return str(error.filename).startswith(folder)
    return isinstance(error, RulebookError) and error.book == name


def _first(error: RulebookError) -> str:
    """The first of a book's mistakes, and how to see the others."""
    fault = error.faults[0]
    where = f"{fault.file}, line {fault.line}: " if fault.file else ""
    more = len(error.faults) - 1
    return f"{where}{fault.says}" + (f" (and {more} more; see `flockcheck prove`)" if more else "")


def _asked(folders: Sequence[str], found: Gathered, alone: bool) -> Books:
    """Rulebook folders, each with a name of its own.

    What is there anyway is passed over, but a plugin's book is then held to what is asked for.
    """
    asked: Books = []
    there = {} if alone else {os.path.realpath(folder): name for name, folder in found.rulebooks}
    for folder in folders:
        full = os.path.realpath(folder)
        name = _taken_from_its_plugin(full, found)
        if not name:
            if full in there:
                continue
            name = readable(os.path.basename(full) or full)
            while name in there.values():
                name += "'"
        there[full] = name
        asked.append((name, folder))
    return asked


def _taken_from_its_plugin(full: str, found: Gathered) -> str:
    """The name of a plugin's rulebook, which is the plugin's no longer; empty for any other."""
    for plugin in found.guests:
        for book in plugin.rulebooks:
            if os.path.realpath(book[1]) == full:
                plugin.rulebooks.remove(book)
                return book[0]
    return ""


def load_rulebook(*folders: str) -> Rulebook:
    """The built-in and installed rulebooks with these folders on top.

    Raises RulebookError with every mistake in a book, OSError for a folder that can't be read, and
    warns of each plugin that could not be used.
    """
    kit = tools(folders)
    for problem in kit.problems:
        warnings.warn(f"{problem.about}: {problem.says}", RuntimeWarning, stacklevel=2)
    return kit.rulebook
