"""What is checked of measures before any setup is read: names, circles and axes."""

from __future__ import annotations

from types import ModuleType
from typing import Any

import pytest

from flockcheck.measures.builtin import MODULES
from flockcheck.measures.graph.registry import Node, Registry, RegistryError, table_called
from flockcheck.measures.graph.spec import measure


def registry_of(source: str, tables: tuple[str, ...] = ()) -> Registry:
    """A closed registry with the measures of a source text."""
    return opened(source).close(tables)


def opened(source: str, name: str = "small") -> Registry:
    registry = Registry()
    registry.take(module_of(source, name))
    return registry


def module_of(source: str, name: str = "small") -> ModuleType:
    module = ModuleType(name)
    module.__dict__["measure"] = measure
    exec(source, module.__dict__)
    return module


def refused(source: str, tables: tuple[str, ...] = ()) -> str:
    with pytest.raises(RegistryError) as caught:
        registry_of(source, tables)
    return str(caught.value)


PLAIN = "@measure('number')\ndef {name}({asks}): return 1\n"
DAILY = "@measure('number', each='day')\ndef {name}({asks}): return 1\n"


def plain(name: str, asks: str = "") -> str:
    return PLAIN.format(name=name, asks=asks)


def daily(name: str, asks: str) -> str:
    return DAILY.format(name=name, asks=asks)


def axes(node: Node) -> tuple[str | None, bool]:
    return node.item, node.daily


# --- Axes ----------------------------------------------------------------------------------------


def test_a_measure_of_the_pen_goes_by_nothing() -> None:
    assert axes(registry_of(plain("area", "pen, setup")).nodes["area"]) == (None, False)


@pytest.mark.parametrize("word", ["group", "feeder", "drinker", "guardian", "predator"])
def test_a_measure_that_takes_an_item_goes_by_it(word: str) -> None:
    assert axes(registry_of(plain("one", word)).nodes["one"]) == (word, False)


def test_a_measure_that_takes_the_day_goes_by_day() -> None:
    assert axes(registry_of(daily("one", "day")).nodes["one"]) == (None, True)


def test_a_measure_goes_by_what_the_measures_that_it_asks_for_go_by() -> None:
    source = daily("age", "group, day") + daily("weight", "age") + daily("load", "weight, pen")
    nodes = registry_of(source).nodes
    assert axes(nodes["load"]) == ("group", True)


def test_the_order_of_definitions_does_not_matter() -> None:
    source = daily("load", "weight") + daily("weight", "age") + daily("age", "group, day")
    assert axes(registry_of(source).nodes["load"]) == ("group", True)


def test_one_item_axis_by_several_ways_is_one() -> None:
    source = plain("a", "group") + plain("b", "group, a")
    assert axes(registry_of(source).nodes["b"]) == ("group", False)


def test_a_gathered_word_is_no_axis() -> None:
    source = daily("age", "group, day")
    source += "@measure('number', each='day', gather='group')\ndef oldest(age, group): return 1\n"
    assert axes(registry_of(source).nodes["oldest"]) == (None, True)


def test_several_words_can_be_gathered() -> None:
    source = plain("rim", "feeder") + daily("age", "group, day")
    source += (
        "@measure('number', gather=('group', 'feeder', 'day'))\ndef share(rim, age): return 1\n"
    )
    assert axes(registry_of(source).nodes["share"]) == (None, False)


def test_one_word_can_be_gathered_while_another_is_the_axis() -> None:
    source = plain("rim", "feeder")
    source += "@measure('number', gather='group')\ndef need(rim, group): return 1\n"
    assert axes(registry_of(source).nodes["need"]) == ("feeder", False)


def test_an_item_axis_may_be_declared() -> None:
    source = "@measure('number', each=('group', 'day'))\ndef age(group, day): return 1\n"
    assert axes(registry_of(source).nodes["age"]) == ("group", True)


def test_a_table_is_no_axis() -> None:
    assert axes(registry_of(plain("a", "growth"), ("growth",)).nodes["a"]) == (None, False)


# --- Names ---------------------------------------------------------------------------------------


def test_a_table_that_shares_its_name_with_a_measure_is_asked_for_by_its_own() -> None:
    source = plain("growth", "pen") + plain("a", "growth_table") + plain("b", "growth")
    registry = registry_of(source, ("growth",))
    assert set(registry.nodes) == {"growth", "a", "b"}
    assert table_called("growth_table", {"growth"}) == "growth"
    assert table_called("growth", {"growth"}) == "growth"
    assert table_called("growth_table", {"growth_table", "growth"}) == "growth_table"
    assert table_called("age_table", {"growth"}) == ""


def test_a_name_that_is_none_is_refused() -> None:
    assert refused(plain("a", "pen, moon")) == (
        "measure a: asks for moon, which is no measure, table or part of a setup"
    )


@pytest.mark.parametrize(
    ("asked", "meant"),
    [
        ("liveweight", "live_weight"), ("growht", "growth"), ("wether", "weather"),
        ("birds", "group"), ("feeders", "feeder"), ("predators", "predator"),
    ],
)  # fmt: skip
def test_the_nearest_name_is_offered(asked: str, meant: str) -> None:
    source = plain("live_weight", "pen") + plain("a", asked)
    assert refused(source, ("growth",)).endswith(f"; did you mean {meant}?")


def test_a_table_of_another_book_is_refused_until_it_is_there() -> None:
    registry = opened(plain("a", "growth"))
    with pytest.raises(RegistryError):
        registry.close(())
    assert set(registry.close(["growth"]).nodes) == {"a"}


