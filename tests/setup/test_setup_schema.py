"""The schema of the setup file, held against the metaschema, the grammar of quantities and itself.

Nothing of ours reads the files here: plain `jsonschema` judges them, after the scalars of the YAML
text have been given the types that the schema names.
"""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from flockcheck.text.quantities import parse_quantity, pattern_for

ROOT = Path(__file__).parents[2]
SCHEMA: dict[str, Any] = json.loads(
    (ROOT / "src" / "flockcheck" / "setup" / "setup.schema.json").read_text(encoding="utf-8")
)
DEFS: dict[str, dict[str, Any]] = SCHEMA["$defs"]
WHOLE = Path(__file__).with_name("whole.flock.yaml")
FIXTURES = ROOT / "fixtures"
SOUND = sorted(
    path for path in FIXTURES.rglob("*.flock.yaml") if path.parent.name in ("good", "bad", "mixed")
)

STANDARD = {
    "$schema", "$id", "title", "description", "$defs", "$ref", "type", "properties", "required",
    "additionalProperties", "items", "minItems", "maxItems", "uniqueItems", "enum", "const",
    "minimum", "maximum", "maxLength", "format", "pattern", "propertyNames", "allOf", "if", "then",
}  # fmt: skip
OURS = {"dimension", "least", "most", "absent", "elsewhere"}


