"""The openings of a pen: which of them a predator meets, and how large they are."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.measures.measure_cases import PULLETS, figures, missing_keys, plain_table, run_of

TABLES = {
    "gets_through": plain_table(
        "gets_through",
        ({"predator": "raccoon"}, {"passes": 0.075, "climbs": True}),
        ({"predator": "skunk"}, {"passes": 0.075, "climbs": False}),
    ),
    "figures": figures(low_mesh_height=0.30, reach_height=0.45),
}
LOW = {"mesh.lower_opening": "13 mm", "mesh.lower_height": "30 cm"}
BOTH = {"predators": ["raccoon", "skunk"]}


def met_by(changes: Mapping[str, object], without: tuple[str, ...] = ()) -> tuple[float, float]:
    """The openings that a climber and one that doesn't climb meet, in mm."""
    run = run_of({**BOTH, **changes}, without=without, tables=TABLES)
    found = [1000 * run.value("mesh_opening_for", at) for at in (0, 1)]
    return round(found[0], 6), round(found[1], 6)


def test_without_a_finer_mesh_below_all_meet_the_one_opening() -> None:
    assert met_by({}) == (25, 25)


def test_a_climber_meets_the_largest_opening_and_others_the_finer_mesh_below() -> None:
    assert met_by(LOW) == (25, 13)
    assert met_by({**LOW, "mesh.lower_height": "12 in"}) == (25, 13)


def test_a_finer_mesh_that_does_not_reach_high_enough_counts_for_nobody() -> None:
    assert met_by({**LOW, "mesh.lower_height": "29 cm"}) == (25, 25)


def test_a_coarser_mesh_below_is_the_largest_opening_there_is() -> None:
    assert met_by({**LOW, "mesh.lower_opening": "40 mm"}) == (40, 40)


def test_the_height_of_a_finer_mesh_is_asked_for_only_where_it_decides() -> None:
    run = run_of({**BOTH, **LOW}, without=["mesh.lower_height"], tables=TABLES)
    assert missing_keys(run, "mesh_opening_for", 0) == set()
    assert missing_keys(run, "mesh_opening_for", 1) == {"mesh.lower_height"}


def test_an_opening_that_is_not_written_is_asked_for() -> None:
    run = run_of(BOTH, without=["mesh.opening"], tables=TABLES)
    assert missing_keys(run, "mesh_opening_for", 0) == {"mesh.opening"}


@pytest.mark.parametrize(
    ("lower", "millimetres"),
    [
        ({}, 25),
        (LOW, 25),
        ({**LOW, "mesh.lower_height": "45 cm"}, 13),
        ({**LOW, "mesh.lower_height": "18 in"}, 13),
        ({**LOW, "mesh.lower_height": "44 cm"}, 25),
    ],
)
def test_a_paw_finds_the_largest_opening_up_to_its_reach(
    lower: dict[str, object], millimetres: float
) -> None:
    run = run_of(lower, tables=TABLES)
    assert 1000 * run.value("opening_in_reach") == pytest.approx(millimetres)


def test_the_gap_under_the_rail_is_the_larger_of_the_two() -> None:
    assert run_of().value("rail_gap") == pytest.approx(0.04)
    assert run_of({"mesh.ground_gap": "5 cm"}).value("rail_gap") == pytest.approx(0.05)


def test_either_gap_alone_will_do_and_the_other_would_sharpen_it() -> None:
    standing = run_of(without=["site.unevenness"])
    assert standing.value("rail_gap") == pytest.approx(0.02)
    assert standing.done("rail_gap").sharper == {"site.unevenness"}
    hollow = run_of(without=["mesh.ground_gap"])
    assert hollow.value("rail_gap") == pytest.approx(0.04)
    assert hollow.done("rail_gap").sharper == {"mesh.ground_gap"}


def test_with_neither_gap_both_keys_are_asked_for() -> None:
    run = run_of(without=["site.unevenness", "mesh.ground_gap"])
    assert missing_keys(run, "rail_gap") == {"site.unevenness", "mesh.ground_gap"}


def test_a_hollow_gapes_under_the_longest_side() -> None:
    square = run_of({"pen.width": "4 m"}).value("hollow_gap")
    wide = run_of({"pen.width": "8 m"}).value("hollow_gap")
    assert square == pytest.approx(0.04)
    assert wide == pytest.approx(0.16)


@pytest.mark.parametrize(("longest", "gap"), [(3.66, 0.050741), (3.05, 0.035238)])
def test_a_rail_over_a_round_hollow_gapes_as_the_chord_says(longest: float, gap: float) -> None:
    """L^2 / 8R with R = 33 m; the pen is 2 m long, over which the hollow is 15.15 mm deep."""
    run = run_of(
        {
            "pen.length": "2 m",
            "pen.width": f"{longest} m",
            "site.unevenness": f"{1000 * 4 / (8 * 33):.6f} mm",
        }
    )
    assert run.value("hollow_gap") == pytest.approx(gap, rel=1e-4)


@given(opening=st.integers(6, 150), wider=st.integers(0, 100), low=st.integers(6, 150))
def test_a_wider_mesh_never_meets_anyone_narrower(opening: int, wider: int, low: int) -> None:
    def met(millimetres: int) -> tuple[float, float]:
        return met_by(
            {
                "mesh.opening": f"{millimetres} mm",
                "mesh.lower_opening": f"{low} mm",
                "mesh.lower_height": "25 cm",
            }
        )

    narrow, wide = met(opening), met(opening + wider)
    assert wide[0] >= narrow[0]
    assert wide[1] >= narrow[1]


@pytest.mark.parametrize(
    ("lower", "millimetres"),
    [
        ({}, 25),
        (LOW, 13),
        ({**LOW, "mesh.lower_height": "29 cm"}, 25),
        ({**LOW, "mesh.lower_opening": "40 mm"}, 40),
    ],
)
def test_chicks_meet_the_finer_mesh_where_it_is_high_enough(
    lower: dict[str, object], millimetres: float
) -> None:
    run = run_of(lower, tables=TABLES)
    assert 1000 * run.value("lowest_opening") == pytest.approx(millimetres)


def test_the_inspection_is_counted_to_the_first_birds_that_move_in() -> None:
    seen = {"mesh.inspected": "2027-04-12"}
    assert run_of(seen).value("days_since_inspection") == 10
    assert run_of({**seen, **PULLETS}).value("days_since_inspection") == 10
    assert run_of({"mesh.inspected": "2027-04-25"}).value("days_since_inspection") == -3


def test_an_inspection_that_is_not_written_is_asked_for() -> None:
    assert missing_keys(run_of(), "days_since_inspection") == {"mesh.inspected"}
