"""How rulebooks, measures and report formats come in by their hooks: the built-in ones too.

A plugin is a module named by an entry point of the group `flockcheck`. What one of its hooks gives
is taken whole or not at all: where it is no use, the report's problems name the plugin, the hook,
what is wrong and what would do, and nothing else is harmed.

The built-in parts give what they give by functions of the same names, and it is taken by the same
way; only are they called straight, since finding out which hooks a stranger has costs a start.
"""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING, Any

from flockcheck.checkup.model import Problem
from flockcheck.text.records import NamedTuple

if TYPE_CHECKING:
    from flockcheck.measures.graph.registry import Registry

GROUP = "flockcheck"
# The package of the built-in rulebook.
RULES = "flockcheck_rules"
# Whatever a stranger's code may raise, short of the keeper's own Ctrl-C.
ANYTHING = (Exception, SystemExit)

# What turns a whole run into text: reports, rulebook, problems and options in, text out.
Writer = Callable[..., str]


BOOKS, MEASURES, REPORTS = "flockcheck_rulebooks", "flockcheck_measures", "flockcheck_reports"
_DUE = {
    BOOKS: 'a list of pairs of a name and a folder, such as [("shade_trees", FOLDER)]',
    MEASURES: "a list of modules, such as [shade_trees.measures]",
    REPORTS: 'a dictionary of functions by name, such as {"lines": write}',
}


class Plugin:
    """What one plugin gave, under what name its problems are told, and whether it is a guest."""

    __slots__ = ("guest", "measures", "name", "reports", "rulebooks")

    def __init__(self, name: str, guest: bool) -> None:
        self.name = name
        self.guest = guest
        self.rulebooks: list[tuple[str, str]] = []
        self.measures: list[ModuleType] = []
        self.reports: dict[str, Writer] = {}


class Gathered(NamedTuple):
    """What all plugins gave, and what went wrong with some of them."""

    plugins: list[Plugin]
    problems: list[Problem]

    @property
    def rulebooks(self) -> list[tuple[str, str]]:
        """Every rulebook's name and folder, the built-in one first."""
        return [book for plugin in self.plugins for book in plugin.rulebooks]

    @property
    def reports(self) -> dict[str, Writer]:
        """Every report format by its name."""
        return {name: one for plugin in self.plugins for name, one in plugin.reports.items()}

    @property
    def guests(self) -> list[Plugin]:
        """The plugins that are not built in."""
        return [plugin for plugin in self.plugins if plugin.guest]

    def giver(self, *, book: str = "", module: str = "", format_name: str = "") -> Plugin | None:
        """The guest that gave a rulebook, measures or a report format; None: it is built in."""
        for one in self.guests:
            books = [name for name, _ in one.rulebooks]
            modules = [given.__name__ for given in one.measures]
            if book in books or module in modules or format_name in one.reports:
                return one
        return None

    def trouble(self, plugin: Plugin, says: str) -> None:
        """Tell of a plugin's fault, for which a part of it is left out."""
        says = f"{says.rstrip('.')}. That is left out of this run; mend or uninstall the plugin"
        self.problems.append(Problem(f"plugin {plugin.name}", says))


class _Useless(ValueError):
    """What a hook gave is no use; the text tells why and what would do."""


def gather_rules() -> Gathered:
    """The built-in rulebook alone, without its measures: what is needed to find its folder."""
    gathered = Gathered([], [])
    _gather(Plugin(RULES, guest=False), _rules, gathered)
    return gathered


def gather(found: Sequence[tuple[str, Callable[[], Any]]] = ()) -> Gathered:
    """Load the built-in parts and the plugins found (name and loader), each by itself."""
    gathered = Gathered([], [])
    for name, load in [("flockcheck", _builtin), (RULES, _rules)]:
        _gather(Plugin(name, guest=False), load, gathered)
    if found:
        # What a plugin prints when it is loaded must not get into a report.
        with contextlib.redirect_stdout(sys.stderr):
            for name, load in found:
                _gather(Plugin(name, guest=True), load, gathered)
    return gathered


def _gather(plugin: Plugin, load: Callable[[], Any], gathered: Gathered) -> None:
    try:
        ask = _asking(plugin, load())
    except _Useless as error:
        gathered.trouble(plugin, str(error))
        return
    except ANYTHING as error:
        gathered.trouble(plugin, f"it can't be loaded ({error_words(error)})")
        return
    for hook, take in _TAKERS:
        try:
            take(ask(hook), plugin, gathered)
        except _Useless as error:
            gathered.trouble(plugin, f"its hook {hook} {error}")
        except ANYTHING as error:
            gathered.trouble(plugin, f"its hook {hook} failed ({error_words(error)})")
    gathered.plugins.append(plugin)


def _asking(plugin: Plugin, given: Any) -> Callable[[str], list[Any]]:
    """What asks a plugin: a hook's name in, what it gave out."""
    if not plugin.guest:
        return lambda hook: [getattr(given, hook)()] if hasattr(given, hook) else []
    from flockcheck.hooks import HookError, answers_of

    try:
        return answers_of(given, plugin.name)
    except HookError as error:
        raise _Useless(str(error)) from None


