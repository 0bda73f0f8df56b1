"""The schemas of rule, table, lever and source files: what they take, and why they refuse."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError, best_match

ROOT = Path(__file__).resolve().parents[2]
FOLDER = ROOT / "src" / "flockcheck" / "rulebook" / "schemas"
KINDS = ("rule", "table", "levers", "sources")
SCHEMAS: dict[str, dict[str, Any]] = {
    kind: json.loads((FOLDER / f"{kind}.schema.json").read_text(encoding="utf-8")) for kind in KINDS
}

# Which schema judges which of the files in `good`.
GOOD = {
    "small-rule": "rule",
    "whole-rule": "rule",
    "reminder": "rule",
    "limits-alone": "rule",
    "points-table": "table",
    "plain-table": "table",
    "levers": "levers",
    "sources": "sources",
}

# What is spoiled; in which good file; text before and after; where and what the schema says.
SPOILED: list[tuple[str, str, str, str, str, str]] = [
    ("a misspelt key", "small-rule", "title:", "titel:", "", "'titel' was unexpected"),
    ("the topic as a key", "small-rule", "why:", "topic: x\nwhy:", "", "'topic' was unexpected"),
    ("no reason given", "small-rule", "why:", "look:", "", "'why' is a required"),
    ("capitals in the name", "small-rule", "bedding-thin", "Bedding-thin", "rule", "small letters"),
    ("no question mark", "small-rule", "move?", "move", "asks", "with its question mark"),
    ("a full stop", "small-rule", "dry bed\n", "dry bed.\n", "title", "without a full stop"),
    ("an unknown grade", "small-rule", "grade: watch", "grade: warn", "limits.0.grade", "'warn'"),
    ("no grade", "small-rule", "grade: watch, ", "", "limits.0", "'grade' is a required"),
    ("no citation", "small-rule", ", practice: common", "", "limits.0", "exactly one of `source`"),
    ("another practice", "small-rule", "practice: common", "practice: rare", "limits.0.practice",
     "Only `common`"),
    ("two citations", "small-rule", "practice:", "source: {id: a, where: b}, practice:", "limits.0",
     "exactly one of `source`"),
    ("two comparators", "small-rule", "{at_least:", "{at_most: 1 m, at_least:", "limits.0",
     "in exactly one way"),
    ("no comparator", "small-rule", "at_least: 5 cm, ", "", "limits.0", "in exactly one way"),
    ("a word as an amount", "small-rule", "5 cm", "plenty", "limits.0.at_least", "with its unit"),
    ("a list as an amount", "small-rule", "5 cm", "[5 cm]", "limits.0.at_least", "with its unit"),
    ("a measure and a key", "small-rule", "measure:", "key: pen.length\nmeasure:", "",
     "not both"),
    ("no subject", "small-rule", "measure: bed_depth\n", "", "limits.0", "names its own"),
    ("a reminder with limits", "small-rule", "why:", "always: yes\nwhy:", "",
     "A reminder judges nothing"),
    ("neither limits nor reminder", "reminder", "always: yes", "at: pen", "", "either `limits` or"),
    ("a reminder with a measure", "reminder", "always:", "measure: x\nalways:", "",
     "judges nothing"),
    ("an open brace", "reminder", "says: Ask", "says: Ask{", "says", "Plain words"),
    ("a place in the reason", "reminder", "why: In", "why: On {day}, in", "why",
     "belongs in `says`"),
    ("two marks", "whole-rule", "recalled: yes", "recalled: yes, seen: second hand",
     "limits.1.source", "at most one mark"),
    ("a source without its place", "whole-rule", ", where: p. 3", "",
     "limits.3.source", "'where' is a required"),
    ("a standard without a source", "whole-rule",
     'source: {id: a-1, where: "art. 4(1)", derived: 2 ft2 in metres}', "practice: common",
     "limits.4", "cites a `source`"),
    ("two ways to look up", "whole-rule", "{measure: bed_most}",
     "{measure: bed_most, key: pen.length}", "limits.3.under", "in exactly one way"),
    ("points without their axis", "whole-rule", "{by: age, points:", "{points:",
     "limits.1.at_most", "go together"),
    ("a point of three", "whole-rule", "[21 days, 15 C]", "[21 days, 15 C, 3]",
     "limits.1.at_most.points.0", "a pair"),
    ("times on points", "whole-rule", "{by: age,", "{times: 2, by: age,",
     "limits.1.at_most", "`times` goes with"),
    ("a fraction as a factor", "whole-rule", "times: 1.2", "times: 6/5",
     "limits.2.over.times", "without a unit"),
    ("a sum of sums", "whole-rule", "{each_bird: 0.8 in}",
     "{each_bird: {each_bird: 0.8 in}}", "limits.5.at_least.each_bird", "can't itself be a sum"),
    ("a range in one comparison", "whole-rule", "{at_least: 3 weeks}",
     "{at_least: 3 weeks, under: 5 weeks}", "for.age", "exactly one comparator"),
    ("written against a word", "whole-rule", "written pen.weight: yes",
     "written pen.weight: 5 lb", "for.written pen.weight", "'5 lb' is not one of"),
    ("a condition on nothing", "whole-rule", "weather.rain: yes\n", "Rain: yes\n",
     "for", "A condition names"),
    ("an unknown item word", "whole-rule", "each: group", "each: bird", "each",
     "'bird' is not one of"),
    ("a fix of two things", "whole-rule", "{less: group.count}",
     "{less: group.count, more: pen.length}", "fixes.0", "exactly one thing"),
    ("set without to", "whole-rule", "care.bedding, to: yes", "care.bedding",
     "fixes.4", "`set` goes with `to`"),
    ("an unknown answer", "small-rule", "finds: watch", "finds: fine", "examples.0.finds",
     "'fine' is not one of"),
    ("days of nothing", "whole-rule", "{}, finds: nothing",
     "{}, finds: nothing, from: 2027-05-12", "examples.0", "Only a grade has days"),
    ("a date in words", "whole-rule", "until: 2027-05-20", "until: 20 May",
     "examples.2.until", "Year, month and day"),
    ("needs where not asked", "whole-rule", "finds: not asked",
     "finds: not asked, needs: pen.floor", "examples.6", "needs nothing"),
    ("an example without changes", "small-rule", "with: {care.bedding: no}, ", "", "examples.0",
     "'with' is a required"),
    ("values in a table with points", "points-table", "points: [[0, 1, 1 C, no, straw]]",
     "values: {depth: 1 cm}", "rows.2", "'points' is a required"),
    ("points in a table without", "plain-table", "values: {value: 7 %}",
     "points: [[1, 7 %]]", "rows.0", "'values' is a required"),
    ("steps without an axis", "plain-table", "by:", "between: steps\nby:", "",
     "go with `along`"),
    ("an unknown dimension", "plain-table", "value: quantity", "value: heft",
     "gives.value", "'heft' is not one of"),
    ("a row that `by` does not know", "plain-table", "by: [figure]\n", "", "rows.1.for",
     "what the table's `by` names"),
    ("a row without a citation", "points-table", "practice: common", "note: who knows",
     "rows.1", "exactly one of `source`"),
    ("a lever without effort", "levers", "effort: {once: 4},\n", "\n", "3",
     "'effort' is a required"),
    ("one family only", "levers", "{us: 0.5 ft, metric: 10 cm}", "{us: 0.5 ft}",
     "1.step", "'metric' is a required"),
    ("steps that are not said", "levers", '"move every {new}{which}"', "move often", "3.do",
     "says {new}"),
    ("steps and sizes", "levers", "step: 1 day,", "step: 1 day, sizes: [1 day],", "2", "not both"),
    ("bounds without steps", "levers", "{lever: drinker.outlet,",
     "{lever: drinker.outlet, floor: 1,", "8", "without steps"),
    ("a year in words", "sources", "1991", "long ago", "0.year", "edition that was read"),
    ("an unknown kind of source", "sources", "kind: law", "kind: rumour", "0.kind", "'rumour'"),
]  # fmt: skip


def _read(text: str) -> Any:
    return yaml.load(text, Loader=yaml.BaseLoader)


def _good(name: str) -> str:
    return (Path(__file__).with_name("good") / f"{name}.yaml").read_text(encoding="utf-8")


def _errors(kind: str, data: Any) -> list[ValidationError]:
    return list(Draft202012Validator(SCHEMAS[kind]).iter_errors(data))


def _reason(error: ValidationError) -> str:
    about = error.schema.get("description", "") if isinstance(error.schema, dict) else ""
    return f"{error.message} {about}"


def _declared(shape: Any, where: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every key that a schema declares, with its place: those of closed objects."""
    if isinstance(shape, dict):
        if "additionalProperties" in shape:
            for key, value in shape.get("properties", {}).items():
                yield f"{where}/{key}", value
        for word, value in shape.items():
            if word != "examples" or not isinstance(value, list):
                yield from _declared(value, f"{where}/{word}")
    elif isinstance(shape, list):
        for at, value in enumerate(shape):
            yield from _declared(value, f"{where}/{at}")


