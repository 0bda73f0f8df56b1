"""The few dates that a report tells: who comes and goes, what begins, and the last good day."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from flockcheck.checkup.check import check
from flockcheck.checkup.model import Report
from flockcheck.reports.dates import dates_of
from tests.checkup.test_accept import accepted
from tests.checkup.test_verdict import NO_END, WARM, cold_spells, more_birds
from tests.little_cases import birds, may, report
from tests.outside.cases import book
from tests.reports.working_cases import fixture, fixtures

SIMPLE = ("latches: two-step", "latches: simple")


def told(of: Report) -> dict[date, list[str]]:
    days = dates_of(of)
    assert [day for day, _ in days] == sorted({day for day, _ in days})
    return dict(days)


def test_where_nothing_changes_there_are_no_dates() -> None:
    assert told(report()) == {}
    assert told(report(SIMPLE)) == {}


def test_a_finding_has_a_day_for_each_grade_that_is_worse_than_before() -> None:
    """100 birds pass 15, 20 and 25 kg/m2 past 30, 40 and 50 days: on 2, 12 and 22 May."""
    assert told(report(birds(100))) == {
        may(1): ["birds move in"],
        may(2): ["the floor is tight (watch)"],
        may(11): ["last good day"],
        may(12): ["the floor is tight (mend)"],
        may(22): ["the floor is tight (stop)"],
        may(31): ["last day"],
    }


def test_a_finding_of_the_first_day_has_no_date_until_it_gets_worse() -> None:
    """130 birds are at 19.5 kg/m2 on the first day and past 20 on the next."""
    days = told(report(birds(130)))
    assert days[may(1)] == ["birds move in", "last good day"]
    assert days[may(2)] == ["the floor is tight (mend)"]


def test_a_finding_that_comes_again_is_dated_once() -> None:
    twice = cold_spells(("05-04", "05-05"), ("05-09", "05-10"))
    assert told(report(twice)) == {
        may(1): ["birds move in"],
        may(3): ["last good day"],
        may(4): ["the nights are too cold for their age (stop)"],
        may(31): ["last day"],
    }


def test_each_arrival_and_each_leaving_but_the_last_has_its_day() -> None:
    two = report(birds(20), WARM, more_birds(1, "2027-05-10", "2027-06-20", "2027-04-10"))
    assert told(two) == {
        may(1): ["20 meat chickens move in"],
        may(10): ["1 meat chicken moves in"],
        may(31): ["20 meat chickens leave"],
        date(2027, 6, 20): ["last day"],
    }


def test_groups_that_come_together_are_told_together() -> None:
    two = report(birds(20), WARM, more_birds(3, "2027-05-01", "2027-06-20"))
    assert told(two)[may(1)] == ["23 meat chickens move in"]


def test_without_an_end_the_last_day_is_as_far_as_was_looked() -> None:
    open_end = report(NO_END, birds(60))
    days = told(open_end)
    assert days[date(2027, 6, 26)] == ["as far as looked"]
    assert ["last good day"] in days.values()
    quiet = told(report(NO_END, birds(10), more_birds(2, "2027-05-20"), WARM))
    assert [says for says in quiet.values() if "last good day" in says] == []


def test_what_is_accepted_to_its_end_has_no_date() -> None:
    assert told(report(birds(100), accepted("rule: tight, until: 2027-05-31"))) == {}


def test_an_acceptance_that_runs_out_says_when() -> None:
    held = told(report(birds(100), accepted("rule: tight, until: 2027-05-15")))
    assert held[may(15)] == ["last good day"]
    assert held[may(16)] == ["the floor is tight, no longer accepted (mend)"]
    assert may(2) not in held and may(12) not in held
    words = told(report(SIMPLE, accepted("rule: words, until: 2027-05-10")))
    assert words[may(11)] == ["something is not kept as it should be, no longer accepted (mend)"]


def test_an_acceptance_that_ended_before_the_finding_changes_no_date() -> None:
    late = report(birds(100), accepted("rule: tight, until: 2027-05-01"))
    assert told(late)[may(2)] == ["the floor is tight (watch)"]


@pytest.mark.parametrize("path", fixtures())
def test_the_dates_of_a_whole_setup_agree_with_its_verdict_and_findings(path: str) -> None:
    setup = fixture(path)
    assert setup is not None
    of = check(setup, book())
    days = told(of)
    if not days:
        assert all(span.first == of.first_day for one in of.findings for span in one.spans[:1])
        return
    assert of.first_day is not None and of.looked_until is not None
    assert (min(days), max(days)) == (of.first_day, of.looked_until)
    bad = [
        day for day, says in days.items() if any(one.endswith(("(stop)", "(mend)")) for one in says)
    ]
    good = [day for day, says in days.items() if "last good day" in says]
    if of.verdict == "ready until" and not of.open_end:
        assert good == [of.ready_until] == [min(bad) - timedelta(days=1)]
    else:
        assert good == [] or of.verdict == "ready until"
    for finding in of.findings:
        for span in finding.spans[:1]:
            title = finding.title[:1].lower() + finding.title[1:]
            if span.first > of.first_day and span.grade != "tip":
                assert f"{title} ({span.grade})" in days[span.first]
