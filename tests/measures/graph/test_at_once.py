"""Measures that receive many days at once, and the cutting of a stay into stretches."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flockcheck.measures.graph.arguments import Given, arguments_on, day_by_day
from flockcheck.measures.graph.registry import Registry, RegistryError
from flockcheck.measures.graph.run import Run
from flockcheck.measures.graph.spec import measure
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


@measure("count", each="day", at_once=True)
def legs(here: list[int], pen: Pen) -> list[int]:
    assert None not in here
    return [2 * birds for birds in here]


@measure("count", each="day", gather="group", at_once=True)
def all_legs(legs: list[list[int]]) -> list[int]:
    return [sum(of_day) for of_day in zip(*legs, strict=True)]


@measure("count", each="day", at_once=True)
def too_few(here: list[int]) -> list[int]:
    return here[1:]


@measure("count", at_once=True)
def never(pen: Pen) -> list[int]:
    return []


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
    assert "an entry for each day" in failing.failures[0].says


def test_days_at_once_without_a_day_axis_are_refused() -> None:
    registry = Registry()
    registry.add(never.__dict__["__measure__"], "here")
    with pytest.raises(RegistryError, match="takes days at once"):
        registry.close(())


SERIES = st.lists(st.none() | st.integers(1, 3), min_size=5, max_size=5)


@given(plain=SERIES, first=SERIES, second=SERIES)
def test_days_at_once_give_what_each_day_gives_by_itself(
    plain: list[int | None], first: list[int | None], second: list[int | None]
) -> None:
    asked = [
        Given(plain, "", True),
        Given([first, second], "group", True),
        Given(["hens", "turkeys"], "group", False),
        Given(10, "", False),
    ]

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
        args, once = (arguments_on(asked, at, at_once=many) for many in (False, True))
        assert wanted[-1] == (args and one_day(*args))
        assert [wanted[-1]] == (many_days(*once) if once else [None])
    assert day_by_day(one_day, asked, 5) == wanted
    assert day_by_day(many_days, asked, 5, at_once=True) == wanted


def test_a_list_without_items_applies_on_every_day() -> None:
    asked = [Given([1, 2], "", True), Given([], "feeder", False)]
    assert day_by_day(lambda here, each: (here, each), asked, 2) == [(1, []), (2, [])]
