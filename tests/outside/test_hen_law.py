"""The figures of the European law for laying hens, at the line and just past it.

Council Directive 1999/74/EC, article 4(1), read at legislation.gov.uk/eudr/1999/74/article/4:
"linear feeders providing at least 10 cm per bird or circular feeders providing at least 4 cm per
bird", "continuous drinking troughs providing 2,5 cm per hen or circular drinking troughs providing
1 cm per hen", "at least one nipple drinker or cup for every 10 hens"; and not more than nine laying
hens per square metre of usable area (read in the summary at eur-lex.europa.eu). It binds flocks of
350 hens and more; for smaller ones it is a yardstick, and our rules cite it as one.

Whole setups go in, in metric and in US units: the same hens, the same answer. At the line the law
is kept; with one hen more, or a hair less edge, it isn't. There is no tolerance besides the
relative 1e-9 within which the rules call two numbers equal.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from flockcheck.checkup.model import Report
from tests.outside.cases import changed, grade, report_of

TABLES = ("feeder_law", "drinker_law", "drinker_places")

CM_IN_INCH = 2.54
# Hens of 28 weeks; everything else as in the base setup, which is held to the law for hens.
HENS = {
    "birds.0.kind": "egg chicken",
    "birds.0.growth": "medium",
    "birds.0.purpose": "eggs",
    "birds.0.hatched": "2026-11-01",
    "birds.0.laying": "80 %",
    "birds.0.egg_weight": "60 g",
    "standards": ["eu-hens"],
}


def cm(length: float) -> str:
    return f"{length:.12g} cm"


def inches(length: float) -> str:
    """A length in cm, spelled in inches."""
    return f"{length / CM_IN_INCH:.15g} in"


BOTH = pytest.mark.parametrize("spelled", [cm, inches])


def hens(count: int, changes: dict[str, Any], without: tuple[str, ...] = ()) -> Report:
    return report_of(changed({**HENS, "birds.0.count": count, **changes}, without))


def breaks(report: Report, rule: str) -> bool:
    """Whether a rule says that the law for hens is not kept."""
    (law,) = report.standards
    assert law.name == "eu-hens"
    assert rule not in law.not_checked
    return rule in law.by


def feeders(kind: str, **keys: Any) -> dict[str, Any]:
    return {"feeders.0.form": kind, **{f"feeders.0.{key}": value for key, value in keys.items()}}


def drinkers(kind: str, **keys: Any) -> dict[str, Any]:
    return {"drinkers.0.form": kind, **{f"drinkers.0.{key}": value for key, value in keys.items()}}


@BOTH
def test_a_straight_feeder_serves_one_hen_for_each_10_cm(spelled: Any) -> None:
    rule = "feeder-space-short"
    # Two troughs, both sides: 4 m of edge for 40 hens.
    trough = feeders("trough", count=2, sides=2, length=spelled(100))
    assert not breaks(hens(40, trough), rule)
    assert grade(hens(40, trough), rule) == "nothing"
    assert breaks(hens(41, trough), rule)
    assert grade(hens(41, trough), rule) == "mend"
    a_hair_short = feeders("trough", count=2, sides=2, length=spelled(99.99))
    assert breaks(hens(40, a_hair_short), rule)


@BOTH
def test_a_round_feeder_serves_one_hen_for_each_4_cm(spelled: Any) -> None:
    rule = "feeder-space-short"
    for form in ("pan", "tube"):
        # A rim of exactly 100 cm for 25 hens.
        round_one = feeders(form, count=1, diameter=spelled(100 / math.pi))
        assert not breaks(hens(25, round_one, ("feeders.0.length",)), rule)
        assert breaks(hens(26, round_one, ("feeders.0.length",)), rule)
        assert grade(hens(26, round_one, ("feeders.0.length",)), rule) == "mend"


def test_a_round_feeder_of_30_cm_serves_23_hens_and_no_more() -> None:
    # 94.2 cm of rim at 4 cm.
    tube = feeders("tube", count=1, diameter="30 cm")
    assert not breaks(hens(23, tube), "feeder-space-short")
    assert breaks(hens(24, tube), "feeder-space-short")


@BOTH
def test_a_straight_drinker_serves_one_hen_for_each_2_5_cm(spelled: Any) -> None:
    rule = "drinker-space-short"
    trough = drinkers("trough", count=1, sides=1, length=spelled(50))
    assert not breaks(hens(20, trough), rule)
    assert breaks(hens(21, trough), rule)
    assert breaks(hens(20, drinkers("trough", count=1, sides=1, length=spelled(49.99))), rule)


@BOTH
def test_a_round_drinker_serves_one_hen_for_each_cm(spelled: Any) -> None:
    rule = "drinker-space-short"
    bell = drinkers("bell", count=1, diameter=spelled(30 / math.pi))
    assert not breaks(hens(30, bell), rule)
    assert breaks(hens(31, bell), rule)
    assert breaks(hens(30, drinkers("bell", count=1, diameter=spelled(29.99 / math.pi))), rule)


@pytest.mark.parametrize("form", ["nipple", "cup"])
def test_a_nipple_or_cup_serves_ten_hens(form: str) -> None:
    rule = "drinker-space-short"
    places = drinkers(form, count=3)
    assert not breaks(hens(30, places), rule)
    assert grade(hens(30, places), rule) == "nothing"
    assert breaks(hens(31, places), rule)
    assert grade(hens(31, places), rule) == "mend"


def test_drinkers_of_several_forms_add_up() -> None:
    # Ten hens at a nipple and twenty at a trough of 50 cm.
    both = {
        **drinkers("trough", count=1, sides=1, length="50 cm"),
        "drinkers.1.form": "nipple",
        "drinkers.1.supply": "piped",
        "drinkers.1.count": 1,
    }
    assert not breaks(hens(30, both), "drinker-space-short")
    assert breaks(hens(31, both), "drinker-space-short")


@BOTH
def test_a_square_metre_is_floor_for_nine_hens_and_not_for_ten(spelled: Any) -> None:
    rule = "floor-per-bird"
    for length, width in ((100, 100), (300, 200)):
        pen = {"pen.length": spelled(length), "pen.width": spelled(width)}
        nine = 9 * length * width // 10000
        at_the_line, past_it = hens(nine, pen), hens(nine + 1, pen)
        assert not breaks(at_the_line, rule)
        # Nine to the square metre is lawful and still less than our rule asks of a small flock.
        assert grade(at_the_line, rule) == "mend"
        assert breaks(past_it, rule)
        assert grade(past_it, rule) == "stop"


def test_the_law_is_for_hens_and_not_for_pullets() -> None:
    # "Hens ... which have reached laying maturity" (article 2): here from 18 weeks, common
    # practice.
    pullets = {"birds.0.hatched": "2027-01-20", "birds.0.leaves": "2027-05-24"}
    trough = feeders("trough", count=2, sides=2, length="100 cm")
    assert not breaks(hens(41, {**trough, **pullets}), "feeder-space-short")
