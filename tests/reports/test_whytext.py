"""The text of `why`: snapshots of the little book's rules, and what holds for every rule."""

from __future__ import annotations

import functools

import pytest
from syrupy.assertion import SnapshotAssertion

from flockcheck.reports.glossary import words
from flockcheck.reports.lesson import answered, lesson
from flockcheck.reports.whytext import rule_text, word_data, word_text, words_text
from flockcheck.rulebook.book import Rulebook
from flockcheck.workshop import load_rulebook
from tests.little_cases import ROOT, birds, little, setup

# The built-in rules by their files, since the rulebook itself is loaded inside the tests only.
RULES = sorted(
    path.stem for path in (ROOT / "rules").glob("*/*.yaml") if path.parent.name != "tables"
)


@functools.cache
def built_in() -> Rulebook:
    return load_rulebook()


def text(name: str, *changes: tuple[str, str], width: int = 80) -> str:
    rule = little().rules[name]
    data = lesson(rule, little())
    if changes:
        data["setup"] = answered(rule, little(), setup(*changes))
    return rule_text(data, width)


@pytest.mark.parametrize(
    "name",
    [
        "tight",
        "cold-nights",
        "perch-short",
        "gets-in",
        "outlet-spills",
        "words",
        "law-only",
        "local-rules",
        "mesh-wide",
        "lamp-loose",
    ],
)
def test_a_rule_is_taught(name: str, snapshot: SnapshotAssertion) -> None:
    assert text(name) == snapshot


@pytest.mark.parametrize(
    ("name", "changes"),
    [
        ("tight", [birds(70)]),
        ("tight", [birds(30)]),
        ("gets-in", [("opening: 20 mm", "opening: 30 mm")]),
        ("gets-in", [("predators: [fox, mink]\n", "")]),
        ("mesh-wide", [("opening: 20 mm", "opening: 30 mm")]),
        ("mesh-wide", [("opening: 20 mm, ", "")]),
        ("words", [(", store: sealed", ""), ("latches: two-step", "latches: simple")]),
        ("words", [(", store: sealed", "")]),
        ("hot-and-tight", [birds(30)]),
        ("local-rules", [birds(30)]),
        (
            "tight",
            [
                birds(70),
                (
                    "care:",
                    "accepted: [{rule: tight, because: the second pen comes, until: 2027-06-30}]"
                    "\ncare:",
                ),
            ],
        ),
    ],
)
def test_with_a_setup_the_answer_stands_below(
    name: str, changes: list[tuple[str, str]], snapshot: SnapshotAssertion
) -> None:
    taught = text(name)
    whole = text(name, *changes)
    assert whole.startswith(taught)
    assert whole.removeprefix(taught) == snapshot


@pytest.mark.parametrize("name", RULES)
def test_every_built_in_rule_can_be_taught_within_80_columns(name: str) -> None:
    said = rule_text(lesson(built_in().rules[name], built_in()))
    assert max(len(line) for line in said.splitlines()) <= 80
    assert "{" not in said and "None" not in said and "  where  " not in said


def test_a_narrow_screen_gets_narrow_lines() -> None:
    assert max(len(line) for line in text("tight", width=50).splitlines()) <= 50


@pytest.mark.parametrize("word", sorted(words()))
def test_every_word_is_told_within_80_columns(word: str) -> None:
    said = word_text(word_data(words()[word], built_in().sources))
    assert max(len(line) for line in said.splitlines()) <= 80


@pytest.mark.parametrize("word", ["grade", "skirt", "joule"])
def test_a_word_is_explained(word: str, snapshot: SnapshotAssertion) -> None:
    assert word_text(word_data(words()[word], built_in().sources)) == snapshot


def test_the_words_are_listed() -> None:
    said = words_text({"words": list(words())})
    assert "hardening off" in " ".join(said.split())
    assert "`flockcheck rules` lists the rules" in said
