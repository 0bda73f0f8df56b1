"""What each barrier counts against a predator, as far as it is written."""

from __future__ import annotations

from typing import Any

import pytest

from flockcheck.measures.barriers import Barrier, best, graded
from flockcheck.setup.sections import Missing
from tests.measures.guard_cases import (
    FULL,
    GUARD,
    HALF,
    NET,
    OPEN,
    YARD,
    closed,
    open_ways,
    unknown,
)

# Over the top.


@pytest.mark.parametrize(
    ("cover", "rest", "opening", "grade"),
    [
        ("100 %", "open", "25 mm", FULL),
        ("60 %", "mesh", "25 mm", FULL),
        ("60 %", "mesh", "75 mm", FULL),
        ("60 %", "mesh", "100 mm", OPEN),
        ("60 %", "netting", "50 mm", HALF),
        ("60 %", "netting", "100 mm", OPEN),
        ("60 %", "open", "25 mm", OPEN),
    ],
)
def test_what_covers_the_rest_of_the_pen_closes_the_top(
    cover: str, rest: str, opening: str, grade: float
) -> None:
    roof = {
        "pen.roof.cover": cover,
        "pen.roof.over_rest": rest,
        "pen.roof.over_rest_opening": opening,
    }
    assert closed(roof) == grade
    assert open_ways(roof) == (() if grade == FULL else ("over the top",))


def test_a_whole_roof_asks_nothing_about_the_rest() -> None:
    assert unknown({}, "pen.roof.over_rest", "pen.roof.over_rest_opening") == set()


def test_mesh_that_holds_asks_nothing_about_the_cover() -> None:
    assert unknown({}, "pen.roof.cover") == set()


def test_the_opening_of_netting_is_looked_at_only_where_it_is_written() -> None:
    netting = {"pen.roof.cover": "60 %", "pen.roof.over_rest": "netting"}
    assert closed(netting, without=("pen.roof.over_rest_opening",)) == HALF


def test_an_unwritten_cover_over_an_open_rest_is_asked_for() -> None:
    rest = {"pen.roof.over_rest": "open"}
    assert unknown(rest, "pen.roof.cover") == {"pen.roof.cover"}


def test_an_unwritten_rest_or_opening_is_asked_for() -> None:
    part = {"pen.roof.cover": "60 %"}
    assert unknown(part, "pen.roof.over_rest") == {"pen.roof.over_rest"}
    mesh = {**part, "pen.roof.over_rest": "mesh"}
    assert unknown(mesh, "pen.roof.over_rest_opening") == {"pen.roof.over_rest_opening"}


# Through the mesh.


@pytest.mark.parametrize(
    ("weave", "opening", "grade"),
    [
        ("welded", "25 mm", FULL),
        ("woven", "25 mm", FULL),
        ("hexagonal", "25 mm", HALF),
        ("plastic", "25 mm", HALF),
        ("welded", "75 mm", FULL),
        ("welded", "80 mm", OPEN),
        ("hexagonal", "80 mm", OPEN),
    ],
)
def test_the_mesh_closes_the_sides_by_weave_and_opening(
    weave: str, opening: str, grade: float
) -> None:
    mesh = {"mesh.weave": weave, "mesh.opening": opening}
    assert closed(mesh) == grade
    assert open_ways(mesh) == (() if grade == FULL else ("through the mesh",))


def test_an_unwritten_weave_or_opening_is_asked_for() -> None:
    assert unknown({}, "mesh.weave") == {"mesh.weave"}
    assert unknown({}, "mesh.opening") == {"mesh.opening"}
    assert unknown({}, "mesh.opening", "mesh.weave") == {"mesh.opening", "mesh.weave"}


def test_an_opening_too_wide_is_open_whatever_the_weave() -> None:
    assert closed({"mesh.opening": "100 mm"}, without=("mesh.weave",)) == OPEN


# Under the rail.


