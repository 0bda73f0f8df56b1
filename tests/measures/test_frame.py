"""How far the frame sags; figures of standards stand under tests/outside."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.measures.measure_cases import missing_keys, real_tables, run_of

TIMBER = {
    "pen.frame.material": "timber",
    "pen.frame.outside": "70 mm",
    "pen.frame.breadth": "45 mm",
    "pen.frame.span": "2.4 m",
    "pen.frame.carries": "50 %",
    "pen.roof.weight": "20 kg",
}
PIPE = {
    "pen.frame.material": "pvc",
    "pen.frame.outside": "60 mm",
    "pen.frame.wall": "4 mm",
    "pen.frame.span": "2.4 m",
    "pen.frame.carries": "50 %",
    "pen.roof.weight": "20 kg",
}


def sag(keys: dict[str, Any]) -> float:
    return float(run_of(keys).value("frame_sag")[0])


def test_a_tube_is_a_solid_piece_less_its_hollow() -> None:
    solid = run_of(TIMBER)
    tube = run_of({**TIMBER, "pen.frame.wall": "5 mm"})
    hollow = 35 * 60**3 / 12
    whole = 45 * 70**3 / 12
    share = tube.value("frame_stiffness") / solid.value("frame_stiffness")
    assert share == pytest.approx((whole - hollow) / whole)


def test_a_wall_as_thick_as_the_pipe_makes_it_solid() -> None:
    run = run_of({**PIPE, "pen.frame.wall": "40 mm"})
    modulus = real_tables()["frame_modulus"]("modulus", material="pvc")
    assert run.value("frame_stiffness") == pytest.approx(modulus * math.pi / 64 * 0.06**4)


@pytest.mark.parametrize(
    ("material", "key"),
    [
        ("timber", "pen.frame.breadth"),
        ("pvc", "pen.frame.wall"),
        ("hdpe", "pen.frame.wall"),
        ("steel", "pen.frame.wall"),
    ],
)
def test_a_frame_without_wall_or_breadth_asks_for_what_its_material_has(
    material: str, key: str
) -> None:
    keys = {**PIPE, "pen.frame.material": material}
    assert missing_keys(run_of(keys, without=["pen.frame.wall"]), "frame_stiffness") == {key}


def test_half_the_span_with_half_the_load_leaves_a_sixteenth() -> None:
    halved = {**PIPE, "pen.frame.span": "1.2 m", "pen.frame.carries": "25 %"}
    assert sag(PIPE) / sag(halved) == pytest.approx(16)


def test_twice_the_depth_of_a_weightless_load_is_eight_times_as_stiff() -> None:
    deep = run_of({**TIMBER, "pen.frame.outside": "140 mm"})
    shallow = run_of(TIMBER)
    ratio = deep.value("frame_stiffness") / shallow.value("frame_stiffness")
    assert ratio == pytest.approx(8)


def test_only_what_stays_makes_the_material_give_way() -> None:
    bare, snowed = run_of(PIPE), run_of({**PIPE, "weather.snow": "10 cm"})
    creep = real_tables()["frame_creep"]("creep", material="pvc")
    assert bare.value("frame_sag_in_time")[0] == pytest.approx(creep * bare.value("frame_sag")[0])
    added = snowed.value("frame_sag")[0] - bare.value("frame_sag")[0]
    in_time = snowed.value("frame_sag_in_time")[0] - bare.value("frame_sag_in_time")[0]
    assert in_time == pytest.approx(added)
    assert bare.value("bare_sag") == pytest.approx(bare.value("frame_sag")[0])


def test_snow_on_some_days_weighs_on_those_days() -> None:
    run = run_of(
        {
            **PIPE,
            "weather.periods.0.from": "2027-04-24",
            "weather.periods.0.to": "2027-04-25",
            "weather.periods.0.snow": "8 cm",
        }
    )
    found = run.value("frame_sag")
    assert [at for at, depth in enumerate(found) if depth > min(found)] == [2, 3]


def test_a_roof_that_nobody_weighed_has_the_weight_of_its_material() -> None:
    run = run_of({**PIPE, "pen.roof.material": "steel"}, without=["pen.roof.weight"])
    per_area = real_tables()["cover_weight"]("weight", material="steel")
    assert run.value("roof_weight") == pytest.approx(per_area * 6.0)
    assert run.done("frame_sag").sharper >= {"pen.roof.weight"}
    unknown = run_of(PIPE, without=["pen.roof.weight"])
    assert missing_keys(unknown, "frame_sag") == {"pen.roof.material"}


def test_without_a_word_about_snow_only_the_bare_sag_is_known() -> None:
    run = run_of(PIPE, without=["weather.snow"])
    assert missing_keys(run, "frame_sag") == {"weather.snow"}
    assert run.value("bare_sag_share") > 0


def test_only_plastic_softens_and_never_below_its_table() -> None:
    assert set(run_of(TIMBER).value("stiffness_left")) == {None}
    hot = run_of({**PIPE, "weather.day_high": "45 C"}).value("stiffness_left")[0]
    mild = run_of({**PIPE, "weather.day_high": "20 C"}).value("stiffness_left")[0]
    cold = run_of({**PIPE, "weather.day_high": "-10 C"}).value("stiffness_left")[0]
    assert hot == 0.70
    assert hot < mild < cold == 1


@given(span=st.integers(30, 600), more=st.integers(0, 300))
def test_a_longer_stretch_never_sags_less(span: int, more: int) -> None:
    short = sag({**PIPE, "pen.frame.span": f"{span} cm"})
    assert sag({**PIPE, "pen.frame.span": f"{span + more} cm"}) >= short
