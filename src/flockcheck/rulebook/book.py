"""A stack of rulebooks, read from folders or from the compiled cache."""

from __future__ import annotations

import json
import os
from binascii import crc32
from collections.abc import Callable, Iterable
from functools import cache, cached_property
from importlib import import_module
from typing import Any

from flockcheck.measures.graph.registry import Registry
from flockcheck.rulebook.model import (
    Alternative,
    FixIdea,
    Lever,
    Limit,
    Rule,
    RulebookError,
    Source,
)
from flockcheck.tables import Row, Table
from flockcheck.text.document import MOST_BYTES


def new_hash(size: int = 32) -> Any:
    """A new BLAKE2b of so many bytes."""
    return _blake2b()(digest_size=size)


@cache
def _blake2b() -> Any:
    """BLAKE2b. The plain C module is asked first: `hashlib` loads all of OpenSSL for it."""
    for name in ("_blake2", "hashlib"):
        try:
            return import_module(name).blake2b
        except (ImportError, AttributeError):
            continue
    raise ImportError("this Python has no BLAKE2")


# A change of the compiled form itself makes old caches useless.
FORM = "7"
COMPILED = "compiled.json"


class Rulebook:
    """Rules, tables, levers and sources of one or more books, with the measures they may ask."""

    def __init__(
        self, data: dict[str, Any], registry: Registry, books: tuple[tuple[str, str], ...]
    ) -> None:
        self.registry = registry
        self.books = books
        self.data = data
        self.tables: dict[str, Table] = {
            name: table_from(table) for name, table in data["tables"].items()
        }
        self.rules: dict[str, Rule] = {
            name: _rule(rule) for name, rule in sorted(data["rules"].items())
        }
        registry.close(self.tables)

    @cached_property
    def sources(self) -> dict[str, Source]:
        """The bibliography by id."""
        return {
            name: Source(*(str(source.get(key, "")) for key in Source._fields))
            for name, source in _unfolded(self.data["sources"]).items()
        }

    @cached_property
    def levers(self) -> dict[str, Lever]:
        """What fixes may move, by path."""
        return {
            name: Lever(lever["path"], lever["kind"], lever["words"], lever["data"])
            for name, lever in _unfolded(self.data["levers"]).items()
        }

    @property
    def standards(self) -> tuple[str, ...]:
        """The names of the opt-in sets of limits that the rules know."""
        limits = (limit for rule in self.rules.values() for limit in rule.limits)
        return tuple(sorted({limit.standard for limit in limits if limit.standard}))

    @cached_property
    def weighty(self) -> frozenset[str]:
        """The rules that could say stop or mend."""
        return frozenset(name for name, rule in self.rules.items() if rule.can_stop)

    def base(self) -> str:
        """The text of the setup that the examples change. Raises OSError, KeyError."""
        return str(self.data["base"])


# What a check may not need at all is kept as a text within the text, and read when it is asked for.
_FOLDED = ("levers", "sources")


def _unfolded(part: Any) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(part) if isinstance(part, str) else part
    return found


def _kept_text(key: str, data: dict[str, Any]) -> str:
    """A compiled book as it is kept."""
    folded = {part: json.dumps(data[part], sort_keys=True) for part in _FOLDED}
    body = json.dumps({**data, **folded}, sort_keys=True, separators=(",", ":"))
    return f"{_head(key, body.encode())}{body}}}"


def _head(key: str, body: bytes) -> str:
    """What stands before a kept book: its key, and a sum by which a spoiled one is known."""
    return f'{{"key": "{key}", "sum": {crc32(body)}, "data": '


def table_from(data: dict[str, Any]) -> Table:
    """A table from its compiled form.

    A row asks its words in the order of `by`: the compiled form is kept with its keys sorted, and
    `group.growth` asked before `group.kind` would want a key of turkeys that turkeys don't have.
    """
    rows = [
        Row(
            {word: tuple(row["where"][word]) for word in data["by"] if word in row["where"]},
            row["xs"],
            row["ys"],
            row["cites"],
            row.get("kinds", {}),
        )
        for row in data["rows"]
    ]
    return Table(
        data["name"],
        data["says"],
        tuple(data["by"]),
        data["along"],
        data["between"],
        data["beyond"],
        data["units"],
        rows,
    )


def _rule(data: dict[str, Any]) -> Rule:
    own = {
        **data,
        "limits": tuple([Limit(*limit) for limit in data["limits"]]),
        "otherwise": tuple(
            Alternative(missing, [Limit(*limit) for limit in limits], says)
            for missing, limits, says in data["otherwise"]
        ),
        "instead_of": tuple(data["instead_of"]),
        "fixes": tuple([FixIdea(*fix) for fix in data["fixes"]]),
    }
    return Rule._make(own[field] for field in Rule._fields)


def read_files(folder: str) -> dict[str, bytes]:
    """A rulebook's files by relative path: `*.yaml` at the top, in `tables` and in topic folders.

    Raises OSError. Links are not followed, so that a rulebook taken from a stranger reads nothing
    else of this machine.
    """
    found: dict[str, bytes] = {}
    root = os.path.realpath(folder)
    for here, inside in [("", root), *((f"{d.name}/", d.path) for d in _folders(root))]:
        for entry in os.scandir(inside):
            if not entry.name.endswith(".yaml") or entry.name.startswith("."):
                continue
            if not entry.is_file(follow_symlinks=False):
                continue
            found[here + entry.name] = _read(entry.path)
    return found


