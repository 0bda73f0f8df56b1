"""A measure worked out again for one day: the sum behind it, and what it read."""

from __future__ import annotations

import math
from typing import Any

import pytest

from flockcheck.measures.graph.figures import Figure, Sum, leaf, sum_of, traced, worked_out, written
from flockcheck.measures.graph.registry import Registry
from flockcheck.measures.graph.retrace import Again, Retracer, Use
from flockcheck.measures.graph.run import Run
from flockcheck.measures.graph.spec import Spec, measure
from flockcheck.setup.reader import read_setup_text
from flockcheck.setup.sections import Group, Pen
from flockcheck.tables import Row, Table

TWO_GROUPS = """flockcheck: 1
pen: {length: 4 m, width: 2.5 m}
birds:
  - {kind: turkey, count: 3, hatched: 2027-04-01, out: 2027-05-01, leaves: 2027-05-04}
  - {kind: egg chicken, growth: light, count: 5,
     hatched: 2027-04-01, out: 2027-05-03, leaves: 2027-05-05}
"""
NEED = Table(
    name="need",
    says="",
    by=("group.kind",),
    along="age",
    between="straight",
    beyond="hold",
    units={"edge": "length"},
    rows=[
        Row({"group.kind": ("turkey",)}, [0, 100], {"edge": [0.1, 0.2]}, {"practice": "common"}),
        Row({}, [0], {"edge": [0.05]}, {"practice": "common"}),
    ],
)


@measure("area")
def floor(pen: Pen) -> float:
    """The floor."""
    return pen.length * pen.width


@measure("count", each="day")
def here(group: Group, day: Any) -> int | None:
    """How many."""
    return group.count if group.out <= day <= group.leaves else None


@measure("length", each="day", gather="group")
def edge(group: list[Group], here: list[int], need: Table) -> float:
    """The edge that all need at 30 days."""
    each = [float(need("edge", at=30, group=one)) for one in group]
    return sum(n * one for n, one in zip(here, each, strict=True))


@measure("number", each="day")
def crowd(edge: float, floor: float) -> float:
    """Something with a root and a float in it."""
    return float(math.sqrt(edge) / floor)


@measure("count", each="day")
def counted_up(here: int, group: Group) -> int:
    """A measure that wants a whole number."""
    return sum(1 for _ in range(here))


@measure("count", gather="day")
def bird_days(all_here: list[int | None]) -> float:
    """All days together."""
    return float(sum(one or 0 for one in all_here))


@measure("count", each="day", gather="group")
def all_here(here: list[int]) -> int:
    """All of them."""
    return sum(here)


def retracer(*functions: Any) -> Retracer:
    registry = Registry()
    for function in functions:
        spec: Spec = function.__measure__
        registry.add(spec, "here")
    registry.close(["need"])
    return Retracer(Run(read_setup_text(TWO_GROUPS, "two"), registry, {"need": NEED}))


def text(again: Again) -> str:
    assert again.sum is not None
    return written(again.sum, lambda part: f"{part.value:g}")


def test_a_sum_of_keys_knows_its_keys() -> None:
    again = retracer(floor).again("floor", None, 0)
    assert text(again) == "4 x 2.5"
    assert again.sum is not None
    assert [one.leaf for one in again.sum.leaves()] == [("key", "pen.length"), ("key", "pen.width")]
    assert again.keys == ("pen.length", "pen.width")
    assert (again.value, again.day) == (10.0, False)


@pytest.mark.parametrize(
    ("at", "expected"), [(0, "3 x 0.13"), (2, "3 x 0.13 + 5 x 0.05"), (4, "5 x 0.05")]
)
def test_only_the_items_of_the_day_take_part(at: int, expected: str) -> None:
    assert text(retracer(here, edge).again("edge", None, at)) == expected


def test_table_figures_come_with_their_row_and_the_point_they_were_read_at() -> None:
    again = retracer(here, edge).again("edge", None, 2)
    turkeys, others = again.reads
    assert (turkeys.row.where, turkeys.column) == ({"group.kind": ("turkey",)}, "edge")
    assert turkeys.at is not None and turkeys.at.value == 30
    assert (turkeys.value, others.value) == (pytest.approx(0.13), 0.05)
    assert again.keys == ("birds", "birds.0.kind", "birds.1.kind")
    assert again.uses == (Use("here", 0, False), Use("here", 1, False))


def test_a_root_and_a_float_do_not_break_the_sum() -> None:
    again = retracer(floor, here, edge, crowd).again("crowd", None, 0)
    assert text(again) == "sqrt(0.39) / 10"
    assert again.value == pytest.approx(math.sqrt(0.39) / 10)


def test_a_measure_that_can_not_be_called_with_figures_has_its_reads_all_the_same() -> None:
    again = retracer(here, counted_up).again("counted_up", 0, 0)
    assert again.sum is None
    assert (again.value, again.uses) == (3, (Use("here", 0, False),))


def test_what_goes_over_all_days_says_so() -> None:
    again = retracer(here, all_here, bird_days).again("bird_days", None, 0)
    assert again.uses == (Use("all_here", None, True),)
    # Three birds from the 1st to the 4th, five from the 3rd to the 5th.
    assert again.value == 3 * 4 + 5 * 3


def test_nothing_of_it_is_seen_by_the_run() -> None:
    tracer = retracer(floor, here, edge, crowd)
    tracer.run.value("crowd")
    before = set(tracer.run.everything)
    tracer.again("crowd", None, 0)
    assert tracer.run.everything == before


@pytest.mark.parametrize(
    ("make", "expected"),
    [
        (lambda a, b: (a + b) * a, "(2 + 3) x 2"),
        (lambda a, b: a - (b - a), "2 - (3 - 2)"),
        (lambda a, b: a / (b * a), "2 / (3 x 2)"),
        (lambda a, b: a / b / a, "2 / 3 / 2"),
        (lambda a, b: a - b - a, "2 - 3 - 2"),
        (lambda a, b: (a + b) ** 2, "(2 + 3)^2"),
        (lambda a, b: -(a + b), "-(2 + 3)"),
        (lambda a, b: -a * b, "-2 x 3"),
        (lambda a, b: 1 - a + 2 * b, "1 - 2 + 2 x 3"),
        (lambda a, b: max(a, b) + min(a, b), "3 + 2"),
        (lambda a, b: sum([a, b]), "2 + 3"),
    ],
)
def test_brackets_stand_where_a_sum_needs_them(make: Any, expected: str) -> None:
    a, b = leaf(2.0, ("key", "a")), leaf(3.0, ("key", "b"))
    found = sum_of(make(a, b))
    assert found is not None
    assert written(found, lambda part: f"{part.value:g}") == expected
    again = eval(expected.replace(" x ", " * ").replace("^", "**"))
    assert found.value == again == worked_out(found, lambda part: part.value)


def test_words_and_flags_are_no_figures() -> None:
    assert leaf("fox", ("key", "a")) == "fox"
    assert leaf(True, ("key", "a")) is True
    assert isinstance(leaf(3, ("key", "a")), Figure)


def test_a_copied_function_leaves_its_module_as_it_was() -> None:
    assert traced(crowd) is not crowd
    assert crowd(0.39, 10.0) == math.sqrt(0.39) / 10
    assert type(crowd(leaf(4.0, ("key", "a")), 2.0)) is float
    found = traced(crowd)(leaf(4.0, ("key", "a")), 2.0)
    assert sum_of(found) == Sum(
        "/",
        (Sum("sqrt", (Sum("leaf", (), 4.0, ("key", "a")),), 2.0), Sum("", (), 2.0)),
        1.0,
    )
