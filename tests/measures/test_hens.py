"""What grown hens need besides floor: somewhere to sit at night, somewhere to lay."""

from __future__ import annotations

from datetime import date

import pytest

from tests.measures.measure_cases import HENS, missing_keys, run_of

KIT = {**HENS, "birds.0.count": 24, "pen.perches": "4.8 m", "pen.nests": 4}
COCKERELS = {
    "birds.1.kind": "egg chicken",
    "birds.1.growth": "medium",
    "birds.1.count": 6,
    "birds.1.hatched": "2026-04-01",
    "birds.1.out": "2027-04-22",
    "birds.1.leaves": "2027-05-20",
    "birds.1.sexes": "male",
}


def test_hens_share_the_perch_and_the_nests() -> None:
    run = run_of(KIT)
    assert run.value("hens_present")[0] == 24
    assert run.value("perch_each")[0] == pytest.approx(0.20)
    assert run.value("hens_each_nest")[0] == pytest.approx(6)


def test_cockerels_sit_on_the_perch_and_lay_nothing() -> None:
    run = run_of({**KIT, **COCKERELS})
    assert run.value("hens_present")[0] == 30
    assert run.value("laying_hens")[0] == 24
    assert run.value("perch_each")[0] == pytest.approx(0.16)
    assert run.value("hens_each_nest")[0] == pytest.approx(6)


def test_pullets_count_from_the_day_they_are_eighteen_weeks_old() -> None:
    run = run_of({**KIT, "birds.0.hatched": "2027-01-01"})
    grown = run.days.index(date(2027, 5, 7))
    for measure in ("hens_present", "laying_hens", "perch_each", "hens_each_nest"):
        values = run.value(measure)
        assert values[grown - 1] is None
        assert values[grown] is not None


def test_meat_birds_need_neither() -> None:
    run = run_of({"pen.perches": "0 m", "pen.nests": 0})
    assert run.value("hens_present") == [None] * len(run.days)
    assert run.value("perch_each") == [None] * len(run.days)
    assert run.value("hens_each_nest") == [None] * len(run.days)


def test_without_any_nest_there_is_no_number_of_hens_to_one() -> None:
    run = run_of({**KIT, "pen.nests": 0})
    assert run.value("laying_hens")[0] == 24
    assert run.value("hens_each_nest")[0] is None


def test_what_is_not_written_is_named() -> None:
    assert missing_keys(run_of(KIT, without=["pen.perches"]), "perch_each") == {"pen.perches"}
    assert missing_keys(run_of(KIT, without=["pen.nests"]), "hens_each_nest") == {"pen.nests"}