KEYS = [(kind, where, value) for kind in KINDS for where, value in _declared(SCHEMAS[kind])]


@pytest.mark.parametrize("kind", KINDS)
def test_each_schema_is_valid_under_its_metaschema(kind: str) -> None:
    Draft202012Validator.check_schema(SCHEMAS[kind])


@pytest.mark.parametrize("kind", KINDS)
def test_no_object_takes_keys_that_are_not_listed(kind: str) -> None:
    def closed(shape: Any) -> bool:
        if isinstance(shape, list):
            return all(closed(one) for one in shape)
        if not isinstance(shape, dict):
            return True
        # A closing condition speaks of keys that the object itself has declared.
        declares = shape.get("type") == "object" and "title" in shape
        return (not declares or "additionalProperties" in shape) and all(
            map(closed, shape.values())
        )

    assert closed(SCHEMAS[kind])


def test_the_schemas_declare_all_keys_of_the_grammar() -> None:
    assert len(KEYS) > 100


@pytest.mark.parametrize(("kind", "value"), [pytest.param(k, v, id=k + w) for k, w, v in KEYS])
def test_every_key_has_a_title_a_description_and_an_example(
    kind: str, value: dict[str, Any]
) -> None:
    assert re.fullmatch(r"[A-Z][^.\n]+", value["title"])
    assert re.fullmatch(r"[A-Z`].*\.", value["description"])
    judge = Draft202012Validator({**value, "$defs": SCHEMAS[kind]["$defs"]})
    assert value["examples"]
    for example in value["examples"]:
        judge.validate(_read(example))


