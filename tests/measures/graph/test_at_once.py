"""Measures that receive many days at once, and the cutting of a stay into stretches."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flockcheck.measures.graph.arguments import Shape, arguments_on, day_by_day, gaps_of
from flockcheck.measures.graph.registry import Registry
from flockcheck.measures.graph.run import Run
from flockcheck.measures.graph.spec import at_once, measure
from flockcheck.setup.reader import read_setup_text
from flockcheck.setup.sections import Group, Pen

SETUP = """
flockcheck: 1
pen: {length: 4 m, width: 2 m}
birds:
  - {kind: meat chicken, growth: fast, count: 30, hatched: 2027-04-01, out: 2027-05-01,
     leaves: 2027-05-03}
  - {kind: turkey, count: 5, hatched: 2027-04-02, out: 2027-05-03, leaves: 2027-05-05}
"""


@measure("count", each="day")
def here(group: Group, day: date) -> int | None:
    return group.count if group.out <= day <= group.leaves else None


@measure("count", each="day")
def legs(here: int, pen: Pen) -> int:
    raise AssertionError("a day by itself")


@at_once(legs)
def legs_at_once(here: list[int], pen: Pen) -> list[int]:
    assert None not in here
    return [2 * birds for birds in here]


@measure("count", each="day", gather="group")
def all_legs(legs: list[int]) -> int:
    raise AssertionError("a day by itself")


@at_once(all_legs)
def all_legs_at_once(legs: list[list[int]]) -> list[int]:
    return [sum(of_day) for of_day in zip(*legs, strict=True)]


@measure("count", each="day")
def too_few(here: int) -> int:
    return here


@at_once(too_few)
def too_few_at_once(here: list[int]) -> list[int]:
    return here[1:]


def run() -> Run:
    registry = Registry()
    for function in (here, legs, all_legs, too_few):
        registry.add(function.__dict__["__measure__"], "here")
    return Run(read_setup_text(SETUP, "a.flock.yaml"), registry.close(()), {})


def test_a_measure_of_many_days_is_called_with_the_days_that_it_applies_to() -> None:
    assert run().value("legs", 0) == [60, 60, 60, None, None]
    assert run().value("legs", 1) == [None, None, 10, 10, 10]


def test_a_measure_of_many_days_gathers_the_items_that_are_there() -> None:
    assert run().value("all_legs") == [60, 60, 70, 10, 10]


def test_a_measure_that_does_not_give_each_of_its_days_fails_by_name() -> None:
    failing = run()
    assert failing.done("too_few", 0).missing is not None
    assert [one.measure for one in failing.failures] == ["too_few"]
    assert "one value for each day" in failing.failures[0].says


def test_at_once_a_measure_has_the_same_parameters() -> None:
    with pytest.raises(TypeError, match="its own parameters"):

        @at_once(legs)
        def other(here: list[int]) -> list[int]:
            return here


def test_only_a_measure_that_goes_by_day_is_worked_out_at_once() -> None:
    @measure("length")
    def length(pen: Pen) -> float:
        return pen.length

    with pytest.raises(TypeError, match="goes by day"):

        @at_once(length)
        def lengths(pen: Pen) -> list[float]:
            return [pen.length]


SERIES = st.lists(st.none() | st.integers(1, 3), min_size=5, max_size=5)


@given(plain=SERIES, first=SERIES, second=SERIES)
def test_days_at_once_give_what_each_day_gives_by_itself(
    plain: list[int | None], first: list[int | None], second: list[int | None]
) -> None:
    asked = [plain, [first, second], ["hens", "turkeys"], 10]
    shapes = [Shape("", True), Shape("group", True), Shape("group", False), Shape("", False)]

    def one_day(here: int, each: list[int], names: list[str], more: int) -> object:
        return here + more, list(zip(names, each, strict=True))

    def many_days(
        here: list[int], each: list[list[int]], names: list[str], more: int
    ) -> list[object]:
        days = zip(here, zip(*each, strict=True), strict=True)
        return [one_day(at, list(row), names, more) for at, row in days]

    wanted: list[object] = []
    for at in range(5):
        there = [(n, of[at]) for n, of in (("hens", first), ("turkeys", second))]
        rows = [(name, value) for name, value in there if value is not None]
        today = plain[at]
        wanted.append(None if today is None or not rows else (today + 10, rows))
        args = arguments_on(asked, shapes, at)
        assert wanted[-1] == (args and one_day(*args))
    gaps = [gap for gap in map(gaps_of, (plain, first, second)) if gap]
    assert day_by_day(one_day, asked, shapes, gaps, 5) == wanted
    assert day_by_day(one_day, asked, shapes, gaps, 5, many_days) == wanted


def test_a_list_without_items_applies_on_every_day() -> None:
    asked: list[object] = [[1, 2], []]
    plain = [Shape("", True), Shape("feeder", False)]
    assert day_by_day(lambda here, each: (here, each), asked, plain, [], 2) == [(1, []), (2, [])]
    by_day = [Shape("", True), Shape("drinker", True)]
    assert day_by_day(lambda here, each: (here, each), asked, by_day, [], 2) == [(1, []), (2, [])]
    assert day_by_day(lambda here, each: 0, asked, by_day, [], 2, lambda here, each: []) == [0, 0]
    assert arguments_on(asked, by_day, 1) == [2, []]
