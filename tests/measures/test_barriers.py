"""What each barrier counts against a predator, as far as it is written."""

from __future__ import annotations

from typing import Any

import pytest

from flockcheck.measures.barriers import Barrier, added, best, graded
from flockcheck.measures.guarding import least_closed, ways
from flockcheck.setup.view import Missing
from tests.measures.guard_cases import (
    FULL,
    GUARD,
    HALF,
    NET,
    OPEN,
    SOUND,
    YARD,
    closed,
    defence,
    open_ways,
    unknown,
)
from tests.measures.measure_cases import run_of


def real_closed(predator: str, changes: dict[str, Any]) -> float | None:
    """How far the sides are closed by the built-in tables; none of the other ways is looked at."""
    setup = {**SOUND, "predators": [predator], **changes}
    return least_closed([ways(defence(run_of(setup), predator))["through"]])


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
    assert open_ways(roof) == (() if grade == FULL else ("over",))


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


@pytest.mark.parametrize(("height", "grade"), [("1.7 m", OPEN), ("1.8 m", FULL), ("6 ft", FULL)])
def test_a_high_side_is_as_good_as_a_cover_against_what_jumps_and_cannot_climb(
    height: str, grade: float
) -> None:
    bare = {"pen.roof.cover": "0 %", "pen.roof.over_rest": "open", "mesh.height": height}
    assert closed(bare, predator="dog") == grade
    assert closed(bare) == OPEN


# Through the mesh.


@pytest.mark.parametrize(
    ("weave", "opening", "grade"),
    [
        ("welded", "25 mm", FULL),
        ("woven", "25 mm", FULL),
        ("hexagonal", "25 mm", HALF),
        ("plastic", "25 mm", OPEN),
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
    assert open_ways(mesh) == (() if grade == FULL else ("through",))


def test_an_unwritten_weave_or_opening_is_asked_for() -> None:
    assert unknown({}, "mesh.weave") == {"mesh.weave"}
    assert unknown({}, "mesh.opening") == {"mesh.opening"}
    assert unknown({}, "mesh.opening", "mesh.weave") == {"mesh.opening", "mesh.weave"}


def test_an_opening_too_wide_is_open_whatever_the_weave() -> None:
    assert closed({"mesh.opening": "100 mm"}, without=("mesh.weave",)) == OPEN


@pytest.mark.parametrize(
    ("wire", "grade"),
    [("0.9 mm", HALF), ("1 mm", FULL), ("0.041 in", FULL), ("2 mm", FULL)],
)
def test_welded_wire_that_is_too_thin_is_no_better_than_netting_to_a_fox(
    wire: str, grade: float
) -> None:
    assert real_closed("fox", {"mesh.wire": wire}) == grade


@pytest.mark.parametrize(
    ("wire", "grade"), [("0.9 mm", OPEN), ("1 mm", HALF), ("1.9 mm", HALF), ("2 mm", FULL)]
)
def test_a_dog_takes_heavier_wire_than_a_fox(wire: str, grade: float) -> None:
    assert real_closed("dog", {"mesh.wire": wire}) == grade


def test_wire_is_asked_for_only_where_something_bites_and_it_would_decide() -> None:
    assert unknown({}, "mesh.wire") == {"mesh.wire"}
    assert unknown({"mesh.weave": "hexagonal"}, "mesh.wire") == set()
    assert unknown({}, "mesh.wire", predator="skunk") == set()


@pytest.mark.parametrize(("opening", "grade"), [("6 mm", FULL), ("7 mm", HALF)])
def test_the_finest_cloth_is_whole_against_what_does_not_tear(opening: str, grade: float) -> None:
    assert closed({"mesh.opening": opening}, predator="skunk") == grade


# Under the rail.


@pytest.mark.parametrize(
    ("skirt", "grade"),
    [("0 cm", OPEN), ("29 cm", OPEN), ("30 cm", HALF), ("12 in", HALF), ("2 ft", FULL)],
)
def test_the_skirt_closes_the_ground_by_its_width(skirt: str, grade: float) -> None:
    assert closed({"mesh.skirt": skirt}) == grade
    assert open_ways({"mesh.skirt": skirt}) == (() if grade == FULL else ("under",))


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


@pytest.mark.parametrize(
    ("every", "later", "grade"),
    [
        ("1 day", None, HALF),
        ("0.5 days", None, HALF),
        ("2 days", None, OPEN),
        ("1 day", "2 days", OPEN),
        ("2 days", "1 day", OPEN),
    ],
)
def test_a_pen_that_is_gone_by_the_next_day_counts_half_against_digging(
    every: str, later: str | None, grade: float
) -> None:
    moves = {"pen.moves.every": every, "mesh.skirt": "0 cm"}
    if later:
        moves |= {"pen.moves.later.0.from": "2027-05-01", "pen.moves.later.0.every": later}
    assert closed(moves) == grade


def test_an_unwritten_rhythm_is_asked_for_where_it_would_close_the_ground() -> None:
    assert unknown({"mesh.skirt": "30 cm"}, "pen.moves") == {"pen.moves.every"}
    assert closed({"mesh.skirt": "0 cm"}, without=("pen.moves",)) == HALF


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
    ways = () if grade == FULL else ("reach",)
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


def test_barriers_in_one_way_add_up_to_one_at_most() -> None:
    half, perhaps = Barrier(0.5, 0.5), Barrier(0.0, 0.5, ("site.house",))
    assert added([half, half, half]) == Barrier(1.0, 1.0)
    assert added([half, perhaps]) == Barrier(0.5, 1.0, ("site.house",))
    assert added([]) == Barrier(0.0, 0.0)
