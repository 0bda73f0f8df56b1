"""Edits of a keeper's text, one by one: a value made another, an entry added or taken out."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any, Protocol

from flockcheck.setup.spelling import Hand, in_brackets, in_place, item_lines, lines_of, pair
from flockcheck.text.layout import (
    BREAKS,
    Entry,
    Part,
    comments,
    line_break,
    line_end,
    line_start,
    next_line,
)
from flockcheck.text.records import NamedTuple

_ALIGNED = re.compile(r"( {2,})#")


class Wanted(Protocol):
    """A change of one key: its path and its new text, empty where the key is to go.

    A list item that is added has its keys with their texts in `item`.
    """

    @property
    def path(self) -> str:
        """The key's path, such as `birds.0.count`."""

    @property
    def text(self) -> str:
        """What is to stand there, as the keeper writes it."""

    @property
    def item(self) -> tuple[tuple[str, str], ...]:
        """The keys of an added item."""


def words_of(text: str) -> list[str]:
    """The words of a list as a change has them: `[fox, mink]`, or without the brackets."""
    inner = text.strip().removeprefix("[").removesuffix("]")
    return [word.strip() for word in inner.split(",")] if inner.strip() else []


class Write(NamedTuple):
    """A change of that kind."""

    path: str
    text: str
    item: tuple[tuple[str, str], ...] = ()


class Edit(NamedTuple):
    """A piece of a text, from `start` up to `end`, in whose place another text comes."""

    start: int
    end: int
    text: str


class EditError(ValueError):
    """Edits that can't be made together, or at all."""


def applied(text: str, edits: Iterable[Edit]) -> str:
    """A text with edits made (in the order of the text), from its end on: none shifts another.

    Raises EditError where two meet at one place.
    """
    until = len(text)
    for edit in reversed(tuple(edits)):
        if edit.end > until:
            raise EditError("two changes meet at one place")
        text = text[: edit.start] + edit.text + text[edit.end :]
        until = edit.start
    return text


def hand_of(text: str, root: Part) -> Hand:
    """How the keeper writes, as far as the file shows it."""
    indents: list[int] = []
    dashes: list[int] = []
    parts = [root]
    while parts:
        part = parts.pop()
        parts += [entry.value for entry in part.entries]
        for entry in part.entries:
            inner = entry.value
            if entry.key is None or part.style or inner.style or not inner.entries:
                continue
            by = inner.start.column - entry.key.start.column
            (indents if inner.kind == "section" else dashes).append(by)
    indent = min((by for by in indents if by > 0), default=2)
    return Hand(line_break(text), indent, min(dashes, default=indent))


def value_edit(text: str, part: Part, new: str) -> Edit:
    """The edit that makes a scalar another; a comment in line with those of others stays there."""
    start, end, written = in_place(text, part, new)
    # Within brackets a comma may have to come between.
    blanks = None if part.bracketed else _ALIGNED.match(text, end)
    if blanks and start < end and not any(sign in text[start:end] for sign in BREAKS):
        room = len(blanks[1]) - (len(written) - (end - start))
        end += len(blanks[1])
        written += " " * max(room, 2)
    return Edit(start, end, written)


def addition(text: str, part: Part, new: Any, hand: Hand, *, top: bool = False) -> list[Edit]:
    """The edits that add keys to a section (`new` a dictionary) or items to a list (a list).

    `top` tells that the section is the whole file.
    """
    last = part.entries[-1] if part.entries else None
    key = last.key if last else None
    hand = hand._replace(quote=key.style if key else _quote_of(last))
    if part.style:
        if isinstance(new, dict):
            texts = [pair(name, value, hand.quote) for name, value in new.items()]
        else:
            texts = [in_brackets(value, hand.quote) for value in new]
        return _within_brackets(text, part, texts, hand)
    if last is None:
        raise EditError("there is nothing to go by")
    if isinstance(new, dict):
        column = last.start.column - 1
        lines = [line for name in new for line in lines_of(name, new[name], column, hand)]
        if top and _blank_before(text, last) and any(not isinstance(v, str) for v in new.values()):
            lines.insert(0, "")
    else:
        lines = _more_items(part, last, new, hand)
    return [_below(text, last.value, lines, hand.newline)]


