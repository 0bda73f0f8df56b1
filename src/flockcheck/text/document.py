"""YAML text to nodes that know where they stand, with every unsafe thing refused.

Scalars stay text: what a scalar means is decided by the schema of the file, never by YAML's own
guessing (which reads `012` as ten, `1:30` as ninety and `no` as a flag). Anchors, aliases, tags,
merge keys, duplicate keys and second documents are refused where the parser meets them, so nothing
that could run code or grow without bound is ever built.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import yaml
from yaml import (
    AliasEvent,
    CollectionEndEvent,
    CollectionStartEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    NodeEvent,
    ScalarEvent,
    SequenceEndEvent,
)

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
        builder.read(_Loader(text).get_event)
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


class _Builder:
    """Builds nodes from parser events, a collection in each call, and keeps what is refused.

    A `path` is the name of a node after those of all that it is in, with dots between; `below` is
    what the paths of all nodes in a collection begin with.
    """

    def __init__(self) -> None:
        self.faults: list[Fault] = []
        self.root: Node | None = None
        self._take: Callable[[], Any]
        self._depth = 0

    def read(self, take: Callable[[], Any]) -> None:
        """Take all events of the parser: `take` gives them one by one, and then None."""
        self._take = take
        documents = 0
        while (event := take()) is not None:
            if isinstance(event, DocumentStartEvent):
                documents += 1
                if documents == 2:
                    says = "a second document begins here (`---`). Put it into a file of its own"
                    self._refuse(event, "", says)
                if event.tags:
                    self._refuse(event, "", "a `%TAG` line is not used here. Take it out")
            elif isinstance(event, NodeEvent):
                node = self._node(event, "")
                self.root = self.root or node

    def _node(self, event: Any, path: str) -> Node:
        """The node that begins with an event, and all that is in it."""
        if type(event) is ScalarEvent:
            if event.anchor or event.tag or event.style == '"':
                self._check(event, path)
            start, end = _mark(event.start_mark), _mark(event.end_mark)
            return Scalar(event.value, bool(event.style), start, end)
        self._check(event, path)
        start = _mark(event.start_mark)
        if type(event) is AliasEvent:
            return Scalar("", False, start, _mark(event.end_mark))
        self._check_depth(start, path)
        below = f"{path}." if self._depth else ""
        self._depth += 1
        if type(event) is MappingStartEvent:
            node: Mapping | Sequence = self._mapping(start, below)
        else:
            node = self._sequence(start, below)
        self._depth -= 1
        return node

    def _sequence(self, start: Mark, below: str) -> Sequence:
        take, node = self._take, Sequence(start)
        items = node.items
        while type(event := take()) is not SequenceEndEvent:
            items.append(self._node(event, f"{below}{len(items)}"))
        node.end = _mark(event.end_mark)
        return node

    def _mapping(self, start: Mark, below: str) -> Mapping:
        take, node = self._take, Mapping(start)
        entries = node.entries
        while type(event := take()) is not MappingEndEvent:
            name = self._key(event, node, below)
            if name is None:
                self._pass_over(take(), below)
                continue
            value = self._node(take(), below + name)
            if name not in entries:
                entries[name] = value
                node.keys[name] = _mark(event.start_mark)
        node.end = _mark(event.end_mark)
        return node

    def _key(self, event: Any, node: Mapping, below: str) -> str | None:
        """The key that an event is; None where it is refused."""
        if type(event) is not ScalarEvent:
            self._pass_over(event, below, "a list or mapping stands where a key should")
            return None
        if event.anchor or event.tag or event.style == '"':
            self._check(event, below)
        name: str = event.value
        if name == "<<" and not event.style:
            says = "`<<` takes keys over from elsewhere. Write them out in full"
            self._refuse(event, below, says)
            return None
        if name in node.entries:
            first = node.keys[name].line
            path = ".".join(part for part in (below.strip("."), name) if part)
            says = f"{quoted(name)} stands here a second time (first in line {first}). Keep one"
            self._fault(_mark(event.start_mark), path, says)
        return name

    def _pass_over(self, event: Any, path: str, collection: str = "") -> None:
        """Keep nothing of a node, but refuse what is unsafe in it.

        `collection` says what is wrong where the node is a list or mapping.
        """
        self._check(event, path)
        opened = int(isinstance(event, CollectionStartEvent))
        if opened:
            self._check_depth(_mark(event.start_mark), path)
            if collection:
                self._refuse(event, path, f"{collection}. Write a plain word")
        while opened:
            event = self._take()
            self._check(event, path)
            opened += isinstance(event, CollectionStartEvent)
            opened -= isinstance(event, CollectionEndEvent)

    def _check(self, event: Any, path: str) -> None:
        """Refuse what is unsafe about one event of a node."""
        if isinstance(event, AliasEvent):
            says = f"`*{event.anchor}` repeats another part of the file. Write it out in full"
            self._refuse(event, path, says)
            return
        if isinstance(event, CollectionEndEvent):
            return
        if event.anchor:
            says = f"`&{event.anchor}` marks a part to be repeated. Take it out"
            self._refuse(event, path, says)
        if event.tag:
            shown = str(event.tag).replace("tag:yaml.org,2002:", "!!")
            self._refuse(event, path, f"`{shown}` tells how to read a value. Take it out")
        if isinstance(event, ScalarEvent) and event.style == '"':
            self._check_printable(event, path)

    def _check_printable(self, event: Any, path: str) -> None:
        """Refuse what an escape can bring into a text, such as the codes that colour a screen."""
        if not event.value.isprintable():
            from flockcheck.text.garbled import UNPRINTABLE

            found = re.search(UNPRINTABLE, event.value)
            if found:
                says = f"this text holds {ord(found[0]):#04x}, which is no printable text"
                self._refuse(event, path, f"{says}. Take it out")

    def _check_depth(self, start: Mark, path: str) -> None:
        if self._depth >= MOST_DEPTH:
            says = f"lists within lists go more than {MOST_DEPTH} levels deep here"
            raise _StopError(Fault(start.line, start.column, path.strip("."), says))

    def _refuse(self, event: Any, path: str, says: str) -> None:
        self._fault(_mark(event.start_mark), path.strip("."), says)

    def _fault(self, mark: Mark, path: str, says: str) -> None:
        fault = Fault(mark.line, mark.column, path, says)
        if len(self.faults) >= MOST_FAULTS:
            raise _StopError(fault._replace(says=AND_MORE))
        self.faults.append(fault)


def quoted(text: str) -> str:
    """A piece of a file as a message shows it: on one line, and of bounded length."""
    shown = "".join(sign if sign.isprintable() else "?" for sign in text[:61])
    return f"`{shown[:57]}...`" if len(shown) > 60 else f"`{shown}`"


def on_screen(text: str) -> str:
    """A text of someone else's, a file's name say, on one line and with nothing a screen obeys."""
    return text if text.isprintable() else re.sub(_UNSEEN, " ", text)


def _mark(mark: Any) -> Mark:
    # Made without `Mark`'s own constructor: these are most of what is made of a text.
    return tuple.__new__(Mark, (mark.line + 1, mark.column + 1, mark.index))


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
