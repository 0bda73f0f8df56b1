"""One pass over a setup's nodes, driven by the schema: checks, converts, reports every fault.

Nothing stops at the first mistake: a keeper who wrote five things wrong is told all five, each with
line and column, what was read, what would do and the nearest right spelling.
"""

from __future__ import annotations

import contextlib
import re
from collections import Counter
from datetime import date

from flockcheck.setup.form import Shape, kind_of, leaves, resolve, schema
from flockcheck.setup.scalars import (
    FLAGS,
    Unfit,
    listed,
    nearest,
    read_quantity,
    read_scalar,
    would_do,
)
from flockcheck.setup.written import Setup, Written
from flockcheck.text.document import (
    AND_MORE,
    MOST_FAULTS,
    DocumentError,
    Fault,
    Mapping,
    Mark,
    Node,
    Scalar,
    Sequence,
    decode,
    quoted,
    read_document,
)
from flockcheck.text.records import NamedTuple

__all__ = [
    "FLAGS",
    "Part",
    "SetupError",
    "faults_of",
    "nearest",
    "read_part",
    "read_setup_bytes",
    "read_setup_text",
]


# Nobody plans a batch further ahead; a slip in a year must not cost minutes.
MOST_DAYS = 1100
# Days, times groups, times the kit that each needs a share of and all else that is worked out for
# it: far more than any keeper has, and a few seconds.
MOST_WORK = 100_000
OTHER_WORK = 16


class SetupError(ValueError):
    """A setup file with faults; `faults` holds every one, in the order of the file."""

    def __init__(self, file: str, faults: tuple[Fault, ...]) -> None:
        self.file = file
        self.faults = tuple(sorted(set(faults)))
        first, more = self.faults[0], len(self.faults) - 1
        says = f"{file}, line {first.line}: {first.says}"
        super().__init__(f"{says} (and {more} more)" if more else says)


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
    text = text.lstrip("\ufeff")
    reading = _Reading()
    unsafe: tuple[Fault, ...] = ()
    try:
        root = read_document(text)
    except DocumentError as error:
        if not isinstance(error.root, Mapping):
            raise SetupError(file, error.faults) from None
        unsafe, root = error.faults, error.root
    with contextlib.suppress(_EnoughError):
        reading.section(root, resolve(schema()), "")
        reading.check_periods()
        reading.check_stay()
    if unsafe or reading.faults:
        # What was refused is empty in the nodes, which is not to be told as well.
        told = {fault[:3] for fault in unsafe}
        faults = unsafe + tuple(fault for fault in reading.faults if fault[:3] not in told)
        raise SetupError(file, faults)
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


class Part(NamedTuple):
    """A part of a setup that stands in another file: what is written, and what is wrong with it."""

    values: dict[str, Written]
    lists: dict[str, int]
    marks: dict[str, Mark]
    faults: tuple[Fault, ...]


def read_part(node: Node, shape: Shape, path: str) -> Part:
    """One key of a setup, read where it stands in a file of another kind."""
    reading = _Reading()
    with contextlib.suppress(_EnoughError):
        reading.node(node, shape, path)
        reading.check_periods()
    return Part(reading.values, reading.lists, reading.marks, tuple(sorted(set(reading.faults))))


def faults_of(node: Node, shape: Shape, path: str) -> tuple[Fault, ...]:
    """What is wrong with nodes as the value of one key of a setup, or as one item of its list."""
    reading = _Reading()
    with contextlib.suppress(_EnoughError):
        reading.node(node, shape, path)
    return tuple(sorted(set(reading.faults)))


class _EnoughError(Exception):
    """So much is wrong that reading on helps nobody."""


