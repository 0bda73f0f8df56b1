"""The schema of the JSON report: what it takes, and why it refuses."""

from __future__ import annotations

import copy
import json
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from jsonschema.exceptions import best_match

ROOT = Path(__file__).resolve().parents[2]
SCHEMA: dict[str, Any] = json.loads(
    (ROOT / "src" / "flockcheck" / "reports" / "report.schema.json").read_text(encoding="utf-8")
)
JUDGE = Draft202012Validator(SCHEMA)

# A whole report: one setup that is not ready, one that is ready until a day, and one unreadable.
# The first has a finding that does not change by day, and an accepted one that does.
REPORT: dict[str, Any] = json.loads(
    Path(__file__).with_name("good").joinpath("report.json").read_text(encoding="utf-8")
)
SETUP: dict[str, Any] = REPORT["setups"][0]
SPILL: dict[str, Any] = SETUP["findings"][0]
TIGHT: dict[str, Any] = SETUP["findings"][1]
UNREADABLE: dict[str, Any] = REPORT["setups"][2]
# Values that are no numbers, and every comparator that the report does not show.
JUDGED: list[tuple[Any, dict[str, Any]]] = [
    ("simple", {"is": "two-step"}),
    (True, {"is": False}),
    ("wire", {"one_of": ["open", "slats"]}),
    ("wire", {"not": ["wire", "solid"]}),
    (["cat", "dog"], {"none": True}),
    (3, {"over": 2.5}),
    (3, {"under": 4}),
    ("2027-05-01", {"at_least": "2027-05-03"}),
]

FIRST = "setups.0.findings.0"
DAILY = "setups.0.findings.1"
# What is spoiled; where a value is put; the value; where and what the schema says.
SPOILED: list[tuple[str, str, Any, str, str]] = [
    ("another version", "flockcheck.report", 2, "flockcheck.report", "1 was expected"),
    ("a verdict of its own", "setups.0.verdict", "fine", "setups.0.verdict", "'fine'"),
    ("a grade of its own", f"{FIRST}.grade", "warning", f"{FIRST}.grade", "'warning'"),
    ("a last good day that is not due", "setups.0.ready_until", "2027-05-01",
     "setups.0.ready_until", "Only the verdict `ready until`"),
    ("no last good day", "setups.0.verdict", "ready until", "setups.0.ready_until", "until when"),
    ("unreadable with findings", "setups.0.verdict", "unreadable", "setups.0.findings",
     "has no findings"),
    ("errors in a file that was read", "setups.0.errors", UNREADABLE["errors"], "setups.0.errors",
     "Only an unreadable file"),
    ("read, but looked at until no day", "setups.0.looked_until", None, "setups.0.looked_until",
     "until some day"),
    ("a count below nought", "setups.0.counts.mend", -1, "setups.0.counts.mend", "minimum of 0"),
    ("a count as text", "setups.0.asked", "74", "setups.0.asked", "not of type 'integer'"),
    ("a day in words", "setups.0.looked_until", "10 June", "setups.0.looked_until",
     "does not match"),
    ("days without a first day", f"{FIRST}.days", TIGHT["days"], f"{FIRST}.days", "has no days"),
    ("a first day without days", f"{DAILY}.days", [], f"{DAILY}.days", "lists its days"),
    ("a first day without a worst", f"{DAILY}.worst", None, f"{DAILY}.worst", "has a worst day"),
    ("two comparisons", f"{FIRST}.limit.at_most", 3, f"{FIRST}.limit", "in exactly one way"),
    ("a limit in text", f"{FIRST}.limit.at_least", "0 mm", f"{FIRST}.limit.at_least",
     "does not match"),
    ("line nought", f"{FIRST}.place.line", 0, f"{FIRST}.place.line", "minimum of 1"),
    ("a fix that changes nothing", f"{FIRST}.fixes.0.changes", [], f"{FIRST}.fixes.0.changes",
     "non-empty"),
    ("a kind of fix of its own", f"{FIRST}.fixes.0.kind", "toil", f"{FIRST}.fixes.0.kind",
     "'toil'"),
    ("a number in the file's text", f"{FIRST}.fixes.0.changes.0.to", 3,
     f"{FIRST}.fixes.0.changes.0.to", "3 is not of type"),
    ("a rule cleared twice", f"{FIRST}.fixes.0.clears", ["a", "a"], f"{FIRST}.fixes.0.clears",
     "non-unique"),
    ("a source of no kind", f"{FIRST}.sources.0", {}, f"{FIRST}.sources.0",
     "a publication with its id"),
    ("a publication without its place", f"{FIRST}.sources.0", {"id": "a-1"}, f"{FIRST}.sources.0",
     "comes with its place"),
    ("an unknown mark", f"{DAILY}.sources.0.recalled", "so", f"{DAILY}.sources.0.recalled",
     "'yes' was expected"),
    ("accepted without an end", f"{DAILY}.accepted", {"because": "so", "cut": None},
     f"{DAILY}.accepted", "'until' is a required"),
    ("a plan with a verdict of its own", "setups.0.plan.verdict", "good", "setups.0.plan.verdict",
     "'good'"),
    ("a problem that says nothing", "problems", [{"about": "plugin x"}], "problems.0",
     "'says' is a required"),
]  # fmt: skip


