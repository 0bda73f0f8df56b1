"""The list of spoils stays right, and the script that tries them works; it tries three of them."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.spoil.spoil import OUTSIDE, ROOT, Spoil, baseline, copies, spoils, tried

ALL = spoils()
LEAST = 40


def first_in(folder: str) -> Spoil:
    """The first spoil of a file below a folder."""
    return next(one for one in ALL if one.file.startswith(folder))


TRIED = [first_in("rules/tables/"), first_in("rules/space/"), first_in("src/flockcheck/measures/")]


def functions_in(module: str) -> set[str]:
    tree = ast.parse((ROOT / OUTSIDE / module).read_text(encoding="utf-8"))
    return {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}


def test_what_is_spoiled_stands_where_the_list_says() -> None:
    amiss = []
    for spoil in ALL:
        text = (ROOT / spoil.file).read_text(encoding="utf-8")
        try:
            assert spoil.spoiled(text) != text, spoil
        except ValueError as error:
            amiss.append(str(error))
    assert amiss == []


def test_the_tests_that_should_fail_are_there() -> None:
    for spoil in ALL:
        assert spoil.fails, spoil
        for name in spoil.fails:
            module, _, test = name.partition("::")
            assert test in functions_in(module), name


def test_no_two_spoils_are_one() -> None:
    spoiled = [(one.file, one.below, one.find, one.becomes, one.fails) for one in ALL]
    assert len(set(spoiled)) == len(spoiled)


def test_there_are_more_than_forty_distinct_checks_against_the_outside() -> None:
    distinct = {(one.guards, one.source) for one in ALL}
    print(f"{len(distinct)} distinct checks of a formula or figure against a source")
    assert len(distinct) >= LEAST


def test_every_module_of_checks_against_publications_is_spoiled() -> None:
    # The facts of the trade have no publication, and two modules hold the others to account.
    own = {"test_every_table.py"}
    modules = {file.name for file in (ROOT / OUTSIDE).glob("test_*.py")} - own
    named = {name.partition("::")[0] for one in ALL for name in one.fails}
    assert {one for one in modules if not one.startswith("test_trade_facts")} <= named


@pytest.fixture(scope="module")
def copy() -> Iterator[Path]:
    with copies(1) as (folder,):
        yield folder


def test_nothing_fails_before_it_is_spoiled(copy: Path) -> None:
    assert baseline(TRIED, copy) == ""


@pytest.mark.parametrize("spoil", TRIED, ids=lambda one: one.guards)
def test_a_spoiled_figure_or_formula_is_seen(spoil: Spoil, copy: Path) -> None:
    before = (copy / spoil.file).read_bytes()
    assert tried(spoil, copy) == ""
    assert (copy / spoil.file).read_bytes() == before


def test_a_spoil_that_nobody_sees_survives(copy: Path) -> None:
    harmless = TRIED[0]._replace(becomes=TRIED[0].find + " ")
    assert "did not fail" in tried(harmless, copy)


def test_a_spoil_that_only_breaks_the_program_is_no_proof(copy: Path) -> None:
    broken = TRIED[2]._replace(becomes="return +")
    assert tried(broken, copy)
    unreadable = TRIED[0]._replace(becomes="asymptote: [")
    assert tried(unreadable, copy)
