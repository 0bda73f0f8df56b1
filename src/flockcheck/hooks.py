"""The hooks as pluggy knows them: what a plugin can give, and how it is asked.

Apart from `plugins`, as a run in which none is installed has no need of pluggy.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from types import ModuleType
from typing import Any

import pluggy

GROUP = "flockcheck"
hookspec = pluggy.HookspecMarker(GROUP)
hookimpl = pluggy.HookimplMarker(GROUP)


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
    def flockcheck_reports(self) -> dict[str, Callable[..., str]]:
        """Report formats by name: functions of a run's results that return a text."""
        raise NotImplementedError


KNOWN = tuple(name for name in vars(Hooks) if name.startswith("flockcheck_"))


class HookError(ValueError):
    """A plugin whose hooks are no use; the text tells why and what would do."""


def answers_of(given: Any, name: str) -> Callable[[str], list[Any]]:
    """What asks a plugin: a hook's name in, what it gave out (nothing, where it has none of it).

    Raises HookError, and whatever the plugin's own code raises.
    """
    manager = pluggy.PluginManager(GROUP)
    manager.add_hookspecs(Hooks)
    manager.register(given, name)
    _check(manager, given)

    def ask(hook: str) -> list[Any]:
        answers: list[Any] = getattr(manager.hook, hook)()
        return answers

    return ask


def _check(manager: pluggy.PluginManager, given: Any) -> None:
    """Refuse a plugin with an unknown hook, with one that nobody would call, and with none."""
    callers = manager.get_hookcallers(given) or []
    called = {one.name for one in callers if not all(i.optionalhook for i in one.get_hookimpls())}
    unknown = sorted(called.difference(KNOWN))
    if unknown:
        hooks = ", ".join(KNOWN)
        raise HookError(f"it has a hook {unknown[0]}, which is not among {hooks}")
    unmarked = [name for name in KNOWN if name not in called and hasattr(given, name)]
    if unmarked:
        raise HookError(f"its function {unmarked[0]} is not marked; write @flockcheck.hookimpl")
    if not called:
        hooks = " or ".join(KNOWN)
        raise HookError(f"it has no hook; the entry point names a module with {hooks}")
