"""May the birds move in, and until when: the verdict in every case."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flockcheck.checkup.check import check
from flockcheck.checkup.verdict import verdict
from flockcheck.setup.reader import read_setup_text
from tests.checkup.test_accept import accepted
from tests.little_cases import birds, found, little, may, report

Change = tuple[str, str]
NO_END = ("    leaves: 2027-05-31\n", "")
WARM = ("night_low: 12 C", "night_low: 16 C")
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
    both = report(("bought_in: no", more + "out: 2027-05-03}"), WARM)
    assert (both.verdict, both.ready_until) == ("ready until", date(2027, 6, 28))
    assert both.open_end


def more_birds(count: int, out: str, leaves: str = "", hatched: str = "2027-04-01") -> Change:
    """The change to a second group of medium meat chickens."""
    keys = f"count: {count}, hatched: {hatched}, out: {out}" + (leaves and f", leaves: {leaves}")
    return "bought_in: no", f"bought_in: no\n  - {{kind: meat chicken, growth: medium, {keys}}}"


def period(first: str, last: str, says: str) -> str:
    """Days of 2027 with weather of their own."""
    return f"{{from: 2027-{first}, to: 2027-{last}, {says}}}"


def test_birds_without_an_end_are_in_the_pen_as_long_as_any_others() -> None:
    """Twenty stay on without an end, and fifty are with them in June and July.

    At A days 20 A and 50 (A - 30) birds' days make a load of (70 A - 1500) / 200 kg/m2, which
    passes 25, the stop, at 93 days: on 3 July, after the 56 days for which the twenty alone would
    have been looked at. The fifty by themselves have 23 kg/m2 on their last day.
    """
    fifty = more_birds(50, "2027-06-01", "2027-08-01", "2027-05-01")
    both = report(birds(20), NO_END, fifty)
    assert both.looked_until == date(2027, 8, 1)
    stop = next(span for span in found(both, "tight").spans if span.grade == "stop")
    assert (stop.first, stop.last) == (date(2027, 7, 3), date(2027, 8, 1))
    alone = report(birds(20), ("leaves: 2027-05-31", "leaves: 2027-05-20"), fifty)
    assert {span.grade for span in found(alone, "tight").spans} == {"watch", "mend"}


def test_with_two_open_ends_it_is_looked_ahead_from_the_later_one() -> None:
    both = report(NO_END, birds(10), WARM, more_birds(10, "2027-05-20", hatched="2027-04-15"))
    assert both.looked_until == date(2027, 5, 20) + timedelta(days=56)
    assert both.open_end


def test_a_group_that_leaves_before_the_next_comes_leaves_the_pen_to_it() -> None:
    """Nothing is wrong while the pen stands empty, nor with the second flock till it is heavy."""
    change = more_birds(60, "2027-06-20", "2027-08-01", "2027-05-20")
    two = report(("leaves: 2027-05-31", "leaves: 2027-05-20"), change)
    # 60 birds of 50 g a day are over 20 kg/m2, the mend, past 66 days: on 26 July.
    assert (two.verdict, two.ready_until) == ("ready until", date(2027, 7, 25))


def cold_spells(*days: tuple[str, str]) -> Change:
    """The change to nights that are too cold on these days, for birds under six weeks."""
    listed = ", ".join(period(first, last, "night_low: 2 C") for first, last in days)
    return "rain: yes}", f"rain: yes, periods: [{listed}]}}"


@pytest.mark.parametrize("end", [NO_END, ("care:", "care:")], ids=["open", "written"])
def test_a_finding_that_ends_again_ends_the_good_days_all_the_same(end: Change) -> None:
    again = report(cold_spells(("05-06", "05-08")), end)
    assert found(again, "cold-nights").spans[-1].last == may(8)
    assert (again.verdict, again.ready_until) == ("ready until", may(5))


def test_a_finding_that_comes_twice_counts_from_the_first_open_day() -> None:
    twice = cold_spells(("05-04", "05-05"), ("05-09", "05-10"))
    assert report(twice).ready_until == may(3)
    for until, ready_until in (
        ("2027-05-04", may(4)),
        ("2027-05-05", may(8)),
        ("2027-05-07", may(8)),
        ("2027-05-09", may(9)),
    ):
        held = report(twice, accepted(f"rule: cold-nights, until: {until}"))
        assert (held.verdict, held.ready_until) == ("ready until", ready_until)
    assert report(twice, accepted("rule: cold-nights, until: 2027-05-10")).verdict == "ready"


@pytest.mark.parametrize(
    ("until", "verdict_", "ready_until"),
    [
        ("2027-04-10", "not ready", None),  # before the birds come
        ("2027-04-30", "not ready", None),  # on the eve
        ("2027-05-01", "ready until", may(1)),  # on the first day
        ("2027-05-30", "ready until", may(30)),  # on the last day but one
        ("2027-05-31", "ready", None),  # on the last day
        ("2027-12-31", "ready", None),  # long after
    ],
)
def test_an_acceptance_carries_the_good_days_to_its_own_last(
    until: str, verdict_: str, ready_until: date | None
) -> None:
    simple = ("latches: two-step", "latches: simple")
    held = report(simple, accepted(f"rule: words, until: {until}"))
    assert (held.verdict, held.ready_until) == (verdict_, ready_until)


def test_an_acceptance_past_what_was_looked_at_is_ready_only_as_far_as_that() -> None:
    simple = ("latches: two-step", "latches: simple")
    held = report(simple, NO_END, accepted("rule: words, until: 2028-12-31"))
    assert (held.verdict, held.ready_until) == ("ready until", held.looked_until)


def test_of_two_findings_the_earlier_open_day_counts() -> None:
    """The latches are accepted to the 8th, the crowd begins to mend on the 12th and is not."""
    simple = ("latches: two-step", "latches: simple")
    for until, ready_until in (("2027-05-08", may(8)), ("2027-05-20", may(11))):
        both = report(simple, birds(100), accepted(f"rule: words, until: {until}"))
        assert (both.verdict, both.ready_until) == ("ready until", ready_until)


def test_an_accepted_brooding_finding_runs_out_in_the_stay() -> None:
    lamp = ("lamp_supports: 2", "lamp_supports: 1")
    held = report(lamp, accepted("rule: lamp-loose, until: 2027-05-09"))
    assert (held.verdict, held.ready_until) == ("ready until", may(9))


def test_a_stay_with_an_open_end_is_never_over() -> None:
    assert report(NO_END, on=date(2029, 1, 1)).verdict == "ready until"


def test_several_groups_are_over_when_the_last_has_left() -> None:
    two = (("leaves: 2027-05-31", "leaves: 2027-05-20"), more_birds(9, "2027-06-01", "2027-06-20"))
    assert report(*two, WARM, on=date(2027, 5, 25)).verdict != "over"
    assert report(*two, WARM, on=date(2027, 6, 20)).verdict != "over"
    assert report(*two, WARM, on=date(2027, 6, 21)).verdict == "over"


def test_a_day_within_the_stay_changes_nothing() -> None:
    crowded = report(birds(100))
    assert report(birds(100), on=may(20)) == crowded
    assert report(birds(100), on=date(2020, 1, 1)) == crowded


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
