"""What a function says of itself when it is marked as a measure."""

from __future__ import annotations

from types import ModuleType
from typing import Any

import pytest

from flockcheck.measures.graph.spec import PLAIN, Spec, measure, measures_of


def spec_of(function: Any) -> Spec:
    spec: Spec = function.__measure__
    return spec


def test_a_measure_says_what_it_gives_asks_for_and_goes_by() -> None:
    @measure("kg/m2", each="day", gather="group")
    def floor_load(live_weight: float, head_count: int, floor_area: float = 1.0) -> float:
        return live_weight * head_count / floor_area

    assert spec_of(floor_load) == Spec(
        name="floor_load",
        function=floor_load,
        gives="load",
        each=("day",),
        gather=("group",),
        asks=("live_weight", "head_count", "floor_area"),
        defaults={"floor_area": 1.0},
    )


def test_a_marked_function_is_called_as_before() -> None:
    @measure("number")
    def double(x: float) -> float:
        total = 0.0
        for part in (x, x):
            total += part
        return total

    assert double(2.0) == 4.0
    assert spec_of(double).asks == ("x",)


def test_several_words_are_given_as_a_list() -> None:
    @measure("count", each=("day", "group"), gather=["feeder", "drinker"])
    def many(group: Any) -> int:
        return 1

    assert spec_of(many).each == ("day", "group")
    assert spec_of(many).gather == ("feeder", "drinker")


def test_a_measure_that_asks_for_nothing_is_a_measure() -> None:
    @measure("number")
    def one() -> float:
        return 1.0

    assert spec_of(one).asks == ()
    assert spec_of(one).each == spec_of(one).gather == ()


@pytest.mark.parametrize(
    ("gives", "kept"),
    [
        ("kg/m2", "load"), ("load", "load"), ("m", "length"), ("deg C", "temperature"),
        ("deg C step", "temperature step"), ("count", "count"), ("m3/day", "water rate"),
        *((word, word) for word in sorted(PLAIN)),
    ],
)  # fmt: skip
def test_what_it_gives_is_kept_as_a_dimension_or_a_plain_word(gives: str, kept: str) -> None:
    @measure(gives)
    def one() -> float:
        return 1.0

    assert spec_of(one).gives == kept


def test_an_unknown_unit_is_refused_where_it_is_written() -> None:
    with pytest.raises(ValueError, match="furlong"):
        measure("furlong")(lambda: 1)


def test_every_parameter_must_be_one_that_can_be_asked_for() -> None:
    def keyword_only(*, pen: Any) -> float:
        return 1.0

    def starred(*pens: Any) -> float:
        return 1.0

    def double_starred(**pens: Any) -> float:
        return 1.0

    for function in (keyword_only, starred, double_starred):
        with pytest.raises(TypeError) as caught:
            measure("number")(function)
        says = f"measure {function.__name__}: write its parameters plainly, without a star"
        assert str(caught.value) == says


def test_a_default_can_t_be_what_says_does_not_apply() -> None:
    def lidless(pen: Any, lid_weight: float | None = None) -> float:
        return 1.0

    with pytest.raises(TypeError) as caught:
        measure("number")(lidless)
    assert str(caught.value) == (
        "measure lidless: lid_weight can't have None as its default, which means that it does not "
        "apply"
    )


def test_a_module_gives_the_measures_that_it_defines_in_the_order_of_its_text() -> None:
    module, other = ModuleType("some.plugin"), ModuleType("some.other")
    source = (
        "from flockcheck.measures.graph.spec import measure\n"
        "@measure('number')\ndef later(): return 1\n"
        "def helper(): return 2\n"
        "@measure('number')\ndef earlier(): return 3\n"
    )
    exec(source, module.__dict__)
    other.__dict__.update(borrowed=module.__dict__["later"])
    assert [spec.name for spec in measures_of(module)] == ["later", "earlier"]
    assert measures_of(other) == []
