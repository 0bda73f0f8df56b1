"""What our texts are made of: nodes that know where they stand, and the faults of a text."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from flockcheck.text.records import NamedTuple


class Mark(NamedTuple):
    """A place in a text: line and column from 1, `at` from 0, all in characters."""

    line: int
    column: int
    at: int


class Fault(NamedTuple):
    """One thing that is wrong with a text: where, at which key, what, and how to mend it."""

    line: int
    column: int
    path: str
    says: str


class DocumentError(ValueError):
    """A text that can't be read at all, or has unsafe parts.

    `faults` holds every one found; `root` the nodes read all the same, where the text could be
    followed to its end, so that a reader can go on and report its own findings with them.
    """

    def __init__(self, faults: tuple[Fault, ...], root: Node | None = None) -> None:
        self.faults = faults
        self.root = root
        super().__init__("; ".join(f"line {fault.line}: {fault.says}" for fault in faults))


class Scalar:
    """A piece of text between `start` and `end`; `quoted` tells whether quotes stood round it."""

    __slots__ = ("end", "quoted", "start", "text")

    def __init__(self, text: str, quoted: bool, start: Mark, end: Mark) -> None:
        self.text = text
        self.quoted = quoted
        self.start = start
        self.end = end


class Sequence:
    """A list of nodes."""

    __slots__ = ("end", "items", "start")

    def __init__(self, start: Mark) -> None:
        self.items: list[Node] = []
        self.start = start
        self.end = start


class Mapping:
    """Keys with their nodes, in the order of the file; `keys` holds where each key stands."""

    __slots__ = ("end", "entries", "keys", "start")

    def __init__(self, start: Mark) -> None:
        self.entries: dict[str, Node] = {}
        self.keys: dict[str, Mark] = {}
        self.start = start
        self.end = start


Node = Scalar | Sequence | Mapping


def walk(node: Node, path: str = "") -> Iterator[tuple[str, Node]]:
    """Every node below `node` with its dotted path, in the order of the text."""
    yield path, node
    if isinstance(node, Mapping):
        for key, value in node.entries.items():
            yield from walk(value, f"{path}.{key}" if path else key)
    elif isinstance(node, Sequence):
        for index, value in enumerate(node.items):
            yield from walk(value, f"{path}.{index}" if path else str(index))


def plain(node: Node) -> Any:
    """Nodes as dicts, lists and texts: what a JSON Schema judges."""
    if isinstance(node, Scalar):
        return node.text
    if isinstance(node, Sequence):
        return [plain(item) for item in node.items]
    return {key: plain(value) for key, value in node.entries.items()}
