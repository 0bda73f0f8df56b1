"""Rules in words: values in both families, conditions and limits as they are read aloud."""

from __future__ import annotations

from typing import Any

import pytest

from flockcheck.measures.graph.spec import Spec
from flockcheck.reports.rulewords import RuleWords, any_of, both, key_description, measure_words
from flockcheck.rulebook.model import Limit
from tests.little_cases import little, registry


def words(rule: str) -> RuleWords:
    return RuleWords(little().rules[rule], little())


def limit(rule: str, at: int) -> Limit:
    return little().rules[rule].limits[at]


@pytest.mark.parametrize(
    ("value", "dimension", "said"),
    [
        (33, "load", "33 kg/m2 (6.76 lb/sq ft)"),
        (0.3048, "length", "30.5 cm (12 in)"),
        (28, "temperature", "28 C (82.4 F)"),
        (21, "time", "21 days"),
        (0, "time", "0 days"),
        (0, "length", "0 mm"),
        (0.5, "share", "50 %"),
        (1 / 3, "share", "1/3"),
        (1 / 7, "number", "1/7"),
        (0.25, "number", "0.25"),
        (True, "flag", "yes"),
        ("two-step", "word", "two-step"),
        (["fox", "mink", "rat"], "word", "fox, mink or rat"),
        ("2027-12-31", "date", "31 December 2027"),
    ],
)
def test_a_value_is_said_in_both_families_where_they_differ(
    value: Any, dimension: str, said: str
) -> None:
    assert both(value, dimension) == said


def test_one_name_alone_needs_no_or() -> None:
    assert (any_of(["fox"]), any_of([])) == ("fox", "")


def spec(doc: str | None) -> Spec:
    def made_up_measure() -> None: ...

    made_up_measure.__doc__ = doc
    return Spec("made_up_measure", made_up_measure, "length", (), (), (), {})


@pytest.mark.parametrize(
    ("doc", "said"),
    [
        ("The live weight on the floor, in kg/m2. None while the pen is empty.", "on the floor"),
        ("The gap in m under the rail: the larger of two.", "the gap under the rail: the larger"),
        ("The age in days of the youngest birds.", "the age of the youngest birds"),
        ("The slope, as a tangent: the ground's.", "the slope: the ground's"),
        ("Whether a net stands round the pen, by the figure `net_live`.", "by the figure net_live"),
        (None, "made up measure"),
    ],
)
def test_a_measure_is_called_by_its_docstring_without_units_and_signs(
    doc: str | None, said: str
) -> None:
    assert said in measure_words(spec(doc))


def test_no_built_in_measure_is_called_by_its_unit_or_by_more_than_a_sentence() -> None:
    names = registry().close(little().tables).nodes
    for name, node in names.items():
        said = measure_words(node.spec)
        assert said.startswith(("the ", "whether ", "how ")), f"{name}: {said}"
        assert "`" not in said and ". " not in said, f"{name}: {said}"
        for unit in (" in m ", " in kg", " in m3", " in N ", " in deg"):
            assert unit not in f"{said} ", f"{name}: {said}"


def test_a_key_is_described_by_the_schema_under_its_word_in_rules_and_its_name_in_files() -> None:
    assert key_description("drinker.freeboard") == key_description("drinkers.*.freeboard") != ""
    assert key_description("pen.colour") == ""


@pytest.mark.parametrize(
    ("rule", "at", "said"),
    [
        ("tight", 0, "over 15 kg/m2 (3.07 lb/sq ft)"),
        ("outlet-spills", 0, "under 0 mm"),
        ("rim-low", 2, "30 m (98.4 ft) or more"),
        ("rim-low", 0, "2 times the feeder's lip or less"),
        ("words", 0, "anything but two-step"),
        ("words", 1, "no"),
        ("words", 2, "anything but dedicated or disinfected"),
        ("words", 3, "surface"),
        ("words", 4, "bag or open"),
        ("words", 6, "under pen.length"),
        ("pets-loose", 0, "any"),
        ("heat-off-late", 0, "after the group's out"),
        ("heat-off-late", 1, "after 31 December 2027"),
        ("gets-in", 1, "over 0.9 times the figure of the table gets_through"),
        ("perch-short", 0, "under the figure of the table perch_room for each bird"),
    ],
)
def test_a_limit_says_when_it_fails(rule: str, at: int, said: str) -> None:
    assert words(rule).fails(limit(rule, at)).says == said