def subschemas(node: dict[str, Any], where: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every schema in a schema with the way to it; what only looks like one is passed over."""
    yield where, node
    for keyword in ("items", "additionalProperties", "propertyNames", "if", "then"):
        if isinstance(node.get(keyword), dict):
            yield from subschemas(node[keyword], f"{where}/{keyword}")
    for keyword in ("$defs", "properties"):
        for key, inner in node.get(keyword, {}).items():
            yield from subschemas(inner, f"{where}/{keyword}/{key}")
    for index, inner in enumerate(node.get("allOf", ())):
        yield from subschemas(inner, f"{where}/allOf/{index}")


ALL = dict(subschemas(SCHEMA))
# The narrower words that a condition allows describe nothing of their own.
PLAIN = {where: node for where, node in ALL.items() if "/allOf/" not in where}
PROPERTIES = {
    where: node for where, node in PLAIN.items() if re.search(r"/properties/[a-z_]+\Z", where)
}
BOUNDED = {where: node for where, node in ALL.items() if "least" in node or "most" in node}
WORDS = {where: node for where, node in ALL.items() if "elsewhere" in node}
DIMENSIONS = {name: node for name, node in DEFS.items() if "dimension" in node}


def resolved(node: dict[str, Any]) -> dict[str, Any]:
    """A schema with the definition that it refers to spread under its own keywords."""
    reference = node.get("$ref")
    return {**DEFS[reference.rpartition("/")[2]], **node} if reference else node


def typed(value: Any, node: dict[str, Any]) -> Any:
    """A YAML value, all of whose scalars are text, with the types that its schema asks for."""
    shape = resolved(node)
    if isinstance(value, dict):
        others = shape.get("additionalProperties") or {}
        known = shape.get("properties", {})
        return {key: typed(inner, known.get(key, others)) for key, inner in value.items()}
    if isinstance(value, list):
        return [typed(inner, shape.get("items", {})) for inner in value]
    if shape.get("type") == "integer" and re.fullmatch("-?[0-9]+", value):
        return int(value)
    if shape.get("type") == "number" and re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", value):
        return float(value)
    if any(word is True for word in shape.get("enum", ())) and value in ("true", "false"):
        return value == "true"
    return value


def read(path: Path) -> Any:
    """A setup file as JSON would have it."""
    return typed(yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader), SCHEMA)


def faults(document: Any) -> list[str]:
    """What plain jsonschema finds wrong, as `place: message`."""
    checker = Draft202012Validator(SCHEMA, format_checker=Draft202012Validator.FORMAT_CHECKER)
    return [f"{error.json_path}: {error.message}" for error in checker.iter_errors(document)]


def written_keys(value: Any, path: str = "") -> Iterator[str]:
    """The paths of all keys of a document, with `*` for the places in a list."""
    if isinstance(value, list):
        for inner in value:
            yield from written_keys(inner, f"{path}.*")
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield f"{path}.{key}"
            yield from written_keys(inner, f"{path}.{key}")


def schema_keys(node: dict[str, Any], path: str = "") -> Iterator[str]:
    """The paths of all keys that a schema knows, written as `written_keys` writes them."""
    shape = resolved(node)
    for key, inner in shape.get("properties", {}).items():
        yield f"{path}.{key}"
        yield from schema_keys(inner, f"{path}.{key}")
    if "items" in shape:
        yield from schema_keys(shape["items"], f"{path}.*")


def test_the_schema_is_valid_under_its_metaschema() -> None:
    Draft202012Validator.check_schema(SCHEMA)


def test_the_schema_uses_only_the_keywords_that_the_reader_knows() -> None:
    used = {keyword for node in ALL.values() for keyword in node}
    assert used - STANDARD - OURS == set()


def test_every_definition_is_used() -> None:
    referred = {node["$ref"] for node in ALL.values() if "$ref" in node}
    assert referred == {f"#/$defs/{name}" for name in DEFS}


@pytest.mark.parametrize("where", PROPERTIES)
def test_every_key_is_described_in_one_sentence(where: str) -> None:
    says = PROPERTIES[where]["description"]
    assert re.fullmatch(r"[A-Z].*[^.]\.", says), says
    assert not re.search(r"[.!?;] ", says), says
    assert len(says) <= 140, "too long for a comment line of a new file"


def test_every_section_is_closed() -> None:
    sections = [node for node in ALL.values() if "properties" in node and node.get("type")]
    assert sections
    assert all(node["additionalProperties"] is False and node["title"] for node in sections)


def test_every_word_is_lower_case() -> None:
    words = [word for node in ALL.values() for word in node.get("enum", ())]
    assert [word for word in words if isinstance(word, str) and word != word.lower()] == []


@pytest.mark.parametrize("where", WORDS)
def test_a_word_from_elsewhere_is_not_a_word_here_and_is_told_what_to_write(where: str) -> None:
    node = WORDS[where]
    base = ["fast", "medium", "slow", "light"] if where.endswith("growth") else []
    for word, says in node["elsewhere"].items():
        assert word == word.lower()
        assert word not in node["enum"]
        assert says[0].islower()
        assert not says.endswith(".")
        if says.startswith("write "):
            advised = says.removeprefix("write ").partition(",")[0].split(" or ")
            assert set(advised) <= {*node["enum"], *base}, says


@pytest.mark.parametrize("where", BOUNDED)
def test_the_bounds_of_a_quantity_are_quantities_of_its_dimension(where: str) -> None:
    node = BOUNDED[where]
    dimension = resolved(node)["dimension"]
    least, most = (parse_quantity(node[bound], dimension).value for bound in ("least", "most"))
    assert least < most


def test_every_quantity_has_bounds() -> None:
    quantities = {
        where
        for where, node in ALL.items()
        if node.get("$ref", "").rpartition("/")[2] in DIMENSIONS
    }
    assert quantities == set(BOUNDED)


@pytest.mark.parametrize("name", DIMENSIONS)
def test_the_pattern_of_a_dimension_is_that_of_the_quantities(name: str) -> None:
    assert DIMENSIONS[name]["pattern"] == pattern_for(DIMENSIONS[name]["dimension"])


@pytest.mark.parametrize("where", BOUNDED)
def test_the_bounds_of_a_quantity_fit_its_own_pattern(where: str) -> None:
    node = BOUNDED[where]
    assert all(re.search(resolved(node)["pattern"], node[bound]) for bound in ("least", "most"))


def test_the_examples_of_a_dimension_fit_its_pattern() -> None:
    for node in DIMENSIONS.values():
        examples = re.split(", | or ", node["description"].partition("such as ")[2].rstrip("."))
        assert examples != [""]
        assert all(re.search(node["pattern"], example) for example in examples), examples


def test_what_a_left_out_key_stands_for_would_be_accepted_if_written() -> None:
    closed = {where: node for where, node in PROPERTIES.items() if "absent" in node}
    assert {where.rpartition("/")[2] for where in closed} == {
        "look_ahead", "standards", "nitrogen_used", "anchors", "count", "sexes", "skirt",
        "guardians", "pets", "accepted",
    }  # fmt: skip
    for node in closed.values():
        within = {**node, "$defs": DEFS}
        assert Draft202012Validator(within).is_valid(node["absent"]), node


def test_the_file_with_every_key_is_accepted() -> None:
    assert faults(read(WHOLE)) == []


def test_the_file_with_every_key_has_every_key() -> None:
    assert set(written_keys(read(WHOLE))) - set(schema_keys(SCHEMA)) == {
        ".birds.*.weights.14 days",
        ".birds.*.weights.28 days",
    }
    assert set(schema_keys(SCHEMA)) - set(written_keys(read(WHOLE))) == set()


@pytest.mark.parametrize("path", SOUND, ids=lambda path: path.name.partition(".")[0])
def test_every_setup_that_can_be_read_is_accepted(path: Path) -> None:
    assert faults(read(path)) == []


def test_the_smallest_file_is_accepted_and_has_nothing_to_spare() -> None:
    whole = read(FIXTURES / "minimal.flock.yaml")
    assert faults(whole) == []
    sections: list[Callable[[Any], dict[str, Any]]] = [
        lambda document: document,
        lambda document: document["pen"],
        lambda document: document["birds"][0],
    ]
    for section in sections:
        for key in section(whole):
            without = copy.deepcopy(whole)
            del section(without)[key]
            assert faults(without), f"{key} can be left out"


def test_the_slips_of_the_broken_file_are_each_refused() -> None:
    text = (FIXTURES / "broken" / "typing-errors.flock.yaml").read_text(encoding="utf-8")
    assert len(re.findall("^    count:", text, re.MULTILINE)) == 2
    found = faults(read(FIXTURES / "broken" / "typing-errors.flock.yaml"))
    places = sorted(fault.partition(":")[0] for fault in found)
    assert places == ["$.birds[0].hatched", "$.pen", "$.pen.length", "$.pen.weight"]


@pytest.mark.parametrize(
    ("kind", "growth", "accepted"),
    [
        ("meat chicken", "fast", True),
        ("meat chicken", "slow", True),
        ("meat chicken", "light", False),
        ("meat chicken", None, False),
        ("egg chicken", "light", True),
        ("egg chicken", "medium", True),
        ("egg chicken", "fast", False),
        ("egg chicken", None, False),
        ("turkey", None, True),
        ("turkey", "medium", False),
        ("duck", None, False),
    ],
)
def test_growth_is_asked_of_chickens_alone(kind: str, growth: str | None, accepted: bool) -> None:
    document = read(FIXTURES / "minimal.flock.yaml")
    group = document["birds"][0]
    group["kind"] = kind
    del group["growth"]
    if growth:
        group["growth"] = growth
    assert (faults(document) == []) is accepted


@pytest.mark.parametrize(
    ("section", "value"),
    [
        ("pen", {"length": "12", "width": "8 ft"}),
        ("pen", {"length": "3 kg", "width": "8 ft"}),
        ("pen", {"length": "3 m", "width": "2 m", "colour": "green"}),
        ("mesh", {"holes": -1}),
        ("mesh", {"inspected": "2027-04-31"}),
        ("predators", ["fox", "stoat"]),
        ("feeders", []),
        ("weather", {"periods": [{"from": "2027-06-01", "day_high": "33 C"}]}),
        ("accepted", [{"rule": "headroom-low", "because": " ", "until": "2027-06-15"}]),
        ("accepted", [{"rule": "headroom-low", "until": "2027-06-15"}]),
    ],
)
def test_a_slip_is_refused(section: str, value: Any) -> None:
    document = read(FIXTURES / "minimal.flock.yaml")
    document[section] = value
    assert faults(document)