@pytest.mark.parametrize(
    ("skirt", "grade"),
    [("0 cm", OPEN), ("29 cm", OPEN), ("30 cm", HALF), ("12 in", HALF), ("2 ft", FULL)],
)
def test_the_skirt_closes_the_ground_by_its_width(skirt: str, grade: float) -> None:
    assert closed({"mesh.skirt": skirt}) == grade
    assert open_ways({"mesh.skirt": skirt}) == (() if grade == FULL else ("under the rail",))


def test_a_skirt_left_out_is_none() -> None:
    assert closed({}, without=("mesh.skirt",)) == OPEN


@pytest.mark.parametrize(
    ("floor", "grade"), [("solid", FULL), ("wire", FULL), ("slats", FULL), ("open", OPEN)]
)
def test_a_floor_closes_the_ground(floor: str, grade: float) -> None:
    assert closed({"pen.floor": floor, "mesh.skirt": "0 cm"}) == grade


def test_an_unwritten_floor_is_asked_for_where_the_skirt_does_not_close_the_ground() -> None:
    assert unknown({"mesh.skirt": "0 cm"}, "pen.floor") == {"pen.floor"}
    assert unknown({"mesh.skirt": "60 cm"}, "pen.floor") == set()


# Reaching through.


@pytest.mark.parametrize(
    ("mesh", "grade"),
    [
        ({"mesh.opening": "25 mm"}, FULL),
        ({"mesh.opening": "1 in"}, OPEN),
        ({"mesh.opening": "50 mm"}, OPEN),
        (
            {
                "mesh.opening": "50 mm",
                "mesh.lower_opening": "13 mm",
                "mesh.lower_height": "45 cm",
            },
            FULL,
        ),
        (
            {
                "mesh.opening": "50 mm",
                "mesh.lower_opening": "13 mm",
                "mesh.lower_height": "30 cm",
            },
            OPEN,
        ),
    ],
)
def test_a_paw_is_kept_out_by_small_mesh_as_high_as_it_reaches(
    mesh: dict[str, Any], grade: float
) -> None:
    assert closed(mesh, predator="cat") == grade
    ways = () if grade == FULL else ("by reaching through",)
    assert open_ways(mesh, predator="cat") == ways


# What stands in every way.


def test_a_night_house_answers_what_comes_by_night_in_every_way() -> None:
    bare = {"mesh.skirt": "0 cm", "pen.roof.cover": "0 %", "pen.roof.over_rest": "open"}
    assert closed(bare) == OPEN
    assert closed({**bare, "care.night_house": "yes"}) == FULL
    assert closed({**bare, "care.night_house": "yes", "care.closed_at_night": "no"}) == OPEN
    assert closed({**bare, "care.night_house": "yes"}, predator="owl") == FULL


def test_a_night_house_is_no_answer_to_what_hunts_by_day() -> None:
    dug = {"mesh.skirt": "0 cm", "care.night_house": "yes"}
    assert closed(dug, predator="mongoose") == OPEN


def test_an_unwritten_night_house_is_unknown_unless_the_pop_hole_stays_open() -> None:
    dug = {"mesh.skirt": "0 cm"}
    assert unknown(dug, "care.night_house") == {"care.night_house"}
    assert unknown(dug, "care") == {"care.night_house", "care.closed_at_night"}
    assert closed({**dug, "care.closed_at_night": "no"}, without=("care.night_house",)) == OPEN


@pytest.mark.parametrize(("voltage", "grade"), [("3.9 kV", OPEN), ("4 kV", HALF), ("6 kV", HALF)])
def test_a_net_is_a_partial_barrier_once_it_is_live(voltage: str, grade: float) -> None:
    net = {**NET, "mesh.skirt": "0 cm", "guardians.0.voltage": voltage}
    assert closed(net) == grade


