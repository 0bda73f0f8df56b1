"""A fact of the trade about cold, at the size of a whole setup: common practice, no source.

From a brooder at 29 C straight into nights of 2 C at three and a half weeks: stop. After about two
weeks of hardening off: to mend at most.
"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from flockcheck.checkup.check import check
from flockcheck.checkup.model import Report
from flockcheck.files import read_setup_file
from flockcheck.setup.written import Setup
from tests.outside.cases import book, found, grade

TRADE = Path(__file__).parents[2] / "fixtures" / "trade"
PRACTICE = "common practice, no source"


def setup(name: str) -> Setup:
    return read_setup_file(str(TRADE / f"fact-3-{name}.flock.yaml"))


def report(setup: Setup) -> Report:
    came = check(setup, book())
    assert not came.errors and not came.failures
    return came


def bad(came: Report) -> dict[str, str]:
    """The rules that say stop or mend, with the grade."""
    return {one.rule: one.grade for one in came.findings if one.grade in ("stop", "mend")}


def test_fact_3_straight_from_a_warm_brooder_into_cold_nights_is_a_stop() -> None:
    straight = setup("straight-from-the-brooder")
    assert straight.values["brooder.log.3.temperature"].value == 29
    assert straight.values["weather.night_low"].value == 2
    age = straight.values["birds.0.out"].value - straight.values["birds.0.hatched"].value
    assert age == timedelta(days=25)
    came = report(straight)
    assert bad(came) == {"cold-for-age": "stop", "not-hardened": "stop"}, PRACTICE
    assert came.verdict == "not ready"


def test_fact_3_hardened_off_for_two_weeks_the_same_birds_have_it_to_mend_at_most() -> None:
    hardened = setup("hardened-off")
    out = hardened.values["birds.0.out"].value
    begun = hardened.values["brooder.log.2.date"].value
    assert out - begun == timedelta(days=14)
    came = report(hardened)
    assert set(bad(came).values()) <= {"mend"}, PRACTICE
    assert grade(came, "not-hardened") == "nothing"
    assert grade(came, "brooder-off-curve") == "nothing"


def test_fact_3_the_two_setups_differ_in_the_brooder_alone() -> None:
    straight, hardened = setup("straight-from-the-brooder"), setup("hardened-off")
    both = straight.values.keys() | hardened.values.keys()
    other = {
        key
        for key in both
        if key not in straight.values
        or key not in hardened.values
        or straight.values[key].value != hardened.values[key].value
    }
    assert {key.partition(".")[0] for key in other} == {"name", "brooder"}


def test_fact_3_two_weeks_later_hardened_birds_bear_the_same_nights() -> None:
    hardened = setup("hardened-off").with_value("birds.0.out", date(2027, 4, 30))
    assert bad(report(hardened)) == {}, PRACTICE


def test_fact_3_age_alone_does_not_harden_them() -> None:
    # Two weeks older, but from a brooder that was heated to the last evening.
    straight = setup("straight-from-the-brooder")
    straight = straight.with_value("birds.0.out", date(2027, 4, 30))
    straight = straight.with_value("brooder.heat_off", date(2027, 4, 30))
    finding = found(report(straight), "not-hardened")
    assert finding is not None
    assert finding.grade == "stop", PRACTICE


@pytest.mark.parametrize("night", [2.0, 7.0, 12.0, 18.0])
def test_warm_nights_take_the_stop_away_by_and_by(night: float) -> None:
    straight = setup("straight-from-the-brooder").with_value("weather.night_low", night)
    expected = {2.0: "stop", 7.0: "stop", 12.0: "mend", 18.0: "mend"}
    assert grade(report(straight), "not-hardened") == expected[night]
    assert (grade(report(straight), "cold-for-age") == "stop") == (night == 2.0)