def _put(data: Any, path: str, value: Any) -> Any:
    """A copy of the data with a value put at a path."""
    made = copy.deepcopy(data)
    *parts, last = path.split(".")
    inner = made
    for part in parts:
        inner = inner[int(part) if isinstance(inner, list) else part]
    inner[int(last) if isinstance(inner, list) else last] = value
    return made


def _declared(shape: Any, where: str = "") -> Iterator[tuple[str, dict[str, Any], list[str]]]:
    """Every object that a schema declares: its place, its keys, and which are required."""
    if isinstance(shape, dict):
        if shape.get("type") == "object" and "properties" in shape:
            yield where, shape["properties"], shape.get("required", [])
        for word, value in shape.items():
            yield from _declared(value, f"{where}/{word}")
    elif isinstance(shape, list):
        for at, value in enumerate(shape):
            yield from _declared(value, f"{where}/{at}")


OBJECTS = [one for one in _declared(SCHEMA) if "allOf" not in one[0]]


def test_the_report_schema_is_valid_under_its_metaschema() -> None:
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize(
    ("keys", "required"), [pytest.param(keys, needed, id=where) for where, keys, needed in OBJECTS]
)
def test_every_key_of_the_report_has_a_description(
    keys: dict[str, dict[str, Any]], required: list[str]
) -> None:
    assert set(required) <= set(keys)
    for value in keys.values():
        assert re.fullmatch(r"[A-Z`].*\.", value["description"])


def test_only_comparators_and_citations_may_lack_a_key_of_the_report() -> None:
    loose = [where for where, keys, required in OBJECTS if set(required) != set(keys)]
    assert loose == ["/$defs/limit", "/$defs/citation"]


def test_a_whole_report_is_taken() -> None:
    assert [error.message for error in JUDGE.iter_errors(REPORT)] == []


@pytest.mark.parametrize(("value", "limit"), JUDGED)
def test_a_value_of_any_kind_is_taken_with_its_limit(value: Any, limit: dict[str, Any]) -> None:
    measured = {"name": "pen.latches", "value": value, "unit": None, "shown": "as it is"}
    finding = {**SPILL, "measured": measured, "limit": {**limit, "unit": None, "shown": "so"}}
    assert [error.message for error in JUDGE.iter_errors(_put(REPORT, FIRST, finding))] == []


def test_a_finding_without_a_value_is_taken() -> None:
    assert JUDGE.is_valid(_put(REPORT, FIRST, {**SPILL, "measured": None, "limit": None}))