@pytest.mark.parametrize("kind", ["table", "levers", "sources"])
def test_definitions_of_one_name_are_the_same_in_every_schema(kind: str) -> None:
    ours = SCHEMAS[kind]["$defs"]
    shared = ours.keys() & SCHEMAS["rule"]["$defs"].keys()
    assert shared
    assert {name: ours[name] for name in shared} == {
        name: SCHEMAS["rule"]["$defs"][name] for name in shared
    }


def test_a_column_holds_any_dimension_of_our_quantities() -> None:
    quantities = pytest.importorskip("flockcheck.text.quantities")
    wanted = [*quantities.DIMENSIONS, "flag", "word", "quantity"]
    assert sorted(SCHEMAS["table"]["$defs"]["column_kind"]["enum"]) == sorted(wanted)


@pytest.mark.parametrize("kind", KINDS)
def test_the_good_files_show_every_key(kind: str) -> None:
    def written(data: Any) -> Iterator[str]:
        for key, value in data.items() if isinstance(data, dict) else ():
            yield key
            yield from written(value)
        for value in data if isinstance(data, list) else ():
            yield from written(value)

    shown = {key for name in GOOD if GOOD[name] == kind for key in written(_read(_good(name)))}
    assert {where.rpartition("/")[2] for one, where, _ in KEYS if one == kind} <= shown


@pytest.mark.parametrize("name", GOOD)
def test_a_good_file_is_taken(name: str) -> None:
    assert [error.message for error in _errors(GOOD[name], _read(_good(name)))] == []


@pytest.mark.parametrize(
    ("good", "old", "new", "path", "says"), [pytest.param(*row[1:], id=row[0]) for row in SPOILED]
)
def test_a_spoiled_file_is_refused_at_the_right_place_for_its_own_reason(
    good: str, old: str, new: str, path: str, says: str
) -> None:
    text = _good(good)
    assert old in text
    error = best_match(_errors(GOOD[good], _read(text.replace(old, new, 1))))
    assert error is not None
    assert (".".join(map(str, error.absolute_path)), says in _reason(error)) == (path, True), (
        _reason(error)
    )


@pytest.mark.parametrize("name", [name for name, kind in GOOD.items() if kind == "rule"])
def test_a_rule_that_lacks_any_required_key_is_refused(name: str) -> None:
    data = _read(_good(name))
    for key in SCHEMAS["rule"]["required"]:
        error = best_match(_errors("rule", {k: v for k, v in data.items() if k != key}))
        assert error is not None
        assert error.message == f"'{key}' is a required property"


def _page() -> str:
    return (ROOT / "docs" / "rule-files.md").read_text(encoding="utf-8")


def test_the_page_for_rule_authors_is_as_the_schemas_make_it() -> None:
    made = subprocess.run(
        [sys.executable, str(ROOT / "docs" / "make" / "rule_page.py")],
        capture_output=True,
        check=True,
        encoding="utf-8",
        env={"PYTHONIOENCODING": "utf-8"},
    )
    assert made.stdout == _page()


def test_the_files_shown_on_the_page_for_rule_authors_are_good() -> None:
    shown = [_read(text) for text in re.findall(r"```yaml\n(.*?)```", _page(), re.DOTALL)]
    kinds = [next(iter(data)) for data in shown]
    assert kinds == ["rule", "table"]
    for kind, data in zip(kinds, shown, strict=True):
        assert _errors(kind, data) == []


def test_every_link_of_the_page_for_rule_authors_leads_to_a_heading() -> None:
    headings = re.findall(r"^#+ (.*)$", _page(), re.MULTILINE)
    anchors = {"#" + heading.lower().replace(" ", "-") for heading in headings}
    assert set(re.findall(r"\]\((#[^)]*)\)", _page())) <= anchors
