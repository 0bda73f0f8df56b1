"""What a fix may try: round amounts in the keeper's own units, within bounds, as whole changes."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flockcheck.checkup.changes import apply
from flockcheck.checkup.grids import quantity_text
from flockcheck.checkup.levers import Lane, lanes
from flockcheck.rulebook.model import FixIdea
from flockcheck.setup.written import Setup
from flockcheck.text.quantities import parse_quantity
from tests.checkup.fix_cases import book, setup_with


def lane(setup: Setup, way: str, lever: str, to: object = None) -> Lane:
    """The first lane of a lever in a setup."""
    each = lever.partition(".")[0]
    idea = FixIdea(way, lever, to, "")
    return lanes(idea, book().levers[lever], each, 0, setup)[0]


def texts(found: Lane) -> list[str]:
    """Every value that a lane tries, as it would be written."""
    moves = [found.at(step) for step in range(1, found.steps + 1)]
    return [move.changes[0].text for move in moves if move is not None]


@pytest.mark.parametrize(
    ("values", "way", "lever", "first"),
    [
        # From what is not round to the next that is, in the keeper's family of units.
        ({"pen__length": "3.67 m"}, "more", "pen.length", ["3.7 m", "3.8 m", "3.9 m"]),
        ({"pen__length": "3.67 m"}, "less", "pen.length", ["3.6 m", "3.5 m", "3.4 m"]),
        ({"pen__length": "12 ft 3 in"}, "more", "pen.length", ["12.5 ft", "13 ft", "13.5 ft"]),
        ({"pen__length": "12 ft"}, "less", "pen.length", ["11.5 ft", "11 ft", "10.5 ft"]),
        ({"birds__0__count": "36"}, "less", "group.count", ["35", "34", "33"]),
        ({"birds__0__leaves": "2027-06-21"}, "earlier", "group.leaves",
         ["2027-06-20", "2027-06-19"]),
        ({"birds__0__out": "2027-04-30"}, "later", "group.out", ["2027-05-01", "2027-05-02"]),
        # Sizes in their order, each family its own series.
        ({"mesh__opening": "25 mm"}, "less", "mesh.opening",
         ["23.8 mm", "17.6 mm", "11.7 mm", "5.7 mm"]),
        ({"mesh__opening": "1 in"}, "less", "mesh.opening", ["0.94 in", "0.46 in", "0.22 in"]),
        ({"pen__moves__every": "2 days"}, "less", "pen.moves.every", ["1 day", "0.5 days"]),
        # What is not written but stands for none is moved from none.
        ({"mesh__skirt": "left out"}, "more", "mesh.skirt", ["10 cm", "20 cm"]),
        # What is not written and could be anything is not moved.
        ({"drinkers__0__count": "left out"}, "more", "drinker.count", []),
    ],
)  # fmt: skip
def test_amounts_are_round_and_come_in_order(
    values: dict[str, str], way: str, lever: str, first: list[str]
) -> None:
    found = texts(lane(setup_with(**values), way, lever))
    assert found[: len(first)] == first
    assert bool(found) == bool(first)


@pytest.mark.parametrize(
    ("values", "way", "lever", "last"),
    [
        ({"birds__0__count": "36"}, "less", "group.count", "22"),
        ({"pen__length": "4 m"}, "more", "pen.length", "6 m"),
        ({"pen__roof__cover": "60 %"}, "more", "pen.roof.cover", "100 %"),
        ({"mesh__ground_gap": "3 cm"}, "less", "mesh.ground_gap", "0 mm"),
        ({"birds__0__out": "2027-05-17"}, "later", "group.out", "2027-05-31"),
        ({"pen__windbreak": "40 %"}, "less", "pen.windbreak", "0 %"),
    ],
)
def test_no_amount_goes_past_the_lever_s_bounds(
    values: dict[str, str], way: str, lever: str, last: str
) -> None:
    assert texts(lane(setup_with(**values), way, lever))[-1] == last


def test_effort_is_counted_once_and_for_each_step() -> None:
    fewer = lane(setup_with(birds__0__count="36"), "less", "group.count")
    assert [round(move.effort, 6) for step in (1, 2, 4) if (move := fewer.at(step))] == [
        3.3,
        3.6,
        4.2,
    ]
    sooner = lane(setup_with(), "earlier", "group.leaves")
    move = sooner.at(5)
    assert move is not None
    assert move.effort == pytest.approx(3)
    # From the keeper's own value, where a plan has moved the lever already.
    base = setup_with(birds__0__count="36")
    moved = apply(base, fewer.at(4).changes)  # type: ignore[union-attr]  # the fourth step is there
    idea = FixIdea("less", "group.count", None, "")
    further = lanes(idea, book().levers["group.count"], "group", 0, moved, base)[0].at(1)
    assert further is not None
    assert (further.changes[0].new, round(further.effort, 6)) == (31, 4.5)


def test_what_moves_along_moves_by_its_own_rule() -> None:
    setup = setup_with(pen__length="4 m", pen__weight="160 kg", pen__moves__step="4.2 m")
    move = lane(setup, "more", "pen.length").at(10)
    assert move is not None
    new = {change.path: change.text for change in move.changes}
    assert new["pen.length"] == "5 m"
    assert new["pen.weight"] == "200 kg"
    assert new["pen.moves.step"] == "5.2 m"
    half = setup_with(pen__roof__cover="50 %", pen__roof__weight="40 kg", pen__weight="150 kg")
    roof = lane(half, "more", "pen.roof.cover").at(1)
    assert roof is not None
    assert {change.path: change.text for change in roof.changes} == {
        "pen.roof.cover": "60 %",
        "pen.roof.weight": "48 kg",
        "pen.weight": "158 kg",
    }


def test_a_mesh_comes_with_its_weave_and_a_lower_one_with_its_height() -> None:
    setup = setup_with(mesh__opening="25 mm", mesh__weave="hexagonal")
    finer = lane(setup, "less", "mesh.opening").at(3)
    assert finer is not None
    assert [(one.path, one.text) for one in finer.changes] == [
        ("mesh.opening", "11.7 mm"),
        ("mesh.weave", "welded"),
    ]
    assert finer.shown == "welded cloth of 13 mm"
    lower = lane(setup_with(), "less", "mesh.lower_opening").at(1)
    assert lower is not None
    assert [one.path for one in lower.changes] == ["mesh.lower_opening", "mesh.lower_height"]


def test_nothing_is_set_that_stands_there_and_no_second_of_a_kind_is_added() -> None:
    assert lane(setup_with(), "set", "feed.store", "sealed").steps == 0
    assert lane(setup_with(), "set", "feed.store", "bag").steps == 1
    net = {"kind": "electric net", "count": "1", "height": "1.06 m"}
    there = setup_with(guardians="[{kind: electric net, count: 1, height: 1.06 m}]")
    assert lane(there, "add", "guardians", net).steps == 0
    none = setup_with(guardians="left out")
    move = lane(none, "add", "guardians", net).at(1)
    assert move is not None
    added = apply(none, move.changes)
    assert added.lists["guardians"] == 1
    assert added.values["guardians.0.height"].value == pytest.approx(1.06)


def test_an_entry_of_a_list_is_moved_by_itself() -> None:
    later = "[{from: 2027-06-01, every: 3 days}]"
    setup = setup_with(pen__moves__later=later)
    idea = FixIdea("less", "pen.moves.every", None, "")
    found = lanes(idea, book().levers["pen.moves.every"], "", None, setup)
    assert [one.path for one in found] == ["pen.moves.every", "pen.moves.later.0.every"]
    assert texts(found[1]) == ["2 days", "1 day", "0.5 days"]


@given(
    st.floats(1e-3, 1e4),
    st.sampled_from(["length", "mass", "volume", "share", "time", "speed"]),
    st.sampled_from(["us", "metric"]),
)
def test_a_quantity_reads_back_as_the_very_number(
    value: float, dimension: str, family: str
) -> None:
    rounded = parse_quantity(quantity_text(value, dimension, family), dimension).value
    again = quantity_text(rounded, dimension, family)
    assert parse_quantity(again, dimension).value == pytest.approx(rounded, rel=1e-9)


def test_dates_stay_dates() -> None:
    move = lane(setup_with(), "later", "group.out").at(3)
    assert move is not None
    assert move.changes[0].new == date(2027, 5, 20)
    assert (move.changes[0].was, move.shown) == ("2027-05-17", "20 May")


# What is decided at the table. All else is work: a file must not say it before somebody did it.
CHOICES = {
    "dates": {"group.out", "group.leaves", "group.isolated", "brooder.heat_off"},
    "head": {"group.count"},
    "rounds": {"feed.visits_per_day", "water.visits_per_day", "care.checks_per_day"},
    "moves": {
        "pen.moves.every", "pen.moves.step", "pen.moves.people", "pen.moves.speed",
        "pen.moves.watched", "pen.moves.birds_out", "site.rest", "site.ground",
    },
    "feed": {
        "feed.always", "feed.form", "feed.protein", "feed.calcium", "feed.cleared_every",
        "feed.grit",
    },
    "habits": {
        "feeder.lip_follows", "drinker.lip_follows", "drinker.carried", "pets",
        "care.closed_at_night", "care.bedding", "care.hands_washed", "care.small_children",
        "care.footwear",
    },
}  # fmt: skip


def test_only_what_is_decided_at_the_table_is_a_choice() -> None:
    choices = {name for name, lever in book().levers.items() if lever.kind == "choice"}
    assert choices == set().union(*CHOICES.values())


@pytest.mark.parametrize(
    "lever",
    ["drinker.outlet", "drinker.lip", "feeder.lip", "feeder.under_roof", "mesh.holes",
     "pen.lid_fastened", "guardian.distance", "care.sick_birds_plan"],
)  # fmt: skip
def test_what_is_done_at_the_pen_is_work(lever: str) -> None:
    assert book().levers[lever].kind == "work"
