"""What to say to someone whose text can't be followed as YAML, and which place to show them.

The parser's own words speak of tokens and block ends, and its place is where it gave up, which is
often a line below the slip. Only spoiled texts come here.
"""

from __future__ import annotations

import re
from typing import Any

# Line and column from 1, and what is wrong there.
Slip = tuple[int, int, str]

# What YAML takes for text, so what may stand in a file of ours.
UNPRINTABLE = "[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]"

_DEFAULT = "this can't be read as keys and values. Check the indentation, quotes and brackets here"
_INDENT = "this line is indented differently from the lines that it belongs to. Line them up"
_CLOSING = {"[": "]", "{": "}"}


def garbled(error: Any, text: str) -> Slip:
    """What a parser's error means for who wrote the text."""
    slip = _Spoiled(error, text)
    for pattern, says in _SAYINGS:
        if re.search(pattern, slip.problem):
            return says(slip)
    return slip.here(_DEFAULT)


def unprintable(text: str) -> Slip:
    """The first character of a text that is none."""
    found = re.search(UNPRINTABLE, text)
    at = found.start() if found else 0
    # The mark stands in for the character, which may be one that ends a line.
    lines = f"{text[:at]}|".splitlines()
    says = f"character {ord(text[at]):#04x} is no printable text. Take it out"
    return len(lines), len(lines[-1]), says


class _Spoiled:
    """A parser's error beside the lines of its text."""

    def __init__(self, error: Any, text: str) -> None:
        problem = [part for part in (error.context, error.problem) if part]
        self.problem = ": ".join(str(part) for part in problem)
        self.lines = text.splitlines() or [""]
        mark = error.problem_mark or error.context_mark
        self.at = self._within(mark.line + 1, mark.column + 1) if mark else (1, 1)
        begun = error.context_mark or mark
        self.begun = self._within(begun.line + 1, begun.column + 1) if begun else self.at
        self.ended = bool(mark) and mark.line >= len(self.lines)

    def _within(self, line: int, column: int) -> tuple[int, int]:
        """A place of the text: the parser counts a line more where it meets the end."""
        if line <= len(self.lines):
            return line, column
        last = next((at for at in range(len(self.lines), 0, -1) if self.line(at).strip()), 1)
        return last, max(1, len(self.line(last).rstrip()))

    def line(self, number: int) -> str:
        """A line by its number; an empty one past the end."""
        return self.lines[number - 1] if 0 < number <= len(self.lines) else ""

    @property
    def before(self) -> str:
        """What stands in the line before the place where the parser gave up."""
        return self.line(self.at[0])[: self.at[1] - 1]

    @property
    def rest(self) -> str:
        """What stands in the line from that place on."""
        return self.line(self.at[0])[self.at[1] - 1 :]

    def here(self, says: str) -> Slip:
        """The place where the parser gave up."""
        return (*self.at, says)

    def there(self, says: str) -> Slip:
        """The place where that which it was reading begins."""
        return (*self.begun, says)

    def above(self) -> int:
        """The number of the nearest line above that is neither empty nor a comment; 0 for none."""
        return next(
            (at for at in range(self.at[0] - 1, 0, -1) if self.line(at).split("#")[0].strip()), 0
        )


def _tab(slip: _Spoiled) -> Slip:
    number = slip.at[0]
    column = slip.line(number).find("\t") + 1
    return number, max(column, 1), "a tab stands here. Use spaces"


def _stray_colon(slip: _Spoiled) -> Slip:
    """A `:` where no key can be: a second one, or one whose key hangs on to the line above."""
    if re.search(r":(\s|$)", slip.before):
        return slip.here(
            "a second `:` stands in this line. Put the value in quotes, or the second key on its "
            "own line"
        )
    above = slip.above()
    line = slip.line(above)
    if not above:
        return slip.here(_DEFAULT)
    if re.search(r":(\s|$)", line):
        return slip.at[0], len(slip.before) - len(slip.before.lstrip()) + 1, _INDENT
    return _no_colon(above, line)


