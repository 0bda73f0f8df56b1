"""Who carries disease to whom."""

from __future__ import annotations

import pytest

from tests.measures.measure_cases import PULLETS, missing_keys, run_of

TURKEYS = {**PULLETS, "birds.1.kind": "turkey"}


def turkeys(**changes: str) -> dict[str, object]:
    keys = {key: value for key, value in TURKEYS.items() if key != "birds.1.growth"}
    return {**keys, **{f"site.{key}": value for key, value in changes.items()}}


def test_groups_count_on_the_days_when_they_are_there() -> None:
    run = run_of(PULLETS)
    here = run.value("groups_here")
    # The pullets come on the thirteenth day and stay on after the meat birds have left.
    assert here[:12] == [1] * 12
    assert here[12] == 2
    assert here[-1] == 1


def test_chickens_and_turkeys_together_are_together_only_while_both_are_there() -> None:
    together = run_of(turkeys()).value("chickens_with_turkeys")
    assert together[:12] == [False] * 12
    assert together[12] is True
    assert together[-1] is False
    assert set(run_of(PULLETS).value("chickens_with_turkeys")) == {False}


def test_turkeys_count_the_days_since_chickens() -> None:
    run = run_of(turkeys(last_poultry="2027-04-04", last_poultry_kind="chicken"))
    assert run.value("rested_from_chickens", 0) is None
    assert run.value("rested_from_chickens", 1) == 30
    assert run.value("least_rest_from_chickens") == 30
    after_turkeys = run_of(turkeys(last_poultry="2027-04-04", last_poultry_kind="turkey"))
    assert after_turkeys.value("least_rest_from_chickens") is None


def test_ground_that_chickens_stand_on_now_has_not_rested() -> None:
    run = run_of(turkeys(last_poultry="2027-06-04", last_poultry_kind="chicken"))
    assert run.value("least_rest_from_chickens") == 0


def test_the_kind_of_the_last_birds_is_asked_for_turkeys_alone() -> None:
    assert missing_keys(run_of(turkeys()), "least_rest_from_chickens") == {
        "site.last_poultry_kind",
    }
    assert missing_keys(run_of(PULLETS), "least_rest_from_chickens") == set()


def test_the_larger_opening_counts_and_under_a_whole_roof_only_the_sides() -> None:
    above = {"pen.roof.over_rest_opening": "50 mm", "mesh.opening": "13 mm"}
    assert run_of(above).value("wild_bird_opening") == 0.05
    assert run_of({**above, "pen.roof.cover": "100 %"}).value("wild_bird_opening") == pytest.approx(
        0.013
    )
    assert run_of({**above, "pen.roof.over_rest": "open"}).value(
        "wild_bird_opening"
    ) == pytest.approx(0.013)
    unknown = run_of(above, without=["pen.roof.over_rest_opening"])
    assert missing_keys(unknown, "wild_bird_opening") == {"pen.roof.over_rest_opening"}
