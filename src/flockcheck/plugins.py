"""The hooks by which rulebooks, measures and report formats come in: the built-in ones too.

A plugin is a module named by an entry point of the group `flockcheck`. One that fails is named in
the report's problems, what it would have given is missing, and nothing else is harmed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING, Any, NamedTuple

import pluggy

from flockcheck.checkup.model import Problem

if TYPE_CHECKING:
    from flockcheck.measures.graph.registry import Registry

GROUP = "flockcheck"
# The package of the built-in rulebook.
RULES = "flockcheck_rules"
hookspec = pluggy.HookspecMarker(GROUP)
hookimpl = pluggy.HookimplMarker(GROUP)

# What turns a whole run into text: reports, problems and options in, text out.
Writer = Callable[..., str]


class Hooks:
    """What a plugin can give."""

    @hookspec
    def flockcheck_rulebooks(self) -> Sequence[tuple[str, str]]:
        """Rulebook folders: pairs of a name and a folder of rule, table and source files."""
        raise NotImplementedError

    @hookspec
    def flockcheck_measures(self) -> Sequence[ModuleType]:
        """Modules with functions marked by `measure`."""
        raise NotImplementedError

    @hookspec
    def flockcheck_reports(self) -> dict[str, Writer]:
        """Report formats by name: functions of a run's results that return a text."""
        raise NotImplementedError


class Gathered(NamedTuple):
    """What all plugins gave, and what went wrong with some of them."""

    rulebooks: list[tuple[str, str]]
    measures: list[ModuleType]
    reports: dict[str, Writer]
    problems: list[Problem]


def gather(found: Sequence[tuple[str, Callable[[], Any]]] = ()) -> Gathered:
    """Load the built-in parts and the plugins found (name and loader), each by itself."""
    gathered = Gathered([], [], {}, [])
    for name, load in [("flockcheck", _builtin), (RULES, _rules), *found]:
        manager = pluggy.PluginManager(GROUP)
        manager.add_hookspecs(Hooks)
        try:
            manager.register(load(), name)
            manager.check_pending()
            _take(manager.hook, name, gathered)
        except Exception as error:  # a stranger's code may raise anything
            says = f"{type(error).__name__}: {error}. It is left out of this run"
            gathered.problems.append(Problem(f"plugin {name}", says))
    return gathered


def _take(hook: Any, name: str, gathered: Gathered) -> None:
    """Take what one plugin gives, all or nothing."""
    books = [pair for given in hook.flockcheck_rulebooks() for pair in given]
    modules = [module for given in hook.flockcheck_measures() for module in given]
    formats: dict[str, Writer] = {}
    for given in hook.flockcheck_reports():
        formats.update(given)
    for format_name in formats:
        if format_name in gathered.reports:
            raise ValueError(f"the report format {format_name} is there already")
    gathered.rulebooks.extend((str(label), str(folder)) for label, folder in books)
    gathered.measures.extend(modules)
    gathered.reports.update(formats)


class _Builtin:
    @hookimpl
    def flockcheck_measures(self) -> Sequence[ModuleType]:
        """The measures of this package."""
        from flockcheck.measures.builtin import MODULES

        return MODULES

    @hookimpl
    def flockcheck_reports(self) -> dict[str, Writer]:
        """The report formats of this package, each imported when it is used."""
        return {"text": _text, "json": _json}


def _builtin() -> Any:
    return _Builtin()


def _rules() -> Any:
    return import_module(RULES)


def _text(*args: Any, **options: Any) -> str:
    from flockcheck.reports.text import write

    return write(*args, **options)


def _json(*args: Any, **options: Any) -> str:
    from flockcheck.reports.jsonform import write

    return write(*args, **options)


def registry_of(gathered: Gathered) -> Registry:
    """A registry with every measure given; a module that doesn't fit becomes a problem."""
    from flockcheck.measures.graph.registry import Registry, RegistryError

    registry = Registry()
    for module in gathered.measures:
        try:
            registry.take(module)
        except RegistryError as error:
            gathered.problems.append(Problem(f"measures of {module.__name__}", str(error)))
    return registry
