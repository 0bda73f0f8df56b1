"""What is in the feed on each day."""

from __future__ import annotations

import pytest

from tests.measures.measure_cases import missing_keys, run_of


def test_calcium_is_that_of_the_ration_of_the_day() -> None:
    feed = {
        "feed.calcium": "0.9 %",
        "feed.later.0.from": "2027-05-10",
        "feed.later.0.calcium": "3.5 %",
        "feed.later.1.from": "2027-05-01",
        "feed.later.1.protein": "18 %",
    }
    by_day = run_of(feed).value("feed_calcium")
    assert by_day[0] == by_day[17] == pytest.approx(0.009)
    assert by_day[18] == by_day[-1] == pytest.approx(0.035)
    assert missing_keys(run_of(), "feed_calcium") == {"feed.calcium"}
