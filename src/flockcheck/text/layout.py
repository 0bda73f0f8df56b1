"""Where each key and value of a text stands and how it is written: what a change of it needs.

The reader's nodes forget quotes, brackets and comments; here they are kept. A text given here is
one that `read_document` takes, so that nothing unsafe is in it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import yaml

from flockcheck.text.nodes import Mark
from flockcheck.text.records import NamedTuple

# What ends a line in YAML, and so by our lines too.
BREAKS = "\n\r\x85\u2028\u2029"
_COMMENT = re.compile(f"#[^{BREAKS}]*")
_AFTER_HEAD = re.compile(f"[ \t]#[^{BREAKS}]*")
_Loader: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)


class Part:
    """A key, a value, a list or a section, with its place.

    `kind` is scalar, list or section. `style` is, of a scalar, the sign it begins with (`'`, `"`,
    `|`, `>`, or nothing) and otherwise `[` or `{` where it is written in brackets. `end` is where
    its last sign ends, comments behind it not counted. `bracketed` tells that it stands within
    brackets.
    """

    __slots__ = ("bracketed", "end", "entries", "kind", "start", "style")

    def __init__(self, kind: str, style: str, start: Mark, end: Mark, bracketed: bool) -> None:
        self.kind = kind
        self.style = style
        self.start = start
        self.end = end
        self.bracketed = bracketed
        self.entries: list[Entry] = []

    def entry(self, name: str) -> Entry | None:
        """The entry of this name (a key, or a place in a list); None where there is none."""
        return next((entry for entry in self.entries if entry.name == name), None)


class Entry(NamedTuple):
    """A key with its value, or an item of a list, which has its place as its name and no key."""

    name: str
    key: Part | None
    value: Part

    @property
    def start(self) -> Mark:
        """Where the key begins; where there is none, the item."""
        return self.key.start if self.key else self.value.start


def read_layout(text: str) -> Part:
    """The layout of a text that `read_document` takes."""
    open_parts: list[Part] = []
    keys: list[tuple[str, Part] | None] = []
    root: Part | None = None
    event: Any
    for event in yaml.parse(text, Loader=_Loader):
        kind = type(event).__name__
        if kind.endswith("EndEvent") and kind[0] in "MS" and kind != "StreamEndEvent":
            done = open_parts.pop()
            keys.pop()
            if done.style:
                done.end = _mark(event.end_mark)
            elif done.entries:
                done.end = done.entries[-1].value.end
            continue
        part = _part(event, kind, bracketed=bool(open_parts and _within(open_parts[-1])))
        if part is None:
            continue
        root = root or part
        if open_parts:
            above = open_parts[-1]
            if above.kind == "list":
                above.entries.append(Entry(str(len(above.entries)), None, part))
            elif keys[-1] is None:
                keys[-1] = (str(event.value), part)
                continue
            else:
                above.entries.append(Entry(*keys[-1], part))
                keys[-1] = None
        if part.kind != "scalar":
            open_parts.append(part)
            keys.append(None)
    assert root is not None
    return root


def _part(event: Any, kind: str, *, bracketed: bool) -> Part | None:
    start, end = _mark(event.start_mark), _mark(event.end_mark)
    if kind == "ScalarEvent":
        return Part("scalar", event.style or "", start, end, bracketed)
    if kind == "SequenceStartEvent":
        return Part("list", "[" if event.flow_style else "", start, end, bracketed)
    if kind == "MappingStartEvent":
        return Part("section", "{" if event.flow_style else "", start, end, bracketed)
    return None


def _within(part: Part) -> bool:
    """Whether what stands in a part stands within brackets."""
    return part.bracketed or part.style in ("[", "{")


def _mark(mark: Any) -> Mark:
    return Mark(mark.line + 1, mark.column + 1, mark.index)


def comments(text: str) -> Iterator[tuple[int, str]]:
    """Every comment of a text: where it begins and what it says from its `#` on."""
    before = 0
    token: Any
    for token in yaml.scan(text, Loader=_Loader):
        start, end = token.start_mark.index, token.end_mark.index
        yield from _comments_in(text, before, start)
        if type(token).__name__ == "ScalarToken" and token.style in ("|", ">"):
            head = _AFTER_HEAD.search(text, start, line_end(text, start))
            if head:
                yield head.start() + 1, head[0][1:]
        before = max(before, end)
    yield from _comments_in(text, before, len(text))


def _comments_in(text: str, start: int, end: int) -> Iterator[tuple[int, str]]:
    for found in _COMMENT.finditer(text, start, end):
        yield found.start(), found[0]


def line_start(text: str, at: int) -> int:
    """Where the line begins in which a place stands."""
    while at > 0 and text[at - 1] not in BREAKS:
        at -= 1
    return at


def line_end(text: str, at: int) -> int:
    """Where the line ends in which a place stands: before what breaks it."""
    while at < len(text) and text[at] not in BREAKS:
        at += 1
    return at


def next_line(text: str, at: int) -> int:
    """Where the line after the one of a place begins; the text's end where there is none."""
    end = line_end(text, at)
    if text.startswith("\r\n", end):
        return end + 2
    return min(end + 1, len(text))


def line_break(text: str) -> str:
    """What breaks the lines of a text: what breaks its first."""
    end = line_end(text, 0)
    return text[end : next_line(text, end)] or "\n"


def mark_at(text: str, at: int) -> Mark:
    """Line and column of a place in a text."""
    start = line_start(text, at)
    line, here = 1, 0
    while here < start:
        here = next_line(text, here)
        line += 1
    return Mark(line, at - start + 1, at)
