"""Protein and calcium by age, held against the extension sheets and the requirements."""

from __future__ import annotations

import pytest

from tests.outside.cases import EXACT, Bird, changed, grade, report_of, table

TABLES = ("protein_need",)
MEAT = Bird("meat chicken", "medium")
PULLET = Bird("egg chicken", "light")
TURKEY = Bird("turkey", "")


def protein(bird: Bird, weeks: float) -> float:
    return 100 * float(table("protein_need")("enough", at=7 * weeks, group=bird))


# Virginia Cooperative Extension 2902-1083 (read at pubs.ext.vt.edu): fryers 20 to 23 % to
# slaughter; roasters 20 % for weeks 1 to 6, then 18 %.
def test_meat_birds_get_what_the_sheet_gives_roasters() -> None:
    for weeks in (0, 3, 5.9):
        assert protein(MEAT, weeks) == pytest.approx(20, rel=EXACT)
    for weeks in (6, 8, 10):
        assert protein(MEAT, weeks) == pytest.approx(18, rel=EXACT)


# National Research Council 1994, table 2-6, typed from memory: broilers 23, 20 and 18 % from 0, 3
# and 6 weeks. Birds are on pasture from about three weeks.
@pytest.mark.parametrize(("weeks", "per_cent"), [(3, 20), (5, 20), (6, 18), (8, 18)])
def test_from_three_weeks_on_that_is_what_broilers_require(weeks: int, per_cent: int) -> None:
    assert protein(MEAT, weeks) == pytest.approx(per_cent, rel=EXACT)


# Virginia Cooperative Extension 2902-1085 (read): layer chicks to 6 or 8 weeks 18 to 20 %, growers
# to 20 weeks 14 to 15 %, layers 16 to 18 %.
@pytest.mark.parametrize(
    ("weeks", "low", "high"), [(0, 18, 20), (5, 18, 20), (8, 14, 15), (19, 14, 15), (20, 16, 18)]
)
def test_pullets_and_hens_get_what_the_sheet_says(weeks: int, low: int, high: int) -> None:
    assert low - 1e-9 <= protein(PULLET, weeks) <= high


# NRC 1994, table 3-1, typed from memory, by four-week steps; 28 % in the first four weeks also at
# birdshippers.org (read).
@pytest.mark.parametrize(
    ("weeks", "per_cent"), [(0, 28), (3.9, 28), (4, 26), (8, 22), (12, 19), (16, 16.5)]
)
def test_turkeys_get_what_they_require(weeks: float, per_cent: float) -> None:
    assert protein(TURKEY, weeks) == pytest.approx(per_cent, rel=EXACT)


def pullets(calcium: str, hatched: str = "2027-04-12") -> str:
    keys = {
        "birds.0.kind": "egg chicken",
        "birds.0.growth": "light",
        "birds.0.hatched": hatched,
        "feed.calcium": calcium,
    }
    return grade(report_of(changed(keys)), "calcium-too-early")


# Japanese Poultry Science, calcium excess in growing pullets of 4 to 20 weeks (read in the
# abstract): from 2.75 % on they grew more slowly, of those at 3.75 % about a quarter died; the
# control diet held 0.75 %.
@pytest.mark.parametrize(
    ("calcium", "finds"), [("0.75 %", "nothing"), ("2.75 %", "stop"), ("3.75 %", "stop")]
)
def test_the_calcium_that_hurt_pullets_stops_them(calcium: str, finds: str) -> None:
    assert pullets(calcium) == finds


# Poultry Science 66:626-633, 1987 (at second hand): kidney damage in 60 % of pullets on a layer
# ration of 3.25 %, against a grower of 1 %.
def test_a_layer_ration_stops_pullets_where_a_grower_does_not() -> None:
    assert pullets("3.25 %") == "stop"
    assert pullets("1 %") == "nothing"


# NRC 1994, table 2-1, typed from memory: pullets require 0.9, 0.8 and 0.8 % to 18 weeks, and 2 %
# from then to the first egg.
def test_what_pullets_require_is_never_too_much() -> None:
    assert pullets("0.9 %") == "nothing"
    assert pullets("2 %", hatched="2027-01-12") == "nothing"
