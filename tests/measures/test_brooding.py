"""How the chicks were kept warm, and whether they are hardened to the cold."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from flockcheck.setup.view import Missing
from tests.measures.measure_cases import PULLETS, missing_keys, run_of

# Three weeks in the brooder, out on 22 April.
LOG = {
    "brooder.log.0.date": "2027-04-02",
    "brooder.log.0.temperature": "34 C",
    "brooder.log.1.date": "2027-04-12",
    "brooder.log.1.temperature": "28 C",
    "brooder.log.2.date": "2027-04-18",
    "brooder.log.2.temperature": "15 C",
}
COOLED: dict[str, Any] = {**LOG, "brooder.heat_off": "2027-04-17", "brooder.unheated_low": "12 C"}


def test_the_days_without_heat_run_from_heat_off_to_the_move() -> None:
    assert run_of(COOLED).value("days_unheated", 0) == 5
    assert run_of({**COOLED, "brooder.heat_off": "2027-04-22"}).value("days_unheated", 0) == 0
    assert run_of({**COOLED, "brooder.heat_off": "2027-04-25"}).value("days_unheated", 0) == 0


def test_a_log_without_heat_off_is_taken_to_end_with_the_heat_on() -> None:
    run = run_of(LOG)
    assert run.value("days_unheated", 0) == 0
    assert run.value("lowest_indoors", 0) == 15


def test_cold_nights_without_a_day_on_which_the_heat_went_off_leave_it_open() -> None:
    assert missing_keys(run_of({**LOG, "brooder.unheated_low": "9 C"}), "days_unheated", 0) == {
        "brooder.heat_off"
    }
    assert missing_keys(run_of(), "days_unheated", 0) == {"brooder.heat_off"}


def test_chicks_under_a_hen_were_never_heated() -> None:
    assert run_of({"brooder.heat": "none"}).value("days_unheated", 0) == 21


def test_the_lowest_indoors_is_the_least_of_the_log_after_heat_off_and_of_the_coldest_night() -> (
    None
):
    assert run_of(COOLED).value("lowest_indoors", 0) == 12
    assert run_of({**COOLED, "brooder.unheated_low": "18 C"}).value("lowest_indoors", 0) == 15
    without = run_of(COOLED, without=["brooder.unheated_low"])
    assert without.value("lowest_indoors", 0) == 15


def test_warmer_entries_from_before_heat_off_do_not_count() -> None:
    later = run_of({**COOLED, "brooder.heat_off": "2027-04-19"}, without=["brooder.unheated_low"])
    assert missing_keys(later, "lowest_indoors", 0) == {"brooder.unheated_low"}


def test_the_first_night_is_that_of_the_period_that_covers_it() -> None:
    cold = {
        "weather.periods.0.from": "2027-04-20",
        "weather.periods.0.to": "2027-04-23",
        "weather.periods.0.night_low": "1 C",
    }
    assert run_of(COOLED).value("first_night_drop", 0) == 2
    assert run_of({**COOLED, **cold}).value("first_night_drop", 0) == 11


def test_a_brooder_is_asked_about_only_for_birds_that_come_young_from_it() -> None:
    assert run_of(COOLED).value("needs_hardening", 0) is True
    grown = run_of({**COOLED, "birds.0.hatched": "2027-02-25"})
    assert grown.value("needs_hardening", 0) is False
    turkeys = {"birds.0.kind": "turkey", "birds.0.hatched": "2027-02-25"}
    poults = run_of({**COOLED, **turkeys}, without=["birds.0.growth"])
    assert poults.value("needs_hardening", 0) is True


def test_the_brooder_is_that_of_the_youngest_and_says_nothing_of_others() -> None:
    both = run_of({**COOLED, **PULLETS})
    assert both.value("needs_hardening", 1) is True
    with pytest.raises(Missing) as caught:
        both.value("needs_hardening", 0)
    assert caught.value.why == "the brooder in the file is that of the youngest birds"
    mates = run_of({**COOLED, **PULLETS, "birds.1.hatched": "2027-04-04"})
    assert mates.value("needs_hardening", 0) is True


def test_the_log_is_held_against_the_curve_on_its_own_days() -> None:
    run = run_of(LOG)
    # 35 C less 2.8 C a week: 34.6 after one day, 30.6 after eleven, 28.2 after seventeen.
    assert run.value("brooder_cold") == pytest.approx(2.6, abs=0.01)
    assert run.value("brooder_coldest_on") == date(2027, 4, 12)
    assert run.value("brooder_hot") == 0
    assert run.value("first_week_low") == 34


def test_less_heat_than_the_curve_is_no_fault_once_they_are_hardened_off() -> None:
    # 15 C on the seventeenth day is 13 C short of the curve, and meant.
    assert run_of(LOG).value("brooder_cold") < 3


def test_too_much_heat_is_a_fault_at_every_age() -> None:
    hot = run_of({**LOG, "brooder.log.2.temperature": "31 C"})
    assert hot.value("brooder_hot") == pytest.approx(2.8, abs=0.01)
    assert hot.value("brooder_hottest_on") == date(2027, 4, 18)


def test_without_an_entry_in_the_time_that_counts_nothing_is_said() -> None:
    late = run_of({"brooder.log.0.date": "2027-04-20", "brooder.log.0.temperature": "20 C"})
    assert late.value("brooder_cold") is None
    assert late.value("first_week_low") is None
    assert late.value("brooder_hot") == 0
    assert missing_keys(run_of(), "brooder_cold") == {"brooder.log"}
