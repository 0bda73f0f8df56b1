"""What the shell may complete: setups, rules, words, standards. Nothing here ever fails."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import click
    from click.shell_completion import CompletionItem

    from flockcheck.rulebook.book import Rulebook


def setup_paths(
    ctx: click.Context, param: click.Parameter, incomplete: str
) -> list[CompletionItem]:
    """Setup files, and the folders that may hold some."""
    from click.shell_completion import CompletionItem

    return [CompletionItem(path) for path in _paths(incomplete)]


def _paths(incomplete: str) -> list[str]:
    from flockcheck.files import ENDING, NAMES

    folder, start = os.path.split(incomplete)
    try:
        entries = sorted(os.scandir(folder or "."), key=lambda entry: entry.name)
    except OSError:
        return []
    files: list[str] = []
    folders: list[str] = []
    for entry in entries:
        name = entry.name
        if not name.startswith(start) or (name.startswith(".") and not start):
            continue
        path = os.path.join(folder, name)
        if entry.is_dir():
            folders.append(path + os.sep)
        elif name in NAMES or name.endswith(ENDING):
            files.append(path)
    if folders and not files and len(folders) == 1:
        # A single answer gets a space behind it, so what is inside the folder is shown as well.
        return [*folders, *_paths(folders[0])] if folders[0] != incomplete else folders
    return files + folders


def rule_names(ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """The names of rules, each with its question."""
    from click.shell_completion import CompletionItem

    book = _book(ctx)
    if book is None:
        return []
    return [
        CompletionItem(rule.name, help=rule.asks)
        for rule in book.rules.values()
        if rule.name.startswith(incomplete)
    ]


def rules_and_words(
    ctx: click.Context, param: click.Parameter, incomplete: str
) -> list[CompletionItem]:
    """The names of rules and the words of the glossary, with dashes for spaces."""
    from click.shell_completion import CompletionItem

    from flockcheck.reports.glossary import words

    found = rule_names(ctx, param, incomplete)
    for word in words():
        dashed = word.replace(" ", "-")
        if dashed.startswith(incomplete.lower()):
            found.append(CompletionItem(dashed, help="a word"))
    return found


def standards_known(
    ctx: click.Context, param: click.Parameter, incomplete: str
) -> list[CompletionItem]:
    """The names of the sets of limits that can be asked for."""
    from click.shell_completion import CompletionItem

    book = _book(ctx)
    names = book.standards if book is not None else ()
    return [CompletionItem(name) for name in names if name.startswith(incomplete)]


def _book(ctx: click.Context) -> Rulebook | None:
    """The rulebook, with those that are named on the line so far; None where it can't be had."""
    from flockcheck.workshop import tools

    try:
        return tools(ctx.params.get("rulebooks") or ()).rulebook
    except Exception:  # a shell that completes must not show a traceback
        return None
