"""How long the pen stands where."""

from __future__ import annotations

from tests.measures.measure_cases import missing_keys, run_of

STAY = {"birds.0.out": "2027-04-22", "birds.0.leaves": "2027-04-26"}
LATER = {
    "pen.moves.later": [
        {"from": "2027-04-25", "every": "12 hours"},
        {"from": "2027-04-23", "every": "1 day"},
    ]
}


def test_the_rhythm_holds_for_the_whole_stay() -> None:
    run = run_of({**STAY, "pen.moves.every": "2 days"})
    assert run.value("time_on_patch") == [2, 2, 2, 2, 2]


def test_the_latest_change_that_has_begun_counts_whatever_the_order_in_the_file() -> None:
    run = run_of({**STAY, "pen.moves.every": "3 days", **LATER})
    assert run.value("time_on_patch") == [3, 1, 1, 0.5, 0.5]


def test_a_rhythm_that_is_not_written_is_asked_for() -> None:
    assert missing_keys(run_of(STAY), "time_on_patch") == {"pen.moves.every"}


def test_only_days_before_the_first_change_need_the_first_rhythm() -> None:
    changes = {**LATER, **STAY, "birds.0.out": "2027-04-23"}
    assert run_of(changes).value("time_on_patch") == [1, 1, 0.5, 0.5]
