"""A view on what was written: keys read by name, and `Missing` for what was left out.

Reading a key that the keeper left out raises `Missing` with the key's path; reading one that the
format lacks is a mistake in the code and raises AttributeError.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, ClassVar

from flockcheck.setup.form import general, kind_of, resolve, shape_of
from flockcheck.setup.written import Setup


class Missing(Exception):
    """What a measure needs was not written: the keys, and why where no key would help."""

    def __init__(self, *keys: str, why: str = "") -> None:
        self.keys = tuple(dict.fromkeys(keys)) if len(keys) > 1 else keys
        self.why = why

    def __str__(self) -> str:
        return self.why or ", ".join(self.keys)


# Stands for a key that was looked up and is missing.
_MISSING = object()


def _unheard(path: str) -> None:
    """Take no note of what is read."""


class Section:
    """A view on the keys below a path; `hear` is told each key that is read.

    With `once` it is told of each key the first time alone, and reading it again costs nothing.
    """

    _parts: ClassVar[dict[str, type[Section]]] = {}

    def __init__(
        self,
        setup: Setup,
        path: str,
        hear: Callable[[str], None] = _unheard,
        *,
        once: bool = False,
    ) -> None:
        own = self.__dict__
        own["_setup"], own["_hear"], own["_path"], own["_once"] = setup, hear, path, once
        # What every key's path begins with, and what is written, at hand for the many reads.
        own["_below"], own["_values"] = f"{path}." if path else "", setup.values
        # What came of the keys that are no single written value, looked up in the format once.
        own["_found"] = {}

    def __repr__(self) -> str:
        return f"<{type(self).__name__} {self.__dict__['_path'] or 'setup'}>"

    if not TYPE_CHECKING:

        def __getattr__(self, name: str) -> Any:
            if name[0] == "_":
                # Asked by Python itself, as when a section is copied.
                raise AttributeError(name)
            own = self.__dict__
            key = name if name[-1] != "_" else name[:-1]
            path = own["_below"] + key
            written = own["_values"].get(path)
            if written is not None:
                own["_hear"](path)
                found = written.value
                if own["_once"]:
                    own[name] = found
                return found
            if key in own["_found"]:
                own["_hear"](path)
                found = own["_found"][key]
                if found is _MISSING:
                    raise Missing(path)
                if own["_once"]:
                    own[name] = found
                return found
            shape = shape_of(general(path))
            if shape is None:
                raise AttributeError(f"the setup format has no key {path}")
            return self._unwritten(key, path, shape)

    def _unwritten(self, key: str, path: str, shape: dict[str, Any]) -> Any:
        own = self.__dict__
        kind = kind_of(shape)
        if kind == "section":
            part = self._parts.get(key, Section)(
                own["_setup"], path, own["_hear"], once=own["_once"]
            )
            own[key] = part
            return part
        own["_hear"](path)
        if kind == "list" and kind_of(resolve(shape["items"])) == "section":
            count = own["_setup"].lists.get(path)
            if count is not None:
                part_of = self._parts.get(key, Section)
                found = own["_found"][key] = tuple(
                    part_of(own["_setup"], f"{path}.{at}", own["_hear"], once=own["_once"])
                    for at in range(count)
                )
                return found
        if "absent" in shape:
            found = own["_found"][key] = absent_value(shape)
            return found
        own["_found"][key] = _MISSING
        raise Missing(path)


def lacks(section: Section, key: str) -> bool:
    """Whether a key was asked for before and is known to be left out; it counts as read again.

    A measure asks the same for every day, and to raise Missing for each of them takes its time.
    """
    own = section.__dict__
    if own.get("_found", {}).get(key) is not _MISSING:
        return False
    own["_hear"](own["_below"] + key)
    return True


def absent_value(shape: dict[str, Any]) -> Any:
    """What a key that was left out stands for, where the schema says that leaving out means it."""
    absent = shape["absent"]
    if isinstance(absent, list):
        return ()
    if "dimension" in shape:
        from flockcheck.text.quantities import parse_quantity

        return parse_quantity(absent, shape["dimension"]).value
    return absent
