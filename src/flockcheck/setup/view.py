"""A view on what was written: keys read by name, and `Missing` for what was left out.

Reading a key that the keeper left out raises `Missing` with the key's path; reading one that the
format lacks is a mistake in the code and raises AttributeError.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
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


class _LeftOut:
    """Stands for a key that was looked up and is missing; a class stays itself when copied."""


def _unheard(path: str) -> None:
    """Take no note of what is read."""


class Section:
    """A view on the keys below a path; `hear` is told each key that is read.

    With `once` it is told of each key the first time alone, and reading it again costs nothing.
    The keys that a class annotates read themselves (`_Key`), for measures ask a thousand times a
    check; `__getattr__` serves the sections below, which are kept once made, and what is no key.
    """

    _parts: ClassVar[dict[str, type[Section]]] = {}

    def __init_subclass__(cls) -> None:
        for name, kind in cls.__annotations__.items():
            if name[0] != "_" and kind != getattr(cls._parts.get(name), "__name__", ""):
                setattr(cls, name, _Key(name))

    def __init__(
        self,
        setup: Setup,
        path: str,
        hear: Callable[[str], None] = _unheard,
        *,
        once: bool = False,
        like: str | None = None,
    ) -> None:
        self._setup, self._path = setup, path
        # What every key's path begins with.
        self._below = f"{path}." if path else ""
        # The same as the format has it: with a star for each place in a list.
        self._like = general(self._below) if like is None else like
        # All that a read takes, at hand in one place. First what came of the keys that were looked
        # up, by name: the path, and what is read there.
        seen: dict[str, tuple[str, Any]] = {}
        self._read = seen, hear, self._below, setup.values, once

    def __repr__(self) -> str:
        return f"<{type(self).__name__} {self._path or 'setup'}>"

    if not TYPE_CHECKING:

        def __getattr__(self, name: str) -> Any:
            if name[0] == "_":
                # Asked by Python itself, as when a section is copied.
                raise AttributeError(name)
            key = name.removesuffix("_")
            if self._form(key)[0] != "section":
                return _Key(name).__get__(self)
            part = self.__dict__[key] = self._part(key)
            return part

    def _form(self, key: str) -> tuple[str, Any]:
        form = _form_of(f"{self._like}{key}")
        if form is None:
            raise AttributeError(f"the setup format has no key {self._below}{key}")
        return form

    def _part(self, key: str, at: str = "") -> Section:
        """The section below a key, or one of a list at `.0`, `.1` and so on."""
        like = f"{self._like}{key}.*." if at else f"{self._like}{key}."
        kind = self._parts.get(key, Section)
        _, hear, below, _, once = self._read
        return kind(self._setup, f"{below}{key}{at}", hear, once=once, like=like)

    def _unwritten(self, key: str, path: str) -> tuple[str, Any]:
        """The path of a key that is no written value, and what is read there."""
        kind, value = self._form(key)
        count = self._setup.lists.get(path) if kind == "list" else None
        if count is not None:
            value = tuple(self._part(key, f".{at}") for at in range(count))
        elif kind == "section":
            value = getattr(self, key)
        return path, value


class _Key:
    """A key of a section, which reads itself."""

    def __init__(self, name: str) -> None:
        self.name, self.key = name, name.removesuffix("_")

    def __get__(self, section: Section, owner: type[Section] | None = None) -> Any:
        path, value = _heard(section, self.key)
        if value is _LeftOut:
            raise Missing(path)
        if section._read[-1]:
            # Python looks there first, this being no descriptor that could be set.
            section.__dict__[self.name] = value
        return value


def _heard(section: Section, key: str) -> tuple[str, Any]:
    """The path of a key and what is read there, `_LeftOut` for nothing; it is heard."""
    seen, hear, below, values, _ = section._read
    found = seen.get(key)
    if found is None:
        path = below + key
        written = values.get(path)
        found = (path, written.value) if written is not None else section._unwritten(key, path)
        seen[key] = found
    hear(found[0])
    return found


@lru_cache(maxsize=1024)
def _form_of(path: str) -> tuple[str, Any] | None:
    """Whether a key of the format is a section, a list of them or a value; None: no such key.

    With it goes what leaving it out stands for, `_LeftOut` where that means nothing.
    """
    shape = shape_of(path)
    if shape is None:
        return None
    kind = kind_of(shape)
    if kind == "section":
        return kind, None
    if kind != "list" or kind_of(resolve(shape["items"])) != "section":
        kind = "value"
    return kind, absent_value(shape) if "absent" in shape else _LeftOut


def value_or(section: Section, key: str, otherwise: Any) -> Any:
    """The value of a section's key, or `otherwise` where it was left out; read either way."""
    value = _heard(section, key)[1]
    return otherwise if value is _LeftOut else value


def absent_value(shape: dict[str, Any]) -> Any:
    """What a key that was left out stands for, where the schema says that leaving out means it."""
    absent = shape["absent"]
    if isinstance(absent, list):
        return ()
    if "dimension" in shape:
        from flockcheck.text.quantities import parse_quantity

        return parse_quantity(absent, shape["dimension"]).value
    return absent
