"""May the birds move in, and until when: the verdict in every case."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flockcheck.checkup.check import check
from flockcheck.checkup.verdict import verdict
from flockcheck.setup.reader import read_setup_text
from tests.little_cases import birds, little, may, report

NO_END = ("    leaves: 2027-05-31\n", "")
BARE = """flockcheck: 1
pen: {length: 4 m, width: 2.5 m}
birds: [{kind: meat chicken, growth: medium, count: 40, hatched: 2027-04-01, out: 2027-05-01}]
"""


def test_nothing_open_is_ready() -> None:
    assert (report().verdict, report().ready_until) == ("ready", None)


def test_a_stop_or_mend_that_begins_later_is_ready_until_the_day_before() -> None:
    """With 100 birds the watch of 2 May leaves the birds in; the mend of the 12th ends it."""
    crowded = report(birds(100))
    assert (crowded.verdict, crowded.ready_until) == ("ready until", may(11))


@pytest.mark.parametrize(
    "change",
    [
        ("latches: two-step", "latches: simple"),  # holds all the time
        ("night_low: 12 C", "night_low: 8 C"),  # from the first day
        ("lamp_supports: 2", "lamp_supports: 1"),  # of the brooding
        ("out: 2027-05-01", "out: 2027-04-18"),  # on the first day alone
    ],
)
def test_one_from_the_first_day_or_without_days_is_not_ready(change: tuple[str, str]) -> None:
    assert (report(change).verdict, report(change).ready_until) == ("not ready", None)


def test_watches_and_tips_hold_nobody_back() -> None:
    mild = report(birds(60), ("store: sealed", "store: open"))
    assert {one.grade for one in mild.findings} == {"watch", "tip"}
    assert mild.verdict == "ready"


def test_a_stay_without_an_end_is_ready_as_far_as_it_was_looked() -> None:
    open_end = report(NO_END)
    assert (open_end.verdict, open_end.ready_until) == ("ready until", may(1) + timedelta(days=56))
    further = report(NO_END, ("flockcheck: 1", "flockcheck: 1\nlook_ahead: 10 days"))
    assert further.ready_until == further.looked_until == may(11)


def test_one_group_without_an_end_leaves_the_whole_stay_open() -> None:
    more = "bought_in: no\n  - {kind: meat chicken, growth: slow, count: 1, hatched: 2027-04-10, "
    warm = ("night_low: 12 C", "night_low: 16 C")
    both = report(("bought_in: no", more + "out: 2027-05-03}"), warm)
    assert (both.verdict, both.ready_until) == ("ready until", date(2027, 6, 28))
    assert both.open_end


def test_groups_that_come_later_count_from_their_own_first_day() -> None:
    """The second group comes too young, on 10 May; until then nothing is wrong."""
    more = "bought_in: no\n  - {kind: meat chicken, growth: slow, count: 1, hatched: 2027-05-01, "
    both = report(("bought_in: no", more + "out: 2027-05-10, leaves: 2027-05-31}"))
    assert (both.verdict, both.ready_until) == ("ready until", may(9))


def test_too_little_written_cannot_say() -> None:
    bare = check(read_setup_text(BARE, "bare.flock.yaml"), little())
    assert (bare.verdict, bare.ready_until) == ("cannot say", None)
    assert 2 * bare.checked < bare.asked


def test_an_open_stop_is_not_ready_however_little_is_known() -> None:
    crowd = BARE.replace("count: 40", "count: 400")
    assert check(read_setup_text(crowd, "crowd.flock.yaml"), little()).verdict == "not ready"


def test_a_stay_that_has_ended_is_over_whatever_it_finds() -> None:
    bad = ("latches: two-step", "latches: simple")
    assert report(bad, on=date(2027, 6, 1)).verdict == "over"
    assert report(bad, on=may(31)).verdict == "not ready"


DAYS = [may(1) + timedelta(days=at) for at in range(31)]


@given(st.none() | st.integers(0, 30), st.booleans(), st.booleans())
def test_the_last_good_day_comes_before_the_first_bad_one(
    bad: int | None, open_end: bool, enough: bool
) -> None:
    first_bad = None if bad is None else DAYS[bad]
    said, until = verdict(first_bad, DAYS, open_end=open_end, enough=enough)
    assert (until is not None) == (said == "ready until")
    if until is not None and first_bad is not None:
        assert until == first_bad - timedelta(days=1)
    assert (said == "not ready") == (bad == 0)
    assert said != "ready" or (first_bad is None and enough and not open_end)