def _take_books(given: list[Any], plugin: Plugin, gathered: Gathered) -> None:
    taken = {name for name, _ in gathered.rulebooks}
    books: list[tuple[str, str]] = []
    for pair in _listed(given, BOOKS):
        if not isinstance(pair, (tuple, list)) or len(pair) != 2:
            raise _no_use(f"a list with {_kind(pair)} in it", BOOKS)
        name, folder = pair
        if not isinstance(name, str) or not isinstance(folder, (str, os.PathLike)):
            raise _no_use(f"a pair of {_kind(name)} and {_kind(folder)}", BOOKS)
        if not name.isprintable() or not name.strip():
            raise _Useless("gives a rulebook without a name; name it as the package is named")
        if name in taken:
            raise _Useless(f"names a rulebook {name}, which is there already; name it otherwise")
        path = os.fsdecode(folder)
        if not os.path.isabs(path) or not os.path.isdir(path):
            says = f"names {path}, which is no folder"
            raise _Useless(f"{says}; give its whole path, made from os.path.dirname(__file__)")
        taken.add(name)
        books.append((name, path))
    plugin.rulebooks += books


def _take_modules(given: list[Any], plugin: Plugin, gathered: Gathered) -> None:
    modules = _listed(given, MEASURES)
    for module in modules:
        if not isinstance(module, ModuleType):
            raise _no_use(f"a list with {_kind(module)} in it", MEASURES)
        if not any(hasattr(one, "__measure__") for one in vars(module).values()):
            says = f"gives the module {module.__name__}, in which nothing is a measure"
            raise _Useless(f"{says}; mark its functions with @flockcheck.measure")
    plugin.measures += dict.fromkeys(modules)


def _take_reports(given: list[Any], plugin: Plugin, gathered: Gathered) -> None:
    there = gathered.reports
    formats: dict[str, Writer] = {}
    for one in given:
        if not isinstance(one, dict):
            raise _no_use(_kind(one), REPORTS)
        for name, writer in one.items():
            if not isinstance(name, str) or not callable(writer):
                says = f"a dictionary with {_kind(writer)} under {_kind(name)}"
                raise _no_use(says, REPORTS)
            if name in there:
                says = f"gives a report format `{name}`, which is there already"
                raise _Useless(f"{says}; name it otherwise")
            formats[name] = writer
    plugin.reports.update(formats)


_TAKERS: tuple[tuple[str, Callable[[list[Any], Plugin, Gathered], None]], ...] = (
    (BOOKS, _take_books),
    (MEASURES, _take_modules),
    (REPORTS, _take_reports),
)


def _listed(given: list[Any], hook: str) -> list[Any]:
    """What a hook gave, as one list; a text or a single thing is none."""
    for one in given:
        if not isinstance(one, (list, tuple)):
            raise _no_use(_kind(one), hook)
    return [item for one in given for item in one]


def _no_use(given: str, hook: str) -> _Useless:
    return _Useless(f"gave {given}; it should give {_DUE[hook]}")


def _kind(given: Any) -> str:
    """What something is, with its article: a str, an int."""
    name = type(given).__name__
    return f"an {name}" if name[:1].lower() in "aeio" else f"a {name}"


def error_words(error: BaseException) -> str:
    """An error of someone's code in one line of bounded length."""
    try:
        says = " ".join(str(error).split())
    except ANYTHING:
        says = "it can't even be shown"
    says = says if len(says) <= 300 else f"{says[:297]}..."
    return f"{type(error).__name__}: {says}" if says else type(error).__name__


class _Builtin:
    def flockcheck_measures(self) -> Sequence[ModuleType]:
        """The measures of this package."""
        from flockcheck.measures.builtin import MODULES

        return MODULES

    def flockcheck_reports(self) -> dict[str, Writer]:
        """The report formats of this package, each imported when it is used."""
        return {"text": _text, "json": _json, "jsonl": _jsonl, "margin": _margin, "sarif": _sarif}


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


def _margin(*args: Any, **options: Any) -> str:
    from flockcheck.reports.margin import write

    return write(*args, **options)


def _jsonl(*args: Any, **options: Any) -> str:
    from flockcheck.reports.jsonform import write_lines

    return write_lines(*args, **options)


def _sarif(*args: Any, **options: Any) -> str:
    from flockcheck.reports.sarif import write

    return write(*args, **options)


def registry_of(gathered: Gathered) -> Registry:
    """A registry with every measure given.

    Where one of a plugin's measures can't be taken, all of that plugin's are left out, and told.
    """
    from flockcheck.measures.graph.registry import Registry, RegistryError

    registry = Registry()
    for plugin in gathered.plugins:
        try:
            registry.take(*plugin.measures)
        except RegistryError as error:
            gathered.trouble(plugin, f"its hook {MEASURES} gives what can't be used: {error}")
            plugin.measures.clear()
    return registry
