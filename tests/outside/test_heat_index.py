"""Wet bulb and heat index, held against psychrolib and the index papers."""

from __future__ import annotations

import importlib
from typing import Any

import pytest

from flockcheck.measures.heat import stull
from tests.outside.cases import EXACT, Bird, changed, grade, report_of, run_of, table

TABLES = ("heat_weights", "heat_limits")
SEA_LEVEL = 101325.0
BROILER = Bird("meat chicken")
LAYER = Bird("egg chicken", "medium")


def thermodynamic(celsius: float, percent: float) -> float:
    """The wet bulb by ASHRAE's equations, as psychrolib works it out."""
    psychro: Any = importlib.import_module("psychrolib")
    psychro.SetUnitSystem(psychro.SI)
    return float(psychro.GetTWetBulbFromRelHum(celsius, percent / 100, SEA_LEVEL))


def index(bird: Bird, dry: float, wet: float) -> float:
    weights = table("heat_weights")
    return float(weights("dry", group=bird) * dry + weights("wet", group=bird) * wet)


def test_the_wet_bulb_comes_to_the_papers_own_example() -> None:
    # Stull 2011, Journal of Applied Meteorology and Climatology 50:2267-2269: 20 C and 50 % give
    # 13.7 C (the example typed from memory).
    assert stull(20, 50) == pytest.approx(13.7, abs=0.05)


@pytest.mark.parametrize("celsius", range(20, 43, 2))
@pytest.mark.parametrize("percent", [20, 30, 40, 50, 60, 70, 80, 90, 99])
def test_the_wet_bulb_agrees_with_psychrolib_in_the_weather_that_matters(
    celsius: int, percent: int
) -> None:
    # The paper says -1 to +0.65 C against a psychrometer; the library computes the thermodynamic
    # wet bulb, and 1.0 C is the most they differ by here.
    assert stull(celsius, percent) == pytest.approx(thermodynamic(celsius, percent), abs=1.0)


def test_the_wet_bulb_is_on_the_whole_closer_than_its_worst_case() -> None:
    # "Mean absolute error less than 0.3 C" (the paper's abstract, read).
    grid = [(t, rh) for t in range(20, 43, 2) for rh in (20, 30, 40, 50, 60, 70, 80, 90, 99)]
    off = [abs(stull(t, rh) - thermodynamic(t, rh)) for t, rh in grid]
    assert sum(off) / len(off) < 0.3


def test_the_psychrometric_library_itself_gives_the_handbooks_example() -> None:
    # ASHRAE Handbook, Fundamentals 2017, chapter 1, example 1: 40 C dry, 20 C wet, 14 % humidity
    # (as the library's own tests have it). The humidity is rounded to a per cent: 0.2 C.
    assert thermodynamic(40, 14) == pytest.approx(20, abs=0.2)


def test_broilers_feel_the_air_and_the_wet_bulb_as_the_paper_weighs_them() -> None:
    # Tao and Xin 2003, Transactions of the ASAE 46 (read at elibrary.asabe.org):
    # THVI = (0.85 Tdb + 0.15 Twb) V^-0.058, which at 1 m/s is the first factor.
    weights = table("heat_weights")
    assert weights("dry", group=BROILER) == pytest.approx(0.85, rel=EXACT)
    assert weights("wet", group=BROILER) == pytest.approx(0.15, rel=EXACT)


def test_turkeys_feel_them_as_the_two_papers_weigh_them() -> None:
    # Xin and others 1992: "a temperature-humidity index" of 0.74 and 0.26 (the abstract, read in a
    # scan that makes 0J4 of the first). Brown-Brandl 1997, toms 0.42 and 0.58, typed from memory.
    weights = table("heat_weights")
    for sexes, dry, wet in (("female", 0.74, 0.26), ("mixed", 0.74, 0.26), ("male", 0.42, 0.58)):
        bird = Bird("turkey", "", sexes)
        assert weights("dry", group=bird) == pytest.approx(dry, rel=EXACT)
        assert weights("wet", group=bird) == pytest.approx(wet, rel=EXACT)


# Kang and others 2020, Frontiers in Veterinary Science 7:568093 (read): laying hens at 27 C and
# 56 %, and at 36 C and 45 %, stood at an index of 24.2 and 32.1.
@pytest.mark.parametrize(("celsius", "percent", "said"), [(27, 56, 24.2), (36, 45, 32.1)])
def test_hens_stand_at_the_index_that_the_trial_reports(
    celsius: int, percent: int, said: float
) -> None:
    # With the library's wet bulb 0.2 C off; the one-line wet bulb adds up to 0.36 C.
    assert index(LAYER, celsius, thermodynamic(celsius, percent)) == pytest.approx(said, abs=0.25)
    assert index(LAYER, celsius, stull(celsius, percent)) == pytest.approx(said, abs=0.5)


# An independent sum: 0.85 and 0.15, or 0.6 and 0.4, of the air and of the library's wet bulb. The
# one-line wet bulb may be 1.0 C off, so the index 0.15 C and 0.4 C.
@pytest.mark.parametrize("celsius", [21, 24, 27, 30, 32, 34, 36, 38, 40])
@pytest.mark.parametrize("percent", [30, 50, 70, 90])
def test_the_index_of_a_day_agrees_with_the_library(celsius: int, percent: int) -> None:
    weather = {"weather.day_high": f"{celsius} C", "weather.humidity": f"{percent} %"}
    wet = thermodynamic(celsius, percent)
    broilers = run_of(changed(weather)).value("heat_index", 0)[0]
    assert broilers == pytest.approx(0.85 * celsius + 0.15 * wet, abs=0.15)
    hens = run_of(changed({**weather, "birds.0.kind": "egg chicken"})).value("heat_index", 0)[0]
    assert hens == pytest.approx(0.6 * celsius + 0.4 * wet, abs=0.4)


def test_hens_are_stopped_for_the_weather_that_killed_hens_and_not_for_the_one_before() -> None:
    # The same trial: well at 24.2, severe deaths after the first hour at 32.1. The whole scale of
    # the index formula is trusted to half a degree.
    limits = table("heat_limits")
    assert limits("stop", at=200, group=LAYER) == pytest.approx(32.1, abs=0.5)
    assert limits("watch", at=200, group=LAYER) == pytest.approx(24.2, abs=0.5)
    hens = {
        "birds.0.kind": "egg chicken",
        "birds.0.hatched": "2026-11-01",
        "birds.0.laying": "80 %",
        "birds.0.egg_weight": "60 g",
        "weather.day_high": "27 C",
        "weather.humidity": "50 %",
    }
    assert grade(report_of(changed(hens)), "heat-too-much") in ("nothing", "watch")
    hens |= {"weather.day_high": "38 C", "weather.humidity": "45 %"}
    assert grade(report_of(changed(hens)), "heat-too-much") == "stop"


def test_broilers_are_watched_before_the_heat_in_which_they_gained_less() -> None:
    # Meltzer 1983, British Poultry Science 24:489-495 (read in the abstract): from five to nine
    # weeks a tenth less gain when the air exceeded 32 C; houses were to stay at or under 28 C.
    limits = table("heat_limits")
    assert limits("watch", at=40, group=BROILER) < 0.85 * 32 + 0.15 * thermodynamic(32, 30)
    # Manitoba, bird response (read): at 26 C and below heat stress is unlikely at any humidity.
    assert limits("watch", at=40, group=BROILER) >= 26
