"""What is counted over a club's reports: it adds up, in whatever order they come."""

from __future__ import annotations

import functools
import gc
from collections import Counter
from datetime import date
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from flockcheck.checkup.model import Finding, Report, Unchecked, unreadable
from flockcheck.checkup.verdict import open_grade
from flockcheck.reports.clubmodel import Tally
from flockcheck.reports.clubtally import Count, tally
from flockcheck.text.document import Fault
from tests.club.club_cases import judged
from tests.little_cases import birds, may, report

WIDE = ("opening: 20 mm", "opening: 30 mm")
TIGHT = birds(80)
OPEN_END = ("    leaves: 2027-05-31\n", "")
UNWEIGHED = ("  perches: 6 m\n", "")
ENDED = date(2028, 1, 1)


def accepting(rule: str, until: str, item: str = "") -> tuple[str, str]:
    """The change that accepts a risk."""
    about = f", item: {item}" if item else ""
    entry = f"{{rule: {rule}, because: it is known, until: {until}{about}}}"
    return ("care:", f"accepted: [{entry}]\ncare:")


@functools.cache
def kinds() -> tuple[Report, ...]:
    """A report of each kind that a club may meet."""
    return (
        report(),
        report(WIDE),
        report(TIGHT),
        report(WIDE, TIGHT, standards=("little-hall",)),
        report(OPEN_END),
        report(UNWEIGHED, standards=("little-hall",)),
        report(WIDE, accepting("gets-in", "2027-05-31")),
        report(WIDE, accepting("gets-in", "2027-05-10")),
        report(TIGHT, accepting("tight", "2027-05-20")),
        report(("mesh: {opening: 20 mm, skirt: 30 cm}\n", "")),
        report(WIDE, on=ENDED),
        judged("predators: [rat]\nrequires: [mesh.wire]", WIDE),
        unreadable("x", (Fault(3, 1, "", "it is not so"),)),
    )


def club_of(picks: list[int]) -> list[Report]:
    """Reports of these kinds, each of a file of its own."""
    every = kinds()
    return [
        every[pick % len(every)]._replace(file=f"m{at:03}.flock.yaml")
        for at, pick in enumerate(picks)
    ]


picked = st.lists(st.integers(0, 12), max_size=30)


def live(reports: list[Report]) -> list[Report]:
    return [one for one in reports if one.verdict not in ("over", "unreadable")]


@given(picked)
@settings(deadline=None, max_examples=60)
def test_the_counts_add_up_to_the_setups(picks: list[int]) -> None:
    reports = club_of(picks)
    found = tally(reports)
    asked = live(reports)
    assert sum(found.verdicts.values()) == len(found.members) == len(reports)
    assert found.verdicts["ready until"] == len(found.endings)
    for rule in found.common:
        assert sum(rule.grades.values()) == rule.setups <= min(rule.findings, len(asked))
    for predator in found.predators:
        lists = (*predator.accepted, *predator.unknown, *(one.file for one in predator.unanswered))
        assert len(set(lists)) == len(lists) <= predator.listed <= len(asked)
    for standard in found.standards:
        sure = [one for one in asked if standard.name in {own.name for own in one.standards}]
        assert standard.met + standard.not_met + standard.open == len(sure)
    for question in found.questions:
        assert 1 <= question.setups <= question.not_checked + question.partly
    for key in found.keys:
        assert key.alone <= key.questions >= key.setups >= 1


@given(picked)
@settings(deadline=None, max_examples=60)
def test_every_finding_is_counted_or_accepted(picks: list[int]) -> None:
    reports = club_of(picks)
    found = tally(reports)
    every = [finding for one in live(reports) for finding in one.findings]
    assert sum(rule.findings for rule in found.common) == sum(one.counts for one in every)
    accepted = sum(len(risk.about) for risk in found.risks)
    assert accepted == sum(one.accepted is not None for one in every)
    for grade in ("stop", "mend", "watch", "tip"):
        rules = {
            (one.file, finding.rule)
            for one in live(reports)
            for finding in one.findings
            if finding.counts and open_grade(finding) == grade
        }
        assert sum(rule.grades[grade] for rule in found.common) <= len(rules)


@given(picked, st.randoms(use_true_random=False))
@settings(deadline=None, max_examples=60)
def test_the_order_of_the_reports_changes_nothing(picks: list[int], order: Any) -> None:
    reports = club_of(picks)
    mixed = list(reports)
    order.shuffle(mixed)
    assert tally(mixed) == tally(reports)