def test_points_stand_beside_the_limit_in_both_families() -> None:
    found = words("cold-nights").fails(limit("cold-nights", 0))
    assert found.says == "under the figure below"
    assert found.along == "the age of the birds, never below zero"
    assert found.points == (("21 days", "15 C (59 F)"), ("41 days", "5 C (41 F)"))


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        ("gets-in", "of each predator that is listed, where the predator is not bear or wolf"),
        ("lamp-loose", "about the time in the brooder, where brooder.heat is lamp"),
        ("leaves-old", "of each group of birds, on the day they leave"),
        ("moves-young", "of each group of birds, on the day they move out"),
        ("law-only", "where the birds are egg chickens"),
        ("rim-low", "and (either weather.rain is yes or site.soil_wet is yes)"),
        ("shots-missing", "(either cat or dog is among pets or fox is among predators)"),
        ("pets-loose", "where something stands under predators"),
        ("words", "where a guardian's kind is not person, and pen.weight is written"),
        ("cold-nights", "where the age of the birds is under 42 days"),
        ("perch-short", "of the pen, for each day of the stay"),
        ("mesh-wide", "of the pen"),
    ],
)
def test_a_rule_says_of_what_it_is_asked_and_when(rule: str, said: str) -> None:
    asked = words(rule).asked()
    assert asked.startswith("of ")
    assert said in asked


def test_a_condition_on_what_is_looked_at_speaks_of_it() -> None:
    term = ["measure", "floor_load"]
    test = ["test", term, "under", ["literal", 10.0]]
    assert words("tight").condition(test, term) == "it is under 10 kg/m2 (2.05 lb/sq ft)"


@pytest.mark.parametrize(
    ("condition", "said"),
    [
        (["test", ["measure", "is_hen"], "is", ["literal", True]], "the birds of a group are hens"),
        (
            ["test", ["measure", "is_hen"], "is", ["literal", False]],
            "it is not so that the birds of a group are hens",
        ),
        (
            ["test", ["item", "group", "kind"], "not", ["literal", "turkey"]],
            "the birds are not turkeys",
        ),
        (
            ["test", ["item", "group", "kind"], "one_of", ["literal", ["turkey", "egg chicken"]]],
            "there are turkeys or egg chickens",
        ),
        (
            ["test", ["item", "predator", ""], "is", ["literal", "bear"]],
            "bear is among the predators",
        ),
        (
            ["test", ["measure", "jumpers"], "none", ["literal", False]],
            "there are any of the listed predators that clear a low fence at a jump",
        ),
        (["test", ["key", "pets"], "none", ["literal", True]], "nothing stands under pets"),
        (["written", "lip", "feeder", False], "a feeder's lip is left out"),
        (["written", "heated", "drinker", False], "drinkers.heated is left out"),
        (
            [
                "all",
                [
                    ["test", ["measure", "is_hen"], "is", ["literal", False]],
                    ["test", ["key", "site.house"], "over", ["literal", 10.0]],
                    ["test", ["key", "site.house"], "under", ["literal", 90.0]],
                ],
            ],
            "site.house is over 10 m (32.8 ft), and it is under 90 m (295 ft),"
            " unless the birds of a group are hens",
        ),
    ],
)
def test_a_condition_is_read_aloud(condition: list[Any], said: str) -> None:
    assert words("tight").condition(condition) == said
