"""What the feeders hold, how long that lasts, and how much edge there is to eat from."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.measures.measure_cases import (
    HENS,
    PULLETS,
    line_table,
    missing_keys,
    plain_table,
    run_of,
)

NEED = plain_table(
    "feeder_need",
    ({"feeder.form": "trough"}, {"rim": 0.08}),
    ({"feeder.form": "tube"}, {"rim": 0.04}),
)
TUBE = {"feeders.1.form": "tube", "feeders.1.count": 1, "feeders.1.diameter": "40 cm"}
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


@pytest.mark.parametrize(
    ("feeder", "rim"),
    [
        ({"form": "trough", "count": 2, "length": "4 ft", "sides": 2}, 16 * 0.3048),
        ({"form": "trough", "count": 3, "length": "50 cm", "sides": 1}, 1.5),
        ({"form": "pan", "count": 2, "diameter": "40 cm"}, 0.8 * math.pi),
        ({"form": "tube", "count": 1, "diameter": "30 cm"}, 0.3 * math.pi),
    ],
)
def test_the_rim_is_what_birds_can_stand_at(feeder: dict[str, object], rim: float) -> None:
    keys = {f"feeders.0.{key}": value for key, value in feeder.items()}
    run = run_of(
        keys, without=[f"feeders.0.{key}" for key in ("length", "sides") if key not in feeder]
    )
    assert run.value("feeder_rim", 0) == pytest.approx(rim)


def test_a_trough_asks_for_its_sides_and_a_tube_does_not() -> None:
    assert missing_keys(run_of(without=["feeders.0.sides"]), "feeding_edge") == {"feeders.0.sides"}
    assert missing_keys(run_of(TUBE), "feeder_rim", 1) == set()


def test_every_key_that_the_edge_lacks_is_named_at_once() -> None:
    run = run_of(TUBE, without=["feeders.0.length", "feeders.1.diameter"])
    lacking = {"feeders.0.length", "feeders.1.diameter"}
    assert missing_keys(run, "feeding_edge") == lacking
    assert missing_keys(run, "feeder_share") == lacking


def test_feeders_of_two_forms_serve_together() -> None:
    run = run_of(TUBE, tables={"feeder_need": NEED})
    trough, tube = 4.8 / (30 * 0.08), 0.4 * math.pi / (30 * 0.04)
    assert run.value("feeder_serves", 0)[0] == pytest.approx(trough)
    assert run.value("feeder_serves", 1)[0] == pytest.approx(tube)
    assert run.value("feeder_share")[0] == pytest.approx(trough + tube)


def test_birds_of_two_ages_each_count_by_their_own_need() -> None:
    by_age = line_table("feeder_need", "rim", (0, 0.0), (100, 0.1))
    run = run_of(PULLETS, tables={"feeder_need": by_age})
    at = run.value("birds_present").index(40)
    need = 30 * 0.001 * run.value("age", 0)[at] + 10 * 0.001 * run.value("age", 1)[at]
    assert run.value("feeder_share")[at] == pytest.approx(4.8 / need)


def test_the_law_speaks_of_hens_only() -> None:
    run = run_of(PULLETS)
    assert set(run.value("hens_feeder_share")) == {None}
    hens = run_of({**PULLETS, **HENS, "birds.0.count": 24})
    shared = hens.value("birds_present").index(34)
    assert hens.value("hens_feeder_share")[shared] == pytest.approx(4.8 / (24 * 0.10))


@given(length=st.integers(5, 300), longer=st.integers(0, 300))
def test_a_longer_trough_never_serves_fewer(length: int, longer: int) -> None:
    short = run_of({"feeders.0.length": f"{length} cm"}).value("feeder_share")
    long = run_of({"feeders.0.length": f"{length + longer} cm"}).value("feeder_share")
    assert all(b >= a for a, b in zip(short, long, strict=True))
