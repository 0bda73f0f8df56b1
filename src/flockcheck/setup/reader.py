"""One pass over a setup's nodes, driven by the schema: checks, converts, reports every fault.

Nothing stops at the first mistake: a keeper who wrote five things wrong is told all five, each with
line and column, what was read, what would do and the nearest right spelling.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from datetime import date
from typing import Any, TypeVar

from flockcheck.setup.form import Shape, kind_of, resolve, schema
from flockcheck.setup.written import Setup, Written
from flockcheck.text.document import (
    DocumentError,
    Fault,
    Mapping,
    Mark,
    Node,
    Scalar,
    Sequence,
    decode,
    read_document,
)
from flockcheck.text.quantities import QuantityError, parse_quantity, show

_N = TypeVar("_N", int, float)
FLAGS = {"yes": True, "true": True, "no": False, "false": False}
_INTEGER = re.compile(r"[-+]?[0-9]{1,15}\Z")
_NUMBER = re.compile(r"[-+]?([0-9]{1,15}(\.[0-9]*)?|\.[0-9]+)\Z")


class SetupError(ValueError):
    """A setup file with faults; `faults` holds every one, in the order of the file."""

    def __init__(self, file: str, faults: tuple[Fault, ...]) -> None:
        self.file = file
        self.faults = faults
        super().__init__(f"{file}: {len(faults)} faults, first {faults[0].says}")


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
    reading = _Reading()
    try:
        root = read_document(text)
    except DocumentError as error:
        reading.faults += error.faults
        if not isinstance(error.root, Mapping):
            raise SetupError(file, error.faults) from None
        root = error.root
    reading.section(root, resolve(schema()), "")
    if not reading.faults:
        reading.check_periods()
    if reading.faults:
        raise SetupError(file, tuple(sorted(set(reading.faults))))
    name = reading.values.get("name")
    return Setup(
        file=file,
        name=str(name.value) if name else "",
        text=text,
        values=reading.values,
        lists=reading.lists,
        marks=reading.marks,
        families={
            dimension: max(sorted(count), key=count.__getitem__)
            for dimension, count in reading.families.items()
        },
    )


def faults_of(node: Node, shape: Shape, path: str) -> tuple[Fault, ...]:
    """What is wrong with nodes as the value of one key of a setup, or as one item of its list."""
    reading = _Reading()
    reading.node(node, shape, path)
    return tuple(sorted(set(reading.faults)))


class _Reading:
    def __init__(self) -> None:
        self.faults: list[Fault] = []
        self.values: dict[str, Written] = {}
        self.lists: dict[str, int] = {}
        self.marks: dict[str, Mark] = {}
        self.families: dict[str, Counter[str]] = {}

    def fault(self, mark: Mark, path: str, says: str) -> None:
        self.faults.append(Fault(mark.line, mark.column, path, says))

    def node(self, node: Node, shape: Shape, path: str) -> None:
        kind = kind_of(shape)
        if kind == "section":
            if isinstance(node, Mapping):
                self.section(node, shape, path)
            else:
                self.wrong_form(node, path, "keys of its own, each on a line below it")
        elif kind == "list":
            self.list_of(node, shape, path)
        elif kind == "weights":
            self.weights(node, shape, path)
        elif isinstance(node, Scalar):
            self.scalar(node, shape, path)
        else:
            self.wrong_form(node, path, would_do(shape))

    def wrong_form(self, node: Node, path: str, expected: str) -> None:
        read = {Scalar: "one value", Sequence: "a list", Mapping: "keys"}[type(node)]
        if isinstance(node, Scalar):
            read = f"`{node.text}`" if node.text else "nothing"
        self.fault(node.start, path, f"`{_last(path)}` has {read}; it takes {expected}")

    def section(self, node: Mapping, shape: Shape, path: str) -> None:
        self.marks[path] = node.start
        properties: dict[str, Shape] = shape["properties"]
        for key, value in node.entries.items():
            inner = f"{path}.{key}" if path else key
            if key not in properties:
                self.unknown_key(node.keys[key], key, properties, path)
                continue
            self.node(value, resolve(properties[key]), inner)
        required = list(shape.get("required", ()))
        for condition in shape.get("allOf", ()):
            required += self.condition(condition, node, path)
        for key in dict.fromkeys(required):
            if key not in node.entries:
                where = f" for {path}" if path else ""
                takes = would_do(resolve(properties[key]))
                self.fault(
                    node.start, _join(path, key), f"`{key}` is missing{where}; it takes {takes}"
                )

    def condition(self, condition: Shape, node: Mapping, path: str) -> list[str]:
        """What an `if`/`then` of the schema asks here; its narrower words are checked."""
        for key, test in condition["if"]["properties"].items():
            found = node.entries.get(key)
            if not isinstance(found, Scalar) or found.text != test["const"]:
                return []
        then = condition["then"]
        for key, narrower in then.get("properties", {}).items():
            value = node.entries.get(key)
            if isinstance(value, Scalar) and _join(path, key) in self.values:
                self.scalar(value, resolve(narrower), _join(path, key))
        return list(then.get("required", ()))

    def unknown_key(self, mark: Mark, key: str, properties: dict[str, Shape], path: str) -> None:
        near = nearest(key, list(properties))
        if near:
            says = f"there is no key `{key}`; did you mean `{near}`?"
        else:
            elsewhere = [name for name in _all_keys() if name.rpartition(".")[2] == key]
            where = f" in {path}" if path else " at the top of the file"
            says = f"there is no key `{key}`{where}"
            if elsewhere:
                says += f"; `{elsewhere[0].replace('.*', '')}` is where it belongs"
            else:
                says += f"; the keys are {_listed(list(properties))}"
        self.fault(mark, _join(path, key), says)

    def list_of(self, node: Node, shape: Shape, path: str) -> None:
        item_shape = resolve(shape["items"])
        if not isinstance(node, Sequence):
            form = "a list, each item after a dash"
            if kind_of(item_shape) != "section":
                form = f"a list in brackets, such as [{_example_word(item_shape)}]"
            self.wrong_form(node, path, form)
            return
        self.marks[path] = node.start
        least, most = shape.get("minItems", 0), shape.get("maxItems")
        if len(node.items) < least:
            self.fault(
                node.start, path, f"`{_last(path)}` is an empty list; write at least {least}"
            )
        if most is not None and len(node.items) > most:
            says = f"`{_last(path)}` has {len(node.items)} items; at most {most} are read"
            self.fault(node.start, path, says)
            return
        for index, item in enumerate(node.items):
            self.node(item, item_shape, f"{path}.{index}")
        if kind_of(item_shape) == "section":
            self.lists[path] = len(node.items)
        else:
            self.word_list(node, path)

    def word_list(self, node: Sequence, path: str) -> None:
        """Keep a list of plain words as one value; a word twice is a slip."""
        found = [self.values.pop(f"{path}.{index}", None) for index in range(len(node.items))]
        words = [written.value for written in found if written is not None]
        for index, written in enumerate(found):
            if written is None:
                continue
            self.marks[f"{path}.{index}"] = written.start
            if written.value in words[:index]:
                says = f"`{written.value}` stands twice in `{_last(path)}`. Keep one"
                self.fault(written.start, f"{path}.{index}", says)
        shown = ", ".join(str(word) for word in words)
        self.values[path] = Written(tuple(words), shown, node.start, node.end)

    def weights(self, node: Node, shape: Shape, path: str) -> None:
        if not isinstance(node, Mapping):
            self.wrong_form(node, path, "ages with weights, such as {28 days: 0.7 kg}")
            return
        self.marks[path] = node.start
        key_shape = resolve(shape["propertyNames"])
        value_shape = resolve(shape["additionalProperties"])
        pairs: list[tuple[float, float]] = []
        for key, value in node.entries.items():
            mark = node.keys[key]
            age = self.quantity(Scalar(key, False, mark, mark), key_shape, path, count=False)
            if not isinstance(value, Scalar):
                self.wrong_form(value, _join(path, key), would_do(value_shape))
                continue
            weight = self.quantity(value, value_shape, _join(path, key))
            if age is not None and weight is not None:
                pairs.append((age, weight))
        if len({age for age, _ in pairs}) < len(pairs):
            self.fault(node.start, path, "two weights are given for the same age. Keep one")
        self.values[path] = Written(tuple(sorted(pairs)), "", node.start, node.end)

    def quantity(
        self, node: Scalar, shape: Shape, path: str, *, count: bool = True
    ) -> float | None:
        """The number of a quantity in base units; None (and a fault) where it is none."""
        dimension = shape["dimension"]
        try:
            found = parse_quantity(node.text, dimension)
        except QuantityError as error:
            self.fault(
                node.start, path, f"`{_last(path)}`: {error.says}; it takes {error.would_do}"
            )
            return None
        for key, outside in (("least", float.__lt__), ("most", float.__gt__)):
            if key not in shape:
                continue
            bound = parse_quantity(shape[key], dimension).value
            # A bound written in other units must not fail for the rounding of the conversion.
            if outside(float(found.value), bound) and not math.isclose(found.value, bound):
                word = "at least" if key == "least" else "at most"
                shown = show(bound, dimension, found.family or "metric")
                says = f"`{_last(path)}` can't be `{node.text}`; it is {word} {shown}"
                self.fault(node.start, path, says)
                return None
        if found.family and count:
            self.families.setdefault(dimension, Counter())[found.family] += 1
        return found.value

    def scalar(self, node: Scalar, shape: Shape, path: str) -> None:
        kind = kind_of(shape)
        if kind == "quantity":
            value: Any = self.quantity(node, shape, path)
        else:
            value = _READERS[kind](node.text, shape)
            if isinstance(value, _Wrong):
                self.fault(node.start, path, f"`{_last(path)}`: {value.says}")
                return
        if value is None:
            return
        family = ""
        if kind == "quantity":
            family = parse_quantity(node.text, shape["dimension"]).family
        self.values[path] = Written(value, node.text, node.start, node.end, family)

    def check_periods(self) -> None:
        """Periods and later rhythms run forward and don't overlap (the schema can't say that)."""
        spans: list[tuple[date, date, int]] = []
        for index in range(self.lists.get("weather.periods", 0)):
            path = f"weather.periods.{index}"
            first, last = (self.values[f"{path}.{key}"].value for key in ("from", "to"))
            if last < first:
                says = f"this period ends on {last}, before it begins on {first}"
                self.fault(self.values[f"{path}.to"].start, f"{path}.to", says)
            spans.append((first, last, index))
        spans.sort()
        for before, after in zip(spans, spans[1:], strict=False):
            if after[0] <= before[1]:
                path = f"weather.periods.{after[2]}.from"
                says = f"this period begins on {after[0]}, inside another that ends on {before[1]}"
                self.fault(self.values[path].start, path, says)


class _Wrong:
    """What is wrong with a scalar."""

    __slots__ = ("says",)

    def __init__(self, says: str) -> None:
        self.says = says


def _read_flag(text: str, shape: Shape) -> bool | _Wrong:
    found = FLAGS.get(text)
    return found if found is not None else _Wrong(f"`{text}` is neither `yes` nor `no`")


def _read_date(text: str, shape: Shape) -> date | _Wrong:
    if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        return _Wrong(f"`{text}` is not a date; write year-month-day, such as 2027-04-20")
    try:
        found = date.fromisoformat(text)
    except ValueError:
        return _Wrong(f"`{text}` is a day that the calendar doesn't have")
    if not 2000 <= found.year <= 2100:
        return _Wrong(f"`{text}` lies outside the years 2000 to 2100")
    return found


def _read_word(text: str, shape: Shape) -> str | _Wrong:
    words = shape["enum"]
    if text in words:
        return text
    hint = shape.get("elsewhere", {}).get(text.lower())
    if hint:
        return _Wrong(f"`{text}` is not a word for this: {hint}")
    near = nearest(text.lower(), words)
    if near:
        return _Wrong(f"`{text}` is not a word for this; did you mean `{near}`?")
    return _Wrong(f"`{text}` is not a word for this; the words are {_listed(words)}")


def _read_text(text: str, shape: Shape) -> str | _Wrong:
    most = shape.get("maxLength", 2000)
    if len(text) > most:
        return _Wrong(f"the text is {len(text)} characters long; at most {most} are kept")
    if len(text) < shape.get("minLength", 0):
        return _Wrong("nothing is written here")
    pattern = shape.get("pattern")
    if pattern and not re.search(pattern, text):
        return _Wrong(f"`{text}` is not a name as it should be: lower case, words joined by dashes")
    return text


def _read_integer(text: str, shape: Shape) -> int | _Wrong:
    if not _INTEGER.match(text):
        return _Wrong(f"`{text}` is not a whole number")
    return _within(int(text), text, shape)


def _read_number(text: str, shape: Shape) -> float | _Wrong:
    if not _NUMBER.match(text):
        return _Wrong(f"`{text}` is not a number; write it bare, such as 0.5")
    return _within(float(text), text, shape)


def _within(value: _N, text: str, shape: Shape) -> _N | _Wrong:
    allowed = shape.get("enum")
    if allowed and value not in allowed:
        return _Wrong(f"`{text}` is not known here; it is {_listed([str(one) for one in allowed])}")
    if value < shape.get("minimum", -math.inf):
        return _Wrong(f"`{text}` is too small; it is at least {shape['minimum']}")
    if value > shape.get("maximum", math.inf):
        return _Wrong(f"`{text}` is too large; it is at most {shape['maximum']}")
    return value


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
    if kind == "word":
        return "one of " + _listed(shape["enum"])
    return {
        "flag": "`yes` or `no`",
        "date": "a date such as 2027-04-20",
        "integer": "a whole number",
        "number": "a bare number",
        "section": "keys of its own",
        "list": "a list",
        "weights": "ages with weights, such as {28 days: 0.7 kg}",
    }.get(kind, "a text")


def nearest(word: str, words: list[str]) -> str | None:
    """The word that a slip of the pen most likely meant."""
    from difflib import get_close_matches

    return next(iter(get_close_matches(word, words, 1, 0.7)), None)


def _all_keys() -> list[str]:
    from flockcheck.setup.form import leaves

    return leaves()


def _example_word(shape: Shape) -> str:
    return str(shape["enum"][0]) if "enum" in shape else "word"


def _listed(words: list[str]) -> str:
    shown = [f"`{word}`" for word in words]
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} or {shown[-1]}"


def _join(path: str, key: str) -> str:
    return f"{path}.{key}" if path else key


def _last(path: str) -> str:
    parts = path.split(".")
    return parts[-2] if parts[-1].isdigit() and len(parts) > 1 else parts[-1]