class _Reading:
    def __init__(self) -> None:
        self.faults: list[Fault] = []
        self.values: dict[str, Written] = {}
        self.lists: dict[str, int] = {}
        self.marks: dict[str, Mark] = {}
        self.families: dict[str, Counter[str]] = {}

    def fault(self, mark: Mark, path: str, says: str) -> None:
        if len(self.faults) >= MOST_FAULTS:
            self.faults.append(Fault(mark.line, mark.column, path, AND_MORE))
            raise _EnoughError
        self.faults.append(Fault(mark.line, mark.column, path, says))

    def node(self, node: Node, shape: Shape, path: str) -> None:
        kind = kind_of(shape)
        if kind == "section":
            if isinstance(node, Mapping):
                self.section(node, shape, path)
            else:
                self.wrong_form(node, path, would_do(shape))
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
            glued = re.match(r"[a-z_]+(?=:\S)", node.text)
            if glued:
                says = f"a space is missing after the `:` of `{glued[0]}`"
                self.fault(node.start, path, f"`{_last(path)}`: {says}")
                return
            read = quoted(node.text) if node.text.strip() else "nothing below it"
        self.fault(node.start, path, f"`{_last(path)}` has {read}; it takes {expected}")

    def section(self, node: Mapping, shape: Shape, path: str) -> None:
        self.marks[path] = node.start
        properties: dict[str, Shape] = shape["properties"]
        required, narrower = self.conditions(shape, node)
        meant: list[str] = []
        for key, value in node.entries.items():
            if key in properties:
                inner = resolve(properties[key])
                if key in narrower:
                    inner = {**inner, **narrower[key]}
                self.node(value, inner, _join(path, key))
            else:
                meant.append(self.unknown_key(node.keys[key], key, properties, path))
        for key in required:
            if key not in node.entries and key not in meant:
                takes = would_do({**resolve(properties[key]), **narrower.get(key, {})})
                says = f"`{key}` is missing{_from(path)}; it takes {takes}"
                self.fault(node.start, _join(path, key), says)

    def conditions(self, shape: Shape, node: Mapping) -> tuple[list[str], dict[str, Shape]]:
        """The keys that a section must have, and narrower shapes for some, as it is written."""
        required = list(shape.get("required", ()))
        narrower: dict[str, Shape] = {}
        for condition in shape.get("allOf", ()):
            tests = condition["if"]["properties"].items()
            found = ((node.entries.get(key), test["const"]) for key, test in tests)
            if all(isinstance(one, Scalar) and one.text == const for one, const in found):
                required += condition["then"].get("required", ())
                narrower.update(condition["then"].get("properties", {}))
        return list(dict.fromkeys(required)), narrower

    def unknown_key(self, mark: Mark, key: str, properties: dict[str, Shape], path: str) -> str:
        """Tell of a key that isn't there; gives the one that it surely is, if a sign is missing."""
        lower, _, glued = key.partition(":")
        lower = re.sub(r"[\s-]+", "_", lower.strip().lower())
        near = lower if lower in properties else nearest(lower, list(properties))
        homes = [_home(leaf) for leaf in leaves() if leaf.rpartition(".")[2] == lower]
        says = f"there is no key {quoted(key)}"
        if glued and lower in properties:
            self.fault(mark, _join(path, lower), f"a space is missing after the `:` of `{lower}`")
            return lower
        if near:
            says += f"; did you mean `{near}`?"
        elif homes:
            says += f"{_within(path)}; it belongs to {listed(dict.fromkeys(homes))}"
        else:
            says += f"{_within(path)}; the keys are {listed(properties)}"
        self.fault(mark, _join(path, key), says)
        return ""

    def list_of(self, node: Node, shape: Shape, path: str) -> None:
        item_shape = resolve(shape["items"])
        of_sections = kind_of(item_shape) == "section"
        if not isinstance(node, Sequence):
            such_as = would_do(shape) if of_sections else _words_in_brackets(node, item_shape)
            self.wrong_form(node, path, such_as)
            return
        self.marks[path] = node.start
        count, least, most = len(node.items), shape.get("minItems", 0), shape["maxItems"]
        if count < least:
            instead = "" if path in schema()["required"] else ", or leave the key out"
            says = f"`{_last(path)}` is an empty list; write an entry{instead}"
            self.fault(node.start, path, says)
        if count > most:
            says = f"`{_last(path)}` has {count} entries; at most {most} are read"
            self.fault(node.start, path, says)
            return
        for index, item in enumerate(node.items):
            self.node(item, item_shape, f"{path}.{index}")
        if of_sections:
            self.lists[path] = len(node.items)
        else:
            self.word_list(node, path)

    def word_list(self, node: Sequence, path: str) -> None:
        """Keep a list of plain words as one value; a word twice is a slip."""
        found = [self.values.pop(f"{path}.{index}", None) for index in range(len(node.items))]
        words: list[str] = []
        for index, written in enumerate(found):
            if written is None:
                continue
            self.marks[f"{path}.{index}"] = written.start
            if written.value in words:
                says = f"{quoted(written.text)} stands twice in `{_last(path)}`. Keep one"
                self.fault(written.start, f"{path}.{index}", says)
            words.append(written.value)
        self.values[path] = Written(tuple(words), ", ".join(words), node.start, node.end)

    def weights(self, node: Node, shape: Shape, path: str) -> None:
        if not isinstance(node, Mapping):
            self.wrong_form(node, path, would_do(shape))
            return
        self.marks[path] = node.start
        ages, weight_shape = resolve(shape["propertyNames"]), resolve(shape["additionalProperties"])
        pairs: dict[float, float] = {}
        for key, value in node.entries.items():
            inner = _join(path, key)
            try:
                age, _ = read_quantity(key, ages)
            except Unfit as error:
                self.fault(node.keys[key], inner, f"an age in `{_last(path)}`: {error.says}")
                continue
            if not isinstance(value, Scalar):
                self.wrong_form(value, inner, would_do(weight_shape))
                continue
            self.scalar(value, weight_shape, inner)
            weight = self.values.pop(inner, None)
            if age in pairs:
                says = f"a weight at {quoted(key)} is given already. Keep one"
                self.fault(node.keys[key], inner, says)
            elif weight:
                pairs[age] = weight.value
        shown = ", ".join(f"{key}: {_text_of(value)}" for key, value in node.entries.items())
        self.values[path] = Written(tuple(sorted(pairs.items())), shown, node.start, node.end)

    def scalar(self, node: Scalar, shape: Shape, path: str) -> None:
        try:
            value, family = read_scalar(node.text, shape)
        except Unfit as error:
            self.fault(node.start, path, f"`{_last(path)}`: {error.says}")
            return
        if family:
            self.families.setdefault(shape["dimension"], Counter())[family] += 1
        self.values[path] = Written(value, node.text, node.start, node.end, family)

    def check_periods(self) -> None:
        """Periods of weather run forward and don't overlap (the schema can't say that)."""
        spans: list[tuple[date, date, int]] = []
        for index in range(self.lists.get("weather.periods", 0)):
            path = f"weather.periods.{index}"
            first, last = (self.values.get(f"{path}.{key}") for key in ("from", "to"))
            if first is None or last is None:
                continue
            if last.value < first.value:
                says = f"this period ends on {last.text}, before it begins on {first.text}"
                self.fault(last.start, f"{path}.to", says)
            else:
                spans.append((first.value, last.value, index))
        until = date.min
        for start, end, index in sorted(spans):
            if start <= until:
                path = f"weather.periods.{index}.from"
                says = f"this period begins on {start}, inside another that ends on {until}"
                self.fault(self.values[path].start, path, says)
            until = max(until, end)

    def check_stay(self) -> None:
        """The stay of all groups together ends within three years: a slip in a year is told."""
        groups = self.lists.get("birds", 0)
        out = [self.values.get(f"birds.{at}.out") for at in range(groups)]
        first = min((one.value for one in out if one is not None), default=date.max)
        longest = 0
        for at in range(groups):
            for key in ("out", "leaves"):
                day = self.values.get(f"birds.{at}.{key}")
                after = (day.value - first).days if day is not None else 0
                longest = max(longest, after)
                if day is not None and after > MOST_DAYS:
                    says = f"`{day.text}` is {after} days after the first birds go out"
                    says = f"`{key}`: {says}; a file covers {MOST_DAYS} days at most"
                    self.fault(day.start, f"birds.{at}.{key}", says)
        self.check_work(groups, min(longest, MOST_DAYS))

    def check_work(self, groups: int, days: int) -> None:
        """So many groups, days and kit that a check would take long are told instead."""
        kit = self.lists.get("feeders", 0) + self.lists.get("drinkers", 0)
        if groups * (kit + OTHER_WORK) * days > MOST_WORK:
            flock = f"{groups} group{'s' if groups > 1 else ''} of birds"
            says = f"{days} days with {flock} and {kit} entries of feeders and drinkers are more"
            says += " than one file can hold. Give some of them a file of their own"
            self.fault(self.marks["birds"], "birds", says)


