"""How birds grow and eat by age, held against published curves and against themselves."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flockcheck.measures.growth_curves import (
    eaten_past_end,
    gompertz,
    own_over_standard,
    standard_curve,
)
from flockcheck.tables import TableSilent
from tests.measures.measure_cases import (
    BASE,
    line_table,
    no_table,
    plain_table,
    real_tables,
    run_of,
)

FIT = plain_table("growth_fit", ({}, {"asymptote": 4.0, "rate": 0.03, "inflection": 50.0}))
GROUP = run_of().whole.birds[0]


@pytest.mark.parametrize(
    ("asymptote", "rate", "hatched", "inflection"),
    [(2.2, 0.0239, 0.038, 58.6), (5.6, 0.0267, 0.042, 59.5), (15, 0.0256, 0.060, 66.7)],
)
def test_the_curve_starts_at_the_hatch_weight_it_was_solved_for(
    asymptote: float, rate: float, hatched: float, inflection: float
) -> None:
    """Asymptotes and rates: J. Animal Science 2020, PMC7149552, table 1; ti rounded to 0.1."""
    assert gompertz(asymptote, rate, inflection, 0) == pytest.approx(hatched, rel=0.02)


def test_a_bird_at_the_inflection_has_one_part_in_e_of_its_last_weight() -> None:
    assert gompertz(5.9, 0.0318, 47, 47) == pytest.approx(5.9 / math.e)


def test_the_table_is_followed_to_its_end_and_the_fitted_gain_added_beyond() -> None:
    growth = line_table("growth", "weight", (0, 0.04), (60, 2.44))
    curve = standard_curve(GROUP, growth, FIT)
    assert curve(30) == pytest.approx(1.24)
    assert curve(60) == pytest.approx(2.44)
    assert curve(75) == pytest.approx(2.44 + gompertz(4, 0.03, 50, 75) - gompertz(4, 0.03, 50, 60))


def test_without_a_table_the_fitted_curve_stands_alone() -> None:
    assert standard_curve(GROUP, no_table("growth"), FIT)(50) == pytest.approx(4 / math.e)


def test_without_a_fit_the_last_weight_holds() -> None:
    growth = line_table("growth", "weight", (0, 0.06), (140, 14.06))
    curve = standard_curve(GROUP, growth, no_table("growth_fit"))
    assert curve(70) == pytest.approx(7.06)
    assert curve(200) == pytest.approx(14.06)


def test_with_neither_there_is_no_curve() -> None:
    with pytest.raises(TableSilent):
        standard_curve(GROUP, no_table("growth"), no_table("growth_fit"))(28)


@pytest.mark.parametrize("growth", ["fast", "medium", "slow"])
def test_no_published_meat_bird_ever_shrinks(growth: str) -> None:
    group = run_of({"birds.0.growth": growth}).whole.birds[0]
    curve = standard_curve(group, real_tables()["growth"], real_tables()["growth_fit"])
    weights = [curve(age) for age in range(121)]
    assert all(b > a for a, b in zip(weights, weights[1:], strict=False))


@given(
    weighings=st.lists(
        st.tuples(st.integers(1, 80), st.floats(0.05, 5.0)),
        min_size=1,
        max_size=5,
        unique_by=lambda pair: pair[0],
    ).map(sorted)
)
def test_the_curve_goes_through_every_own_weighing(weighings: list[tuple[int, float]]) -> None:
    def curve(age: float) -> float:
        return gompertz(4, 0.03, 50, age)

    for age, weight in weighings:
        own = own_over_standard(weighings, curve, age) * curve(age)
        assert own == pytest.approx(weight)


def test_feed_past_the_end_joins_the_table() -> None:
    def curve(age: float) -> float:
        return gompertz(6.052, 0.046, 35.1, age)

    assert eaten_past_end((48, 55), (5.84, 7.291), curve)(55) == pytest.approx(7.291)
    assert eaten_past_end((48, 55), (5.84, 7.291), curve)(56) > 7.291


def test_the_base_setup_is_of_fast_birds() -> None:
    assert BASE["birds.0.growth"] == GROUP.growth == "fast"