def _quote_of(last: Entry | None) -> str:
    """The quotes that new items take: those of the item before them."""
    if last is None:
        return ""
    if last.value.kind == "section" and last.value.entries:
        key = last.value.entries[-1].key
        return key.style if key else ""
    return last.value.style if last.value.style in ("'", '"') else ""


def _more_items(part: Part, last: Entry, new: list[Any], hand: Hand) -> list[str]:
    column = part.start.column - 1
    if last.value.style == "{":
        return [f"{' ' * column}- {in_brackets(item, hand.quote)}" for item in new]
    offset = last.value.start.column - part.start.column
    return [line for item in new for line in item_lines(item, column, max(offset, 2), hand)]


def _within_brackets(text: str, part: Part, texts: list[str], hand: Hand) -> list[Edit]:
    """Entries behind the last one within brackets: on lines of their own where that has one."""
    if not part.entries:
        inside = part.start.at + 1
        return [Edit(inside, inside, ", ".join(texts))]
    last = part.entries[-1]
    end, close = last.value.end.at, part.end.at - 1
    comma = _comma(text, end, close)
    left = text[line_start(text, last.start.at) : last.start.at]
    below = line_end(text, end if comma is None else comma)
    if left.strip() or below >= close:
        return [Edit(end, end, "".join(f", {one}" for one in texts))]
    lines = f",{hand.newline}{left}".join(texts)
    new = Edit(below, below, f"{hand.newline}{left}{lines}{'' if comma is None else ','}")
    return [new] if comma is not None else [Edit(end, end, ","), new]


def _comma(text: str, start: int, end: int) -> int | None:
    """Where a comma stands in a stretch of text, but for its comments."""
    hidden = re.sub(f"#[^{BREAKS}]*", lambda found: " " * len(found[0]), text[start:end])
    found = hidden.find(",")
    return None if found < 0 else start + found


def _below(text: str, last: Part, lines: list[str], newline: str) -> Edit:
    """Lines below what a part holds, and below the comment behind it."""
    while last.entries and not last.style:
        last = last.entries[-1].value
    at = last.end.at
    if last.style in ("|", ">"):
        head = text[last.start.at : line_end(text, last.start.at)]
        if "+" not in head.partition("#")[0]:
            at = last.start.at + len(text[last.start.at : at].rstrip(" \t" + BREAKS))
        elif text[at - 1] in BREAKS:
            # Blank lines at the end are part of such a text.
            return Edit(at, at, newline.join(lines) + newline)
    at = line_end(text, at)
    return Edit(at, at, newline + newline.join(lines))


def _blank_before(text: str, entry: Entry) -> bool:
    """Whether a blank line stands before an entry, or before the comments above it."""
    at = line_start(text, entry.start.at)
    while at > 0:
        above = line_start(text, at - 2 if text.startswith("\r\n", at - 2) else at - 1)
        line = text[above:at].strip()
        if not line.startswith("#"):
            return not line
        at = above
    return False


def removal(text: str, part: Part, entry: Entry) -> Edit:
    """The edit that takes an entry out of a section or list; comments behind it stay.

    Raises EditError where it is the only one, which would leave nothing behind.
    """
    at = part.entries.index(entry)
    if len(part.entries) == 1:
        raise EditError("it is the only entry")
    if part.style:
        if at + 1 < len(part.entries):
            return Edit(entry.start.at, part.entries[at + 1].start.at, "")
        return Edit(part.entries[at - 1].value.end.at, entry.value.end.at, "")
    start = entry.start.at
    if entry.key is None:
        start = text.rindex("-", 0, start)
    end = entry.value.end.at
    begin = line_start(text, start)
    if not text[begin:start].strip():
        return _lines_out(text, begin, start, end)
    # The first key behind a dash: the next one takes its place, unless a comment stands between.
    after = part.entries[at + 1].start.at
    return Edit(start, end if text[end:after].strip() else after, "")


def _lines_out(text: str, begin: int, start: int, end: int) -> Edit:
    """The edit that takes whole lines out, of which the comments stay."""
    # A block text ends where the next line begins.
    last = end if text[end - 1] in BREAKS else next_line(text, end)
    left, newline = text[begin:start], line_break(text)
    kept = [said for at, said in comments(text) if begin <= at < last]
    return Edit(begin, last, "".join(f"{left}{said}{newline}" for said in kept))
