"""Which table a measure's parameter names, and which words a table asks for."""

from __future__ import annotations

import pytest

from flockcheck.measures.graph.registry import table_called
from flockcheck.setup.view import Missing
from flockcheck.tables import TableSilent
from tests.measures.measure_cases import plain_table, real_tables, run_of


def test_a_name_with_table_behind_it_is_the_table_that_a_measure_shares_its_name_with() -> None:
    known = {"water_typical", "figures", "time_table"}
    assert table_called("figures", known) == "figures"
    assert table_called("water_typical_table", known) == "water_typical"
    assert table_called("time_table", known) == "time_table"
    assert table_called("nowhere_table", known) == ""


def test_a_bare_name_stays_the_measure() -> None:
    run = run_of()
    assert "water_typical" in real_tables()
    assert run.value("water_typical", 0)[0] > 0


def test_a_table_asks_for_no_word_that_would_not_tell_its_rows_apart() -> None:
    turkey = run_of({"birds.0.kind": "turkey"}, without=["birds.0.growth"]).whole.birds[0]
    table = plain_table(
        "growth_fit",
        ({"group.kind": "meat chicken", "group.growth": "fast"}, {"rate": 0.05}),
        ({"group.kind": "egg chicken", "group.growth": "light"}, {"rate": 0.03}),
    )
    with pytest.raises(TableSilent) as caught:
        table("rate", group=turkey)
    assert caught.value.why == "the table growth_fit has nothing for group.kind turkey"
    assert table.last(group=turkey) is None


def test_a_table_asks_for_a_word_that_does_tell_its_rows_apart() -> None:
    run = run_of({"birds.0.kind": "turkey"}, without=["birds.0.growth"])
    table = plain_table("sizes", ({"group.growth": "fast"}, {"rate": 0.05}))
    with pytest.raises(Missing) as caught:
        table("rate", group=run.whole.birds[0])
    assert caught.value.keys == ("birds.0.growth",)
