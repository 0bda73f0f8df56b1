"""What holds for every measure that comes with the program."""

from __future__ import annotations

import ast
import inspect
import re

import pytest

from flockcheck.measures import builtin
from flockcheck.measures.graph.registry import Registry
from flockcheck.measures.graph.spec import Spec, measures_of
from tests.measures.measure_cases import real_tables, registry

SPECS = [spec for module in builtin.MODULES for spec in measures_of(module)]
# How the first sentence of a docstring says what a measure gives, by its dimension.
SAYS = {
    "length": r"(length|opening|gap|height|depth) .*\bin m\b",
    "area": r"(area|floor) .*\bin m2\b",
    "volume": r"volume in m3",
    "mass": r"weight .*\bin kg\b|weight in kg",
    "load": r"in kg/m2",
    "spread": r"in kg/ha",
    "force": r"force in N",
    "pressure": r"pressure in Pa",
    "speed": r"in m/s",
    "time": r"\bdays\b",
    "temperature": r"temperature .*in deg C",
    "temperature step": r"degrees C",
    "slope": r"slope .*tangent",
    "share": r"\bshare\b",
    "count": r"\bnumber\b",
    "number": r"\bnumber\b",
    "feed rate": r"in kg/day",
    "water rate": r"in m3/day",
    "flag": r"^Whether",
    "names": r"^The names",
    "date": r"^The date",
}
# Numbers that stand in the code of measures: identities and fitted exponents, never a choice. The
# chosen ones are rows of tables.
KNOWN_NUMBERS: dict[str, set[float]] = {
    "feed_of_hen": {0.75, 1000.0},  # exponent of the energy equation; grams in a kilogram
    "drinkers.py": {1000.0},  # kilograms in a cubic metre of water
    # The fitted curves of Meltzer and others (1982) and of Stull (2011).
    "critical_by_age": {21, 35, 0.286, 63.3, 0.254},
    "critical_by_weight": {163, 42, 1.18, 0.480, 3.60, 0.260},
    "stull": {0.151977, 8.313659, 1.676331, 0.00391838, 1.5, 0.023101, 4.686035},
    "wet_bulb": {100},  # percent in a whole
    "nitrogen.py": {6.25},  # protein is 16 % nitrogen by convention
    "ground.py": {10000.0},  # square metres in a hectare
    "standing.py": {9.80665},  # the standard acceleration of gravity
    # Formulas of an evenly loaded beam, of a pipe squeezed flat, of round and square sections.
    "beam_sag": {3, 5, 384},
    "pipe_stiffness": {3, 4.47},
    "section": {3, 4, 12, 64},
}
PLAIN_NUMBERS = {0, 1, 2, 0.5, -1}


def one(spec: Spec) -> str:
    return spec.name


def test_the_registry_takes_every_module_in_order_and_finds_all_that_measures_ask_for() -> None:
    assert list(registry().nodes)
    assert set(registry().nodes) == {spec.name for spec in SPECS}


def test_every_measure_is_in_a_module_that_is_listed() -> None:
    names = [module.__name__ for module in builtin.MODULES]
    assert len(names) == len(set(names))
    assert all(measures_of(module) for module in builtin.MODULES)


def test_measures_ask_only_for_tables_that_the_rulebook_has() -> None:
    without = {name: table for name, table in real_tables().items() if name != "figures"}
    known = Registry()
    for module in builtin.MODULES:
        known.take(module)
    with pytest.raises(ValueError, match="asks for figures, which is no measure, table"):
        known.close(without)


@pytest.mark.parametrize("spec", SPECS, ids=one)
def test_a_measure_says_what_it_gives_and_in_which_unit(spec: Spec) -> None:
    first = " ".join((spec.function.__doc__ or "").split("\n\n")[0].split())
    assert re.search(SAYS[spec.gives], first), f"{spec.name} gives a {spec.gives}: {first}"


@pytest.mark.parametrize("spec", SPECS, ids=one)
def test_a_measure_carries_an_example_that_runs(spec: Spec) -> None:
    assert ">>> " in (spec.function.__doc__ or "")
    assert re.search(rf"\b{spec.name}\(", spec.function.__doc__ or "")


@pytest.mark.parametrize("spec", SPECS, ids=one)
def test_a_measure_that_may_not_apply_says_when(spec: Spec) -> None:
    by_day = {"birds_here", "birds_overnight", "birds_present"} & set(_all_below(spec.name))
    if "None" in str(spec.function.__annotations__["return"]) or by_day:
        assert "None " in (spec.function.__doc__ or "")


@pytest.mark.parametrize("spec", SPECS, ids=one)
def test_a_parameter_that_may_be_left_out_is_named_in_the_docstring(spec: Spec) -> None:
    for name in spec.defaults:
        assert f"`{name}`" in (spec.function.__doc__ or "")


@pytest.mark.parametrize("spec", SPECS, ids=one)
def test_every_parameter_is_typed(spec: Spec) -> None:
    assert set(spec.asks) | {"return"} <= set(spec.function.__annotations__)


@pytest.mark.parametrize("module", builtin.MODULES, ids=lambda module: module.__name__)
def test_no_chosen_number_hides_in_the_code(module: object) -> None:
    assert inspect.ismodule(module)
    tree = ast.parse(inspect.getsource(module))
    own = module.__name__.rpartition(".")[2] + ".py"
    for node in tree.body:
        where = node.name if isinstance(node, ast.FunctionDef) else own
        for part in ast.walk(node):
            if isinstance(part, ast.Constant) and isinstance(part.value, (int, float)):
                value = part.value
                allowed = PLAIN_NUMBERS | KNOWN_NUMBERS.get(where, set())
                assert value in allowed, f"{own} line {part.lineno}: {value}"


def _all_below(name: str) -> set[str]:
    found: set[str] = set()
    waiting = [name]
    while waiting:
        for asked in registry().nodes[waiting.pop()].spec.asks:
            if asked in registry().nodes and asked not in found:
                found.add(asked)
                waiting.append(asked)
    return found
