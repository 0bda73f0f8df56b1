"""YAML text to nodes that know where they stand, with every unsafe thing refused.

Scalars stay text: what a scalar means is decided by the schema of the file, never by YAML's own
guessing (which reads `012` as ten, `1:30` as ninety and `no` as a flag). Anchors, aliases, tags,
merge keys, duplicate keys and second documents are refused where the parser meets them, so nothing
that could run code or grow without bound is ever built.
"""

from __future__ import annotations

import re
from typing import Any

import yaml

from flockcheck.text.nodes import (
    DocumentError,
    Fault,
    Mapping,
    Mark,
    Node,
    Scalar,
    Sequence,
    plain,
    walk,
)

__all__ = [
    "AND_MORE",
    "MOST_BYTES",
    "MOST_DEPTH",
    "MOST_FAULTS",
    "DocumentError",
    "Fault",
    "Mapping",
    "Mark",
    "Node",
    "Scalar",
    "Sequence",
    "decode",
    "on_screen",
    "plain",
    "quoted",
    "read_document",
    "read_nodes",
    "walk",
]

MOST_BYTES = 1_000_000
MOST_DEPTH = 12
# Nobody mends more than this in one go, and a stranger's file must not cost minutes.
MOST_FAULTS = 100
_TOO_LONG = "the file is longer than 1 MB, the most that is read. Check that it is the right file"
AND_MORE = "there is more from here on, which is not listed"

# What would colour a screen, turn its lines round or end them; put together when it is met.
_UNSEEN = "[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]"

# The C parser is there with every wheel of pyyaml; the slow one gives the same events.
_Loader: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)


def decode(data: bytes) -> str:
    """Text of a file's bytes: UTF-8, with or without a byte-order mark.

    Raises DocumentError for anything else, saying which encoding it looks like where that shows.
    """
    if len(data) > MOST_BYTES:
        raise _whole(_TOO_LONG)
    other = _other_encoding(data)
    if other:
        raise _whole(f"the file is saved as {other}. Save it as UTF-8 text")
    if b"\x00" in data:
        raise _whole("the file is not text (it holds zero bytes). Save it as UTF-8 text")
    data = data.removeprefix(b"\xef\xbb\xbf")
    try:
        # A second mark comes from files joined together; none may shift the places.
        return data.decode("utf-8").lstrip("\ufeff")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        before = data[data.rfind(b"\n", 0, error.start) + 1 : error.start]
        column = len(before.decode("utf-8")) + 1
        says = f"byte {data[error.start]:#04x} is not UTF-8 text. Save the file as UTF-8"
        raise DocumentError((Fault(line, column, "", says),)) from None


