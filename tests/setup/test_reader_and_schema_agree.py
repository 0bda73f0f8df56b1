"""The reader takes and refuses the same setups as a JSON Schema validator does.

The validator is plain `jsonschema` with three keywords more, those that are ours alone: the
dimension of a quantity and its bounds. Before it judges, every scalar of the YAML text gets the
type that the schema names for its place. What no schema can say is left to the reader: weather that
overlaps, weights given twice for one age and a stay of many years.
"""

from __future__ import annotations

import copy
import json
import math
import random
import re
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError
from jsonschema.validators import extend

from flockcheck.setup.form import leaves, resolve, schema, shape_of
from flockcheck.setup.reader import SetupError, read_setup_text
from flockcheck.text.document import plain, read_document
from flockcheck.text.quantities import QuantityError, parse_quantity

ROOT = Path(__file__).parents[2]
FIXTURES = ROOT / "fixtures"
WHOLE = Path(__file__).with_name("whole.flock.yaml")
MINIMAL = FIXTURES / "minimal.flock.yaml"
SETUPS = [
    WHOLE,
    *(path for kind in ("good", "bad", "mixed") for path in sorted((FIXTURES / kind).iterdir())),
    MINIMAL,
]
# Only what these say does the reader refuse beyond the schema.
BEYOND = re.compile(
    "^this period (ends|begins) on|^a weight at .* is given already"
    "|days after the first birds go out|are more than one file can hold"
)

Document = dict[str, Any]


# --- The validator -------------------------------------------------------------------------------


def _dimension(_: Any, dimension: str, value: Any, __: Any) -> Iterator[ValidationError]:
    try:
        parse_quantity(str(value), dimension)
    except QuantityError as error:
        yield ValidationError(error.says)


def _bound(sign: int) -> Callable[..., Iterator[ValidationError]]:
    def judge(_: Any, bound: str, value: Any, shape: Document) -> Iterator[ValidationError]:
        dimension = resolve(shape)["dimension"]
        try:
            number = parse_quantity(str(value), dimension).value
        except QuantityError:
            return
        limit = parse_quantity(bound, dimension).value
        if sign * number > sign * limit and not math.isclose(number, limit):
            yield ValidationError(f"{value} is beyond {bound}")

    return judge


KEYWORDS = {"dimension": _dimension, "least": _bound(-1), "most": _bound(1)}
Validator = extend(Draft202012Validator, KEYWORDS)  # type: ignore[no-untyped-call]  # in its stubs
VALIDATOR = Validator(schema(), format_checker=Draft202012Validator.FORMAT_CHECKER)


def typed(value: Any, shape: Document) -> Any:
    """A document all of whose scalars are text, with the types that the schema asks for."""
    shape = resolve(shape)
    if isinstance(value, dict):
        others = shape.get("additionalProperties") or {}
        known = shape.get("properties", {})
        return {key: typed(inner, known.get(key, others)) for key, inner in value.items()}
    if isinstance(value, list):
        return [typed(inner, shape.get("items", {})) for inner in value]
    number = re.fullmatch(r"[-+]?(?:[0-9]{1,15}(\.[0-9]*)?|(\.[0-9]+))", value)
    if shape.get("type") == "integer" and number and not (number[1] or number[2]):
        return int(value)
    if shape.get("type") == "number" and number:
        return float(value)
    if any(word is True for word in shape.get("enum", ())) and value in ("true", "false"):
        return value == "true"
    return value


def schema_takes(document: Document) -> bool:
    return bool(VALIDATOR.is_valid(typed(document, schema())))


def reader_takes(text: str) -> bool:
    """Whether the reader takes a setup, or refuses it only for what no schema can say."""
    try:
        read_setup_text(text, "a.flock.yaml")
    except SetupError as error:
        return all(BEYOND.search(fault.says) for fault in error.faults)
    return True


def verdicts(document: Document) -> tuple[bool, bool]:
    # JSON is YAML, and is written much faster.
    return reader_takes(json.dumps(document, ensure_ascii=False)), schema_takes(document)


def loaded(path: Path) -> Document:
    document: Document = plain(read_document(path.read_text(encoding="utf-8")))
    return document


