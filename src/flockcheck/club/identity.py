"""What the reports of a run rest on besides the setups: a name under which they may be kept."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from types import ModuleType
from typing import Any

import yaml

import flockcheck
from flockcheck.club.settings import Settings
from flockcheck.club.work import Wishes
from flockcheck.installed import installed_plugins
from flockcheck.plugins import Gathered, gather, gather_rules
from flockcheck.rulebook.book import new_hash, read_files

# A change of what is kept makes old reports useless.
FORM = "2"
# A plugin's package with more files than this is not looked through.
_MOST_FILES = 2_000


def identity(folders: Sequence[str], wishes: Wishes, club: Settings | None) -> str | None:
    """A name for a kind of run: another one wherever a report could come out otherwise.

    It rests on the bytes of the program, of every rulebook and of the packages of plugins with
    measures, on the club's settings and on what was asked for; not on any path. None where that
    can't be found out, and nothing should be kept.
    """
    try:
        found = _plugins()
        if found is None:
            return None
        digest = new_hash(20)
        python = (sys.implementation.name, *sys.version_info[:3], yaml.__version__)
        digest.update(json.dumps([FORM, flockcheck.__version__, python, _asked(wishes)]).encode())
        _add(digest, "program", _source(os.path.dirname(flockcheck.__file__)))
        for name, folder in [*found.rulebooks, *(("", folder) for folder in folders)]:
            _add(digest, f"rules {name}", sorted(read_files(folder).items()))
        for plugin in found.guests:
            _add(digest, f"plugin {plugin.name}", [])
            for module in plugin.measures:
                _add(digest, f"measures {module.__name__}", _package(module))
        _add(digest, "club", [] if club is None else [("", club.data)])
        return str(digest.hexdigest())
    except (OSError, _Unknown):
        return None


class _Unknown(Exception):
    """What something rests on can't be found out."""


def _plugins() -> Gathered | None:
    """The rulebooks and measures of all plugins; None where one of them is in trouble."""
    installed = installed_plugins()
    if installed.problems:
        return None
    if not installed.plugins:
        # The usual case, in which no measure need be imported.
        return gather_rules()
    found = gather(installed.plugins)
    return None if found.problems else found


def _asked(wishes: Wishes) -> list[Any]:
    """Every wish, so that none that is added later can be forgotten."""
    return [one.isoformat() if isinstance(one, date) else one for one in wishes._asdict().values()]


def _add(digest: Any, what: str, files: Iterable[tuple[str, bytes]]) -> None:
    digest.update(f"{what}\n".encode("utf-8", "surrogateescape"))
    for name, data in files:
        digest.update(f"{name} {len(data)}\n".encode("utf-8", "surrogateescape"))
        digest.update(data)


def _source(folder: str) -> Iterator[tuple[str, bytes]]:
    """A package's files with their names in it, but for what Python compiled."""
    count = 0
    for here, folders, files in os.walk(folder):
        folders[:] = sorted(name for name in folders if name != "__pycache__")
        for name in sorted(files):
            count += 1
            if count > _MOST_FILES:
                raise _Unknown(folder)
            path = os.path.join(here, name)
            with open(path, "rb", buffering=0) as file:
                yield os.path.relpath(path, folder).replace(os.sep, "/"), file.read()


def _package(module: ModuleType) -> Iterator[tuple[str, bytes]]:
    """The files of the whole package that a plugin's module belongs to."""
    top = sys.modules.get(module.__name__.partition(".")[0])
    file = getattr(top, "__file__", None)
    if file is None:
        raise _Unknown(module.__name__)
    if os.path.basename(file).startswith("__init__."):
        yield from _source(os.path.dirname(file))
    else:
        with open(file, "rb") as own:
            yield os.path.basename(file), own.read()
