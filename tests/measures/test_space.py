"""The room inside: floor for how much weight and how many birds, height for how tall ones."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.measures.measure_cases import PULLETS, real_tables, run_of


def test_metric_and_us_pens_of_one_size_have_one_floor() -> None:
    us = run_of({"pen.length": "10 ft", "pen.width": "12 ft"}).value("floor_area")
    metric = run_of({"pen.length": "3.048 m", "pen.width": "3.6576 m"}).value("floor_area")
    assert us == pytest.approx(metric) == pytest.approx(11.1484, abs=1e-4)


def test_finished_birds_at_two_square_feet_load_the_floor_as_published() -> None:
    """A 5 lb bird on 2 sq ft is 12.2 kg/m2 (2.5 lb/sq ft), and at 1.5 sq ft 16.3."""
    run = run_of(
        {
            "pen.length": "10 ft",
            "pen.width": "6 ft",
            "birds.0.weights": {"49 days": "5 lb"},
        }
    )
    assert run.value("floor_load")[-1] == pytest.approx(12.2, abs=0.05)
    assert run.value("floor_each")[-1] == pytest.approx(0.1858, abs=1e-4)


def test_all_groups_stand_on_the_same_floor() -> None:
    run = run_of(PULLETS)
    at = run.value("birds_present").index(40)
    assert run.value("floor_each")[at] == pytest.approx(10.0 / 40)


@given(count=st.integers(1, 500), more=st.integers(0, 500))
def test_more_birds_never_have_more_floor_each_nor_less_load(count: int, more: int) -> None:
    few, many = run_of({"birds.0.count": count}), run_of({"birds.0.count": count + more})
    pairs = zip(few.value("floor_each"), many.value("floor_each"), strict=True)
    assert all(b <= a for a, b in pairs)
    pairs = zip(few.value("floor_load"), many.value("floor_load"), strict=True)
    assert all(b >= a for a, b in pairs)


@given(length=st.integers(10, 200), longer=st.integers(0, 100))
def test_a_longer_pen_never_has_less_floor_each(length: int, longer: int) -> None:
    short = run_of({"pen.length": f"{length / 10} m"}).value("floor_each")
    long = run_of({"pen.length": f"{(length + longer) / 10} m"}).value("floor_each")
    assert all(b >= a for a, b in zip(short, long, strict=True))


def test_the_tallest_birds_in_the_pen_set_the_height() -> None:
    run = run_of({**PULLETS, "birds.0.weights": {"49 days": "3 kg"}})
    both = run.days.index(date(2027, 5, 10))
    heights = [run.value("standing_height", group)[both] for group in (0, 1)]
    assert run.value("tallest_stands")[both] == max(heights) == heights[0]
    # 3 kg of chicken stand 42 cm high in the table.
    last = run.days.index(date(2027, 5, 20))
    assert run.value("standing_height", 0)[last] == pytest.approx(0.42, abs=0.005)


def test_a_turkey_stands_higher_than_a_chicken_of_its_weight() -> None:
    heights = real_tables()["bird_height"]
    chicken = run_of().whole.birds[0]
    turkey = run_of({"birds.0.kind": "turkey"}, without=["birds.0.growth"]).whole.birds[0]
    for kilos in (0.1, 0.5, 1, 2, 4, 8):
        tall = heights("stands", at=kilos, group=turkey)
        assert tall > heights("stands", at=kilos, group=chicken), kilos