# --- Mutations -----------------------------------------------------------------------------------

# What may stand in place of a value, whatever the key; right for some keys and wrong for most.
VALUES = [
    "", " ", "x", "yes", "no", "true", "Yes", "none", "0", "1", "-1", "012", "+3", "2.5", ".5",
    "5.", "1e3", "nan", "inf", "99999", "9" * 16, "0 m", "3 m", "-3 m", "3 km", "30 in",
    "1000 miles", "2 ft 6 in", "5 %", "-5 %", "200 %", "100.0000000001 %", "101 %", "3 deg",
    "89 deg", "1 in 16",
    "45 kg", "1 g", "1000000 kg", "12 weeks", "-1 day", "0 days", "900 years", "3 C", "-90 C",
    "200 F", "14 m/s", "900 mph", "400 N", "6 kV", "0.4 ha", "1 cm2", "40 kg/ha", "2027-04-20",
    "2027-02-30", "1999-12-31", "2099-12-31", "2100-01-01", "2027-4-20", "20270420", "fox",
    "chicken", "dog", "medium", "light", "duck", "meat chicken", "egg chicken", "turkey",
    "eu-organic", "Eu organic", "birds.0", "birds.0.kind", "a" * 81, "a" * 201, "a" * 2001,
    "\u00e9", "caf\u00e9 au lait", "3 m\n", "2027-04-20\n", "yes\n", "4\n", "fox\n", "3\u00a0m",
]  # fmt: skip


