"""Facts of the trade about kit, at the size of a whole setup: common practice, no source.

The setups stand under `fixtures/trade`; each fact is shown from both sides, wrong and mended.
"""

from __future__ import annotations

from pathlib import Path

from flockcheck.checkup.check import check
from flockcheck.checkup.model import Report
from flockcheck.files import read_setup_file
from flockcheck.setup.written import Setup
from tests.outside.cases import book, found, grade

TRADE = Path(__file__).parents[2] / "fixtures" / "trade"
PRACTICE = "common practice, no source"
# What a feeder and a drinker must do: room for all, and enough to the next visit.
FEEDING = ("feeder-space-short", "feeder-runs-empty")
DRINKING = ("drinker-space-short", "drinker-runs-dry")
# The same on the day of the move, said of the kit by its name.
BROODER_KIT = ("brooder-kit-too-small", "brooder-drinker-too-small")


def setup(name: str) -> Setup:
    return read_setup_file(str(TRADE / f"{name}.flock.yaml"))


def report(setup: Setup) -> Report:
    came = check(setup, book())
    assert not came.errors and not came.failures
    return came


def bad(came: Report) -> list[str]:
    """The rules that say stop or mend."""
    return [finding.rule for finding in came.findings if finding.grade in ("stop", "mend")]


def test_fact_6_the_feeder_and_drinker_of_the_brooder_do_not_serve_the_flock_on_pasture() -> None:
    came = report(setup("fact-6-brooder-kit"))
    assert {grade(came, rule) for rule in (*FEEDING, *DRINKING)} == {"stop", "mend"}, PRACTICE
    assert {grade(came, rule) for rule in BROODER_KIT} == {"mend"}, PRACTICE
    assert sorted(bad(came)) == sorted([*FEEDING, *DRINKING, *BROODER_KIT])


def test_fact_6_they_do_not_from_the_day_of_the_move() -> None:
    before = setup("fact-6-brooder-kit")
    moved = before.values["birds.0.out"].value
    for rule in ("feeder-runs-empty", "drinker-runs-dry"):
        finding = found(report(before), rule)
        assert finding is not None
        assert finding.grade == "stop"
        assert finding.first == moved
    assert grade(report(before), "feeder-space-short") == "mend"


def test_fact_6_the_same_birds_are_served_by_kit_for_pasture() -> None:
    before, after = setup("fact-6-brooder-kit"), setup("fact-6-pasture-kit")
    changed = {
        key
        for key in before.values.keys() | after.values.keys()
        if key not in before.values
        or key not in after.values
        or before.values[key].value != after.values[key].value
    }
    assert {key.partition(".")[0] for key in changed} == {"name", "feeders", "drinkers"}
    came = report(after)
    served = {grade(came, rule) for rule in (*FEEDING, *DRINKING, *BROODER_KIT)}
    assert served == {"nothing"}, PRACTICE
    assert bad(came) == []


def test_fact_7_without_a_bar_that_rolls_they_perch_on_the_feeder_and_foul_it() -> None:
    came = report(setup("fact-7-trough-without-bar"))
    assert grade(came, "feeder-perched", "feeders.0") == "mend", PRACTICE
    assert grade(came, "feeder-perched", "feeders.1") == "nothing"
    assert bad(came) == ["feeder-perched"]


def test_fact_7_a_bar_that_rolls_keeps_them_off() -> None:
    came = report(setup("fact-7-trough-without-bar").with_value("feeders.0.perch_guard", True))
    assert grade(came, "feeder-perched") == "nothing", PRACTICE
    assert bad(came) == []


def test_fact_8_a_lid_that_is_not_screwed_down_blows_off() -> None:
    came = report(setup("fact-8-lid-lies-loose"))
    assert grade(came, "lid-blows-off") == "stop", PRACTICE
    assert bad(came) == ["lid-blows-off"]
    assert came.verdict == "not ready"


def test_fact_8_screwed_down_it_stays_on() -> None:
    loose = setup("fact-8-lid-lies-loose")
    screwed = loose.with_value("pen.lid_fastened", True).with_value("pen.roof.fixings", 24)
    came = report(screwed)
    assert grade(came, "lid-blows-off") == "nothing", PRACTICE
    assert bad(came) == []


def test_fact_8_to_call_it_fastened_is_not_enough_where_nothing_holds_it() -> None:
    came = report(setup("fact-8-lid-lies-loose").with_value("pen.lid_fastened", True))
    assert grade(came, "lid-blows-off") == "stop", PRACTICE
