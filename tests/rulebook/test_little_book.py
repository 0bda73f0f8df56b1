"""The book that the judge's tests stand on: it uses every construct that rule files may have."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest
import yaml

from flockcheck.checkup.prove import prove
from flockcheck.rulebook.book import read_files
from flockcheck.rulebook.expressions import COMPARATORS, SPECIAL, SUFFIXES
from flockcheck.setup.sections import ITEMS
from tests.little_cases import LITTLE, ROOT, little

SCHEMAS = ROOT / "src" / "flockcheck" / "rulebook" / "schemas"
# Which files of a rulebook each schema judges.
FILES = {
    "rule": [path for path in LITTLE.glob("*/*.yaml") if path.parent.name != "tables"],
    "table": list(LITTLE.glob("tables/*.yaml")),
    "levers": [LITTLE / "levers.yaml"],
    "sources": [LITTLE / "sources.yaml"],
}


def declared(shape: Any) -> Iterator[str]:
    """Every key that a schema declares: those of closed objects."""
    if isinstance(shape, dict):
        if "additionalProperties" in shape:
            yield from shape.get("properties", {})
        for word, inner in shape.items():
            if word != "examples" or not isinstance(inner, list):
                yield from declared(inner)
    elif isinstance(shape, list):
        for inner in shape:
            yield from declared(inner)


def written(data: Any) -> Iterator[str]:
    if isinstance(data, dict):
        for key, inner in data.items():
            yield key
            yield from written(inner)
    elif isinstance(data, list):
        for inner in data:
            yield from written(inner)


def parts(compiled: Any) -> Iterator[str]:
    """Every first word of the tagged lists that rules are compiled to."""
    if isinstance(compiled, (list, tuple)):
        if compiled and isinstance(compiled[0], str):
            yield compiled[0]
        for inner in compiled:
            yield from parts(inner)


@pytest.mark.parametrize("kind", list(FILES))
def test_it_writes_every_key_that_its_files_may_have(kind: str) -> None:
    schema = json.loads((SCHEMAS / f"{kind}.schema.json").read_text(encoding="utf-8"))
    texts = [path.read_text(encoding="utf-8") for path in FILES[kind]]
    shown = {key for text in texts for key in written(yaml.load(text, Loader=yaml.BaseLoader))}
    assert set(declared(schema)) <= shown


def test_it_uses_every_kind_of_value_condition_and_place() -> None:
    rules = list(little().rules.values())
    limits = [
        limit
        for rule in rules
        for limit in (*rule.limits, *(one for other in rule.otherwise for one in other.limits))
    ]
    assert {limit.comparator for limit in limits} == set(COMPARATORS)
    assert {limit.value[0] for limit in limits} == {
        "literal", "points", "table", "term", "each_bird",
    }  # fmt: skip
    assert {limit.term[0] for limit in limits} == {"measure", "key", "item"}
    conditions = [one for rule in rules for one in (rule.when, *(n.when for n in rule.limits))]
    assert {"all", "any", "test", "written"} <= set(parts(conditions))
    texts = [text for rule in rules for text in (rule.says, *(one.says for one in rule.limits))]
    puts = [part for text in texts for part in text or () if isinstance(part, list)]
    assert {part[2] for part in puts} == {"", *SUFFIXES}
    assert {part[1] for part in puts if isinstance(part[1], str)} == set(SPECIAL)
    assert {fix.way for rule in rules for fix in rule.fixes} == {
        "less", "more", "earlier", "later", "set", "add", "do",
    }  # fmt: skip
    assert {rule.on for rule in rules} == {"stay", "out", "leaves", "brooding"}
    assert {rule.each for rule in rules} == {"", *ITEMS}


def test_its_own_examples_come_out_as_they_say() -> None:
    proof = prove(little(), read_files(str(LITTLE)))
    assert proof.wrong == ()
    assert (proof.rules, proof.unchecked) == (len(little().rules), ())
