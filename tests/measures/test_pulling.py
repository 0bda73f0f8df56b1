"""What it takes to pull the pen; measured pulls stand under tests/outside."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.measures.measure_cases import missing_keys, run_of

PEN = {
    "pen.weight": "100 kg",
    "pen.moves.by": "hand",
    "pen.moves.people": 2,
    "pen.moves.uphill": "no",
    "pen.moves.runners": "timber",
}


def test_sleds_of_any_make_pull_alike_and_wheels_and_dollies_less() -> None:
    pull = {
        runners: run_of({**PEN, "pen.moves.runners": runners}).value("pull_each")
        for runners in ("plastic", "timber", "steel", "dolly", "wheels")
    }
    assert pull["plastic"] == pull["timber"] == pull["steel"]
    assert pull["wheels"] < pull["dolly"] < pull["steel"]
    assert pull["timber"] == pytest.approx(100 * 9.80665 * 0.4 / 2)


def test_the_slope_counts_only_where_the_pen_goes_up_it() -> None:
    level = run_of(PEN)
    assert level.value("slope_pulled") == 0
    assert missing_keys(run_of(PEN, without=["site.slope"]), "pull_each") == set()
    uphill = {**PEN, "pen.moves.uphill": "yes"}
    assert run_of(uphill).value("pull_each") > level.value("pull_each")
    assert missing_keys(run_of(uphill, without=["site.slope"]), "pull_each") == {"site.slope"}


def test_every_key_that_the_pull_lacks_is_named() -> None:
    run = run_of(without=["pen.moves"])
    assert {"pen.moves.runners", "pen.moves.uphill"} <= missing_keys(run, "pull_force")
    assert missing_keys(run_of(PEN, without=["pen.weight"]), "pull_force") == {"pen.weight"}


@given(people=st.integers(1, 10))
def test_the_whole_pull_is_shared_evenly(people: int) -> None:
    run = run_of({**PEN, "pen.moves.people": people})
    assert run.value("pull_each") * people == pytest.approx(run.value("pull_force"))