def _text_of(node: Node) -> str:
    """A value as it was written; nothing for what is no single value."""
    return node.text if isinstance(node, Scalar) else ""


def _words_in_brackets(node: Node, shape: Shape) -> str:
    """How a list of words is written: with the keeper's own, where that is what was left out."""
    own = _text_of(node)
    if re.fullmatch(r"[\w -]+(, ?[\w -]+)*", own) and len(own) < 60:
        return f"a list in brackets: [{own}]"
    example = shape["enum"][0] if "enum" in shape else "eu-organic"
    return f"a list in brackets, such as [{example}], or [] for none"


def _join(path: str, key: str) -> str:
    return f"{path}.{key}" if path else key


def _last(path: str) -> str:
    parts = path.split(".")
    return parts[-2] if parts[-1].isdigit() and len(parts) > 1 else parts[-1]


def _home(leaf: str) -> str:
    """What a key belongs to, as a keeper calls it."""
    return leaf.rpartition(".")[0].replace(".*", "") or "the top of the file"


def _within(path: str) -> str:
    home = re.sub(r"\.[0-9]+", "", path)
    return f" in `{home}`" if home else " at the top of the file"


def _from(path: str) -> str:
    """Where a key is missing from; an entry of a list is the one in the line that is shown."""
    if not path:
        return ""
    return f" from this entry of `{_last(path)}`" if path[-1].isdigit() else f" from `{path}`"
