"""YAML text to nodes that know where they stand, with every unsafe thing refused.

Scalars stay text: what a scalar means is decided by the schema of the file, never by YAML's own
guessing (which reads `012` as ten, `1:30` as ninety and `no` as a flag). Anchors, aliases, tags,
merge keys, duplicate keys and second documents are refused where the parser meets them, so nothing
that could run code or grow without bound is ever built.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, NamedTuple

import yaml

MOST_BYTES = 1_000_000
MOST_DEPTH = 12

# The C parser is there with every wheel of pyyaml; the slow one gives the same events.
_Loader: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)


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


def decode(data: bytes) -> str:
    """Text of a file's bytes: UTF-8, with or without a byte-order mark.

    Raises DocumentError for anything else, saying which encoding it looks like where that shows.
    """
    if len(data) > MOST_BYTES:
        raise _whole(
            f"the file is {len(data) / 1e6:.1f} MB; a setup is a page or two and at most 1 MB is "
            "read. Check that this is the right file"
        )
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise _whole("the file is saved as UTF-16. Save it as UTF-8 text")
    if b"\x00" in data:
        raise _whole("the file is not text (it holds zero bytes). Save the setup as UTF-8 text")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        column = error.start - (data.rfind(b"\n", 0, error.start) + 1) + 1
        raise DocumentError(
            (
                Fault(
                    line,
                    column,
                    "",
                    f"byte {data[error.start]:#04x} is not UTF-8 text. Save the file as UTF-8",
                ),
            )
        ) from None


def read_document(text: str) -> Mapping:
    """Nodes of a text that holds one YAML mapping.

    Raises DocumentError with all that is unsafe in it, or with the first place that is no YAML.
    """
    root = read_nodes(text)
    if not isinstance(root, Mapping):
        raise _whole("the file holds no keys. A setup begins with `flockcheck: 1`")
    return root


def read_nodes(text: str) -> Node:
    """Nodes of a text that holds one YAML document of any form. Raises DocumentError."""
    if len(text) > MOST_BYTES:
        raise _whole(
            f"the text is {len(text) / 1e6:.1f} million characters long; at most 1 MB is read"
        )
    builder = _Builder()
    whole = False
    try:
        for event in yaml.parse(text, Loader=_Loader):
            builder.take(event)
        whole = True
    except yaml.MarkedYAMLError as error:
        builder.faults.append(_plain(error, text))
    except (yaml.reader.ReaderError, UnicodeEncodeError):
        builder.faults.append(_unprintable(text))
    except _TooDeepError as error:
        builder.faults.append(error.fault)
    if builder.faults:
        raise DocumentError(tuple(builder.faults), builder.root if whole else None)
    if builder.root is None:
        raise _whole("the file is empty")
    return builder.root


class _TooDeepError(Exception):
    def __init__(self, fault: Fault) -> None:
        self.fault = fault


class _Builder:
    """Builds nodes from parser events and keeps what is refused."""

    def __init__(self) -> None:
        self.faults: list[Fault] = []
        self.root: Node | None = None
        # Open collections, each with the key that its next value belongs to.
        self._open: list[tuple[Sequence | Mapping, list[Scalar | None]]] = []
        # What each open collection is called in the one above it.
        self._called: list[str] = []
        self._documents = 0
        # Inside a collection that stands where a key should, nothing is kept.
        self._skipping = 0

    def take(self, event: Any) -> None:
        """Take one event of the parser."""
        kind = type(event).__name__
        if kind == "ScalarEvent":
            self._check_properties(event)
            start, end = _mark(event.start_mark), _mark(event.end_mark)
            self._add(Scalar(event.value, event.style not in (None, ""), start, end))
        elif kind == "MappingStartEvent":
            self._check_properties(event)
            self._enter(Mapping(_mark(event.start_mark)))
        elif kind == "SequenceStartEvent":
            self._check_properties(event)
            self._enter(Sequence(_mark(event.start_mark)))
        elif kind in ("MappingEndEvent", "SequenceEndEvent"):
            if self._skipping:
                self._skipping -= 1
            else:
                node, _ = self._open.pop()
                self._called.pop()
                node.end = _mark(event.end_mark)
        elif kind == "AliasEvent":
            self._refuse(
                event, f"`*{event.anchor}` repeats another part of the file. Write it out in full"
            )
            self._add(Scalar("", False, _mark(event.start_mark), _mark(event.end_mark)))
        elif kind == "DocumentStartEvent":
            self._documents += 1
            if self._documents == 2:
                self._refuse(
                    event, "a second document begins here (`---`). Put it into a file of its own"
                )
            if event.tags:
                self._refuse(event, "a `%TAG` line is not used here. Take it out")

    def _check_properties(self, event: Any) -> None:
        if event.anchor:
            self._refuse(event, f"`&{event.anchor}` marks a part to be repeated. Take it out")
        if event.tag:
            shown = str(event.tag).replace("tag:yaml.org,2002:", "!!")
            self._refuse(event, f"`{shown}` tells how to read a value. Take it out")

    def _refuse(self, event: Any, says: str) -> None:
        mark = event.start_mark
        self.faults.append(Fault(mark.line + 1, mark.column + 1, self._path(), says))

    def _path(self) -> str:
        """The path of the value that comes next."""
        return ".".join([*self._called[1:], self._next_name()]).strip(".")

    def _next_name(self) -> str:
        if not self._open:
            return ""
        node, key = self._open[-1]
        if isinstance(node, Sequence):
            return str(len(node.items))
        return key[0].text if key[0] is not None else ""

    def _enter(self, node: Sequence | Mapping) -> None:
        if self._skipping:
            self._skipping += 1
            return
        if len(self._open) >= MOST_DEPTH:
            says = f"lists within lists go more than {MOST_DEPTH} levels deep here"
            raise _TooDeepError(Fault(node.start.line, node.start.column, self._path(), says))
        called = self._next_name()
        if self._add(node):
            self._open.append((node, [None]))
            self._called.append(called)
        else:
            self._skipping = 1

    def _add(self, node: Node) -> bool:
        """Put a node where it belongs; False where it stands in place of a key."""
        if self._skipping:
            return False
        if not self._open:
            if self.root is None:
                self.root = node
            return True
        parent, key = self._open[-1]
        if isinstance(parent, Sequence):
            parent.items.append(node)
            return True
        if key[0] is None:
            if not isinstance(node, Scalar):
                self.faults.append(
                    Fault(
                        node.start.line,
                        node.start.column,
                        self._path(),
                        "a list or mapping stands where a key should. Write a plain word",
                    )
                )
                key[0] = Scalar("", False, node.start, node.start)
                return False
            self._check_key(parent, node)
            key[0] = node
            return True
        name = key[0].text
        if name not in parent.entries:
            parent.entries[name] = node
            parent.keys[name] = key[0].start
        key[0] = None
        return True

    def _check_key(self, parent: Mapping, node: Scalar) -> None:
        where = node.start
        if node.text == "<<" and not node.quoted:
            says = "`<<` takes keys over from elsewhere. Write them out in full"
            self.faults.append(Fault(where.line, where.column, self._path(), says))
        elif node.text in parent.entries:
            first = parent.keys[node.text].line
            path = ".".join(part for part in (self._path(), node.text) if part)
            says = f"`{node.text}` stands here a second time (first in line {first}). Keep one"
            self.faults.append(Fault(where.line, where.column, path, says))


def _mark(mark: Any) -> Mark:
    return Mark(mark.line + 1, mark.column + 1, mark.index)


def _whole(says: str) -> DocumentError:
    return DocumentError((Fault(1, 1, "", says),))


# The parser's own words, by what they say, turned into what a keeper can do about it.
_PLAIN = (
    (
        r"mapping values are not allowed",
        "a second `:` stands in this line. Put the value in quotes",
    ),
    (
        r"could not find expected ':'|simple key",
        "a `:` is missing after the key in this line, or in the line before it",
    ),
    (r"found character '\\t'|found a tab|tab character", "a tab stands here. Indent with spaces"),
    (
        r"did not find expected <block end>|did not find expected key|expected <block end>",
        "this line is indented differently from the lines it belongs to. Line them up",
    ),
    (
        r"expected ',' or",
        "a `,` or the closing bracket of a list or of `{ ... }` is missing before this",
    ),
    (
        r"end of stream|did not find expected node content",
        "the file ends inside a quoted text or a bracket. Close it",
    ),
    (r"cannot start any token", "this character can't begin a value. Put the value in quotes"),
    (r"undefined alias", "`*` repeats another part of the file. Write it out in full"),
    (r"unknown escape character", "a `\\` in a quoted text is not understood. Use single quotes"),
)


def _plain(error: Any, text: str) -> Fault:
    mark = error.problem_mark or error.context_mark
    problem = " ".join(str(part) for part in (error.problem, error.context) if part)
    says = next(
        (plain for pattern, plain in _PLAIN if re.search(pattern, problem)),
        "this can't be read as keys and values. Check the indentation, quotes and brackets here",
    )
    if mark is None:
        return Fault(1, 1, "", says)
    line, column = mark.line + 1, mark.column + 1
    if "\t" in _line(text, line)[: max(column, 1)]:
        says = "a tab stands in this line. Indent with spaces"
    return Fault(line, column, "", says)


def _line(text: str, number: int) -> str:
    lines = text.splitlines()
    return lines[number - 1] if 0 < number <= len(lines) else ""


def _unprintable(text: str) -> Fault:
    found = next(
        (at for at, char in enumerate(text) if not char.isprintable() and char not in "\t\r\n\x85"),
        0,
    )
    line = text.count("\n", 0, found) + 1
    column = found - (text.rfind("\n", 0, found) + 1) + 1
    says = f"character {ord(text[found]):#06x} is no printable text. Take it out"
    return Fault(line, column, "", says)


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
