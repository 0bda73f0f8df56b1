"""How far a pen is closed to each predator, way by way."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flockcheck.measures.graph.run import Run
from flockcheck.measures.guarding import least_closed, ways
from flockcheck.setup.view import Missing
from tests.measures.guard_cases import (
    FULL,
    GUARD,
    HALF,
    NET,
    OPEN,
    SOUND,
    TABLES,
    YARD,
    closed,
    defence,
    open_ways,
    unknown,
)
from tests.measures.measure_cases import missing_keys, real_tables, run_of

ANYWHERE = {"mesh.skirt": "0 cm", "pen.roof.cover": "0 %", "pen.roof.over_rest": "open"}
PAW = {"mesh.opening": "50 mm"}


def asked(changes: dict[str, Any], predator: str, without: tuple[str, ...] = ()) -> Run:
    """The measures of a sound pen with the small tables, one predator listed."""
    keys = {**SOUND, "predators": [predator], **changes}
    return run_of(keys, without=without, tables=TABLES)


def test_a_pen_closed_on_every_way_is_closed() -> None:
    assert closed({}) == FULL
    assert open_ways({}) == ()


# What is not known.


def test_a_grade_is_given_only_if_it_holds_with_every_unknown_barrier_in_place() -> None:
    dug = {"mesh.skirt": "0 cm"}
    assert closed(dug, without=("site.house",)) == HALF
    assert unknown({"mesh.skirt": "30 cm"}, "site.house") == {"site.house"}
    assert closed({"mesh.skirt": "60 cm"}, without=("site.house",)) == FULL


def test_only_the_keys_that_would_decide_are_asked_for() -> None:
    keys = unknown({"mesh.skirt": "30 cm"}, "site.house", "pen.roof.over_rest", "mesh.weave")
    assert keys == {"mesh.weave", "site.house"}


def test_an_open_way_is_said_even_where_another_is_unknown() -> None:
    assert closed({"mesh.skirt": "0 cm"}, without=("mesh.weave",)) == OPEN


def test_all_ways_that_are_equally_open_are_found_in_order() -> None:
    assert open_ways({**ANYWHERE, "mesh.opening": "100 mm"}) == ("over", "through", "under")


def test_what_stands_in_every_way_may_be_left_out() -> None:
    run = run_of({**SOUND, **ANYWHERE, **NET, "site.house": "50 m", "care.night_house": "yes"})
    here = defence(run, "fox")
    all_but = {"company", "night", "net", "height"}
    assert least_closed(ways(here).values()) == FULL
    assert least_closed(ways(here, all_but - {"net"}).values()) == HALF
    assert least_closed(ways(here, all_but - {"company"}).values()) == HALF
    assert least_closed(ways(here, all_but).values()) == OPEN


# The measures: one way each.


def test_each_way_is_judged_by_itself() -> None:
    run = asked({"pen.roof.cover": "60 %", "pen.roof.over_rest": "netting"}, "fox")
    assert (run.value("top_closed", 0), run.value("sides_closed", 0)) == (HALF, FULL)
    run = asked({"mesh.weave": "hexagonal"}, "fox")
    assert (run.value("top_closed", 0), run.value("sides_closed", 0)) == (FULL, HALF)


@pytest.mark.parametrize("measure", ["top_closed", "sides_closed", "reached_opening", "skirt_met"])
def test_a_predator_that_does_not_come_that_way_is_not_asked_about(measure: str) -> None:
    assert asked(ANYWHERE, "snake").value(measure, 0) is None


def test_a_predator_that_the_tables_lack_is_said_and_not_guessed() -> None:
    with pytest.raises(Missing) as caught:
        asked({}, "bear").value("sides_closed", 0)
    assert "has nothing for predator bear" in caught.value.why


def test_a_paw_is_looked_at_by_the_opening_it_meets() -> None:
    assert asked({}, "cat").value("reached_opening", 0) == pytest.approx(0.025)
    assert asked(PAW, "cat").value("reached_opening", 0) == pytest.approx(0.050)
    assert asked({**PAW, **NET}, "cat").value("reached_opening", 0) == pytest.approx(0.050)


def test_a_paw_that_other_barriers_keep_away_reaches_nothing() -> None:
    house = {**PAW, "care.night_house": "yes"}
    assert asked(house, "cat").value("reached_opening", 0) is None
    both = {**PAW, **NET, "site.house": "50 m"}
    assert asked(both, "cat").value("reached_opening", 0) is None


def test_other_barriers_are_asked_for_only_where_a_paw_would_pass() -> None:
    without = ("care.night_house",)
    assert missing_keys(asked({}, "cat", without), "reached_opening", 0) == set()
    assert missing_keys(asked(PAW, "cat", without), "reached_opening", 0) == {"care.night_house"}


@pytest.mark.parametrize(
    ("changes", "metres"),
    [
        ({"mesh.skirt": "30 cm"}, 0.30),
        ({"mesh.skirt": "0 cm"}, 0.0),
        ({"mesh.skirt": "0 cm", "pen.floor": "wire"}, None),
        ({"mesh.skirt": "0 cm", "pen.floor": "solid"}, None),
        ({"mesh.skirt": "0 cm", "care.night_house": "yes"}, None),
        ({"mesh.skirt": "0 cm", "care.night_house": "yes", "care.closed_at_night": "no"}, 0.0),
        ({"mesh.skirt": "2 ft", "care.night_house": "yes"}, 0.6096),
    ],
)
def test_a_digger_meets_the_skirt_unless_a_floor_or_a_night_house_keeps_it_out(
    changes: dict[str, Any], metres: float | None
) -> None:
    found = asked(changes, "fox").value("skirt_met", 0)
    assert found is None if metres is None else found == pytest.approx(metres)


def test_a_night_house_does_not_keep_out_what_digs_by_day() -> None:
    dug = {"mesh.skirt": "0 cm", "care.night_house": "yes"}
    assert asked(dug, "mongoose").value("skirt_met", 0) == 0


def test_floor_and_night_house_are_asked_for_only_where_the_skirt_is_less_than_wide() -> None:
    without = ("pen.floor", "care")
    narrow = asked({"mesh.skirt": "30 cm"}, "fox", without)
    keys = {"pen.floor", "care.night_house", "care.closed_at_night"}
    assert missing_keys(narrow, "skirt_met", 0) == keys
    assert asked({"mesh.skirt": "60 cm"}, "fox", without).value("skirt_met", 0) == pytest.approx(
        0.6
    )


def test_who_comes_from_above_and_who_tears_is_told_by_the_tables() -> None:
    assert asked({}, "owl").value("comes_from_above", 0)
    assert not asked({}, "dog").value("comes_from_above", 0)
    assert not asked({}, "skunk").value("comes_from_above", 0)
    assert asked({}, "fox").value("tears_mesh", 0)
    assert not asked({}, "skunk").value("tears_mesh", 0)


@pytest.mark.parametrize(
    ("changes", "shuts"),
    [
        ({"mesh.skirt": "30 cm"}, True),
        ({"mesh.skirt": "29 cm"}, False),
        ({"mesh.skirt": "0 cm", "pen.floor": "slats"}, True),
        ({"mesh.opening": "26 mm"}, False),
        ({"mesh.lower_opening": "50 mm", "mesh.lower_height": "30 cm"}, False),
        ({"pen.roof.cover": "60 %", "pen.roof.over_rest": "open"}, False),
        ({"pen.roof.cover": "60 %", "pen.roof.over_rest": "netting"}, True),
    ],
)
def test_a_pen_shuts_itself_when_it_is_roofed_meshed_and_skirted(
    changes: dict[str, Any], shuts: bool
) -> None:
    assert run_of({**SOUND, **changes}).value("pen_shuts_itself") is shuts


def test_what_a_pen_lacks_is_asked_for_only_where_it_would_decide() -> None:
    run = run_of(SOUND, without=["mesh.opening"])
    assert missing_keys(run, "pen_shuts_itself") == {"mesh.opening"}
    bare = run_of({**SOUND, "mesh.skirt": "0 cm"}, without=["mesh.opening"])
    assert bare.value("pen_shuts_itself") is False


def test_predators_are_counted_and_none_written_is_none() -> None:
    assert run_of({"predators": ["fox", "hawk"]}).value("predators_listed") == 2
    run = run_of(without=["predators"])
    assert run.value("predators_listed") == 0
    assert missing_keys(run, "sides_closed") == {"predators"}


# Dogs near the house and far from it: a fact of the trade, with the built-in tables.


def test_dogs_near_the_house_answer_foxes_in_part_and_far_across_the_pasture_they_do_not() -> None:
    pen = {**SOUND, "mesh.weave": "plastic", "predators": ["fox"]}
    assert run_of({**pen, **YARD}).value("sides_closed", 0) == HALF
    far = {**YARD, "guardians.0.distance": "400 m"}
    assert run_of({**pen, **far}).value("sides_closed", 0) == OPEN
    assert run_of({**pen, **GUARD}).value("sides_closed", 0) == HALF


def test_two_partial_barriers_are_the_most_there_is_against_bears() -> None:
    bear = {**SOUND, "predators": ["bear"]}
    assert run_of(bear).value("sides_closed", 0) == OPEN
    net = run_of({**bear, **NET})
    assert net.value("sides_closed", 0) == HALF
    dog = {key.replace("guardians.0", "guardians.1"): value for key, value in GUARD.items()}
    assert run_of({**bear, **NET, **dog}).value("sides_closed", 0) == FULL


@pytest.mark.parametrize(
    "predator", [row.where["predator"][0] for row in real_tables()["ways_in"].rows]
)
def test_every_predator_of_the_built_in_tables_can_be_judged(predator: str) -> None:
    run = run_of({**SOUND, "predators": [predator]})
    for measure in ("top_closed", "sides_closed"):
        found = run.value(measure, 0)
        assert found is None or 0 <= found <= 1
    assert run.value("skirt_met", 0) in (None, pytest.approx(0.6))


EXTRA = st.sampled_from(
    [
        {"mesh.skirt": "60 cm"},
        {"mesh.weave": "welded"},
        {"mesh.wire": "2.5 mm"},
        {"pen.roof.cover": "100 %"},
        {"pen.moves.every": "1 day"},
        {"care.night_house": "yes"},
        {"site.house": "50 m"},
        {"mesh.opening": "6 mm"},
        NET,
        GUARD,
        YARD,
    ]
)
PREDATORS = ("fox", "raccoon", "hawk", "rat", "bear", "dog", "mink", "snake")
PENS = st.fixed_dictionaries(
    {
        "mesh.skirt": st.sampled_from(["0 cm", "30 cm", "60 cm"]),
        "mesh.weave": st.sampled_from(["welded", "hexagonal", "plastic"]),
        "mesh.opening": st.sampled_from(["6 mm", "13 mm", "50 mm", "100 mm"]),
        "mesh.wire": st.sampled_from(["0.7 mm", "1 mm", "2 mm"]),
        "mesh.height": st.sampled_from(["80 cm", "2 m"]),
        "pen.roof.cover": st.sampled_from(["0 %", "100 %"]),
        "pen.roof.over_rest": st.sampled_from(["open", "netting", "mesh"]),
        "pen.moves.every": st.sampled_from(["1 day", "3 days"]),
        "care.night_house": st.sampled_from(["yes", "no"]),
        "site.house": st.sampled_from(["50 m", "500 m"]),
    }
)


@given(pen=PENS, extra=EXTRA, predator=st.sampled_from(PREDATORS))
def test_one_more_barrier_never_opens_a_way(
    pen: dict[str, Any], extra: dict[str, Any], predator: str
) -> None:
    before = ways(defence(run_of(pen), predator))
    after = ways(defence(run_of({**pen, **extra}), predator))
    for way, one in before.items():
        assert after[way].low >= one.low, way
        assert after[way].high >= one.high, way


@given(
    pen=PENS,
    predator=st.sampled_from(PREDATORS),
    left_out=st.sets(
        st.sampled_from(
            [
                "mesh.weave",
                "mesh.opening",
                "mesh.wire",
                "mesh.height",
                "pen.roof.cover",
                "pen.roof.over_rest",
                "pen.moves.every",
                "care.night_house",
                "site.house",
                "pen.floor",
            ]
        )
    ),
)
def test_leaving_keys_out_never_makes_a_finding_worse(
    pen: dict[str, Any], predator: str, left_out: set[str]
) -> None:
    known = ways(defence(run_of(pen), predator))
    found = ways(defence(run_of(pen, without=sorted(left_out)), predator))
    for way, one in found.items():
        assert one.low <= known[way].low
        assert one.high >= known[way].high
        assert set(one.unknown) <= left_out | {"pen.roof.over_rest_opening"}
