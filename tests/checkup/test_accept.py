"""Risks that the keeper takes knowingly: what they cover, until when, and what stays open."""

from __future__ import annotations

from typing import Any

import pytest

from flockcheck.checkup.model import Acceptance, Report
from flockcheck.checkup.verdict import open_grade
from tests.little_cases import birds, found, may, report, rules_found

LAMP = ("lamp_supports: 2", "lamp_supports: 1")
HOT = ("rain: yes}", "rain: yes, periods: [{from: 2027-05-20, to: 2027-05-25, day_high: 33 C}]}")


def accepted(*entries: str) -> tuple[str, str]:
    listed = "".join(f"  - {{{entry}, because: so it is}}\n" for entry in entries)
    return ("care:", f"accepted:\n{listed}care:")


def accepting(entry: str, *changes: tuple[str, str], **options: Any) -> Report:
    return report(*changes, accepted(entry), **options)


def test_an_acceptance_covers_its_days_and_leaves_the_later_ones_open() -> None:
    """The mend of 12 May is accepted until the 15th."""
    held = accepting("rule: tight, until: 2027-05-15", birds(100))
    tight = found(held, "tight")
    assert tight.accepted == Acceptance("so it is", may(15))
    assert tight.open_from == may(16)
    assert (held.verdict, held.ready_until) == ("ready until", may(15))
    assert held.counts["stop"] == 1


def test_one_accepted_to_its_end_stays_in_the_list_and_leaves_counts_and_verdict() -> None:
    held = accepting("rule: tight, until: 2027-05-31", birds(100))
    tight = found(held, "tight")
    assert (tight.open_from, tight.counts) == (None, False)
    assert held.verdict == "ready"
    assert held.counts == {"stop": 0, "mend": 0, "watch": 0, "tip": 0}


def test_the_grade_that_counts_is_the_worst_of_the_days_left_open() -> None:
    mixed = accepting("rule: tight, until: 2027-05-25", birds(85))
    tight = found(mixed, "tight")
    assert (tight.grade, open_grade(tight)) == ("stop", "stop")
    end = accepting("rule: tight, until: 2027-05-20", birds(80))
    assert open_grade(found(end, "tight")) == "mend"


def test_a_finding_without_days_is_covered_up_to_the_day_and_open_after_it() -> None:
    held = accepting("rule: words, until: 2027-05-10", ("latches: two-step", "latches: simple"))
    assert found(held, "words").open_from == may(11)
    assert (held.verdict, held.ready_until) == ("ready until", may(10))


def test_an_acceptance_that_ended_before_the_stay_covers_nothing() -> None:
    late = accepting("rule: words, until: 2027-04-10", ("latches: two-step", "latches: simple"))
    words = found(late, "words")
    assert words.accepted == Acceptance("so it is", may(1).replace(month=4, day=10))
    assert (late.verdict, late.counts["mend"], words.open_from) == ("not ready", 1, may(1))


def test_where_someone_can_get_hurt_it_ends_thirty_days_after_the_first_day() -> None:
    """A loose lamp has no days of its own: 30 days from `out`."""
    lamp = found(accepting("rule: lamp-loose, until: 2027-12-31", LAMP), "lamp-loose")
    assert lamp.accepted == Acceptance("so it is", may(31), "caution")
    longer = accepting(
        "rule: lamp-loose, until: 2027-12-31", LAMP, ("leaves: 2027-05-31", "leaves: 2027-06-30")
    )
    assert (longer.verdict, longer.ready_until) == ("ready until", may(31))
    cold = ("night_low: 12 C", "night_low: 8 C")
    nights = found(accepting("rule: cold-nights, until: 2027-05-03", cold), "cold-nights")
    assert nights.accepted == Acceptance("so it is", may(3))
    assert nights.open_from == may(4)


def test_an_acceptance_for_one_item_covers_no_other() -> None:
    wide = ("opening: 20 mm", "opening: 60 mm")
    one = accepting("rule: gets-in, item: predators.1, until: 2027-05-31", wide)
    covers = {finding.about: finding.counts for finding in one.findings}
    assert covers == {"predators.0": True, "predators.1": False}
    assert one.verdict == "not ready"
    both = accepting("rule: gets-in, until: 2027-05-31", wide)
    assert both.verdict == "ready"


def test_of_two_acceptances_the_longer_counts_whatever_their_order() -> None:
    entries = ["rule: words, until: 2027-05-20", "rule: words, until: 2027-05-10"]
    for order in (entries, entries[::-1]):
        held = report(("latches: two-step", "latches: simple"), accepted(*order))
        assert found(held, "words").open_from == may(21)


def test_one_that_covers_nothing_is_a_tip_at_its_own_line() -> None:
    vain = accepting("rule: words, until: 2027-05-31")
    tip = found(vain, "accepted-nothing")
    assert (tip.grade, tip.place.path) == ("tip", "accepted.0.rule")
    assert tip.says == "`words` is accepted, but it finds nothing in this setup."
    assert vain.verdict == "ready"
    other = accepting(
        "rule: gets-in, item: predators.7, until: 2027-05-31", ("opening: 20 mm", "opening: 60 mm")
    )
    assert found(other, "accepted-nothing").says.endswith("it finds nothing for predators.7.")


@pytest.mark.parametrize(
    "unsure", [("  latches: two-step\n", ""), ("footwear: dedicated", "hands_washed: yes")]
)
def test_one_whose_rule_can_not_be_judged_in_full_is_not_called_vain(
    unsure: tuple[str, str],
) -> None:
    assert "accepted-nothing" not in rules_found(
        accepting("rule: words, until: 2027-05-31", unsure)
    )


def test_an_accepted_finding_hides_no_other_on_its_accepted_days() -> None:
    """Too many for the heat hides the scant roof; accepted until the 22nd, it does so after."""
    scant = ("cover: 60 %", "cover: 10 %")
    held = accepting("rule: hot-and-tight, until: 2027-05-22", birds(60), HOT, scant)
    spans = found(held, "roof-scant").spans
    assert [(span.first, span.last) for span in spans] == [
        (may(1), may(22)),
        (may(26), may(31)),
    ]


def test_a_finding_that_another_hides_is_accepted_all_the_same() -> None:
    always = ("day_high: 20 C", "day_high: 31 C")
    held = accepting("rule: roof-scant, until: 2027-05-31", always, ("cover: 60 %", "cover: 10 %"))
    assert rules_found(held) == ["roof-scant", "hot-and-tight"]
    (left,) = held.findings[0].spans
    assert (left.last, held.findings[0].counts) == (may(11), False)
