"""The weather of each day: the period that covers it, else the outlook."""

from __future__ import annotations

from datetime import date

import pytest

from tests.measures.measure_cases import missing_keys, run_of

HEAT = {
    "weather.periods.0.from": "2027-05-01",
    "weather.periods.0.to": "2027-05-05",
    "weather.periods.0.day_high": "33 C",
}


def test_a_period_holds_on_both_its_first_and_its_last_day() -> None:
    run = run_of(HEAT)
    highs = dict(zip(run.days, run.value("day_high"), strict=True))
    assert [highs[date(2027, 4, 30)], highs[date(2027, 5, 1)]] == [21.0, 33.0]
    assert [highs[date(2027, 5, 5)], highs[date(2027, 5, 6)]] == [33.0, 21.0]


def test_what_a_period_leaves_out_is_the_outlooks() -> None:
    run = run_of(HEAT)
    assert set(run.value("night_low")) == {10.0}
    assert set(run.value("gust")) == {15.0}
    assert set(run.value("rain")) == {True}


def test_every_kind_of_weather_can_have_a_period() -> None:
    run = run_of(
        {
            **HEAT,
            "weather.periods.0.night_low": "18 C",
            "weather.periods.0.humidity": "80 %",
            "weather.periods.0.gust": "5 m/s",
            "weather.periods.0.snow": "3 cm",
            "weather.periods.0.rain": "no",
        }
    )
    at = run.days.index(date(2027, 5, 3))
    found = [run.value(name)[at] for name in ("night_low", "humidity", "gust", "snow", "rain")]
    assert found == [18.0, 0.8, 5.0, pytest.approx(0.03), False]


def test_a_day_that_no_period_covers_asks_for_the_outlook() -> None:
    run = run_of(HEAT, without=["weather.day_high"])
    assert missing_keys(run, "day_high") == {"weather.day_high"}


def test_periods_that_cover_the_whole_stay_need_no_outlook() -> None:
    whole = {
        "weather.periods.0.from": "2027-04-01",
        "weather.periods.0.to": "2027-06-30",
        "weather.periods.0.day_high": "25 C",
    }
    run = run_of(whole, without=["weather.day_high"])
    assert set(run.value("day_high")) == {25.0}


def test_a_period_written_later_is_heard() -> None:
    run = run_of(HEAT, without=["weather.day_high"])
    assert missing_keys(run, "day_high") == {"weather.day_high"}
    changed = run.setup.with_value("weather.day_high", 20.0)
    assert min(run.changed(changed, ["weather.day_high"]).value("day_high")) == 20.0
