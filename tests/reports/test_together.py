"""Findings of one rule for several items are told once, each item by name and with its days."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from flockcheck.checkup.check import check
from flockcheck.checkup.model import Acceptance, Finding, Report, Span
from flockcheck.reports.text import write
from flockcheck.reports.together import item_words, places, together, told
from flockcheck.setup.reader import read_setup_text
from flockcheck.workshop import tools
from tests.little_cases import ROOT, found
from tests.reports.report_cases import reports

JUNE = date(2027, 6, 1)
JULY = date(2027, 7, 1)


def finding(**more: Any) -> Finding:
    some = found(reports()["not ready"], "lamp-loose")
    plain = some._replace(about="birds.0", says="They sleep wet.", spans=(), fixes=())
    return plain._replace(**more)


def days(first: date, last: date) -> tuple[Span, ...]:
    return (Span(first, last, finding().grade),)


def report() -> Report:
    return reports()["not ready"]._replace(
        first_day=JUNE, looked_until=JULY, predators=("mink", "rat")
    )


def told_of(text: str) -> str:
    """The text report on a setup under the built-in rules, on one line."""
    book = tools(()).rulebook
    return " ".join(write([check(read_setup_text(text, "a.flock.yaml"), book)], book, ()).split())


def test_one_rule_on_several_items_is_one_group_in_the_order_of_the_first() -> None:
    other = finding(rule="other")
    first, second = finding(), finding(about="birds.1", spans=days(JUNE, JUNE))
    assert together([first, other, second]) == [[first, second], [other]]


@pytest.mark.parametrize(
    "more",
    [
        {"grade": "tip"},
        {"rule": "other"},
        {"accepted": Acceptance("they are hardy", JULY)},
    ],
)
def test_another_grade_rule_or_acceptance_stands_apart(more: dict[str, Any]) -> None:
    assert len(together([finding(), finding(**more)])) == 2


def test_the_same_words_are_said_once_with_each_items_days() -> None:
    both = [
        finding(spans=days(JUNE, date(2027, 6, 9))),
        finding(about="birds.1", spans=days(JUNE, JULY)),
    ]
    words = told(both, report())
    assert words.title == finding().title
    assert words.whom == "For group 1, 1 June to 9 June; for group 2, all the stay."
    assert words.says == ("They sleep wet.",)


def test_the_same_words_on_the_same_days_name_the_items() -> None:
    both = [finding(about=f"feeders.{at}", spans=days(JUNE, JUNE)) for at in range(2)]
    words = told(both, report())
    assert words.title == f"{finding().title}, on 1 June"
    assert words.whom == "For feeder 1 and feeder 2."


def test_each_predator_keeps_its_own_limit_and_its_own_days() -> None:
    both = [
        finding(about="predators.0", says="2 in; 1 in keeps the mink out."),
        finding(about="predators.1", says="2 in; 0.5 in will do.", spans=days(JUNE, JUNE)),
    ]
    assert told(both, report()).says == (
        "All the stay: 2 in; 1 in keeps the mink out.",
        "The rat, on 1 June: 2 in; 0.5 in will do.",
    )


def test_one_finding_alone_names_nobody() -> None:
    assert told([finding()], report()) == (finding().title, "", ("They sleep wet.",))


def test_every_line_that_they_point_to_is_told() -> None:
    place = finding().place._replace(path="feeders.0.holds", line=7)
    two = [finding(place=place), finding(place=place._replace(path="feeders.1.holds", line=19))]
    assert places(two, "a.flock.yaml") == "feeders.holds, a.flock.yaml:7 and 19"


def test_an_item_goes_by_the_keepers_word() -> None:
    assert item_words(None) == "the pen"
    assert item_words("drinkers.1") == "drinker 2"
    assert item_words("predators.1", ("mink", "rat")) == "the rat"


def test_two_groups_that_sleep_wet_are_told_of_once() -> None:
    path = ROOT / "fixtures" / "gone-wrong" / "fox-under-the-rail.flock.yaml"
    text = told_of(path.read_text(encoding="utf-8"))
    assert text.count("They sleep wet on cold nights") == 1
    assert text.count("Rain and a night of 6 C are to be expected") == 1
    assert "For group 1, 6 June to 7 August; for group 2, 6 June to 4 September." in text


def test_mink_and_rat_ask_for_one_mesh_each_with_its_limit() -> None:
    path = ROOT / "fixtures" / "bad" / "steep-and-crowded.flock.yaml"
    text = path.read_text(encoding="utf-8").replace("[fox, mink]", "[fox, mink, rat]")
    assert "rat]" in text
    said = told_of(text)
    assert said.count("A predator can pass the mesh") == 1
    assert "that the mink meets is 2 in; 1 in at most keeps it out." in said
    assert "that the rat meets is 2 in; 0.512 in at most keeps it out" in said