def test_a_fix_that_adds_an_item_is_taken() -> None:
    change = {"path": "guardians", "from": None, "to": {"kind": "dog", "count": "1"}}
    assert JUDGE.is_valid(_put(REPORT, f"{FIRST}.fixes.0.changes", [change]))


def test_a_standard_that_could_not_be_checked_is_neither_met_nor_not_met() -> None:
    standard = {"name": "eu-hens", "met": None, "by": [], "not_checked": ["nests-few"]}
    assert JUDGE.is_valid(_put(REPORT, "setups.0.standards", [standard]))


def test_an_empty_run_is_taken() -> None:
    assert JUDGE.is_valid({**REPORT, "setups": [], "problems": []})


def test_a_line_of_jsonl_is_judged_by_the_definition_of_a_setup() -> None:
    judge = JUDGE.evolve(schema={"$ref": "#/$defs/setup", "$defs": SCHEMA["$defs"]})
    assert judge.is_valid(SETUP)
    assert not judge.is_valid(REPORT)


@pytest.mark.parametrize(
    "path", ["extra", "flockcheck.extra", f"{FIRST}.extra", f"{FIRST}.place.x"]
)
def test_a_later_version_may_add_a_key_anywhere(path: str) -> None:
    assert JUDGE.is_valid(_put(REPORT, path, {"anything": 1}))


@pytest.mark.parametrize(
    ("place", "value", "path", "says"), [pytest.param(*row[1:], id=row[0]) for row in SPOILED]
)
def test_a_spoiled_report_is_refused_at_the_right_place_for_its_own_reason(
    place: str, value: Any, path: str, says: str
) -> None:
    errors = list(JUDGE.iter_errors(_put(REPORT, place, value)))
    found = []
    for error in errors:
        deepest = best_match([error])
        about = deepest.schema.get("description", "") if isinstance(deepest.schema, dict) else ""
        found.append((".".join(map(str, deepest.absolute_path)), f"{deepest.message} {about}"))
    assert any(where == path and says in reason for where, reason in found), found


@pytest.mark.parametrize("key", SCHEMA["$defs"]["setup"]["required"])
def test_a_setup_that_lacks_any_key_is_refused(key: str) -> None:
    setup = {name: value for name, value in SETUP.items() if name != key}
    error = best_match(JUDGE.iter_errors({**REPORT, "setups": [setup]}))
    assert error is not None
    assert error.message == f"'{key}' is a required property"


@pytest.mark.parametrize("key", SCHEMA["$defs"]["finding"]["required"])
def test_a_finding_that_lacks_any_key_is_refused(key: str) -> None:
    finding = {name: value for name, value in TIGHT.items() if name != key}
    error = best_match(JUDGE.iter_errors(_put(REPORT, DAILY, finding)))
    assert error is not None
    assert error.message == f"'{key}' is a required property"


def _page() -> str:
    return (ROOT / "docs" / "report-format.md").read_text(encoding="utf-8")


def test_the_page_of_the_report_is_as_its_schema_makes_it() -> None:
    made = subprocess.run(
        [sys.executable, str(ROOT / "docs" / "make" / "report_page.py")],
        capture_output=True,
        check=True,
        encoding="utf-8",
        env={"PYTHONIOENCODING": "utf-8"},
    )
    assert made.stdout == _page()


def test_the_page_of_the_report_explains_every_verdict_and_grade() -> None:
    for word in ("verdict", "grade"):
        for value in SCHEMA["$defs"][word]["enum"]:
            assert f"| `{value}` |" in _page()


def test_every_link_of_the_page_of_the_report_leads_to_a_heading() -> None:
    headings = re.findall(r"^#+ (.*)$", _page(), re.MULTILINE)
    anchors = {"#" + heading.lower().replace(" ", "-") for heading in headings}
    assert set(re.findall(r"\]\((#[^)]*)\)", _page())) <= anchors