def _other_encoding(data: bytes) -> str:
    """UTF-16 or UTF-32 where bytes begin as such a text does; empty for all else."""
    if data.startswith((b"\xff\xfe\x00\x00", b"\x00\x00\xfe\xff")):
        return "UTF-32"
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "UTF-16"
    # Without a mark, plain letters have a zero beside each.
    start = data[:64]
    zeros = [start[at::2].count(0) for at in (0, 1)]
    return "UTF-16" if len(start) >= 4 and sorted(zeros) == [0, len(start) // 2] else ""


def read_document(text: str) -> Mapping:
    """Nodes of a text that holds one YAML mapping.

    Raises DocumentError with all that is unsafe in it, or with the first place that is no YAML.
    """
    root = read_nodes(text)
    if not isinstance(root, Mapping):
        raise _whole("the file holds no keys with values, such as `name: Hazel Lane`")
    return root


def read_nodes(text: str) -> Node:
    """Nodes of a text that holds one YAML document of any form. Raises DocumentError.

    The text is as `decode` gives it: a byte-order mark before it would shift the places.
    """
    if len(text) > MOST_BYTES:
        raise _whole(_TOO_LONG)
    builder = _Builder()
    whole = False
    try:
        for event in yaml.parse(text, Loader=_Loader):
            builder.take(event)
        whole = True
    except _StopError as error:
        builder.faults.append(error.fault)
    except (yaml.YAMLError, ValueError, OverflowError) as error:
        # The last two are the slow parser's, at an escape for a character that is none.
        builder.faults.append(_no_yaml(error, text))
    if builder.faults:
        raise DocumentError(tuple(builder.faults), builder.root if whole else None)
    if builder.root is None:
        raise _whole("nothing is written in the file")
    return builder.root


class _StopError(Exception):
    """Reading on is no use."""

    def __init__(self, fault: Fault) -> None:
        self.fault = fault


# Stands for a key that was refused: what follows it is not kept.
_REFUSED: Any = object()


class _Builder:
    """Builds nodes from parser events and keeps what is refused."""

    def __init__(self) -> None:
        self.faults: list[Fault] = []
        self.root: Node | None = None
        # Open collections, each with the key that its next value belongs to.
        self._open: list[tuple[Sequence | Mapping, list[Any]]] = []
        # What each open collection is called in the one above it.
        self._called: list[str] = []
        self._documents = 0
        # Inside a collection that stands where a key should, or after such a key, nothing is kept.
        self._skipping = 0

    def take(self, event: Any) -> None:
        """Take one event of the parser."""
        kind = type(event).__name__
        if kind == "ScalarEvent":
            self._check_properties(event)
            start, end = _mark(event.start_mark), _mark(event.end_mark)
            if event.style == '"':
                self._check_printable(event)
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
            if self._at_key():
                self._open[-1][1][0] = _REFUSED
            else:
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

    def _check_printable(self, event: Any) -> None:
        """Refuse what an escape can bring into a text, such as the codes that colour a screen."""
        if not event.value.isprintable():
            from flockcheck.text.garbled import UNPRINTABLE

            found = re.search(UNPRINTABLE, event.value)
            if found:
                says = f"this text holds {ord(found[0]):#04x}, which is no printable text"
                self._refuse(event, f"{says}. Take it out")

    def _refuse(self, event: Any, says: str) -> None:
        mark = event.start_mark
        self._fault(Fault(mark.line + 1, mark.column + 1, self._path(), says))

    def _fault(self, fault: Fault) -> None:
        if len(self.faults) >= MOST_FAULTS:
            raise _StopError(fault._replace(says=AND_MORE))
        self.faults.append(fault)

    def _at_key(self) -> bool:
        """Whether the next node is a key."""
        if self._skipping or not self._open:
            return False
        parent, key = self._open[-1]
        return isinstance(parent, Mapping) and key[0] is None

    def _path(self) -> str:
        """The path of the value that comes next."""
        return ".".join([*self._called[1:], self._next_name()]).strip(".")

    def _next_name(self) -> str:
        if not self._open:
            return ""
        node, key = self._open[-1]
        if isinstance(node, Sequence):
            return str(len(node.items))
        return key[0].text if isinstance(key[0], Scalar) else ""

    def _enter(self, node: Sequence | Mapping) -> None:
        if self._skipping:
            self._skipping += 1
            return
        if len(self._open) >= MOST_DEPTH:
            says = f"lists within lists go more than {MOST_DEPTH} levels deep here"
            raise _StopError(Fault(node.start.line, node.start.column, self._path(), says))
        called = self._next_name()
        if self._add(node):
            self._open.append((node, [None]))
            self._called.append(called)
        else:
            self._skipping = 1

    def _add(self, node: Node) -> bool:
        """Put a node where it belongs; False where it is not kept."""
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
            key[0] = self._key(parent, node)
            return key[0] is not _REFUSED
        if key[0] is _REFUSED:
            key[0] = None
            return False
        name = key[0].text
        if name not in parent.entries:
            parent.entries[name] = node
            parent.keys[name] = key[0].start
        key[0] = None
        return True

    def _key(self, parent: Mapping, node: Node) -> Any:
        """A node as a key, or _REFUSED."""
        where = node.start
        if not isinstance(node, Scalar):
            says = "a list or mapping stands where a key should. Write a plain word"
            self._fault(Fault(where.line, where.column, self._path(), says))
            return _REFUSED
        if node.text == "<<" and not node.quoted:
            says = "`<<` takes keys over from elsewhere. Write them out in full"
            self._fault(Fault(where.line, where.column, self._path(), says))
            return _REFUSED
        if node.text in parent.entries:
            first = parent.keys[node.text].line
            path = ".".join(part for part in (self._path(), node.text) if part)
            says = (
                f"{quoted(node.text)} stands here a second time (first in line {first}). Keep one"
            )
            self._fault(Fault(where.line, where.column, path, says))
        return node


def quoted(text: str) -> str:
    """A piece of a file as a message shows it: on one line, and of bounded length."""
    shown = "".join(sign if sign.isprintable() else "?" for sign in text[:61])
    return f"`{shown[:57]}...`" if len(shown) > 60 else f"`{shown}`"


def on_screen(text: str) -> str:
    """A text of someone else's, a file's name say, on one line and with nothing a screen obeys."""
    return text if text.isprintable() else re.sub(_UNSEEN, " ", text)


def _mark(mark: Any) -> Mark:
    return Mark(mark.line + 1, mark.column + 1, mark.index)


def _whole(says: str) -> DocumentError:
    return DocumentError((Fault(1, 1, "", says),))


def _no_yaml(error: Exception, text: str) -> Fault:
    # Imported late, as files that can be read never need it.
    from flockcheck.text.garbled import garbled, unprintable

    if isinstance(error, yaml.MarkedYAMLError):
        line, column, says = garbled(error, text)
    elif isinstance(error, (yaml.reader.ReaderError, UnicodeEncodeError)):
        line, column, says = unprintable(text)
    else:
        line, column, says = 1, 1, "a `\\` in a text with double quotes stands for no character"
    return Fault(line, column, "", says)
