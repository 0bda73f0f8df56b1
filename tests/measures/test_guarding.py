"""How far a pen is closed to each predator, way by way."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

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
    open_ways,
    unknown,
)
from tests.measures.measure_cases import missing_keys, real_tables, run_of


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
    dug = {"mesh.skirt": "0 cm"}
    assert closed(dug, without=("mesh.weave",)) == OPEN
    run = run_of({**SOUND, **dug}, without=["mesh.weave"], tables=TABLES)
    assert run.value("open_ways", 0) == ("under the rail",)


def test_all_ways_that_are_equally_open_are_named_in_order() -> None:
    bare = {
        "mesh.skirt": "0 cm",
        "pen.roof.cover": "0 %",
        "pen.roof.over_rest": "open",
        "mesh.opening": "100 mm",
    }
    assert open_ways(bare) == ("over the top", "through the mesh", "under the rail")


def test_a_predator_with_no_way_in_is_not_asked_about() -> None:
    run = run_of({**SOUND, "predators": ["snake"]}, tables=TABLES)
    assert run.value("way_closed", 0) is None
    assert run.value("open_ways", 0) is None


def test_a_predator_that_the_tables_lack_is_said_and_not_guessed() -> None:
    run = run_of({**SOUND, "predators": ["bear"]}, tables=TABLES)
    with pytest.raises(Missing) as caught:
        run.value("way_closed", 0)
    assert "has nothing for predator bear" in caught.value.why


def test_predators_are_counted_and_none_written_is_none() -> None:
    assert run_of({"predators": ["fox", "hawk"]}).value("predators_listed") == 2
    run = run_of(without=["predators"])
    assert run.value("predators_listed") == 0
    assert missing_keys(run, "way_closed") == {"predators"}


# Dogs near the house and far from it: a fact of the trade, with the built-in tables.


def test_dogs_near_the_house_answer_foxes_in_part_and_far_across_the_pasture_they_do_not() -> None:
    pen = {**SOUND, "mesh.skirt": "0 cm", "predators": ["fox"]}
    assert run_of({**pen, **YARD}).value("way_closed", 0) == HALF
    far = {**YARD, "guardians.0.distance": "400 m"}
    assert run_of({**pen, **far}).value("way_closed", 0) == OPEN
    assert run_of({**pen, **GUARD}).value("way_closed", 0) == HALF


def test_two_partial_barriers_are_the_most_there_is_against_bears() -> None:
    bear = {**SOUND, "predators": ["bear"]}
    assert run_of(bear).value("way_closed", 0) == OPEN
    net = run_of({**bear, **NET})
    assert net.value("way_closed", 0) == HALF
    dog = {key.replace("guardians.0", "guardians.1"): value for key, value in GUARD.items()}
    assert run_of({**bear, **NET, **dog}).value("way_closed", 0) == FULL


@pytest.mark.parametrize(
    "predator", [row.where["predator"][0] for row in real_tables()["ways_in"].rows]
)
def test_every_predator_of_the_built_in_tables_can_be_judged(predator: str) -> None:
    run = run_of({**SOUND, "predators": [predator]})
    assert 0 <= run.value("way_closed", 0) <= 1
    assert isinstance(run.value("open_ways", 0), tuple)


EXTRA = st.sampled_from(
    [
        {"mesh.skirt": "60 cm"},
        {"mesh.weave": "welded"},
        {"pen.roof.cover": "100 %"},
        {"care.night_house": "yes"},
        {"site.house": "50 m"},
        {"mesh.opening": "13 mm"},
        NET,
        GUARD,
        YARD,
    ]
)
PENS = st.fixed_dictionaries(
    {
        "mesh.skirt": st.sampled_from(["0 cm", "30 cm", "60 cm"]),
        "mesh.weave": st.sampled_from(["welded", "hexagonal"]),
        "mesh.opening": st.sampled_from(["13 mm", "50 mm", "100 mm"]),
        "pen.roof.cover": st.sampled_from(["0 %", "100 %"]),
        "pen.roof.over_rest": st.sampled_from(["open", "netting", "mesh"]),
        "care.night_house": st.sampled_from(["yes", "no"]),
        "site.house": st.sampled_from(["50 m", "500 m"]),
        "predators": st.sampled_from(
            [[name] for name in ("fox", "raccoon", "hawk", "rat", "bear")]
        ),
    }
)


@given(pen=PENS, extra=EXTRA)
def test_one_more_barrier_never_opens_a_way(pen: dict[str, Any], extra: dict[str, Any]) -> None:
    before, after = run_of(pen), run_of({**pen, **extra})
    assert after.value("way_closed", 0) >= before.value("way_closed", 0)


@given(
    pen=PENS,
    left_out=st.sets(
        st.sampled_from(
            [
                "mesh.weave",
                "mesh.opening",
                "pen.roof.cover",
                "pen.roof.over_rest",
                "care.night_house",
                "site.house",
                "pen.floor",
            ]
        )
    ),
)
def test_leaving_keys_out_never_makes_a_finding_worse(
    pen: dict[str, Any], left_out: set[str]
) -> None:
    known = run_of(pen).value("way_closed", 0)
    run = run_of(pen, without=sorted(left_out))
    keys = missing_keys(run, "way_closed", 0)
    if keys:
        assert keys <= left_out | {"pen.roof.over_rest_opening"}
    else:
        assert run.value("way_closed", 0) >= known
