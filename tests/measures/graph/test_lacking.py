"""All that a measure lacks is named at once."""

from __future__ import annotations

from typing import Any

from flockcheck.measures.graph.lacking import MOST_KEYS
from flockcheck.measures.graph.spec import measure
from flockcheck.setup.form import kind_of, leaves, shape_of
from flockcheck.setup.sections import Group, Mesh, Pen, Whole
from tests.measures.graph.graph_cases import TWO, here, missing, run_of


def test_further_keys_are_found_as_if_the_first_had_been_written() -> None:
    @measure("number")
    def stiff(pen: Pen, mesh: Mesh) -> float:
        wall = pen.frame.outside - 2 * pen.frame.wall
        if pen.roof.material == "steel":
            return wall
        return wall * mesh.wire

    run = run_of(TWO + "mesh: {wire: 1 mm}\n", stiff)
    # The material is a word, which decides what comes after it.
    assert missing(run, "stiff").keys == (
        "pen.frame.outside",
        "pen.frame.wall",
        "pen.roof.material",
    )
    steel = TWO.replace("width: 2 m", "width: 2 m, roof: {material: plywood}")
    assert missing(run_of(steel, stiff), "stiff").keys == (
        "pen.frame.outside", "pen.frame.wall", "mesh.wire",
    )  # fmt: skip


def test_further_keys_are_looked_for_on_the_first_day_that_applies() -> None:
    @measure("number", each="day")
    def eggs(group: Group, here: int, pen: Pen) -> float:
        return group.laying * group.egg_weight * pen.nests

    run = run_of(TWO, here, eggs)
    assert missing(run, "eggs", 1).keys == (
        "birds.1.laying", "birds.1.egg_weight", "pen.nests",
    )  # fmt: skip


def test_a_number_that_stands_in_may_break_the_measure_and_harms_nothing() -> None:
    @measure("number")
    def odd(pen: Pen) -> float:
        return pen.height / (pen.weight - 1)

    run = run_of(TWO, odd)
    assert missing(run, "odd").keys == ("pen.height", "pen.weight")
    assert run.failures == []


def test_no_more_than_a_dozen_keys_are_looked_for() -> None:
    numbers = [leaf for leaf in leaves("pen") if kind_of(shape_of(leaf) or {}) == "quantity"]
    numbers = [leaf for leaf in numbers if "*" not in leaf][2:]
    assert len(numbers) >= MOST_KEYS

    @measure("number")
    def everything(setup: Whole) -> float:
        total = 0.0
        for leaf in numbers:
            thing: Any = setup
            for part in leaf.split("."):
                thing = getattr(thing, part)
            total += thing
        return total

    assert missing(run_of(TWO, everything), "everything").keys == tuple(numbers[:MOST_KEYS])