def test_a_name_that_is_taken_is_refused_naming_both_sides() -> None:
    registry = opened(plain("age", "group"), "house")
    with pytest.raises(RegistryError) as caught:
        registry.take(module_of(plain("age", "pen"), "guest"))
    assert caught.value.measure == "age"
    assert str(caught.value) == (
        "measure age: guest gives it, but house has it already. Call one of them otherwise"
    )


@pytest.mark.parametrize("word", ["group", "pen", "day", "setup", "predator"])
def test_a_word_of_the_setup_is_no_name_for_a_measure(word: str) -> None:
    with pytest.raises(RegistryError) as caught:
        opened(plain(word), "guest")
    assert str(caught.value) == (
        f"measure {word}: guest gives it, but the word stands for a part of the setup. "
        "Call it otherwise"
    )


def test_of_a_module_with_a_bad_name_nothing_is_taken() -> None:
    registry = opened(plain("age", "group"), "house")
    with pytest.raises(RegistryError):
        registry.take(module_of(plain("extra") + plain("age"), "guest"))
    assert set(registry.close(()).nodes) == {"age"}


def test_the_module_that_gave_a_measure_is_known() -> None:
    registry = opened(plain("age", "group"), "house")
    registry.take(module_of(plain("extra"), "guest"))
    assert (registry.origin("age"), registry.origin("extra")) == ("house", "guest")


# --- What can't be -------------------------------------------------------------------------------


def test_a_measure_that_asks_for_itself_is_refused() -> None:
    assert refused(plain("a", "a")) == "measure a: asks for itself: a -> a"


def test_a_circle_is_refused_and_shown() -> None:
    source = plain("start", "a") + plain("a", "b, pen") + plain("b", "pen, c") + plain("c", "a")
    assert refused(source) == "measure a: asks for itself: a -> b -> c -> a"


def test_two_item_axes_are_refused() -> None:
    assert refused(plain("a", "group, feeder")) == (
        "measure a: goes by group and by feeder; gather one of them"
    )


def test_two_item_axes_by_way_of_measures_are_refused() -> None:
    source = plain("rim", "feeder") + plain("size", "group") + plain("share", "rim, size")
    assert refused(source) == "measure share: goes by feeder and by group; gather one of them"


def test_a_day_axis_must_be_declared() -> None:
    says = 'measure b: goes by day, as what it asks for does; say each="day" or gather="day"'
    assert refused(daily("a", "day") + plain("b", "a")) == says


@pytest.mark.parametrize("axis", ["day", "group", "days", "pen"])
def test_an_axis_that_is_declared_in_vain_is_refused(axis: str) -> None:
    source = f"@measure('number', each='{axis}')\ndef a(pen): return 1\n"
    assert refused(source) == (
        f'measure a: says each="{axis}", but nothing that it asks for goes by {axis}'
    )


def test_an_axis_that_is_gathered_is_declared_in_vain() -> None:
    source = "@measure('number', each='day', gather='day')\ndef a(day): return 1\n"
    assert refused(source) == 'measure a: says each="day", but nothing that it asks for goes by day'


@pytest.mark.parametrize("word", ["group", "day", "birds"])
def test_a_word_that_is_gathered_in_vain_is_refused(word: str) -> None:
    source = f"@measure('number', gather='{word}')\ndef a(pen): return 1\n"
    assert refused(source) == (
        f"measure a: gathers {word}, but nothing that it asks for goes by {word}"
    )


def test_an_error_has_its_measure_and_what_is_wrong_apart() -> None:
    error = RegistryError("age", "is wrong")
    assert (error.measure, error.says) == ("age", "is wrong")


# --- The whole -----------------------------------------------------------------------------------


def test_a_registry_can_be_closed_again_over_other_tables() -> None:
    registry = opened(plain("a", "growth"))
    assert registry.close(["growth"]).tables == {"growth"}
    registry.take(module_of(plain("b", "a, water"), "guest"))
    assert set(registry.close(["growth", "water"]).nodes) == {"a", "b"}


def test_the_signature_changes_with_what_a_rulebook_rests_on() -> None:
    base = plain("a", "pen")
    signature = opened(base).signature()
    assert opened(base, "elsewhere").signature() == signature
    others = [
        plain("b", "pen"),
        plain("a", "group"),
        base.replace("number", "count"),
        "@measure('number', gather='group')\ndef a(group): return 1\n",
        base + plain("b"),
    ]
    assert len({signature, *(opened(other).signature() for other in others)}) == 6


def test_the_signature_does_not_depend_on_the_order_of_the_modules() -> None:
    one, two = module_of(plain("a"), "one"), module_of(plain("b"), "two")
    signatures = set()
    for modules in ([one, two], [two, one]):
        registry = Registry()
        for module in modules:
            registry.take(module)
        signatures.add(registry.signature())
    assert len(signatures) == 1


def test_the_built_in_measures_come_from_modules_that_all_give_some() -> None:
    registry = Registry()
    for module in MODULES:
        before = registry.signature()
        registry.take(module)
        assert registry.signature() != before, module.__name__


def test_parameters_with_defaults_are_asked_for_like_any_other() -> None:
    source = plain("a", "moon=1.0")
    assert refused(source).startswith("measure a: asks for moon")
    assert axes(registry_of(plain("b", "group=1")).nodes["b"]) == ("group", False)


def test_a_registry_takes_single_measures_too() -> None:
    @measure("number")
    def one(pen: Any) -> float:
        return 1.0

    registry = Registry()
    registry.add(one.__dict__["__measure__"], "here")
    assert set(registry.close(()).nodes) == {"one"}
