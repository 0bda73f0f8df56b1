"""What the birds eat in a day."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flockcheck.setup.view import Missing
from tests.measures.measure_cases import (
    HENS,
    PULLETS,
    line_table,
    missing_keys,
    real_tables,
    run_of,
)


# Three feeders: what each form needs of a bird is told apart by the form only.
def test_fast_birds_eat_between_two_weighings_what_the_trial_found() -> None:
    """Zhang et al. 2020, table 3: 2.325 kg from day 28 to 41 and 2.864 kg from 41 to 55."""
    run = run_of({"birds.0.leaves": "2027-06-01"})
    feed, age = run.value("feed_each", 0), run.value("age", 0)
    for first, last, eaten in ((28, 41, 2.325), (41, 55, 2.864)):
        assert sum(feed[age.index(first) : age.index(last)]) == pytest.approx(eaten, rel=1e-6)


def test_the_feed_of_a_day_is_the_rise_of_the_table_over_that_day() -> None:
    table = line_table("feed_eaten", "feed", (0, 0.0), (30, 1.5), (60, 6.0))
    feed = run_of(tables={"feed_eaten": table}).value("feed_each", 0)
    assert feed[0] == pytest.approx(0.05)
    assert feed[12] == pytest.approx(0.15)


def test_past_the_end_of_the_table_feed_goes_by_conversion() -> None:
    run = run_of({"birds.0.leaves": "2027-06-10"})
    feed, age = run.value("feed_each", 0), run.value("age", 0)
    at = age.index(55)
    assert feed[at] == pytest.approx(feed[at - 1], rel=0.05)
    assert 0 < feed[-2] < 1.2 * feed[at]


def test_birds_found_heavier_than_published_eat_in_proportion() -> None:
    plain = run_of().value("feed_each", 0)
    kilograms = 1.2 * run_of().value("live_weight", 0)[7]
    heavy = run_of({"birds.0.weights": {"28 days": f"{kilograms:.6f} kg"}}).value("feed_each", 0)
    assert heavy[:-1] == pytest.approx([1.2 * feed for feed in plain[:-1]], rel=1e-5)


def test_no_feed_is_eaten_on_the_day_of_leaving() -> None:
    run = run_of()
    assert run.value("feed_each", 0)[-1] is None
    assert run.value("feed_per_day")[-1] is None


def test_the_feed_of_mixed_groups_adds_up() -> None:
    run = run_of(PULLETS)
    at = run.value("birds_present").index(40)
    one, other = run.value("feed_each", 0)[at], run.value("feed_each", 1)[at]
    assert run.value("feed_per_day")[at] == pytest.approx(30 * one + 10 * other)
    assert run.value("feed_per_day")[-2] == pytest.approx(10 * run.value("feed_each", 1)[-2])


@pytest.mark.parametrize(
    ("celsius", "grams"), [(20, 109.4), (10, 109.4 * 1.14), (30, 109.4 * 0.86)]
)
def test_hens_eat_for_their_weight_eggs_and_weather(celsius: float, grams: float) -> None:
    """1.8 kg, 50 g of egg, 2850 kcal/kg: 109.4 g at 20 C by the equation, then 1.4 % a degree."""
    run = run_of(
        {
            **HENS,
            "birds.0.hatched": "2025-04-01",
            "birds.0.laying": "100 %",
            "birds.0.egg_weight": "50 g",
            "birds.0.weights": {"700 days": "1.8 kg"},
            "weather.night_low": f"{celsius - 5} C",
            "weather.day_high": f"{celsius + 5} C",
        }
    )
    assert run.value("feed_each", 0)[0] * 1000 == pytest.approx(grams, abs=0.1)


def test_the_slope_of_hens_feed_ends_where_the_trials_ended() -> None:
    def fed(low: str, high: str) -> float:
        weather = {"weather.night_low": low, "weather.day_high": high}
        return float(run_of({**HENS, **weather}).value("feed_each", 0)[0])

    assert fed("-20 C", "-10 C") == pytest.approx(fed("0 C", "0 C"))
    assert fed("35 C", "45 C") == pytest.approx(fed("31 C", "31 C"))


def test_hens_without_weather_eat_as_at_twenty_degrees_and_the_keys_would_sharpen_it() -> None:
    run = run_of(HENS, without=["weather"])
    mild = run_of({**HENS, "weather.night_low": "20 C", "weather.day_high": "20 C"})
    assert run.value("feed_each", 0) == mild.value("feed_each", 0)
    assert run.done("feed_per_day").sharper == {"weather.night_low", "weather.day_high"}


def test_growing_birds_feed_asks_for_no_weather_and_no_eggs() -> None:
    run = run_of(without=["weather"])
    assert missing_keys(run, "feed_per_day") == set()
    assert run.done("feed_per_day").sharper == frozenset()


def test_hens_feed_is_not_known_without_laying_and_egg_weight() -> None:
    run = run_of(HENS, without=["birds.0.laying", "birds.0.egg_weight"])
    assert missing_keys(run, "feed_per_day") == {"birds.0.laying", "birds.0.egg_weight"}


def test_hens_that_do_not_lay_need_no_egg_weight() -> None:
    run = run_of({**HENS, "birds.0.laying": "0 %"}, without=["birds.0.egg_weight"])
    assert missing_keys(run, "feed_per_day") == set()


def test_pullets_that_become_hens_change_from_table_to_energy_on_that_day() -> None:
    run = run_of({**HENS, "birds.0.hatched": "2026-12-25"})
    hen = run.value("is_hen", 0)
    at = hen.index(True)
    assert run.value("grower_feed", 0)[at - 1] > 0
    assert set(run.value("grower_feed", 0)[at:]) == {0.0}
    assert all(feed > 0 for feed in run.value("feed_each", 0)[:-1])


def test_a_growing_kind_without_a_feed_table_is_said_and_not_guessed() -> None:
    run = run_of(tables={"feed_eaten": real_tables()["feed_eaten"]._replace(rows=[])})
    with pytest.raises(Missing) as caught:
        run.value("feed_per_day")
    assert caught.value.why.startswith("the table feed_eaten has nothing")


@given(count=st.integers(1, 300), more=st.integers(0, 300))
def test_more_birds_never_eat_less_nor_have_more_edge(count: int, more: int) -> None:
    few, many = run_of({"birds.0.count": count}), run_of({"birds.0.count": count + more})
    feed = zip(few.value("feed_per_day")[:-1], many.value("feed_per_day")[:-1], strict=True)
    assert all(b >= a for a, b in feed)
    share = zip(few.value("feeder_share"), many.value("feeder_share"), strict=True)
    assert all(b <= a for a, b in share)


@given(low=st.integers(-30, 20), warmer=st.integers(0, 20))
def test_hens_never_eat_more_in_warmer_weather(low: int, warmer: int) -> None:
    def fed(night: int) -> list[float]:
        weather = {"weather.night_low": f"{night} C", "weather.day_high": f"{night + 8} C"}
        found: list[float] = run_of({**HENS, **weather}).value("feed_per_day")[:-1]
        return found

    assert all(b <= a for a, b in zip(fed(low), fed(low + warmer), strict=True))
