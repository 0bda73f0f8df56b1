"""What a lesson holds for other programs, and what a rule comes to for one setup."""

from __future__ import annotations

import json
from typing import Any

import pytest

from flockcheck.reports.lesson import answered, lesson
from flockcheck.rulebook.model import Rule
from tests.little_cases import LITTLE, birds, little, setup

RULES = sorted(path.stem for path in LITTLE.glob("*/*.yaml") if path.parent.name != "tables")


def taught(name: str) -> dict[str, Any]:
    return lesson(little().rules[name], little())


def answers(name: str, *changes: tuple[str, str]) -> list[dict[str, Any]]:
    found = answered(little().rules[name], little(), setup(*changes))
    return list(found["answers"])


@pytest.mark.parametrize("name", RULES)
def test_a_lesson_is_plain_data_with_a_source_to_every_limit(name: str) -> None:
    data = taught(name)
    assert json.loads(json.dumps(data)) == data
    rule = little().rules[name]
    every = [
        *data["limits"],
        *data["standards"],
        *(x for o in data["instead"] for x in o["limits"]),
    ]
    assert len(every) == len(rule.limits) + sum(len(other.limits) for other in rule.otherwise)
    assert all(one["source"]["says"].endswith(".") for one in every)


def test_a_limit_stands_with_its_value_in_base_units_and_in_words() -> None:
    watch, mend, stop = taught("tight")["limits"]
    assert (watch["comparator"], watch["value"], watch["unit"]) == ("at_most", 15.0, "kg/m2")
    assert watch["fails_if"] == "over 15 kg/m2 (3.07 lb/sq ft)"
    assert watch["source"] == {"practice": "common", "says": "Common practice, no source."}
    assert mend["source"]["id"] == "little-sheet"
    assert [one["grade"] for one in (watch, mend, stop)] == ["watch", "mend", "stop"]


def test_the_limits_of_standards_stand_apart() -> None:
    data = taught("tight")
    assert [one["standard"] for one in data["standards"]] == ["little-hall"]
    assert all("standard" not in one for one in data["limits"])


def test_a_table_is_told_once_for_each_column_that_limits_read() -> None:
    data = taught("perch-short")
    assert [(one["table"], one["column"]) for one in data["tables"]] == [
        ("perch_room", "edge"),
        ("perch_room", "wide"),
    ]
    hens, others = data["tables"][0]["rows"]
    assert hens["for"] == {"group.kind": ["egg chicken"]}
    assert hens["points"][0] == ["0 days", "50 mm (1.97 in)"]
    assert others["source"]["practice"] == "common"


def test_a_plain_table_has_values_without_points() -> None:
    first = taught("gets-in")["tables"][0]["rows"][0]
    assert (first["value"], first["points"]) == ("25.4 mm (1 in)", [])


def test_rules_that_stand_in_for_each_other_name_each_other() -> None:
    assert [one["rule"] for one in taught("gets-in")["stands_in_for"]] == ["mesh-wide"]
    assert [one["rule"] for one in taught("mesh-wide")["stood_in_for_by"]] == ["gets-in"]


def test_an_answer_comes_with_its_working() -> None:
    working = answered(little().rules["tight"], little(), setup(birds(70)))["working"]
    assert working["result"]["says"] == "It comes to 21 kg/m2; the limit is 20 kg/m2: over"


def test_where_nothing_could_be_judged_there_is_no_working() -> None:
    spoiled = setup(("opening: 20 mm, ", ""))
    assert answered(little().rules["mesh-wide"], little(), spoiled)["working"] is None


def test_what_is_found_comes_with_its_finding() -> None:
    (one,) = answers("tight", birds(70))
    assert one["state"] == "found"
    assert one["finding"]["grade"] == "mend"


def test_what_passes_finds_nothing() -> None:
    (one,) = answers("tight")
    assert (one["state"], one["finding"], one["needs"]) == ("nothing", None, [])


def test_each_item_has_an_answer_of_its_own() -> None:
    fox, mink = answers("gets-in", ("opening: 20 mm", "opening: 30 mm"))
    assert (fox["item"], fox["about"], fox["state"]) == ("fox", "predators.0", "nothing")
    assert (mink["item"], mink["state"]) == ("mink", "found")


def test_what_is_missing_is_named_and_described() -> None:
    (one,) = answers("mesh-wide", ("opening: 20 mm, ", ""))
    assert one["state"] == "not checked"
    (need,) = one["needs"]
    assert need["key"] == "mesh.opening"
    assert need["says"].startswith("The clear opening from wire to wire")


def test_a_list_that_is_not_written_is_one_open_question_without_an_item() -> None:
    (one,) = answers("gets-in", ("predators: [fox, mink]\n", ""))
    assert (one["state"], one["item"], one["about"]) == ("not checked", None, None)


def test_what_lacks_only_a_part_is_checked_in_part() -> None:
    (one,) = answers("words", (", store: sealed", ""))
    assert one["state"] == "in part"
    assert [need["key"] for need in one["needs"]] == ["feed.store"]


def test_what_does_not_fit_is_not_asked() -> None:
    (one,) = answers("hot-and-tight")
    assert one["state"] == "not asked"


def test_what_another_rule_says_better_is_told_by_that() -> None:
    (one,) = answers("mesh-wide", ("opening: 20 mm", "opening: 30 mm"))
    assert (one["state"], one["said_by"]) == ("said by another", ["gets-in"])


def test_a_reminder_says_whether_it_is_to_be_heard() -> None:
    rule: Rule = little().rules["local-rules"]
    assert answered(rule, little(), setup())["reminds"] is True
    turkeys = setup(("kind: meat chicken\n    growth: medium", "kind: turkey"))
    assert answered(rule, little(), turkeys)["reminds"] is False


def test_faults_that_only_a_rulebook_can_see_are_told() -> None:
    spoiled = setup(("care:", "standards: [no-such-hall]\ncare:"))
    found = answered(little().rules["tight"], little(), spoiled)
    assert found["answers"] == []
    (error,) = found["errors"]
    assert "no-such-hall" in error["says"]
