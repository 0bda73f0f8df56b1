"""One value of a setup: from the keeper's text to base units, or what is wrong with it.

A text that fits a key is read once: a club's members write the same few hundred over and over.

The words of every message are for someone in a field with a phone: what was read, what would do.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from datetime import date
from functools import cache
from itertools import compress
from typing import Any

from flockcheck.setup.form import Shape, kind_of, resolve
from flockcheck.text.document import Mapping, Scalar, quoted
from flockcheck.text.quantities import QuantityError, parse_quantity, show_apart

FLAGS = {"yes": True, "true": True, "no": False, "false": False}
_INTEGER = r"[-+]?[0-9]{1,15}\Z"
_NUMBER = r"[-+]?([0-9]{1,15}(\.[0-9]*)?|\.[0-9]+)\Z"
# Of each key, at most so many texts are kept with their values, and none that is longer.
_MOST_KEPT = 100
_SHORT = 40
# What a text lacks that does not fit a pattern of the schema.
_PATTERNS = {
    r"\S": "nothing is written",
    "^[a-z][a-z0-9-]*$": "is no such name: those are lower case words, joined by dashes",
    r"^[a-z]+(\.[a-z0-9]+)?$": "names no item; write one as `birds.0`, the first group of birds",
}


class Unfit(ValueError):
    """A text that a key does not take; `says` tells why and what would do."""

    def __init__(self, says: str) -> None:
        self.says = says
        super().__init__(says)


class Key:
    """What may stand at one key: its shape in the schema and what follows from that, kept.

    `shape` has its reference followed, `single` tells whether it takes one value, and `inner` holds
    the keys inside that were met so far.
    """

    __slots__ = (
        "_conditions",
        "_fits",
        "_narrowed",
        "inner",
        "kind",
        "required",
        "shape",
        "single",
    )

    def __init__(self, shape: Shape) -> None:
        self.shape = shape
        self.kind = kind_of(shape)
        self.single = self.kind not in ("section", "list", "weights")
        self.required: list[str] = shape.get("required", [])
        self.inner: dict[str, Key] = {}
        self._conditions: list[Shape] = shape.get("allOf", [])
        self._narrowed: dict[tuple[bool, ...], Key] = {}
        self._fits: dict[str, tuple[Any, str]] = {}

    def inside(self, name: str, shape: Shape) -> Key:
        """The key for a part of this one: always the same for the same name."""
        found = self.inner.get(name)
        if found is None:
            found = self.inner[name] = Key(resolve(shape))
        return found

    def read(self, text: str) -> tuple[Any, str]:
        """As `read_scalar`, which see."""
        found = self._fits.get(text)
        if found is None:
            found = read_scalar(text, self.shape)
            # A free text is its own value, and seldom written twice.
            if self.kind != "text" and len(text) <= _SHORT:
                if len(self._fits) >= _MOST_KEPT:
                    self._fits.clear()
                self._fits[text] = found
        return found

    def for_what_is_in(self, node: Mapping) -> Key:
        """This key, or the one that stands for it where what is written asks more of a section."""
        if not self._conditions:
            return self
        holds = tuple(_holds(condition["if"]["properties"], node) for condition in self._conditions)
        found = self._narrowed.get(holds)
        if found is None:
            found = self._narrowed[holds] = Key(self._with(compress(self._conditions, holds)))
        return found

    def _with(self, conditions: Iterable[Shape]) -> Shape:
        """The shape of a section with what follows from conditions that hold."""
        required, properties = [*self.required], {**self.shape["properties"]}
        for condition in conditions:
            required += condition["then"].get("required", ())
            for name, narrower in condition["then"].get("properties", {}).items():
                properties[name] = {**resolve(self.shape["properties"][name]), **narrower}
        only_once = list(dict.fromkeys(required))
        return {**self.shape, "required": only_once, "properties": properties, "allOf": []}


def _holds(wanted: dict[str, Shape], node: Mapping) -> bool:
    """Whether a section has all the values that a condition names."""
    found = ((node.entries.get(name), one["const"]) for name, one in wanted.items())
    return all(isinstance(one, Scalar) and one.text == const for one, const in found)


def read_scalar(text: str, shape: Shape) -> tuple[Any, str]:
    """The value of a text in base units, and the family of its unit ("" for none). Raises Unfit."""
    kind = kind_of(shape)
    if kind == "quantity":
        return read_quantity(text, shape)
    if kind != "text" and not text.strip():
        raise Unfit(f"nothing is written; it takes {would_do(shape)}")
    return _READERS[kind](text, shape), ""


def read_quantity(text: str, shape: Shape) -> tuple[float, str]:
    """The number of a quantity within its key's bounds, and the family of its unit."""
    dimension = shape["dimension"]
    try:
        value, _, family = parse_quantity(text, dimension)
    except QuantityError as error:
        raise Unfit(f"{error.says}; it takes {error.would_do}") from None
    for key, outside in (("least", float.__lt__), ("most", float.__gt__)):
        if key not in shape:
            continue
        bound = _bound(shape[key], dimension)
        # A bound written in other units must not fail for the rounding of the conversion.
        if outside(float(value), bound) and not math.isclose(value, bound):
            _, shown = show_apart(value, bound, dimension, family or "metric")
            raise Unfit(f"{quoted(text)} can't be right; it is at {key} {shown}")
    return value, family


