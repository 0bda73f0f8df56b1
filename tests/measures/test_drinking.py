"""What the birds drink in a day, and how long the tanks last."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.measures.measure_cases import HENS, PULLETS, missing_keys, real_tables, run_of

HEAT = {
    "weather.periods.0.from": "2027-05-01",
    "weather.periods.0.to": "2027-05-05",
    "weather.periods.0.day_high": "32 C",
}


def test_fast_birds_drink_by_the_published_line() -> None:
    """Pesti et al. 1985: 5.28 ml a day for each day of age, hence 222 ml at 42 days."""
    run = run_of()
    at = run.value("age", 0).index(42)
    assert run.value("mild_water_typical", 0)[at] * 1e6 == pytest.approx(222, abs=0.5)


@pytest.mark.parametrize("growth", ["medium", "slow"])
def test_slower_meat_birds_drink_in_proportion_to_their_feed(growth: str) -> None:
    run = run_of({"birds.0.growth": growth})
    feed = run.value("feed_each", 0)[:-1]
    typical = run.value("mild_water_typical", 0)[:-1]
    high = run.value("mild_water_high", 0)[:-1]
    assert typical == pytest.approx([1.77 * kg / 1000 for kg in feed])
    assert high == pytest.approx([2 * kg / 1000 for kg in feed])


def test_hens_water_needs_no_feed_and_so_no_eggs() -> None:
    run = run_of(HENS, without=["birds.0.laying", "birds.0.egg_weight"])
    assert missing_keys(run, "water_need") == set()
    assert run.done("water_need").sharper == frozenset()


@pytest.mark.parametrize(
    ("celsius", "times"), [(10, 1.0), (21, 1.0), (24, 1.21), (27, 1.42), (32, 1.77), (38, 2.19)]
)
def test_each_degree_over_twenty_one_adds_seven_hundredths(celsius: float, times: float) -> None:
    run = run_of({"weather.day_high": f"{celsius} C"})
    assert run.value("water_heat_factor") == pytest.approx([times] * len(run.days))
    mild, hot = run.value("mild_water_need")[0], run.value("water_need")[0]
    assert hot == pytest.approx(times * mild)


def test_a_hot_period_raises_the_need_on_its_days_only() -> None:
    run = run_of(HEAT)
    hot = [run.days.index(date(2027, 5, day)) for day in range(1, 6)]
    for at, (need, mild) in enumerate(
        zip(run.value("water_need")[:-1], run.value("mild_water_need")[:-1], strict=True)
    ):
        assert need == pytest.approx(mild * (1.77 if at in hot else 1))


def test_mild_water_asks_for_no_weather() -> None:
    run = run_of(without=["weather"])
    for measure in ("mild_water_need", "mild_water_need_high", "mild_water_lasts"):
        assert missing_keys(run, measure) == set()
    assert missing_keys(run, "water_need") == {"weather.day_high"}


def test_the_water_of_mixed_groups_adds_up_over_those_that_stay_the_night() -> None:
    run = run_of(PULLETS)
    leaving = run.days.index(date(2027, 5, 20))
    both = run.days.index(date(2027, 5, 10))
    one, other = run.value("water_typical", 0), run.value("water_typical", 1)
    need = run.value("water_need")
    assert need[both] == pytest.approx(30 * one[both] + 10 * other[both])
    assert need[leaving] == pytest.approx(10 * other[leaving])
    assert need[-1] is None


def test_the_high_line_lies_over_the_typical_one_for_every_kind_and_age() -> None:
    for kind, growth in [
        ("meat chicken", "fast"),
        ("meat chicken", "medium"),
        ("meat chicken", "slow"),
        ("egg chicken", "light"),
        ("egg chicken", "medium"),
        ("turkey", "medium"),
    ]:
        run = run_of(
            {
                "birds.0.kind": kind,
                "birds.0.growth": growth,
                "birds.0.hatched": "2027-04-19",
                "birds.0.leaves": "2027-09-10",
            },
            without=["birds.0.growth"] if kind == "turkey" else [],
        )
        typical, high = run.value("mild_water_typical", 0), run.value("mild_water_high", 0)
        assert all(b > a for a, b in zip(typical[:-1], high[:-1], strict=True)), (kind, growth)


def test_a_full_five_gallon_drinker_lasts_fifty_young_birds_over_a_day_in_mild_weather() -> None:
    """Common knowledge of the trade: birds of three to four weeks."""
    run = run_of(
        {
            "birds.0.count": 50,
            "birds.0.leaves": "2027-04-29",
            "drinkers.0.holds": "5 gal",
            "water.visits_per_day": 1,
        }
    )
    assert min(run.value("mild_water_lasts")[:-1]) > 2
    assert min(run.value("mild_water_lasts_high")[:-1]) > 1.25


def test_more_visits_make_the_tanks_last_as_much_longer() -> None:
    once = run_of().value("water_lasts_high")[0]
    assert run_of({"water.visits_per_day": 2}).value("water_lasts_high")[0] == pytest.approx(
        2 * once
    )


def test_tanks_are_added_up_and_piped_drinkers_left_out() -> None:
    piped = {"drinkers.1.form": "nipple", "drinkers.1.supply": "piped", "drinkers.1.count": 10}
    tank = {
        "drinkers.2.form": "bell",
        "drinkers.2.supply": "tank",
        "drinkers.2.count": 2,
        "drinkers.2.holds": "5 l",
    }
    run = run_of({**piped, **tank})
    assert run.value("all_water_held") == pytest.approx(0.029)
    assert run.value("piped") is True
    assert run_of().value("piped") is False


def test_where_every_drinker_is_piped_nothing_runs_out() -> None:
    run = run_of({"drinkers.0.supply": "piped"}, without=["drinkers.0.holds"])
    assert run.value("all_water_held") is None
    assert set(run.value("water_lasts")) == {None}


def test_the_one_tank_of_a_row_of_nipples_is_counted_once() -> None:
    run = run_of({"drinkers.0.form": "nipple", "drinkers.0.count": 8})
    assert run.value("water_held", 0) == pytest.approx(0.019)
    troughs = run_of({"drinkers.0.count": 2})
    assert troughs.value("water_held", 0) == pytest.approx(0.038)


def test_every_key_that_is_lacking_is_carried_up_at_once() -> None:
    run = run_of(without=["drinkers.0.holds", "water.visits_per_day", "weather"])
    keys = {"drinkers.0.holds", "weather.day_high"}
    assert missing_keys(run, "water_lasts") == keys
    assert missing_keys(run_of(without=["drinkers"]), "water_lasts") == {"drinkers"}
    visits = run_of(without=["water.visits_per_day"])
    assert missing_keys(visits, "water_lasts") == {"water.visits_per_day"}


def test_chicks_on_the_day_they_hatch_drink_nothing_by_the_line_and_run_nothing_dry() -> None:
    run = run_of({"birds.0.hatched": "2027-04-22"})
    assert run.value("mild_water_need")[0] == 0
    assert run.value("mild_water_lasts")[0] is None
    assert run.value("mild_water_lasts")[1] > 1


def test_water_follows_the_real_tables_only_where_they_have_a_row() -> None:
    run = run_of({"birds.0.growth": "medium"})
    silent = {"feed_eaten": real_tables()["feed_eaten"]._replace(rows=[])}
    assert run.value("mild_water_need")[0] > 0
    fast = run_of(tables=silent)
    assert missing_keys(fast, "mild_water_need") == set()


@given(count=st.integers(1, 300), more=st.integers(0, 300))
def test_more_birds_never_drink_less_nor_make_tanks_last_longer(count: int, more: int) -> None:
    few, many = run_of({"birds.0.count": count}), run_of({"birds.0.count": count + more})
    need = zip(few.value("water_need")[:-1], many.value("water_need")[:-1], strict=True)
    assert all(b >= a for a, b in need)
    lasting = zip(few.value("water_lasts")[:-1], many.value("water_lasts")[:-1], strict=True)
    assert all(b <= a for a, b in lasting)


@given(high=st.integers(-10, 40), hotter=st.integers(0, 10))
def test_a_hotter_day_never_needs_less_water(high: int, hotter: int) -> None:
    cool = run_of({"weather.day_high": f"{high} C"}).value("water_need_high")
    hot = run_of({"weather.day_high": f"{high + hotter} C"}).value("water_need_high")
    assert all(b >= a for a, b in zip(cool[:-1], hot[:-1], strict=True))
