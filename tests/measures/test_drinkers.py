"""How many birds the drinkers have room for."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.measures.measure_cases import HENS, PULLETS, missing_keys, plain_table, run_of

NEED = plain_table(
    "drinker_need",
    ({"drinker.form": "trough"}, {"edge": 0.02}),
    ({"drinker.form": "bell"}, {"edge": 0.01}),
)
PLACES = plain_table(
    "drinker_places",
    ({"drinker.form": "nipple"}, {"birds": 10}),
    ({"drinker.form": "cup"}, {"birds": 8}),
)
TABLES = {"drinker_need": NEED, "drinker_places": PLACES}
BELL = {"drinkers.1.form": "bell", "drinkers.1.count": 2, "drinkers.1.diameter": "35 cm"}
NIPPLES = {"drinkers.1.form": "nipple", "drinkers.1.count": 2}


def test_troughs_count_by_length_and_sides_and_bells_by_their_rim() -> None:
    run = run_of(BELL)
    assert run.value("drinker_edge", 0) == pytest.approx(1.2)
    assert run.value("drinker_edge", 1) == pytest.approx(0.7 * math.pi)
    assert run.value("drinking_places", 0) is None


@pytest.mark.parametrize(("form", "per_place"), [("nipple", 10), ("cup", 8)])
def test_nipples_and_cups_count_by_places(form: str, per_place: int) -> None:
    run = run_of({"drinkers.0.form": form, "drinkers.0.count": 6}, tables=TABLES)
    assert run.value("drinking_places", 0) == 6
    assert run.value("drinker_edge", 0) is None
    assert run.value("drinker_share")[0] == pytest.approx(6 * per_place / 30)


def test_edges_and_places_are_added_as_the_shares_that_each_serves() -> None:
    run = run_of(NIPPLES, tables=TABLES)
    assert run.value("drinker_serves", 0)[0] == pytest.approx(1.2 / (30 * 0.02))
    assert run.value("drinker_serves", 1)[0] == pytest.approx(20 / 30)
    assert run.value("drinker_share")[0] == pytest.approx(2 + 2 / 3)


def test_all_groups_in_the_pen_share_the_drinkers() -> None:
    run = run_of(PULLETS, tables=TABLES)
    at = run.value("birds_present").index(40)
    assert run.value("drinker_share")[at] == pytest.approx(1.2 / (40 * 0.02))


def test_every_key_that_the_edge_lacks_is_named_at_once() -> None:
    run = run_of(BELL, without=["drinkers.0.length", "drinkers.0.sides", "drinkers.1.diameter"])
    lacking = {"drinkers.0.length", "drinkers.0.sides", "drinkers.1.diameter"}
    assert missing_keys(run, "drinker_share") == lacking


def test_the_law_speaks_of_hens_only_and_leaves_the_others_out() -> None:
    assert set(run_of(PULLETS).value("hens_drinker_share")) == {None}
    run = run_of({**PULLETS, **HENS, **NIPPLES})
    at = run.value("birds_present").index(40)
    assert run.value("hens_drinker_share")[at] == pytest.approx(1.2 / (30 * 0.025) + 20 / 30)


@given(count=st.integers(1, 300), more=st.integers(0, 300))
def test_more_birds_never_have_more_room_to_drink(count: int, more: int) -> None:
    few = run_of({**NIPPLES, "birds.0.count": count}).value("drinker_share")
    many = run_of({**NIPPLES, "birds.0.count": count + more}).value("drinker_share")
    assert all(b <= a for a, b in zip(few, many, strict=True))


@given(count=st.integers(1, 50))
def test_one_more_nipple_never_serves_fewer(count: int) -> None:
    fewer = run_of({**NIPPLES, "drinkers.1.count": count}).value("drinker_share")
    more = run_of({**NIPPLES, "drinkers.1.count": count + 1}).value("drinker_share")
    assert all(b >= a for a, b in zip(fewer, more, strict=True))


def test_a_full_drinker_weighs_its_water_and_itself() -> None:
    assert run_of({"drinkers.0.empty_weight": "2 kg"}).value("full_drinker", 0) == pytest.approx(21)


def test_a_line_of_nipples_fails_as_one() -> None:
    assert run_of({"drinkers.0.count": 3}).value("separate_drinkers") == 3
    line = {"drinkers.0.form": "nipple", "drinkers.0.count": 8}
    assert run_of(line, without=["drinkers.0.length"]).value("separate_drinkers") == 1
