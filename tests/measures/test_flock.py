"""Who is in the pen on each day, how old, and how heavy."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flockcheck.measures.growth_curves import standard_curve
from flockcheck.setup.view import Missing
from tests.measures.measure_cases import HENS, PULLETS, missing_keys, real_tables, run_of


def test_a_group_is_counted_from_the_day_it_moves_out_to_the_day_it_leaves() -> None:
    run = run_of()
    assert run.days[0] == date(2027, 4, 22)
    assert run.days[-1] == date(2027, 5, 20)
    assert run.value("age", 0) == list(range(21, 50))
    assert run.value("birds_here", 0) == [30] * 29


def test_birds_stay_no_night_on_the_day_they_leave() -> None:
    overnight = run_of().value("birds_overnight", 0)
    assert overnight == [30] * 28 + [None]


def test_a_group_without_a_leaving_day_stays_every_night_that_is_looked_at() -> None:
    run = run_of({"look_ahead": "10 days"}, without=["birds.0.leaves"])
    assert len(run.days) == 11
    assert run.value("birds_overnight", 0) == [30] * 11
    assert run.value("last_day", 0) == date(2027, 5, 2)


def test_the_length_of_the_stay_is_not_known_without_a_leaving_day() -> None:
    assert missing_keys(run_of(without=["birds.0.leaves"]), "stay_length", 0) == {"birds.0.leaves"}


def test_dates_out_of_order_leave_one_day_and_no_night() -> None:
    run = run_of({"birds.0.leaves": "2027-04-12"})
    assert run.value("birds_here", 0) == [30]
    assert run.value("birds_overnight", 0) == [None]
    assert run.value("stay_length", 0) == -10


def test_birds_that_move_out_before_they_hatch_have_a_negative_age_at_out_only() -> None:
    run = run_of({"birds.0.hatched": "2027-04-25"})
    assert run.value("days_to_out", 0) == -3
    assert run.value("age_at_out", 0) == -3
    assert min(run.value("age", 0)) == 0


def test_two_groups_add_up_on_the_days_they_share() -> None:
    run = run_of(PULLETS)
    present = dict(zip(run.days, run.value("birds_present"), strict=True))
    assert present[date(2027, 5, 3)] == 30
    assert present[date(2027, 5, 4)] == 40
    assert present[date(2027, 5, 20)] == 40
    assert present[date(2027, 5, 21)] == 10


def test_the_youngest_and_the_oldest_are_those_in_the_pen_that_day() -> None:
    run = run_of(PULLETS)
    ages = dict(
        zip(
            run.days,
            zip(run.value("youngest_age"), run.value("oldest_age"), strict=True),
            strict=True,
        )
    )
    assert ages[date(2027, 5, 3)] == (32, 32)
    assert ages[date(2027, 5, 4)] == (14, 33)
    assert ages[date(2027, 5, 21)] == (31, 31)


def test_ages_are_apart_only_while_two_groups_share_the_pen() -> None:
    run = run_of(PULLETS)
    spread = dict(zip(run.days, run.value("age_spread"), strict=True))
    assert spread[date(2027, 5, 3)] is None
    assert {spread[date(2027, 5, day)] for day in range(4, 21)} == {19}
    assert spread[date(2027, 5, 21)] is None


def test_a_group_has_an_end_where_one_is_written() -> None:
    run = run_of(PULLETS, without=["birds.0.leaves"])
    assert [run.value("end_is_written", group) for group in (0, 1)] == [False, True]


def test_a_pen_that_stands_empty_between_two_groups_asks_nothing() -> None:
    run = run_of({**PULLETS, "birds.1.out": "2027-05-23"})
    between = run.days.index(date(2027, 5, 21))
    for measure in ("birds_present", "youngest_age", "oldest_age", "flock_weight", "floor_load"):
        assert run.value(measure)[between] is None


@pytest.mark.parametrize(
    ("kind", "growth", "age", "hen"),
    [
        ("egg chicken", "light", 125, False),
        ("egg chicken", "light", 126, True),
        ("meat chicken", "slow", 200, False),
    ],
)
def test_a_hen_is_an_egg_chicken_of_eighteen_weeks(
    kind: str, growth: str, age: int, hen: bool
) -> None:
    hatched = date.fromordinal(date(2027, 4, 22).toordinal() - age)
    run = run_of(
        {
            "birds.0.kind": kind,
            "birds.0.growth": growth,
            "birds.0.hatched": hatched.isoformat(),
            "birds.0.leaves": "2027-04-23",
        }
    )
    assert run.value("is_hen", 0)[0] is hen


@pytest.mark.parametrize(("age", "grams"), [(14, 430), (28, 1529), (41, 2823), (55, 4043)])
def test_fast_birds_weigh_what_a_trial_of_five_strains_found(age: int, grams: float) -> None:
    """Zhang et al. 2020, Poultry Science 99:3266-3279, table 2; the curve was fitted within 1 %."""
    group = run_of().whole.birds[0]
    curve = standard_curve(group, real_tables()["growth"], real_tables()["growth_fit"])
    assert curve(age) == pytest.approx(grams / 1000, rel=0.0105)


def test_medium_birds_go_on_growing_past_the_end_of_their_table() -> None:
    run = run_of({"birds.0.growth": "medium", "birds.0.leaves": "2027-06-20"})
    weight = run.value("live_weight", 0)
    at = run.value("age", 0).index(63)
    assert weight[at] == pytest.approx(2.6375)
    assert all(later > earlier for earlier, later in zip(weight, weight[1:], strict=False))
    assert weight[at + 1] - weight[at] < 0.05


def test_turkeys_hold_their_last_weight_and_need_no_growth_written() -> None:
    run = run_of(
        {"birds.0.kind": "turkey", "birds.0.hatched": "2026-11-22", "birds.0.sexes": "male"},
        without=["birds.0.growth"],
    )
    assert run.value("age", 0)[0] == 151
    assert set(run.value("live_weight", 0)) == {16.1}


def test_own_weighings_replace_the_curve_and_scale_it_beyond_them() -> None:
    published = run_of().value("live_weight", 0)
    own = run_of({"birds.0.weights": {"25 days": "1 kg", "35 days": "2.5 kg"}})
    weight, age = own.value("live_weight", 0), own.value("age", 0)
    assert weight[age.index(25)] == pytest.approx(1.0)
    assert weight[age.index(35)] == pytest.approx(2.5)
    before, after = age.index(22), age.index(45)
    assert weight[before] / published[before] == pytest.approx(1.0 / published[age.index(25)])
    assert weight[after] / published[after] == pytest.approx(2.5 / published[age.index(35)])


def test_a_weighing_that_agrees_with_the_curve_changes_nothing() -> None:
    run = run_of()
    grams = run.value("live_weight", 0)[7]
    again = run_of({"birds.0.weights": {"28 days": f"{1000 * grams:.9f} g"}})
    assert again.value("live_weight", 0) == pytest.approx(run.value("live_weight", 0))


def test_unwritten_weighings_are_nothing_that_anyone_is_asked_for() -> None:
    run = run_of()
    assert run.value("own_weight_ratio", 0) == [1.0] * 29
    assert run.done("live_weight", 0).sharper == frozenset()


def test_a_weighing_written_later_is_heard() -> None:
    run = run_of()
    before = run.value("flock_weight")
    changed = run.setup.with_value("birds.0.weights", ((28.0, 1.0),))
    after = run.changed(changed, ["birds.0.weights"]).value("flock_weight")
    assert after[7] == pytest.approx(30.0)
    assert after != before


def test_a_kind_that_no_table_covers_is_said_and_not_guessed() -> None:
    run = run_of(HENS, tables={"growth": real_tables()["growth"]._replace(rows=[])})
    with pytest.raises(Missing) as caught:
        run.value("live_weight", 0)
    assert caught.value.keys == ()
    assert "the table growth_fit has nothing for group.kind egg chicken" in caught.value.why


@given(count=st.integers(1, 400), more=st.integers(0, 400))
def test_more_birds_never_weigh_less(count: int, more: int) -> None:
    few = run_of({"birds.0.count": count}).value("flock_weight")
    many = run_of({"birds.0.count": count + more}).value("flock_weight")
    assert all(b >= a for a, b in zip(few, many, strict=True))
