"""How a value is written into a keeper's file: plain, in the quotes that stand there, or nested."""

from __future__ import annotations

import json
import re
from typing import Any

from flockcheck.text.layout import BREAKS, Part
from flockcheck.text.records import NamedTuple

# A value needs no quotes if YAML reads it as it stands: no sign of YAML's own first, no colon or
# hash that ends it, and within brackets none of what parts the entries there.
_PLAIN = re.compile(r"(?![-?:](\s|\Z)|---|\.\.\.)[^\s,\[\]{}#&*!|>'\"%@`]")
_ENDS = re.compile(r":(\s|\Z)|\s#|\s\Z")
_PARTS = re.compile(r"[,\[\]{}]")
# The lines of a block of text, from their first letter to their last.
_BLOCK = re.compile(rf"[^{BREAKS}]*[{BREAKS}]\s*(\S(?:.*\S)?)\s*\Z", re.DOTALL)
_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?\Z")


class Hand(NamedTuple):
    """How the keeper writes: line breaks, the indent of a section, and of a list below its key.

    `quote` is the sign round the keys of the section that is added to, or nothing.
    """

    newline: str
    indent: int
    dash: int
    quote: str = ""


def spelled(text: str, quote: str, *, bracketed: bool) -> str:
    """A value as it is written: in the quotes given (`'`, `"`), or without any where that does."""
    if quote == '"' or any(not sign.isprintable() for sign in text):
        return json.dumps(text, ensure_ascii=False)
    plain = _PLAIN.match(text) and not _ENDS.search(text)
    if quote != "'" and plain and not (bracketed and _PARTS.search(text)):
        return text
    return "'" + text.replace("'", "''") + "'"


def in_brackets(value: Any, quote: str) -> str:
    """What is to be added, on one line: `{kind: dog, count: 1}`, `[fox, mink]`."""
    if isinstance(value, dict):
        pairs = (f"{_key(key, quote)}: {in_brackets(one, quote)}" for key, one in value.items())
        return "{" + ", ".join(pairs) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(in_brackets(one, quote) for one in value) + "]"
    return spelled(value, "" if _NUMBER.match(value) else quote, bracketed=True)


def pair(key: str, value: Any, quote: str) -> str:
    """A key with its value, within brackets."""
    return f"{_key(key, quote)}: {in_brackets(value, quote)}"


def lines_of(key: str, value: Any, column: int, hand: Hand) -> list[str]:
    """A key with its value on lines of their own; the key stands `column` signs from the left."""
    left = " " * column
    if isinstance(value, dict):
        found = [f"{left}{_key(key, hand.quote)}:"]
        for inner, one in value.items():
            found += lines_of(inner, one, column + hand.indent, hand)
        return found
    if isinstance(value, list) and value and isinstance(value[0], dict):
        found = [f"{left}{_key(key, hand.quote)}:"]
        for item in value:
            found += item_lines(item, column + hand.dash, 2, hand)
        return found
    if isinstance(value, list):
        return [f"{left}{_key(key, hand.quote)}: {in_brackets(value, hand.quote)}"]
    return [f"{left}{_key(key, hand.quote)}: {_on_line(value, hand.quote)}"]


def item_lines(item: Any, column: int, offset: int, hand: Hand) -> list[str]:
    """A list item on lines of its own: its dash at `column`, what it holds `offset` further on."""
    left = " " * column + "-" + " " * (offset - 1)
    if not isinstance(item, dict):
        return [left + _on_line(item, hand.quote)]
    found: list[str] = []
    for key, value in item.items():
        found += lines_of(key, value, column + offset, hand)
    found[0] = left + found[0].lstrip(" ")
    return found


def _on_line(value: str, quote: str) -> str:
    return spelled(value, "" if _NUMBER.match(value) else quote, bracketed=False)


def _key(key: str, quote: str) -> str:
    return f"{quote}{key}{quote}"


def in_place(text: str, part: Part, new: str) -> tuple[int, int, str]:
    """What of a scalar's text goes, from where to where, and what comes instead."""
    start, end = part.start.at, part.end.at
    old = text[start:end]
    if part.style in ("|", ">"):
        # The head (with its comment), the indent and the blank lines at the end stay.
        lines = _BLOCK.match(old)
        if lines:
            return start + lines.start(1), start + lines.end(1), new
    written = spelled(new, part.style, bracketed=part.bracketed)
    # After the colon of a key that has nothing.
    lone = not old and text[:start].endswith(":")
    return start, end, f" {written}" if lone else written
