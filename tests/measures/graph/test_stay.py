"""The days of a stay: from the first `out` to the last `leaves`, and where none is written."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from flockcheck.measures.graph.stay import stay
from flockcheck.setup.reader import read_setup_text
from flockcheck.setup.sections import Whole
from flockcheck.setup.spans import MOST_DAYS
from tests.measures.graph.graph_cases import MINIMAL, TWO


def days_of(text: str) -> tuple[date, date, int]:
    days = stay(Whole(read_setup_text(text, "a.flock.yaml"), ""))
    assert days == [days[0] + timedelta(days=at) for at in range(len(days))]
    return days[0], days[-1], len(days)


def test_without_leaves_the_stay_is_looked_at_for_eight_weeks() -> None:
    assert days_of(MINIMAL) == (date(2027, 5, 3), date(2027, 6, 28), 57)


@pytest.mark.parametrize(("ahead", "days"), [("1 day", 2), ("36 hours", 2), ("10 weeks", 71)])
def test_the_stay_is_looked_at_as_far_ahead_as_the_keeper_says(ahead: str, days: int) -> None:
    assert days_of(f"look_ahead: {ahead}\n{MINIMAL}")[2] == days


def test_the_stay_ends_when_the_last_group_leaves() -> None:
    assert days_of(TWO) == (date(2027, 5, 1), date(2027, 5, 5), 5)
    turned = TWO.replace("leaves: 2027-05-03", "leaves: 2027-05-20")
    assert days_of(turned) == (date(2027, 5, 1), date(2027, 5, 20), 20)


def test_a_group_without_leaves_keeps_the_stay_open_for_itself_alone() -> None:
    text = TWO.replace(", leaves: 2027-05-05", "")
    assert days_of(text) == (date(2027, 5, 1), date(2027, 6, 28), 59)


def test_dates_out_of_order_leave_one_day() -> None:
    text = MINIMAL.replace("out: 2027-05-03", "out: 2027-05-03\n    leaves: 2027-04-20")
    assert days_of(text) == (date(2027, 5, 3), date(2027, 5, 3), 1)


def test_a_stay_without_an_end_is_looked_at_for_three_years_at_most() -> None:
    text = TWO.replace(
        "hatched: 2027-04-02, out: 2027-05-03, leaves: 2027-05-05",
        "hatched: 2030-01-02, out: 2030-02-03",
    )
    text = text.replace("flockcheck: 1", "flockcheck: 1\nlook_ahead: 400 days")
    assert days_of(text) == (
        date(2027, 5, 1), date(2027, 5, 1) + timedelta(days=MOST_DAYS), MOST_DAYS + 1,
    )  # fmt: skip