# Of a file in one go; a rule is much shorter.
_GULP = 1 << 16
_FLAGS = ("O_BINARY", "O_CLOEXEC", "O_NOFOLLOW")
_OPENING = os.O_RDONLY | sum(getattr(os, flag, 0) for flag in _FLAGS)


def _read(path: str) -> bytes:
    """A file's bytes; one more than is read of any file shows that it is too long.

    A start reads every rule's file to see whether it was changed, and Python's own files would take
    twice the time for that.
    """
    handle = os.open(path, _OPENING)
    try:
        data = part = os.read(handle, _GULP)
        while part and len(data) <= MOST_BYTES:
            part = os.read(handle, _GULP)
            data += part
    finally:
        os.close(handle)
    return data[: MOST_BYTES + 1]


def _folders(root: str) -> list[os.DirEntry[str]]:
    found = [d for d in os.scandir(root) if d.is_dir(follow_symlinks=False)]
    return sorted((d for d in found if d.name[0] not in "._"), key=lambda d: d.name)


def load_books(
    folders: Iterable[tuple[str, str]],
    registry: Registry,
    *,
    version: str,
    cache: Callable[[], str] | None = None,
) -> Rulebook:
    """The rulebook made of these folders (name, path), later ones on top of earlier ones.

    A compiled form is taken from the only folder (where the wheel puts it) or from the folder that
    `cache` names, if the hash of every file, the program's version and the measures' signature
    agree; else everything is compiled and, with a `cache`, kept there. Raises RulebookError with
    every mistake, or OSError where a folder can't be read.
    """
    places = list(folders)
    files = [(name, path, read_files(path)) for name, path in places]
    key = _key(files, registry, version)
    books = tuple(
        (name, version if at == 0 else _digest([(name, path, found)]).hexdigest()[:12])
        for at, (name, path, found) in enumerate(files)
    )
    data = _kept(os.path.join(places[0][1], COMPILED), key) if len(places) == 1 else None
    if data is None and cache is not None:
        # Only now is it worth finding out where this user's cache is.
        place = os.path.join(cache(), f"rulebook-{key[:32]}.json")
        data = _kept(place, key)
        if data is None:
            data = _as_kept(compile_files(files, registry))
            _keep(place, key, data)
    return Rulebook(data or _as_kept(compile_files(files, registry)), registry, books)


def _as_kept(data: dict[str, Any]) -> dict[str, Any]:
    """A compiled book as it will be read back: the order of its keys shows in reports."""
    found: dict[str, Any] = json.loads(json.dumps(data, sort_keys=True))
    return found


def compile_files(
    files: list[tuple[str, str, dict[str, bytes]]], registry: Registry
) -> dict[str, Any]:
    """Compile books from their files. Raises RulebookError."""
    from flockcheck.rulebook.compile import BASE, Compiling, RawBook

    work = Compiling(registry)
    work.compile([RawBook(name, path, found) for name, path, found in files])
    for name, faults in work.faults.items():
        if faults:
            raise RulebookError(name, tuple(sorted(faults)))
    data = work.data
    bases = [found[BASE] for _, _, found in files if BASE in found]
    data["base"] = bases[0].decode("utf-8", "replace") if bases else ""
    return data


def compiled_text(folder: str, name: str, registry: Registry, version: str) -> str:
    """What the wheel carries beside the rules of one folder, so that no user compiles them."""
    files = [(name, folder, read_files(folder))]
    data = compile_files(files, registry)
    return _kept_text(_key(files, registry, version), data)


def _key(files: list[tuple[str, str, dict[str, bytes]]], registry: Registry, version: str) -> str:
    digest = _digest(files)
    digest.update(f"{FORM} {version} {registry.signature()}".encode())
    return str(digest.hexdigest())


def _digest(files: list[tuple[str, str, dict[str, bytes]]]) -> Any:
    digest = new_hash()
    for name, _, found in files:
        parts = [f"{name} {len(found)}\n".encode("utf-8", "surrogateescape")]
        for file in sorted(found):
            parts += (
                f"{file} {len(found[file])}\n".encode("utf-8", "surrogateescape"),
                found[file],
            )
        digest.update(b"".join(parts))
    return digest


def _kept(place: str, key: str) -> dict[str, Any] | None:
    """A compiled book that is there, whole and for this key; None otherwise."""
    try:
        with open(place, "rb") as file:
            kept = file.read()
    except OSError:
        return None
    head, mark, rest = kept.partition(b'"data": ')
    body = rest[:-1]
    if head + mark != _head(key, body).encode() or rest[-1:] != b"}":
        return None
    found: dict[str, Any] = json.loads(body)
    return found


def _keep(place: str, key: str, data: dict[str, Any]) -> None:
    """Keep a compiled book for the next start; a folder that can't be written is no trouble."""
    import contextlib
    import tempfile

    folder, part = os.path.dirname(place), ""
    try:
        os.makedirs(folder, exist_ok=True)
        handle, part = tempfile.mkstemp(dir=folder, suffix=".part")
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(_kept_text(key, data))
        # Renamed in one step, so that another run never reads half a file.
        os.replace(part, place)
    except OSError:
        with contextlib.suppress(OSError):
            os.unlink(part)
