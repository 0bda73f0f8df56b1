"""What the feeders hold, and how long that lasts."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.measures.measure_cases import missing_keys, run_of

KIT = {"feed.form": "dry", "feed.visits_per_day": 2, "feeders.0.holds": "7 kg"}
WET = {**KIT, "feed.form": "fermented", "feed.dry_share": "40 %"}


def test_feeders_of_all_forms_add_up() -> None:
    tube = {"feeders.1.form": "tube", "feeders.1.count": 3, "feeders.1.holds": "5 kg"}
    run = run_of({**KIT, **tube})
    assert run.value("feed_held", 0) == pytest.approx(14.0)
    assert run.value("all_feed_held") == pytest.approx(29.0)


def test_feed_lasts_as_long_as_what_is_held_between_two_visits_covers_what_is_eaten() -> None:
    run = run_of(KIT)
    for lasts, eaten in zip(run.value("feed_lasts"), run.value("feed_per_day"), strict=True):
        assert (lasts is None) == (eaten is None)
        if eaten is not None:
            assert lasts == pytest.approx(14.0 * 2 / eaten)


def test_nobody_eats_on_the_day_the_last_birds_leave() -> None:
    assert run_of(KIT).value("feed_lasts")[-1] is None


def test_of_wet_feed_only_the_dry_part_counts() -> None:
    dry, wet = run_of(KIT).value("feed_lasts"), run_of(WET).value("feed_lasts")
    assert wet[0] == pytest.approx(0.4 * dry[0])


def test_how_dry_wet_feed_is_can_not_be_guessed() -> None:
    assert missing_keys(run_of(WET, without=["feed.dry_share"]), "feed_lasts") == {"feed.dry_share"}
    assert missing_keys(run_of(KIT, without=["feed.form"]), "feed_lasts") == {"feed.form"}


@given(visits=st.integers(1, 6), more=st.integers(0, 6), kilos=st.integers(1, 50))
def test_more_visits_and_larger_feeders_never_last_less(visits: int, more: int, kilos: int) -> None:
    few = run_of({**KIT, "feed.visits_per_day": visits}).value("feed_lasts")[0]
    assert run_of({**KIT, "feed.visits_per_day": visits + more}).value("feed_lasts")[0] >= few
    small = run_of({**KIT, "feeders.0.holds": f"{kilos} kg"}).value("feed_lasts")[0]
    large = run_of({**KIT, "feeders.0.holds": f"{kilos + more} kg"}).value("feed_lasts")[0]
    assert large >= small
