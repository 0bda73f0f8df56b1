"""One pass over a setup's nodes, driven by the schema: checks, converts, reports every fault.

Nothing stops at the first mistake: a keeper who wrote five things wrong is told all five, each with
line and column, what was read, what would do and the nearest right spelling.
"""

from __future__ import annotations

import contextlib
from collections import Counter
from collections.abc import Iterable
from functools import cache

from flockcheck.setup.form import Shape, resolve, schema
from flockcheck.setup.scalars import FLAGS, Key, Unfit, nearest, would_do
from flockcheck.setup.spans import Told, wrong_periods, wrong_stay
from flockcheck.setup.written import Setup, Written
from flockcheck.text.document import (
    AND_MORE,
    MOST_FAULTS,
    DocumentError,
    Fault,
    Mapping,
    Mark,
    Node,
    Scalar,
    Sequence,
    decode,
    quoted,
    read_document,
)
from flockcheck.text.records import NamedTuple

__all__ = [
    "FLAGS",
    "Part",
    "SetupError",
    "faults_of",
    "nearest",
    "read_part",
    "read_setup_bytes",
    "read_setup_text",
]


class SetupError(ValueError):
    """A setup file with faults; `faults` holds every one, in the order of the file."""

    def __init__(self, file: str, faults: tuple[Fault, ...]) -> None:
        self.file = file
        self.faults = tuple(sorted(set(faults)))
        first, more = self.faults[0], len(self.faults) - 1
        says = f"{file}, line {first.line}: {first.says}"
        super().__init__(f"{says} (and {more} more)" if more else says)


def read_setup_bytes(data: bytes, file: str) -> Setup:
    """A setup from a file's bytes; `file` is the name by which reports call it.

    Raises SetupError with every fault.
    """
    try:
        return read_setup_text(decode(data), file)
    except DocumentError as error:
        raise SetupError(file, error.faults) from None


def read_setup_text(text: str, file: str) -> Setup:
    """A setup from a text. Raises SetupError with every fault."""
    text = text.lstrip("\ufeff")
    reading = _Reading()
    unsafe: tuple[Fault, ...] = ()
    try:
        root = read_document(text)
    except DocumentError as error:
        if not isinstance(error.root, Mapping):
            raise SetupError(file, error.faults) from None
        unsafe, root = error.faults, error.root
    with contextlib.suppress(_EnoughError):
        reading.section(root, _whole(), "")
        reading.tell(wrong_periods(reading.values, reading.lists))
        reading.tell(wrong_stay(reading.values, reading.lists, reading.marks))
    if unsafe or reading.faults:
        # What was refused is empty in the nodes, which is not to be told as well.
        told = {fault[:3] for fault in unsafe}
        faults = unsafe + tuple(fault for fault in reading.faults if fault[:3] not in told)
        raise SetupError(file, faults)
    name = reading.values.get("name")
    return Setup(
        file=file,
        name=str(name.value) if name else "",
        text=text,
        values=reading.values,
        lists=reading.lists,
        marks=reading.marks,
        families=_most_used(reading.families),
    )


class Part(NamedTuple):
    """A part of a setup that stands in another file: what is written, and what is wrong with it."""

    values: dict[str, Written]
    lists: dict[str, int]
    marks: dict[str, Mark]
    faults: tuple[Fault, ...]


def read_part(node: Node, shape: Shape, path: str) -> Part:
    """One key of a setup, read where it stands in a file of another kind."""
    reading = _Reading()
    with contextlib.suppress(_EnoughError):
        reading.node(node, Key(shape), path)
        reading.tell(wrong_periods(reading.values, reading.lists))
    return Part(reading.values, reading.lists, reading.marks, tuple(sorted(set(reading.faults))))


def faults_of(node: Node, shape: Shape, path: str) -> tuple[Fault, ...]:
    """What is wrong with nodes as the value of one key of a setup, or as one item of its list."""
    reading = _Reading()
    with contextlib.suppress(_EnoughError):
        reading.node(node, Key(shape), path)
    return tuple(sorted(set(reading.faults)))


@cache
def _whole() -> Key:
    """The whole of a setup, as a key: it and those inside live as long as the program."""
    return Key(resolve(schema()))


def _most_used(families: list[tuple[str, str]]) -> dict[str, str]:
    """For each dimension the family that was used most, from pairs of both for every quantity."""
    counts: dict[str, dict[str, int]] = {}
    for (dimension, family), many in Counter(families).items():
        counts.setdefault(dimension, {})[family] = many
    return {
        dimension: max(sorted(count), key=count.__getitem__) for dimension, count in counts.items()
    }


class _EnoughError(Exception):
    """So much is wrong that reading on helps nobody."""


