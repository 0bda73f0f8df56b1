"""How cold the nights are for birds of an age, and what freezes in them."""

from __future__ import annotations

from typing import Any

import pytest

from tests.measures.measure_cases import PULLETS, missing_keys, run_of

COOLED: dict[str, Any] = {
    "brooder.heat_off": "2027-04-17",
    "brooder.unheated_low": "12 C",
}


def test_the_night_after_the_leaving_day_is_not_theirs() -> None:
    nights = run_of().value("night_outside", 0)
    assert nights[0] == 10
    assert nights[-2] == 10
    assert nights[-1] is None


def test_a_night_counts_for_the_pen_while_any_group_stays() -> None:
    run = run_of(PULLETS)
    assert run.value("night_outside", 0)[-1] is None
    assert run.value("night_here")[-2] == 10
    assert run.value("night_here")[-1] is None


def test_the_line_falls_with_age_straight_between_its_points() -> None:
    # Out at 21 days: 10 C at three weeks, 4 C at four.
    lines = run_of().value("lowest_night", 0)
    assert lines[0] == 10
    assert lines[7] == 4
    assert lines[3] == pytest.approx(10 - 6 * 3 / 7)


def test_turkeys_have_the_line_of_chickens_two_weeks_younger() -> None:
    chickens = run_of().value("lowest_night", 0)
    turkeys = run_of({"birds.0.kind": "turkey"}, without=["birds.0.growth"])
    assert turkeys.value("lowest_night", 0)[14:] == pytest.approx(chickens[:-14])


def test_the_margin_is_the_night_above_the_line() -> None:
    assert run_of({"weather.night_low": "7 C"}).value("night_margin", 0)[:8:7] == [-3, 3]


def test_hardened_birds_meet_a_cold_night_as_what_they_are() -> None:
    cold: dict[str, Any] = {"weather.night_low": "7 C"}
    assert run_of({**cold, **COOLED}).value("cold_unhardened", 0)[0] is False
    soon = run_of({**cold, **COOLED, "brooder.heat_off": "2027-04-20"})
    # Below the line at three weeks, above it at four.
    assert soon.value("cold_unhardened", 0)[:8:7] == [True, False]


def test_a_drop_of_more_than_twenty_degrees_is_no_hardening() -> None:
    cold = {"weather.night_low": "2 C", **COOLED, "brooder.unheated_low": "22.1 C"}
    assert run_of(cold).value("cold_unhardened", 0)[0] is True
    cold["brooder.unheated_low"] = "22 C"
    assert run_of(cold).value("cold_unhardened", 0)[0] is False


def test_the_brooder_is_not_asked_about_where_the_nights_are_warm() -> None:
    assert missing_keys(run_of(), "cold_unhardened", 0) == set()
    assert missing_keys(run_of({"weather.night_low": "7 C"}), "cold_unhardened", 0) == {
        "brooder.heat_off"
    }


def test_whether_a_drinker_is_heated_is_asked_only_of_frost() -> None:
    assert run_of().value("unheated_night", 0)[0] == 10
    frost = {"weather.night_low": "-3 C"}
    assert missing_keys(run_of(frost), "unheated_night", 0) == {"drinkers.0.heated"}
    assert run_of({**frost, "drinkers.0.heated": "no"}).value("unheated_night", 0)[0] == -3
    assert run_of({**frost, "drinkers.0.heated": "yes"}).value("unheated_night", 0)[0] is None