def _no_colon(number: int, line: str) -> Slip:
    glued = re.search(r"(?<=[\w\"']):(?=\S)", line)
    if glued:
        return number, glued.start() + 1, "a space is missing after this `:`"
    column = len(line) - len(line.lstrip()) + 1
    return number, column, "a `:` is missing after the key in this line"


def _key_alone(slip: _Spoiled) -> Slip:
    return _no_colon(slip.begun[0], slip.line(slip.begun[0]))


def _quotes(slip: _Spoiled) -> Slip:
    quote = slip.line(slip.begun[0])[slip.begun[1] - 1 :][:1]
    return slip.there(f"the text that begins here is not closed. Write `{quote}` at its end")


def _brackets(slip: _Spoiled) -> Slip:
    opening = slip.line(slip.begun[0])[slip.begun[1] - 1 :][:1]
    closing = _CLOSING.get(opening, "]")
    if slip.at[0] == slip.begun[0] and slip.rest and not slip.ended:
        return slip.here(f"a `,` or the closing `{closing}` is missing before this")
    says = f"this `{opening or '['}` is not closed, or a `,` is missing after one of its entries"
    return slip.there(says)


def _no_value(slip: _Spoiled) -> Slip:
    if slip.rest.strip() and not slip.ended:
        return _sign(slip)
    return slip.here("the file ends inside a bracket. Close it")


def _sign(slip: _Spoiled) -> Slip:
    at = slip.begun if re.search("alias|anchor", slip.problem) else slip.at
    sign = slip.line(at[0])[at[1] - 1 :][:1]
    shown = "a backtick" if sign == "`" else f"`{sign}`"
    return (*at, f"a value can't begin with {shown}. Put the value in quotes")


def _no_dash(slip: _Spoiled) -> Slip:
    return slip.here(
        "this line follows the items of a list but begins with no dash. Give it one, or line it up "
        "with the key that it belongs to"
    )


def _left_over(slip: _Spoiled) -> Slip:
    """Something between a value's end and the next key."""
    if slip.before.strip():
        return slip.here(
            "the value ends before this. Put the whole of it in quotes, or take out the surplus"
        )
    if slip.rest.startswith((":", "]", "}", ",")):
        says = "a key is missing before this `:`" if slip.rest[0] == ":" else ""
        return slip.here(says or f"this `{slip.rest[0]}` belongs to nothing above it. Take it out")
    return slip.here(_INDENT)


def _after_the_end(slip: _Spoiled) -> Slip:
    if slip.ended:
        return slip.here("nothing is written in the file")
    if any(line.startswith("...") for line in slip.lines[: slip.at[0] - 1]):
        return slip.here("a second document begins here. Put it into a file of its own")
    return _left_over(slip)


_SAYINGS = (
    (
        "nesting depth",
        lambda slip: slip.there(
            "lists lie within lists here, hundreds of levels deep. Is it the right file?"
        ),
    ),
    (r"found a tab|tab character|character '\\t'", _tab),
    ("mapping values are not allowed", _stray_colon),
    ("could not find expected ':'", _key_alone),
    ("quoted scalar: found unexpected (end of stream|document)", _quotes),
    (
        "escape|hexdecimal",
        lambda slip: slip.here(
            "a `\\` has a meaning of its own in a text with double quotes. Use single quotes"
        ),
    ),
    ("flow (sequence|mapping)", _brackets),
    ("node content", _no_value),
    (
        "cannot start any token|alphabetic or numeric",
        lambda slip: _tab(slip) if slip.rest[:1] == "\t" else _sign(slip),
    ),
    (
        "block scalar",
        lambda slip: slip.there(
            "a value that begins with `|` or `>` goes on in the next line. Put it in quotes"
        ),
    ),
    (
        "sequence entries are not allowed",
        lambda slip: slip.here(
            "an item of a list begins in the middle of this line. Begin it on a line of its own"
        ),
    ),
    ("block collection", _no_dash),
    ("block mapping", _left_over),
    (
        "directive|incompatible",
        lambda slip: (slip.at[0], 1, "a line that begins with `%` is not used here. Take it out"),
    ),
    ("<document start>", _after_the_end),
)