class _Reading:
    def __init__(self) -> None:
        self.faults: list[Fault] = []
        self.values: dict[str, Written] = {}
        self.lists: dict[str, int] = {}
        self.marks: dict[str, Mark] = {}
        self.families: list[tuple[str, str]] = []

    def fault(self, mark: Mark, path: str, says: str) -> None:
        if len(self.faults) >= MOST_FAULTS:
            self.faults.append(Fault(mark.line, mark.column, path, AND_MORE))
            raise _EnoughError
        self.faults.append(Fault(mark.line, mark.column, path, says))

    def node(self, node: Node, key: Key, path: str) -> None:
        if key.single and isinstance(node, Scalar):
            self.scalar(node, key, path)
        elif key.kind == "section" and isinstance(node, Mapping):
            self.section(node, key, path)
        elif key.kind == "list":
            self.list_of(node, key, path)
        elif key.kind == "weights" and isinstance(node, Mapping):
            self.weights(node, key, path)
        else:
            self.wrong_form(node, path, would_do(key.shape))

    def tell(self, every: Iterable[Told]) -> None:
        """Tell of faults that show when all is read."""
        for mark, path, says in every:
            self.fault(mark, path, says)

    def wrong_form(self, node: Node, path: str, expected: str) -> None:
        from flockcheck.setup.amiss import wrong_form

        self.fault(node.start, path, wrong_form(node, _last(path), expected))

    def section(self, node: Mapping, key: Key, path: str) -> None:
        self.marks[path] = node.start
        key = key.for_what_is_in(node)
        properties: dict[str, Shape] = key.shape["properties"]
        met, below = key.inner, f"{path}." if path else ""
        meant: list[str] = []
        for name, value in node.entries.items():
            inner = met.get(name)
            if inner is None:
                if name not in properties:
                    meant.append(self.unknown_key(node.keys[name], name, properties, path))
                    continue
                inner = key.inside(name, properties[name])
            self.node(value, inner, below + name)
        for name in key.required:
            if name not in node.entries and name not in meant:
                takes = would_do(resolve(properties[name]))
                from flockcheck.setup.amiss import missing_from

                says = f"`{name}` is missing{missing_from(path, _last(path))}; it takes {takes}"
                self.fault(node.start, below + name, says)

    def unknown_key(self, mark: Mark, key: str, properties: dict[str, Shape], path: str) -> str:
        """Tell of a key that isn't there; gives the one that it surely is, if a sign is missing."""
        from flockcheck.setup.amiss import unknown_key

        says, meant = unknown_key(key, properties, path)
        self.fault(mark, _join(path, meant or key), says)
        return meant

    def list_of(self, node: Node, key: Key, path: str) -> None:
        shape = key.shape
        item = key.inside("*", shape["items"])
        of_sections = item.kind == "section"
        if not isinstance(node, Sequence):
            from flockcheck.setup.amiss import words_in_brackets

            brackets = words_in_brackets(_text_of(node), item.shape)
            self.wrong_form(node, path, would_do(shape) if of_sections else brackets)
            return
        self.marks[path] = node.start
        count, least, most = len(node.items), shape.get("minItems", 0), shape["maxItems"]
        if count < least:
            instead = "" if path in schema()["required"] else ", or leave the key out"
            says = f"`{_last(path)}` is an empty list; write an entry{instead}"
            self.fault(node.start, path, says)
        if count > most:
            says = f"`{_last(path)}` has {count} entries; at most {most} are read"
            self.fault(node.start, path, says)
            return
        for index, one in enumerate(node.items):
            self.node(one, item, f"{path}.{index}")
        if of_sections:
            self.lists[path] = len(node.items)
        else:
            self.word_list(node, path)

    def word_list(self, node: Sequence, path: str) -> None:
        """Keep a list of plain words as one value; a word twice is a slip."""
        found = [self.values.pop(f"{path}.{index}", None) for index in range(len(node.items))]
        words: list[str] = []
        for index, written in enumerate(found):
            if written is None:
                continue
            self.marks[f"{path}.{index}"] = written.start
            if written.value in words:
                says = f"{quoted(written.text)} stands twice in `{_last(path)}`. Keep one"
                self.fault(written.start, f"{path}.{index}", says)
            words.append(written.value)
        self.values[path] = Written(tuple(words), ", ".join(words), node.start, node.end)

    def weights(self, node: Mapping, key: Key, path: str) -> None:
        self.marks[path] = node.start
        ages = key.inside("age", key.shape["propertyNames"])
        weights = key.inside("weight", key.shape["additionalProperties"])
        pairs: dict[float, float] = {}
        for name, value in node.entries.items():
            inner = _join(path, name)
            try:
                age, _ = ages.read(name)
            except Unfit as error:
                self.fault(node.keys[name], inner, f"an age in `{_last(path)}`: {error.says}")
                continue
            if not isinstance(value, Scalar):
                self.wrong_form(value, inner, would_do(weights.shape))
                continue
            self.scalar(value, weights, inner)
            weight = self.values.pop(inner, None)
            if age in pairs:
                says = f"a weight at {quoted(name)} is given already. Keep one"
                self.fault(node.keys[name], inner, says)
            elif weight:
                pairs[age] = weight.value
        shown = ", ".join(f"{name}: {_text_of(value)}" for name, value in node.entries.items())
        self.values[path] = Written(tuple(sorted(pairs.items())), shown, node.start, node.end)

    def scalar(self, node: Scalar, key: Key, path: str) -> None:
        text = node.text
        try:
            value, family = key.read(text)
        except Unfit as error:
            self.fault(node.start, path, f"`{_last(path)}`: {error.says}")
            return
        if family:
            self.families.append((key.shape["dimension"], family))
        self.values[path] = Written(value, text, node.start, node.end, family)


def _text_of(node: Node) -> str:
    """A value as it was written; nothing for what is no single value."""
    return node.text if isinstance(node, Scalar) else ""


def _join(path: str, key: str) -> str:
    return f"{path}.{key}" if path else key


def _last(path: str) -> str:
    parts = path.split(".")
    return parts[-2] if parts[-1].isdigit() and len(parts) > 1 else parts[-1]