def test_a_net_does_not_stop_what_flies() -> None:
    top = {**NET, "pen.roof.cover": "0 %", "pen.roof.over_rest": "open"}
    assert closed(top, predator="owl") == OPEN


def test_of_two_nets_the_live_one_counts_and_only_once() -> None:
    two = {
        **NET,
        "guardians.1.kind": "electric net",
        "guardians.1.voltage": "5 kV",
        "mesh.skirt": "0 cm",
    }
    assert closed(two) == HALF
    assert closed({**two, "guardians.0.voltage": "1 kV"}) == HALF


def test_two_partial_barriers_close_a_way() -> None:
    half = {"mesh.skirt": "30 cm"}
    assert closed(half) == HALF
    assert closed({**half, **NET}) == FULL
    assert closed({**half, **GUARD}) == FULL
    assert closed({**half, "site.house": "50 m"}) == FULL


# Presence: one partial in all.


@pytest.mark.parametrize(
    ("guardian", "grade"),
    [
        (GUARD, HALF),
        ({**GUARD, "guardians.0.bonded": "no"}, OPEN),
        ({**GUARD, "guardians.0.age": "90 weeks"}, OPEN),
        (YARD, HALF),
        ({**YARD, "guardians.0.distance": "101 m"}, OPEN),
        ({"guardians.0.kind": "llama"}, HALF),
        ({"guardians.0.kind": "donkey"}, HALF),
        ({"guardians.0.kind": "goose"}, OPEN),
        ({"guardians.0.kind": "person", "guardians.0.distance": "20 m"}, HALF),
        ({"guardians.0.kind": "person", "guardians.0.distance": "200 m"}, OPEN),
    ],
)
def test_who_watches_counts_half(guardian: dict[str, Any], grade: float) -> None:
    assert closed({**guardian, "mesh.skirt": "0 cm"}) == grade


def test_llamas_and_donkeys_answer_canids_only() -> None:
    llama = {"guardians.0.kind": "llama"}
    top = {**llama, "pen.roof.cover": "0 %", "pen.roof.over_rest": "open"}
    assert closed(top, predator="owl") == OPEN


@pytest.mark.parametrize(("house", "grade"), [("100 m", HALF), ("328 ft", HALF), ("101 m", OPEN)])
def test_a_lived_in_house_near_by_counts_half(house: str, grade: float) -> None:
    assert closed({"site.house": house, "mesh.skirt": "0 cm"}) == grade


def test_dogs_and_a_house_together_are_one_presence_and_never_close_a_way() -> None:
    both = {**GUARD, "site.house": "20 m", "mesh.skirt": "0 cm"}
    assert closed(both) == HALF


@pytest.mark.parametrize("key", ["role", "bonded", "age"])
def test_what_a_dog_lacks_is_asked_for_where_it_would_close_a_way(key: str) -> None:
    asked = unknown({**GUARD, "mesh.skirt": "30 cm"}, f"guardians.0.{key}")
    assert f"guardians.0.{key}" in asked
    assert asked <= {f"guardians.0.{key}", "guardians.0.distance"}


def test_guardians_left_out_are_none() -> None:
    assert closed({"mesh.skirt": "0 cm"}) == OPEN


# Barriers as ranges.


def _not_written() -> bool:
    raise Missing("pen.floor")


def test_a_barrier_whose_test_fails_is_none_whatever_else_is_unknown() -> None:
    assert graded(0.5, _not_written, lambda: False) == Barrier(0.0, 0.0)
    assert graded(0.5, _not_written, lambda: True) == Barrier(0.0, 0.5, ("pen.floor",))
    assert graded(0.0, _not_written) == Barrier(0.0, 0.0)


def test_an_unknown_barrier_no_better_than_a_known_one_asks_nothing() -> None:
    assert best(Barrier(0.5, 0.5), Barrier(0.0, 0.5, ("pen.floor",))) == Barrier(0.5, 0.5)
    assert best() == Barrier(0.0, 0.0)
