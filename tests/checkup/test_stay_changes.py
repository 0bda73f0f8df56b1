"""What must follow from more birds, a longer stay or a further look ahead, in any setup."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from flockcheck.checkup.check import check
from flockcheck.checkup.ledger import Batch, ledger
from flockcheck.checkup.model import Report
from tests.outside.cases import book, changed, report_of, run_of, setup_of

FEW = settings(max_examples=20, deadline=None)
OUT = date(2027, 5, 17)
KINDS = st.sampled_from(["fast", "medium", "slow"])


def second(count: int, days_later: int, nights: int) -> dict[str, Any]:
    """The keys of a second group, five weeks old when it comes."""
    out = OUT + timedelta(days=days_later)
    return {
        "birds.1.kind": "meat chicken",
        "birds.1.growth": "medium",
        "birds.1.count": count,
        "birds.1.hatched": (out - timedelta(days=35)).isoformat(),
        "birds.1.out": out.isoformat(),
        "birds.1.purpose": "meat",
        "birds.1.leaves": (out + timedelta(days=nights)).isoformat(),
    }


def good_until(report: Report) -> date:
    """The last day on which nothing stops or mends."""
    assert report.first_day is not None
    if report.verdict == "not ready":
        return report.first_day - timedelta(days=1)
    return report.ready_until or date.max


def batch(keys: dict[str, Any]) -> Batch:
    setup = setup_of(changed(keys))
    return ledger(setup, book(), check(setup, book())).batch


@FEW
@given(
    growth=KINDS,
    count=st.integers(10, 70),
    more=st.integers(1, 60),
    later=st.integers(0, 30),
    others=st.integers(5, 40),
)
def test_more_birds_never_make_the_good_days_last_longer(
    growth: str, count: int, more: int, later: int, others: int
) -> None:
    keys = {"birds.0.growth": growth, **second(others, later, 35)}
    few = report_of(changed({**keys, "birds.0.count": count}))
    many = report_of(changed({**keys, "birds.0.count": count + more}))
    assert good_until(many) <= good_until(few)
    more_of_the_second = report_of(
        changed({**keys, "birds.0.count": count, **second(others + more, later, 35)})
    )
    assert good_until(more_of_the_second) <= good_until(few)


@FEW
@given(growth=KINDS, count=st.integers(5, 200), more=st.integers(1, 200), visits=st.integers(1, 4))
def test_more_birds_never_make_a_full_feeder_last_longer(
    growth: str, count: int, more: int, visits: int
) -> None:
    keys = {"birds.0.growth": growth, "feed.visits_per_day": visits}
    few, many = (
        run_of(changed({**keys, "birds.0.count": birds})).value("feed_lasts")
        for birds in (count, count + more)
    )
    assert few[0] is not None
    for one, other in zip(few, many, strict=True):
        assert (one is None) == (other is None)
        assert one is None or other <= one * (1 + 1e-12)


@FEW
@given(
    growth=KINDS,
    nights=st.integers(1, 60),
    more=st.integers(1, 60),
    later=st.integers(0, 40),
    others=st.integers(1, 30),
)
def test_a_longer_stay_of_one_group_never_lowers_a_total(
    growth: str, nights: int, more: int, later: int, others: int
) -> None:
    keys = {"birds.0.growth": growth}
    short = batch({**keys, **second(others, later, nights)})
    long = batch({**keys, **second(others, later, nights + more)})
    for name in ("feed", "water", "nitrogen", "patches", "ground", "days"):
        assert getattr(short, name) <= getattr(long, name) * (1 + 1e-12), name


@FEW
@given(growth=KINDS, count=st.integers(10, 90), ahead=st.integers(5, 80), more=st.integers(1, 80))
def test_looking_further_ahead_moves_the_last_good_day_only_where_none_was_bad(
    growth: str, count: int, ahead: int, more: int
) -> None:
    keys = {"birds.0.growth": growth, "birds.0.count": count}
    near, far = (
        report_of(changed({**keys, "look_ahead": f"{days} days"}, without=["birds.0.leaves"]))
        for days in (ahead, ahead + more)
    )
    assert near.looked_until == OUT + timedelta(days=ahead)
    assert near.verdict in ("ready until", "not ready")
    if good_until(near) == near.looked_until:
        assert good_until(far) >= good_until(near)
    else:
        assert good_until(far) == good_until(near)


@FEW
@given(count=st.integers(10, 60), later=st.integers(0, 100), nights=st.integers(10, 60))
def test_a_stay_without_an_end_is_never_better_than_ready_as_far_as_it_was_looked(
    count: int, later: int, nights: int
) -> None:
    keys = {"birds.0.count": count, **second(10, later, nights)}
    open_end = report_of(changed(keys, without=["birds.0.leaves"]))
    assert open_end.looked_until is not None
    assert open_end.verdict in ("ready until", "not ready")
    assert good_until(open_end) <= open_end.looked_until
    # The second group is there with the first, to its own end.
    both = run_of(changed(keys, without=["birds.0.leaves"])).value("birds_here", 0)
    assert None not in both
