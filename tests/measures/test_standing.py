"""At which gust the pen lifts, slides or tips; figures of codes stand under tests/outside."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.measures.measure_cases import missing_keys, run_of

PEN = {
    "pen.weight": "90 kg",
    "pen.height": "60 cm",
    "pen.anchors.count": 4,
    "pen.anchors.hold": "300 N",
}
GUSTS = ("lift_gust", "slide_gust", "tip_gust")


def gusts(**changes: str | int) -> list[float]:
    keys = {f"{key.replace('__', '.')}": value for key, value in changes.items()}
    run = run_of({**PEN, **keys})
    return [run.value(name) for name in GUSTS]


def test_a_heavier_or_better_anchored_pen_stands_in_a_stronger_gust() -> None:
    before = gusts()
    for after in (gusts(pen__weight="120 kg"), gusts(pen__anchors__count=6)):
        assert all(more > less for more, less in zip(after, before, strict=True))


def test_closing_the_sides_makes_it_stand_in_less() -> None:
    open_sides, closed = gusts(pen__windbreak="0 %"), gusts(pen__windbreak="80 %")
    assert all(less < more for less, more in zip(closed, open_sides, strict=True))


def test_a_pen_tips_before_it_lifts_since_the_wind_also_pushes_it() -> None:
    lift, _, tip = gusts()
    assert tip < lift


def test_a_slope_takes_something_from_each() -> None:
    level, steep = gusts(site__slope="0 %"), gusts(site__slope="15 %")
    assert all(less < more for less, more in zip(steep, level, strict=True))


def test_the_breadth_across_the_long_side_is_what_holds_a_pen_upright() -> None:
    run = run_of({**PEN, "pen.length": "2.5 m", "pen.width": "4 m"})
    assert run.value("tip_gust") == pytest.approx(gusts()[2])


def test_anchors_left_out_are_none_and_their_hold_is_asked_for_only_where_there_are_some() -> None:
    bare = run_of(PEN, without=["pen.anchors"])
    assert bare.value("anchors_hold") == 0
    untested = run_of(PEN, without=["pen.anchors.hold"])
    assert missing_keys(untested, "lift_gust") == {"pen.anchors.hold"}


def test_a_pen_without_a_solid_roof_is_not_lifted_and_needs_no_pitch() -> None:
    run = run_of({**PEN, "pen.roof.cover": "0 %"}, without=["pen.roof.pitch"])
    assert run.value("lift_gust") is None
    assert run.value("lifted_area") == 0
    assert run.value("drawn_area") == 0
    assert run.value("tip_gust") > 0


def test_a_net_that_is_open_all_round_and_above_stands_in_any_wind() -> None:
    run = run_of({**PEN, "pen.roof.cover": "0 %", "pen.windbreak": "0 %"})
    assert [run.value(name) for name in GUSTS] == [None, None, None]


def test_a_pen_that_slides_down_by_itself_slides_in_no_wind() -> None:
    assert gusts(site__slope="60 %", pen__anchors__count=0)[1] == 0


def test_each_names_the_keys_it_lacks() -> None:
    run = run_of(PEN, without=["pen.weight", "pen.height", "site.slope"])
    assert missing_keys(run, "lift_gust") == {"pen.weight", "site.slope"}
    assert "pen.height" in missing_keys(run, "tip_gust")
    assert "pen.height" in missing_keys(run, "slide_gust")


@given(weight=st.integers(20, 400), more=st.integers(0, 200))
def test_weight_never_harms(weight: int, more: int) -> None:
    light, heavy = gusts(pen__weight=f"{weight} kg"), gusts(pen__weight=f"{weight + more} kg")
    assert all(a <= b for a, b in zip(light, heavy, strict=True))
