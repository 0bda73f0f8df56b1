"""Published figures for perches, nests, headroom, visits and slope, at the line and just past it.

Where each was read is said beside its test. Whole setups go in, in metric and in US units: at the
line the figure is kept, with one hen more or a hair less it isn't. There is no tolerance besides
the relative 1e-9 within which the rules call two numbers equal. The laws bind larger flocks; our
rules cite them as yardsticks.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from flockcheck.checkup.model import Report
from flockcheck.text.quantities import parse_quantity
from tests.outside.cases import changed, grade, report_of

CM_IN_INCH = 2.54
# Hens of 28 weeks; everything else as in the base setup.
HENS = {
    "birds.0.kind": "egg chicken",
    "birds.0.growth": "medium",
    "birds.0.purpose": "eggs",
    "birds.0.hatched": "2026-11-01",
    "birds.0.laying": "80 %",
    "birds.0.egg_weight": "60 g",
}


def cm(length: float) -> str:
    return f"{length:.12g} cm"


def inches(length: float) -> str:
    """A length in cm, spelled in inches."""
    return f"{length / CM_IN_INCH:.15g} in"


BOTH = pytest.mark.parametrize("spelled", [cm, inches])


def hens(count: int, **changes: Any) -> Report:
    """The report of so many hens; `changes` are keys with `__` for the dot."""
    keys = {key.replace("__", "."): value for key, value in changes.items()}
    return report_of(changed({**HENS, "birds.0.count": count, **keys}))


def meat_birds(**changes: Any) -> Report:
    """The report of the base setup, of meat chickens."""
    return report_of(changed({key.replace("__", "."): value for key, value in changes.items()}))


def breaks(report: Report, standard: str, rule: str) -> bool:
    """Whether a rule says that a standard, the only one asked for, is not kept."""
    (one,) = report.standards
    assert one.name == standard
    assert rule not in one.not_checked
    return rule in one.by


# Council Directive 1999/74/EC, art. 4(1)(1)(d), read in SSI 2002/334, schedule 3A, which has its
# words: perches "must provide at least 15 cm per hen".
@BOTH
def test_twenty_hens_want_three_metres_of_perch_by_law(spelled: Any) -> None:
    enough = hens(20, pen__perches=spelled(20 * 15), standards=["eu-hens"])
    assert grade(enough, "perch-short") == "watch"
    assert not breaks(enough, "eu-hens", "perch-short")
    short = hens(20, pen__perches=spelled(20 * 15 - 1), standards=["eu-hens"])
    assert grade(short, "perch-short") == "mend"
    assert breaks(short, "eu-hens", "perch-short")


def test_one_hen_more_on_the_same_perch_is_one_too_many() -> None:
    assert grade(hens(21, pen__perches="3 m"), "perch-short") == "mend"


# Commission Regulation (EC) 889/2008, annex III, read at gesetze.legal/eu/vo_eg_2008_889/
# anhang_iii: 18 cm of perch for each laying hen.
@BOTH
def test_organic_hens_want_eighteen_centimetres_of_perch(spelled: Any) -> None:
    enough = hens(20, pen__perches=spelled(20 * 18), standards=["eu-organic"])
    assert grade(enough, "perch-short") == "nothing"
    assert not breaks(enough, "eu-organic", "perch-short")
    short = hens(20, pen__perches=spelled(20 * 18 - 1), standards=["eu-organic"])
    assert grade(short, "perch-short") == "watch"
    assert breaks(short, "eu-organic", "perch-short")


# 7 CFR 205.241(b)(5), typed from memory: 6 in of perch for each layer.
def test_organic_hens_in_the_united_states_want_six_inches_of_perch() -> None:
    enough = hens(20, pen__perches="120 in", standards=["us-organic"])
    assert not breaks(enough, "us-organic", "perch-short")
    assert breaks(
        hens(20, pen__perches="119 in", standards=["us-organic"]), "us-organic", "perch-short"
    )


# Directive 1999/74/EC, art. 4(1)(1)(c), read in SSI 2002/334, schedule 3A: one nest for every seven
# hens.
@pytest.mark.parametrize("nests", [1, 3, 5])
def test_seven_hens_may_share_a_nest_by_law_and_an_eighth_is_too_many(nests: int) -> None:
    enough = hens(7 * nests, pen__nests=nests, standards=["eu-hens"])
    assert grade(enough, "nests-few") == "watch"
    assert not breaks(enough, "eu-hens", "nests-few")
    few = hens(7 * nests + 1, pen__nests=nests, standards=["eu-hens"])
    assert grade(few, "nests-few") == "mend"
    assert breaks(few, "eu-hens", "nests-few")


# Ask Extension, question 257347 (2015), read at ask.extension.org/questions/257347: one nest for
# four to five hens.
@pytest.mark.parametrize(("count", "finds"), [(12, "nothing"), (15, "nothing"), (16, "watch")])
def test_four_to_five_hens_to_a_nest_are_what_small_flocks_are_advised(
    count: int, finds: str
) -> None:
    assert grade(hens(count, pen__nests=3), "nests-few") == finds


def test_hens_without_any_nest_are_short_of_nests() -> None:
    none = hens(6, pen__nests=0, standards=["eu-hens"])
    assert grade(none, "nests-few") == "mend"
    assert breaks(none, "eu-hens", "nests-few")


# Directive 1999/74/EC, art. 2(2)(d), read at eu.vlex.com: usable area has "headroom of at least
# 45 cm".
@BOTH
def test_hens_want_forty_five_centimetres_of_headroom(spelled: Any) -> None:
    enough = hens(20, pen__height=spelled(45), standards=["eu-hens"])
    assert grade(enough, "headroom-low") == "nothing"
    assert not breaks(enough, "eu-hens", "headroom-low")
    low = hens(20, pen__height=spelled(44.9), standards=["eu-hens"])
    assert grade(low, "headroom-low") == "mend"
    assert breaks(low, "eu-hens", "headroom-low")


# ATTRA, Sustainable Chicken Production, as others quote it: pens of 10 x 12 x 2 ft for meat birds.
def test_the_usual_pen_of_two_feet_is_high_enough_for_meat_birds() -> None:
    assert grade(meat_birds(pen__height="2 ft"), "headroom-low") == "nothing"


# Council Directive 2007/43/EC, annex I, point 8, read at eumonitor.eu and in NI 2012/156, schedule
# 5, paragraph 8: all chickens "must be inspected at least twice a day".
def test_meat_chickens_are_looked_at_twice_a_day_by_law() -> None:
    enough = meat_birds(care__checks_per_day=2, standards=["eu-meat"])
    assert grade(enough, "checks-few") == "nothing"
    assert not breaks(enough, "eu-meat", "checks-few")
    few = meat_birds(care__checks_per_day=1, standards=["eu-meat"])
    assert grade(few, "checks-few") == "mend"
    assert breaks(few, "eu-meat", "checks-few")


# Directive 1999/74/EC, annex, point 1, read in SSI 2010/388, schedule 3, part 2: hens are inspected
# "at least once a day".
def test_hens_are_looked_at_once_a_day_by_law() -> None:
    enough = hens(20, care__checks_per_day=1, standards=["eu-hens"])
    assert grade(enough, "checks-few") == "nothing"
    assert not breaks(enough, "eu-hens", "checks-few")
    few = hens(20, care__checks_per_day=0.5, standards=["eu-hens"])
    assert grade(few, "checks-few") == "stop"
    assert breaks(few, "eu-hens", "checks-few")


# Welfare of Farmed Animals (Wales) Regulations 2001, schedule 3B (e), read at legislation.gov.uk/
# wsi/2001/2682/schedule/3B: "14% or 8 degrees" for wire mesh, "21.3% or 12 degrees" for others. The
# degrees are whole ones: half a degree, 0.009 as a tangent, is the publication's own rounding.
@pytest.mark.parametrize(("per_cent", "degrees"), [("14 %", 8), ("21.3 %", 12)])
def test_slopes_in_per_cent_and_degrees_are_read_as_the_law_pairs_them(
    per_cent: str, degrees: int
) -> None:
    slope = parse_quantity(per_cent, "slope").value
    assert math.degrees(math.atan(slope)) == pytest.approx(degrees, abs=0.5)
    assert parse_quantity(f"{degrees} deg", "slope").value == pytest.approx(slope, abs=0.009)


def test_ground_steeper_than_any_floor_the_law_allows_hens_is_a_reason_to_stop() -> None:
    assert grade(hens(20, site__slope="21.3 %"), "slope-too-steep") == "mend"
    assert grade(hens(20, site__slope="12 deg"), "slope-too-steep") == "mend"
    assert grade(hens(20, site__slope="21.4 %"), "slope-too-steep") == "stop"
    assert grade(hens(20, site__slope="13 deg"), "slope-too-steep") == "stop"


# Directive 1999/74/EC, art. 2(2)(d), read at eu.vlex.com: usable area has "a floor slope not
# exceeding 14 %".
def test_usable_floor_for_hens_slopes_by_fourteen_per_cent_at_most() -> None:
    enough = hens(20, site__slope="14 %", standards=["eu-hens"])
    assert not breaks(enough, "eu-hens", "slope-too-steep")
    steep = hens(20, site__slope="14.1 %", standards=["eu-hens"])
    assert breaks(steep, "eu-hens", "slope-too-steep")


# USDA Soil Survey Manual, slope classes, typed from memory: strongly sloping 8 to 15 %, moderately
# steep 15 to 30 %.
@pytest.mark.parametrize(
    ("slope", "finds"),
    [("8 %", "nothing"), ("8.1 %", "watch"), ("15 %", "watch"), ("15.1 %", "mend")],
)
def test_the_slope_classes_of_the_soil_survey_grade_the_ground(slope: str, finds: str) -> None:
    assert grade(meat_birds(site__slope=slope), "slope-too-steep") == finds
