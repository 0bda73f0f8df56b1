"""Cats and dogs of the house that roam near the pen."""

from __future__ import annotations

from typing import Any

import pytest

from tests.measures.guard_cases import GUARD, NET, SOUND
from tests.measures.measure_cases import PULLETS, missing_keys, run_of

CLOSED = {**SOUND, "mesh.opening": "13 mm"}


def kept_off(changes: dict[str, Any], pet: str = "cat") -> float | None:
    found: float | None = run_of({**CLOSED, "pets": [pet], **changes}).value(
        f"loose_{pet}_kept_off"
    )
    return found


def test_a_pen_of_cloth_under_a_roof_keeps_cats_and_dogs_off() -> None:
    assert kept_off({}) == 1
    assert kept_off({}, "dog") == 1


def test_where_no_pet_roams_nothing_is_asked() -> None:
    run = run_of({**CLOSED, "pets": ["dog"]})
    assert run.value("loose_cat_kept_off") is None
    assert run_of(CLOSED).value("loose_dog_kept_off") is None


@pytest.mark.parametrize(
    ("changes", "grade"),
    [
        ({"mesh.weave": "hexagonal", "mesh.opening": "25 mm"}, 0.5),
        ({"mesh.opening": "30 mm"}, 0),
        ({"mesh.opening": "60 mm"}, 0),
        ({"pen.roof.cover": "60 %", "pen.roof.over_rest": "open"}, 0),
        ({"pen.roof.cover": "60 %", "pen.roof.over_rest": "netting"}, 0.5),
    ],
)
def test_a_cat_comes_over_through_or_reaches_in(changes: dict[str, Any], grade: float) -> None:
    assert kept_off(changes) == grade


def test_neither_company_nor_a_house_at_night_keeps_a_pet_off() -> None:
    open_top = {"pen.roof.cover": "60 %", "pen.roof.over_rest": "open"}
    company = {**GUARD, "site.house": "20 m", "care.night_house": "yes"}
    assert kept_off({**open_top, **company}) == 0
    assert kept_off({**open_top, **NET}) == 0.5


def test_a_dog_takes_heavy_wire_and_is_let_off_the_digging() -> None:
    assert kept_off({"mesh.wire": "1 mm"}, "dog") == 0.5
    assert kept_off({"mesh.weave": "hexagonal"}, "dog") == 0
    assert kept_off({"mesh.skirt": "0 cm"}, "dog") == 1


def test_what_is_not_written_is_asked_for() -> None:
    run = run_of({**CLOSED, "pets": ["cat"]}, without=["mesh.weave"])
    assert missing_keys(run, "loose_cat_kept_off") == {"mesh.weave"}


def test_the_lightest_birds_are_those_that_count() -> None:
    run = run_of(PULLETS)
    lightest, pullets = run.value("lightest_weight"), run.value("live_weight", 1)
    at = next(at for at, weight in enumerate(pullets) if weight is not None)
    assert lightest[at] == pullets[at]
    assert lightest[0] == run.value("live_weight", 0)[0]
