"""Patches, moves with a changing rhythm, groups that come and go, and the ground they take."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.measures.measure_cases import HENS, PULLETS, missing_keys, run_of

MOVED = {
    "pen.moves.every": "1 day",
    "feed.protein": "20 %",
    "site.ground": "1 ha",
    "site.rest": "100 days",
}
# Out on 22 April, gone on 20 May: 28 nights.
NIGHTS = 28


def values(measure: str, changes: dict[str, Any] | None = None) -> list[Any]:
    found = run_of({**MOVED, **(changes or {})}).value(measure)
    assert isinstance(found, list | tuple)
    return list(found)


def test_a_daily_move_takes_one_patch_a_night() -> None:
    assert values("patch_begins") == list(range(NIGHTS))
    assert values("patches_used")[-2:] == [NIGHTS, NIGHTS]
    assert values("ground_covered")[-1] == pytest.approx(10.0 * NIGHTS)


def test_moves_twice_a_day_take_two_patches_and_leave_half_on_each() -> None:
    twice = {"pen.moves.every": "0.5 days"}
    assert values("patches_used", twice)[-1] == 2 * NIGHTS
    for half, whole in zip(
        values("patch_droppings", twice), values("patch_droppings"), strict=True
    ):
        assert half == pytest.approx(whole / 2)


def test_a_new_rhythm_begins_with_a_move_on_its_own_day() -> None:
    later = {
        "pen.moves.every": "7 days",
        "pen.moves.later.0.from": "2027-05-01",
        "pen.moves.later.0.every": "3 days",
    }
    assert values("patch_begins", later)[:5] == [0, 7, 9, 12, 15]


def test_a_pen_that_stands_empty_is_not_moved_and_the_next_birds_begin_afresh() -> None:
    gap = {**PULLETS, "birds.1.out": "2027-05-25", "pen.moves.every": "2 days"}
    begins = values("patch_begins", gap)
    # From 20 to 25 May there are no birds: days 28 to 32.
    assert begins[13:16] == [26, 33, 35]
    used = values("patches_used", gap)
    assert used[27] == used[30] == 14
    assert used[33] == 15


def test_a_pen_that_is_never_moved_gathers_all_droppings_on_one_patch() -> None:
    still = {"pen.moves.every": "365 days"}
    (first, *rest) = values("patch_droppings", still)
    assert first == pytest.approx(values("nitrogen_so_far")[-1] / 10.0 * 10_000)
    assert set(rest) == {first}


@pytest.mark.parametrize("every", ["1 day", "2 days", "3 days", "10 days", "365 days"])
def test_all_patches_together_hold_all_droppings(every: str) -> None:
    run = run_of({**MOVED, "pen.moves.every": every})
    loads = run.value("patch_droppings")
    total = sum(loads[int(begin)] for begin in run.value("patch_begins")) * 10.0 / 10_000
    assert total == pytest.approx(run.value("nitrogen_so_far")[-1])


def test_a_move_at_noon_parts_the_droppings_of_its_day() -> None:
    run = run_of({**MOVED, "pen.moves.every": "1.5 days"})
    daily, loads = run.value("nitrogen_per_day"), run.value("patch_droppings")
    assert loads[0] == loads[1] == pytest.approx((daily[0] + daily[1] / 2) * 1000)
    # The second patch begins at noon and is left again before the third morning is over.
    assert loads[3] == pytest.approx((daily[3] + daily[4] / 2) * 1000)


def test_spread_before_counts_and_left_out_means_none() -> None:
    run = run_of({**MOVED, "site.nitrogen_used": "40 kg/ha"})
    assert run.value("patch_nitrogen")[0] == pytest.approx(run.value("patch_droppings")[0] + 40)
    none = run_of(MOVED)
    assert none.value("patch_nitrogen") == none.value("patch_droppings")


def test_rest_is_asked_for_only_where_the_ground_runs_out() -> None:
    enough = {**MOVED, "site.ground": "280 m2"}
    assert missing_keys(run_of(enough, without=["site.rest"]), "ground_used") == set()
    short = {**MOVED, "site.ground": "270 m2"}
    assert missing_keys(run_of(short, without=["site.rest"]), "ground_used") == {"site.rest"}


def test_a_patch_that_has_rested_is_used_again() -> None:
    round_and_round = {"site.ground": "100 m2", "site.rest": "9 days"}
    assert max(values("ground_used", round_and_round)) == pytest.approx(100.0)
    assert values("ground_comes_round", round_and_round)[9:11] == [False, True]
    longer = {**round_and_round, "site.rest": "11 days"}
    assert max(values("ground_used", longer)) == pytest.approx(120.0)


def test_a_later_ration_changes_the_protein_from_its_day_on() -> None:
    later = {
        "feed.later.0.from": "2027-05-01",
        "feed.later.0.calcium": "1 %",
        "feed.later.1.from": "2027-05-06",
        "feed.later.1.protein": "18 %",
    }
    found = values("feed_protein", later)
    assert (found[13], found[14]) == (0.20, 0.18)


def test_the_nitrogen_of_mixed_groups_is_that_of_each_added_up() -> None:
    run = run_of({**MOVED, **PULLETS})
    own = [run.value("nitrogen_dropped", at) for at in (0, 1)]
    counts = [run.value("birds_overnight", at) for at in (0, 1)]
    for day, total in enumerate(run.value("nitrogen_per_day")):
        parts = [
            each[day] * birds[day]
            for each, birds in zip(own, counts, strict=True)
            if birds[day] is not None
        ]
        assert total == (pytest.approx(sum(parts)) if parts else None)


def test_no_hen_drops_what_she_lays() -> None:
    run = run_of({**MOVED, **HENS})
    dry = run_of({**MOVED, **HENS, "birds.0.laying": "0 %"})
    assert run.value("nitrogen_in_eggs", 0)[0] == pytest.approx(0.8 * 0.060 * 0.0192)
    assert dry.value("nitrogen_in_eggs", 0)[0] == 0


def test_without_moves_or_protein_the_key_is_named() -> None:
    assert missing_keys(run_of(MOVED, without=["pen.moves"]), "patch_droppings") == {
        "pen.moves.every"
    }
    assert missing_keys(run_of(MOVED, without=["feed.protein"]), "patch_droppings") == {
        "feed.protein"
    }


FLOWS = ("nitrogen_so_far", "ground_covered", "patches_used")


@settings(max_examples=25, deadline=None)
@given(
    birds=st.integers(1, 150),
    more=st.integers(1, 150),
    every=st.sampled_from(["0.5 days", "1 day", "2 days", "3 days", "30 days"]),
    growth=st.sampled_from(["fast", "medium", "slow"]),
)
def test_more_birds_never_lighten_the_floor_or_spare_feed_water_or_ground(
    birds: int, more: int, every: str, growth: str
) -> None:
    base = {**MOVED, "pen.moves.every": every, "birds.0.growth": growth}
    few = run_of({**base, "birds.0.count": birds})
    many = run_of({**base, "birds.0.count": birds + more})
    for measure in ("floor_load", "feed_per_day", "water_need", "patch_droppings", "ground_used"):
        for one, other in zip(few.value(measure), many.value(measure), strict=True):
            assert one is None if other is None else one <= other * (1 + 1e-12), measure
    for measure in ("water_lasts", "water_lasts_high"):
        for one, other in zip(few.value(measure), many.value(measure), strict=True):
            assert one is None if other is None else one >= other * (1 - 1e-12), measure


@settings(max_examples=25, deadline=None)
@given(
    nights=st.integers(1, 60),
    more=st.integers(1, 60),
    every=st.sampled_from(["0.5 days", "1 day", "2 days", "3 days", "30 days"]),
    kind=st.sampled_from(["fast", "medium", "slow", "hens"]),
)
def test_a_longer_stay_never_lowers_a_total(nights: int, more: int, every: str, kind: str) -> None:
    birds = HENS if kind == "hens" else {"birds.0.growth": kind}
    base = {**MOVED, "pen.moves.every": every, **birds}

    def of(days: int) -> dict[str, float]:
        run = run_of({**base, "birds.0.leaves": str(date(2027, 4, 22) + timedelta(days=days))})
        totals = {name: run.value(name)[-1] for name in FLOWS}
        for name in ("feed_per_day", "water_need", "nitrogen_per_day"):
            totals[name] = sum(one or 0 for one in run.value(name))
        return totals

    short, long = of(nights), of(nights + more)
    for name, total in short.items():
        assert total <= long[name] * (1 + 1e-12), name


@settings(max_examples=20, deadline=None)
@given(protein=st.integers(12, 28), more=st.integers(1, 8))
def test_richer_feed_never_lightens_a_patch(protein: int, more: int) -> None:
    poor = values("patch_droppings", {"feed.protein": f"{protein} %"})
    rich = values("patch_droppings", {"feed.protein": f"{protein + more} %"})
    assert all(one <= other for one, other in zip(poor, rich, strict=True))


def test_a_rhythm_of_no_time_at_all_comes_to_an_end() -> None:
    # The reader takes no such rhythm, but a change tried on a setup is not read.
    run = run_of()
    setup = run.setup.with_value("pen.moves.every", 0.0)
    begins = run.changed(setup, ["pen.moves.every"]).value("patch_begins")
    assert len(begins) == 24 * (len(run.days) - 1)