@given(picked, picked)
@settings(deadline=None, max_examples=40)
def test_two_clubs_together_have_what_both_have(one: list[int], other: list[int]) -> None:
    reports = club_of([*one, *other])
    whole = tally(reports)
    parts = (tally(reports[: len(one)]), tally(reports[len(one) :]))

    def rules(found: Tally) -> Counter[str]:
        return Counter({rule.rule: rule.setups for rule in found.common})

    def keys(found: Tally) -> Counter[str]:
        return Counter({key.key: key.questions for key in found.keys})

    assert rules(whole) == rules(parts[0]) + rules(parts[1])
    assert keys(whole) == keys(parts[0]) + keys(parts[1])
    assert len(whole.risks) == len(parts[0].risks) + len(parts[1].risks)


def test_the_kinds_are_of_every_verdict() -> None:
    assert {one.verdict for one in kinds()} >= {
        "ready", "ready until", "not ready", "over", "unreadable",
    }  # fmt: skip


def only(found: Report) -> Tally:
    return tally([found._replace(file="a.flock.yaml")])


def test_a_predator_that_gets_in_has_no_answer() -> None:
    found = only(report(WIDE))
    (fox, mink) = sorted(found.predators, key=lambda one: one.name)
    assert (fox.listed, fox.unanswered) == (1, ())
    (member,) = mink.unanswered
    assert (member.file, member.grade, member.rules) == ("a.flock.yaml", "stop", ("gets-in",))


def test_the_clubs_predator_is_told_by_its_name() -> None:
    found = only(judged("predators: [rat]", WIDE))
    assert {one.name for one in found.predators if one.unanswered} == {"mink", "rat"}


def test_a_predator_that_is_accepted_to_the_end_is_told_as_accepted() -> None:
    found = only(report(WIDE, accepting("gets-in", "2027-05-31")))
    mink = next(one for one in found.predators if one.name == "mink")
    assert (mink.unanswered, mink.accepted) == ((), ("a.flock.yaml",))
    assert "gets-in" not in {rule.rule for rule in found.common}


def test_a_predator_of_which_too_little_is_written_is_not_known() -> None:
    found = only(report(("mesh: {opening: 20 mm, skirt: 30 cm}\n", "")))
    assert [one.unknown for one in found.predators] == [("a.flock.yaml",)] * 2
    key = next(one for one in found.keys if one.key == "mesh.opening")
    assert key.questions >= 2


def test_the_day_on_which_a_flock_stops_being_ready_says_why() -> None:
    crowded = only(report(TIGHT))
    (ending,) = crowded.endings
    assert ending.rules == ("tight",)
    assert not ending.open_end


def test_a_stay_without_an_end_is_ready_as_far_as_was_looked() -> None:
    found = report(OPEN_END)
    (ending,) = only(found).endings
    assert (ending.day, ending.rules, ending.open_end) == (found.looked_until, (), True)


def test_an_acceptance_that_runs_out_ends_a_flock_and_still_is_told() -> None:
    found = only(report(WIDE, accepting("gets-in", "2027-05-10")))
    (ending,) = found.endings
    assert (ending.day, ending.rules) == (may(10), ("gets-in",))
    (risk,) = found.risks
    assert (risk.until, risk.because, risk.about) == (may(10), "it is known", ("predators.1",))


def test_nothing_is_asked_of_a_stay_that_is_over() -> None:
    found = only(report(WIDE, accepting("tight", "2027-05-20"), on=ENDED))
    assert found.verdicts["over"] == 1
    assert (found.common, found.risks, found.predators, found.questions) == ((), (), (), ())


def test_what_could_not_be_opened_is_unreadable() -> None:
    count = Count()
    count.unread("a.flock.yaml", "it is not there")
    found = count.tally()
    assert found.verdicts["unreadable"] == len(found.members) == 1
    assert found.members[0].standing.worst == "it is not there"


def test_no_report_is_kept() -> None:
    count = Count()
    for one in kinds():
        count.add(one)
    seen: set[int] = set()
    waiting: list[Any] = [count.__dict__]
    while waiting:
        here = waiting.pop()
        if id(here) not in seen and not isinstance(here, (type, str)):
            seen.add(id(here))
            assert not isinstance(here, (Report, Finding, Unchecked))
            waiting += gc.get_referents(here) if gc.is_tracked(here) else []
    assert len(seen) > 20


def test_what_stops_or_wants_mending_in_most_setups_comes_first() -> None:
    found = tally(club_of([1, 1, 2, 3, 6, 7, 9]))
    weights = [one.grades["stop"] + one.grades["mend"] for one in found.common]
    assert weights == sorted(weights, reverse=True)
    assert found.common[0].rule == "gets-in"
    assert len(set(weights)) > 1
