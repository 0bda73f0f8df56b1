"""The glossary: each word is found, leads on to others, and says who stands behind a figure."""

from __future__ import annotations

import functools
import re

import pytest

from flockcheck.reports.glossary import (
    Word,
    find_key,
    find_word,
    nearest_names,
    spellings,
    words,
)
from flockcheck.rulebook.book import Rulebook
from flockcheck.setup.form import leaves
from flockcheck.workshop import load_rulebook

# Words that the issue of the glossary asked for, or that reports use without explaining them.
WANTED = """
    setup, stay, measure, rule, grades, finding, lever, verdict, hen, pullet, poult, brooder,
    hardening off, clear opening, hardware cloth, hexagonal netting, skirt, apron, freeboard,
    vacuum drinker, float valve, bell drinker, lip, guardian dog, joule, earthing, floor load,
    feed conversion, fermented feed, grit, coccidia, blackhead, wet bulb, heat index, gust, uplift,
    creep, stop, mend, watch, tip, fix, not checked, standard, accepted, reminder, round, source
"""


@functools.cache
def book() -> Rulebook:
    return load_rulebook()


@pytest.mark.parametrize("word", [one.strip() for one in WANTED.split(",")])
def test_the_words_that_a_newcomer_meets_are_there(word: str) -> None:
    assert find_word(word) is not None


@pytest.mark.parametrize("word", words().values(), ids=lambda word: word.word)
def test_a_figure_stands_with_its_source_or_as_common_practice(word: Word) -> None:
    if re.search(r"\d", word.says):
        assert word.cites


@pytest.mark.parametrize("word", words().values(), ids=lambda word: word.word)
def test_every_source_is_in_the_bibliography_with_a_place(word: Word) -> None:
    for cite in word.cites:
        assert cite == {"practice": "common"} or (cite["id"] in book().sources and cite["where"])
        assert set(cite) <= {"practice", "id", "where", "recalled", "seen", "derived"}


@pytest.mark.parametrize("word", words().values(), ids=lambda word: word.word)
def test_a_word_leads_on_to_words_that_are_there(word: Word) -> None:
    assert word.see
    assert all(one in words() and one != word.word for one in word.see)


@pytest.mark.parametrize("word", words().values(), ids=lambda word: word.word)
def test_a_word_is_explained_in_a_few_sentences(word: Word) -> None:
    assert 60 < len(word.says) < 480
    assert word.says.endswith((".", ")"))


def test_no_spelling_means_two_words() -> None:
    every = [other for word in words().values() for other in (word.word, *word.also)]
    assert sorted(every) == sorted(set(every))


def test_no_word_has_the_name_of_a_rule() -> None:
    assert not {word.replace(" ", "-") for word in spellings()} & set(book().rules)


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("Hardening-Off", "hardening off"),
        ("hardening_off", "hardening off"),
        ("chicken wire", "hexagonal netting"),
        ("aprons", "skirt"),
        ("JOULES", "joule"),
    ],
)
def test_a_word_is_found_by_other_spellings(name: str, word: str) -> None:
    found = find_word(name)
    assert found is not None and found.word == word


def test_what_is_no_word_is_not_found() -> None:
    assert find_word("trombone") is None
    assert find_word("") is None


@pytest.mark.parametrize("key", [leaf.replace(".*", "") for leaf in leaves()])
def test_every_key_of_the_setup_can_be_explained(key: str) -> None:
    found = find_key(key)
    assert found is not None and found.says


def test_a_key_may_be_named_as_a_report_has_it() -> None:
    assert find_key("drinkers.0.holds") == find_key("drinkers.holds") is not None
    assert find_key("drinkers.colour") is None
    assert find_key("") is None


@pytest.mark.parametrize(
    ("name", "near"),
    [
        ("hardning off", "hardening off"),
        ("wire", "hexagonal netting"),
        ("earthling", "earthing"),
        ("drinker", "bell drinker"),
    ],
)
def test_a_wrong_word_has_near_ones(name: str, near: str) -> None:
    assert near in nearest_names(name, spellings())


def test_a_wrong_rule_has_near_ones_and_never_many() -> None:
    rules = {one: one for one in book().rules}
    assert nearest_names("floor-crowed", rules)[0] == "floor-crowded"
    assert nearest_names("mesh", rules)
    assert all(len(nearest_names(name, rules)) <= 3 for name in ("mesh", "drinker", "out"))
    assert nearest_names("zzzz", rules) == nearest_names("z" * 500, rules) == []
