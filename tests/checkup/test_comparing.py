"""Comparators, held against what their names say, and many days against each by itself."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from flockcheck.checkup.comparing import EQUAL, against, by_days, compare, fails_on


@pytest.mark.parametrize(
    ("comparator", "found", "wanted", "holds"),
    [
        ("at_least", 2.0, 2.0, True),
        ("at_least", 2.0, 2.1, False),
        ("at_most", 2.0, 2.0, True),
        ("at_most", 2.1, 2.0, False),
        ("over", 2.0, 2.0, False),
        ("over", 2.1, 2.0, True),
        ("under", 2.0, 2.0, False),
        ("under", 1.9, 2.0, True),
        ("is", 2.0, 2.0, True),
        ("is", "two-step", "two-step", True),
        ("is", "simple", "two-step", False),
        ("is", True, True, True),
        ("is", False, True, False),
        ("one_of", "shared", ("dedicated", "disinfected"), False),
        ("one_of", "dedicated", ("dedicated", "disinfected"), True),
        ("one_of", 2.0, (1.0, 2.0), True),
        ("not", "surface", "surface", False),
        ("not", "mains", ("surface", "rain"), True),
        ("none", (), True, True),
        ("none", ("dog",), True, False),
        ("none", ("dog",), False, True),
        ("is", ("cat", "dog"), "dog", True),
        ("is", ("cat",), "dog", False),
        ("one_of", ("cat",), ("dog", "cat"), True),
        ("not", ("cat", "dog"), "dog", False),
        ("not", (), "dog", True),
        ("at_most", date(2027, 5, 1), "2027-05-01", True),
        ("at_most", date(2027, 5, 2), "2027-05-01", False),
        ("over", date(2027, 5, 2), date(2027, 5, 1), True),
        ("is", date(2027, 5, 2), "2027-05-02", True),
        ("at_least", 0.0, 0.0, True),
        ("at_least", -1e-15, 0.0, True),
    ],
)
def test_a_comparator_holds_as_its_name_says(
    comparator: str, found: Any, wanted: Any, holds: bool
) -> None:
    assert compare(comparator, found, wanted) is holds


@given(st.floats(1e-6, 1e9), st.floats(-0.9, 0.9))
def test_numbers_within_a_thousand_millionth_are_equal(number: float, part: float) -> None:
    near = number * (1 + part * EQUAL)
    assert compare("at_least", near, number)
    assert compare("at_most", near, number)
    assert compare("is", near, number)
    assert not compare("over", near, number)
    assert not compare("under", near, number)


@given(st.floats(1e-3, 1e9), st.floats(1e-8, 0.5))
def test_numbers_further_apart_are_told_apart(number: float, part: float) -> None:
    more = number * (1 + part)
    assert not compare("at_most", more, number)
    assert not compare("at_least", number, more)
    assert compare("over", more, number)
    assert compare("under", number, more)


# Numbers that are alike within the tolerance, and others that just are not.
NEAR = st.sampled_from([None, 0.0, 1.0, 1 + EQUAL / 2, 1 - EQUAL / 2, 1 + 3 * EQUAL, 2.0, 3])
COMPARATORS = st.sampled_from(["at_least", "at_most", "over", "under", "is"])


@given(
    comparator=COMPARATORS,
    found=st.lists(NEAR, min_size=4, max_size=4),
    wanted=NEAR | st.lists(NEAR, min_size=4, max_size=4),
)
def test_many_days_are_compared_like_each_by_itself(
    comparator: str, found: list[float | None], wanted: float | list[float | None] | None
) -> None:
    each = wanted if isinstance(wanted, list) else [wanted] * 4
    assert by_days(comparator, found, wanted, 4) == [
        None if one is None or other is None else compare(comparator, one, other)
        for one, other in zip(found, each, strict=True)
    ]


# Words, flags and names by day, and what they may be compared with.
PLAIN = st.sampled_from([None, True, False])
WORDS = st.sampled_from([None, "fox", "owl"])
NAMES = st.sampled_from([None, (), ("fox",), ("fox", "owl")])


@given(
    comparator=st.sampled_from(["is", "not", "one_of"]),
    found=st.lists(PLAIN, min_size=4, max_size=4)
    | st.lists(WORDS, min_size=4, max_size=4)
    | st.lists(NAMES, min_size=4, max_size=4),
    wanted=st.sampled_from([None, True, "owl", ("fox", "cat")]),
)
def test_words_and_flags_of_many_days_are_compared_like_each_by_itself(
    comparator: str, found: list[Any], wanted: Any
) -> None:
    assert by_days(comparator, found, wanted, 4) == [
        None if one is None or wanted is None else compare(comparator, one, wanted) for one in found
    ]


# Sides that are one thing or go by day, numbers or dates, and the days on which a rule is asked.
ONE_DAY = st.sampled_from([date(2027, 5, 1), date(2027, 5, 2)])
ASKED = st.none() | st.lists(st.booleans(), min_size=4, max_size=4)


@given(
    comparator=COMPARATORS,
    sides=st.tuples(st.lists(NEAR, min_size=4, max_size=4), NEAR.filter(lambda x: x is not None))
    | st.tuples(NEAR.filter(lambda x: x is not None), st.lists(NEAR, min_size=4, max_size=4))
    | st.tuples(st.lists(NEAR, min_size=4, max_size=4), st.lists(NEAR, min_size=4, max_size=4))
    | st.tuples(st.lists(ONE_DAY, min_size=4, max_size=4), st.just("2027-05-01")),
    asked=ASKED,
)
def test_a_limit_fails_on_each_day_on_which_it_is_asked_and_does_not_hold(
    comparator: str, sides: tuple[Any, Any], asked: list[bool] | None
) -> None:
    days = [one if isinstance(one, list) else [one] * 4 for one in sides]
    holds = [
        None if one is None or other is None or not truth else compare(comparator, one, other)
        for one, other, truth in zip(*days, asked or [True] * 4, strict=True)
    ]
    fails, applies = fails_on(comparator, *sides, asked, 4)
    assert fails == ([one is False for one in holds] if False in holds else [])
    assert applies is any(one is not None for one in holds)


@given(comparator=COMPARATORS, found=NEAR, wanted=NEAR)
def test_a_limit_with_a_fixed_side_compares_like_any_number(
    comparator: str, found: float | None, wanted: float | None
) -> None:
    assume(found is not None and wanted is not None)
    assert against(comparator, wanted)(found) is compare(comparator, found, wanted)


@given(
    comparator=st.sampled_from(["is", "not", "one_of"]),
    found=st.sampled_from([True, False, "fox", "owl", (), ("fox",), ("fox", "owl")]),
    wanted=st.sampled_from([True, False, "owl", ("fox", "cat")]),
)
def test_a_limit_with_a_fixed_side_compares_like_any_word_or_flag(
    comparator: str, found: Any, wanted: Any
) -> None:
    assert against(comparator, wanted)(found) is compare(comparator, found, wanted)