@cache
def _bound(text: str, dimension: str) -> float:
    """A bound as a schema has it, in base units."""
    return parse_quantity(text, dimension).value


def _read_flag(text: str, shape: Shape) -> bool:
    found = FLAGS.get(text)
    if found is None:
        lower = text.lower()
        hint = f"write {lower}" if lower in FLAGS else shape["elsewhere"].get(lower)
        says = f"{quoted(text)} is neither `yes` nor `no`"
        raise Unfit(f"{says}: {hint}" if hint else says)
    return found


def _read_date(text: str, shape: Shape) -> date:
    # Unlike a pattern, this need not be compiled at every start; `date` reads other forms too.
    parts = text.split("-")
    if [*map(len, parts)] != [4, 2, 2] or not (text.isascii() and "".join(parts).isdecimal()):
        raise Unfit(f"{quoted(text)} is not a date; write year-month-day, such as 2027-04-20")
    try:
        found = date.fromisoformat(text)
    except ValueError:
        raise Unfit(f"`{text}` is a day that the calendar doesn't have") from None
    if not re.search(shape["pattern"], text):
        raise Unfit(f"`{text}` lies outside the years 2000 to 2099")
    return found


def _read_word(text: str, shape: Shape) -> str:
    words = shape["enum"]
    if text in words:
        return text
    says = f"{quoted(text)} is not a word for this"
    hint = shape.get("elsewhere", {}).get(text.lower())
    if hint:
        raise Unfit(f"{says}: {hint}")
    near = nearest(text.lower(), words)
    if near:
        raise Unfit(f"{says}; did you mean `{near}`?")
    raise Unfit(f"{says}; the words are {listed(words)}" if words else f"{says}; leave it out")


def _read_text(text: str, shape: Shape) -> str:
    most = shape["maxLength"]
    if len(text) > most:
        raise Unfit(f"the text is {len(text)} characters long; at most {most} are kept")
    pattern = shape.get("pattern")
    if pattern and not re.search(pattern, text):
        says = _PATTERNS[pattern]
        raise Unfit(f"{quoted(text)} {says}" if text.strip() else "nothing is written")
    return text


def _plain(text: str) -> bool:
    """Whether a text is plain digits, as most numbers are: seen without compiling a pattern."""
    return len(text) <= 15 and text.isascii() and text.isdecimal()


def _read_integer(text: str, shape: Shape) -> int:
    value = int(text) if _plain(text) or re.match(_INTEGER, text) else None
    allowed = shape.get("enum")
    if allowed and value not in allowed:
        raise Unfit(f"{quoted(text)} is not known here; it takes {would_do(shape)}")
    if value is None:
        raise Unfit(f"{quoted(text)} is not {would_do(shape)}")
    _check_bounds(value, text, shape)
    return value


def _read_number(text: str, shape: Shape) -> float:
    if not (_plain(text) or re.match(_NUMBER, text)):
        raise Unfit(f"{quoted(text)} is not {would_do(shape)}")
    value = float(text)
    _check_bounds(value, text, shape)
    return value


def _check_bounds(value: float, text: str, shape: Shape) -> None:
    least, most = shape.get("minimum", -math.inf), shape.get("maximum", math.inf)
    if value < least:
        raise Unfit(f"`{text}` can't be right; it is at least {least}")
    if value > most:
        raise Unfit(f"`{text}` can't be right; it is at most {most}")


_READERS: dict[str, Any] = {
    "flag": _read_flag,
    "date": _read_date,
    "word": _read_word,
    "text": _read_text,
    "integer": _read_integer,
    "number": _read_number,
}


def would_do(shape: Shape) -> str:
    """What a key takes, in words with an example."""
    kind = kind_of(shape)
    if kind == "quantity":
        try:
            parse_quantity("", shape["dimension"])
        except QuantityError as error:
            return error.would_do
    if kind == "word" or (kind == "integer" and "enum" in shape):
        return listed(str(word) for word in shape["enum"])
    return {
        "flag": "`yes` or `no`",
        "date": "a date such as 2027-04-20",
        "integer": "a whole number such as 12",
        "number": "a bare number such as 0.5",
        "section": "keys of its own, each on a line below it",
        "list": "a list, each entry after a dash",
        "weights": "ages with weights, such as {28 days: 0.7 kg}",
    }.get(kind, "a text")


def nearest(word: str, words: list[str]) -> str | None:
    """The word that a slip of the pen most likely meant."""
    if len(word) > 60:
        return None
    from difflib import get_close_matches

    return next(iter(get_close_matches(word, words, 1, 0.7)), None)


def listed(words: Iterable[str]) -> str:
    """Words in one phrase: `fox`, `mink` or `rat`."""
    *most, last = (f"`{word}`" for word in words)
    return f"{', '.join(most)} or {last}" if most else last