class Mutation:
    """Small slips put into a document at random; each changes it in place and tells what it did."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)

    def places(self, document: Document) -> list[tuple[Any, Any]]:
        """Every container with each of its keys or positions."""
        found: list[tuple[Any, Any]] = []
        waiting: list[Any] = [document]
        while waiting:
            node = waiting.pop()
            keys = list(node) if isinstance(node, dict) else list(range(len(node)))
            for key in keys:
                found.append((node, key))
                if isinstance(node[key], (dict, list)):
                    waiting.append(node[key])
        return found

    def scalars(self, document: Document) -> list[tuple[Any, Any]]:
        places = self.places(document)
        return [(node, key) for node, key in places if isinstance(node[key], str)]

    def drop(self, document: Document) -> str:
        node, key = self.random.choice(self.places(document))
        del node[key]
        return f"without {key}"

    def rename(self, document: Document) -> str:
        maps = [(node, key) for node, key in self.places(document) if isinstance(node, dict)]
        node, key = self.random.choice(maps)
        other = self.random.choice([key[:-1] or "x", key.upper(), "length", "count", "from", "a b"])
        node[other] = node.pop(key)
        return f"{key} called {other}"

    def revalue(self, document: Document) -> str:
        node, key = self.random.choice(self.scalars(document))
        node[key] = self.random.choice(VALUES)
        return f"{key}: {node[key]!r}"

    def swap(self, document: Document) -> str:
        scalars = self.scalars(document)
        (one, first), (other, second) = self.random.sample(scalars, 2)
        one[first], other[second] = other[second], one[first]
        return f"{first} and {second} swapped"

    def bend(self, document: Document) -> str:
        """A value of its own kind: another word, a number somewhat off, a bound or just past it."""
        node, key = self.random.choice(self.scalars(document))
        numbers = re.findall(r"[0-9]+(?:\.[0-9]+)?", node[key])
        if numbers:
            number = self.random.choice(numbers)
            factor = self.random.choice([0, 0.01, 0.5, 3, 40, 1000, 1e7])
            node[key] = node[key].replace(number, f"{float(number) * factor:.12g}", 1)
        else:
            node[key] = self.random.choice([node[key].title(), f"{node[key]} ", node[key][:-1]])
        return f"{key}: {node[key]!r}"

    def retype(self, document: Document) -> str:
        node, key = self.random.choice(self.places(document))
        old = node[key]
        forms: list[Any] = [[old], {"length": old}, {}, [], [old, old], "x"]
        node[key] = self.random.choice(forms)
        return f"{key} as {type(node[key]).__name__}"

    def repeat(self, document: Document) -> str:
        lists = [(node, key) for node, key in self.places(document) if isinstance(node, list)]
        if not lists:
            return "nothing repeated"
        node, at = self.random.choice(lists)
        node.extend(copy.deepcopy(node[at]) for _ in range(self.random.choice([1, 1, 30])))
        return f"item {at} repeated"

    def graft(self, document: Document) -> str:
        """A key with a value of the format, at a place where it may or may not belong."""
        maps = [document] + [
            node[key] for node, key in self.places(document) if isinstance(node[key], dict)
        ]
        leaf = self.random.choice(leaves()).rpartition(".")[2]
        self.random.choice(maps)[leaf] = self.random.choice(VALUES)
        return f"{leaf} put in"


KINDS = ("drop", "rename", "revalue", "swap", "bend", "bend", "retype", "repeat", "graft")


def mutated(path: Path, seed: int) -> tuple[Document, list[str]]:
    document = loaded(path)
    mutation = Mutation(seed)
    slips = [
        getattr(mutation, mutation.random.choice(KINDS))(document)
        for _ in range(mutation.random.choice([1, 1, 2]))
    ]
    return document, slips


@pytest.mark.parametrize("path", SETUPS, ids=lambda path: path.name.partition(".")[0])
def test_the_reader_and_the_schema_agree_on_spoiled_setups(path: Path) -> None:
    counts: Counter[bool] = Counter()
    for seed in range(100):
        document, slips = mutated(path, seed)
        reader, validator = verdicts(document)
        assert reader == validator, f"{path.name}, {seed}: {slips}"
        counts[reader] += 1
    # Enough on both sides for the agreement to mean something.
    assert min(counts[True], counts[False]) >= 10, counts


@pytest.mark.parametrize("path", SETUPS, ids=lambda path: path.name.partition(".")[0])
def test_the_reader_and_the_schema_take_every_sound_setup(path: Path) -> None:
    assert verdicts(loaded(path)) == (True, True)
    assert reader_takes(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("leaf", leaves())
def test_the_reader_and_the_schema_agree_on_every_key_with_any_value(leaf: str) -> None:
    shape = shape_of(leaf)
    assert shape is not None
    *above, last = leaf.split(".")
    # Of the file with every key only what stands round the leaf, so that the validator has less to
    # go through.
    base = {**loaded(MINIMAL), **{top: loaded(WHOLE)[top] for top in above[:1]}}
    own = (*shape.get("enum", ()), *list(shape.get("elsewhere", ()))[:3])
    for value in (*VALUES, *(word for word in own if isinstance(word, str)), [], {}, ["fox"]):
        document = copy.deepcopy(base)
        node: Any = document
        for part in above:
            node = node[0] if part == "*" else node[part]
        node[last] = value
        reader, validator = verdicts(document)
        assert reader == validator, f"{leaf}: {value!r}"


@pytest.mark.parametrize(
    ("period", "weights"),
    [
        ("{from: 2027-06-01, to: 2027-06-12}", "{}"),
        (None, "{2 weeks: 1 kg, 14 days: 1 kg}"),
        (None, "{}"),
    ],
)
def test_only_dates_and_ages_that_clash_are_refused_beyond_the_schema(
    period: str | None, weights: str
) -> None:
    text = (FIXTURES / "minimal.flock.yaml").read_text(encoding="utf-8")
    text += f"    weights: {weights}\n"
    if not period and weights == "{}":
        text += "    leaves: 2072-06-20\n"
    if period:
        text += f"weather:\n  periods:\n    - {period}\n    - {period}\n"
    assert schema_takes(plain(read_document(text)))
    with pytest.raises(SetupError) as caught:
        read_setup_text(text, "a.flock.yaml")
    assert len(caught.value.faults) == 1
    assert BEYOND.search(caught.value.faults[0].says)


def test_the_helper_types_only_what_is_written_as_the_type() -> None:
    shape = resolve(schema()["$defs"]["guardian"])
    document = {"count": "012", "joules": ".5", "bonded": "true", "kind": "1", "age": "3"}
    assert json.dumps(typed(document, shape)) == json.dumps(
        {"count": 12, "joules": 0.5, "bonded": True, "kind": "1", "age": "3"}
    )
