"""What the wind does to the roof, held against published pressures and coefficients."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.measures.measure_cases import missing_keys, real_tables, run_of

PSF = 47.8803


@pytest.mark.parametrize(
    ("mph", "psf"),
    [(30, 1.665), (40, 2.959), (50, 4.624), (60, 6.659), (70, 9.063), (90, 14.982), (115, 24.461)],
)
def test_the_pressure_of_a_gust_is_the_published_one(mph: float, psf: float) -> None:
    """ASCE/SEI 7, eq. 26.10-1 with Kz = Kd = 0.85; 0.00256 and 0.613 differ by 0.05 %.

    The setup says nothing of its height, so that the code's factor holds for all below 15 ft.
    """
    pressure = run_of({"weather.gust": f"{mph} mph"}).value("wind_pressure")[0]
    assert pressure / PSF == pytest.approx(psf, rel=0.002)


@pytest.mark.parametrize(
    ("pitch", "windbreak", "coefficient"),
    [
        ("0 deg", "0 %", 1.4),
        ("0 deg", "100 %", 2.2),
        ("5 deg", "0 %", 1.8),
        ("5 deg", "100 %", 2.6),
        ("10 deg", "100 %", 2.7),
        ("15 deg", "0 %", 2.5),
        ("5 deg", "50 %", 2.2),
    ],
)
def test_the_edges_lift_as_the_published_table_says(
    pitch: str, windbreak: str, coefficient: float
) -> None:
    """BS 6399-2:1997, table 13, the worse of zones B and C; straight between empty and blocked."""
    run = run_of({"pen.roof.pitch": pitch, "pen.windbreak": windbreak})
    assert run.value("edge_uplift_coefficient") == pytest.approx(coefficient, abs=1e-9)


def test_a_pitch_between_two_of_the_table_lies_between_their_coefficients() -> None:
    at = [
        run_of({"pen.roof.pitch": pitch, "pen.windbreak": "0 %"}).value("edge_uplift_coefficient")
        for pitch in ("5 deg", "7.5 deg", "10 deg")
    ]
    assert at[0] < at[1] < at[2]


def test_the_table_of_uplift_goes_along_the_pitch_in_degrees() -> None:
    """The measure turns the tangent of the setup into degrees; both must mean the same."""
    assert real_tables()["roof_uplift"].rows[0].xs[-1] == 30


def test_uplift_is_pressure_times_coefficient_times_solid_roof() -> None:
    run = run_of()
    lift = run.value("wind_pressure")[0] * run.value("edge_uplift_coefficient") * 6.0
    assert run.value("roof_area") == pytest.approx(6.0)
    assert run.value("lid_uplift")[0] == pytest.approx(lift)
    assert run.value("lid_safety")[0] == pytest.approx(14 * 300 / lift)


def test_fixings_that_nobody_tested_hold_the_cautious_figure() -> None:
    run = run_of(without=["pen.roof.fixing_hold"])
    held: float = real_tables()["figures"]("value", figure="fixing_hold")
    assert run.value("lid_hold") == pytest.approx(14 * held)
    assert run.done("lid_safety").sharper == {"pen.roof.fixing_hold", "pen.height"}
    high = {"pen.height": "70 cm"}
    assert run_of(high).done("lid_safety").sharper == frozenset()


def test_without_wind_or_without_a_solid_roof_nothing_lifts() -> None:
    assert set(run_of({"weather.gust": "0 m/s"}).value("lid_safety")) == {None}
    assert set(run_of({"pen.roof.cover": "0 %"}).value("lid_safety")) == {None}


def test_a_roof_without_fixings_is_held_by_nothing() -> None:
    assert set(run_of({"pen.roof.fixings": 0}).value("lid_safety")) == {0.0}


def test_every_key_that_the_uplift_lacks_is_named_at_once() -> None:
    run = run_of(without=["pen.roof", "pen.windbreak", "weather.gust"])
    assert missing_keys(run, "lid_safety") == {
        "pen.roof.fixings",
        "pen.roof.pitch",
        "pen.roof.cover",
        "pen.windbreak",
        "weather.gust",
    }


def test_a_gust_forecast_for_some_days_tries_the_roof_on_those_days() -> None:
    run = run_of(
        {
            "weather.periods.0.from": "2027-05-01",
            "weather.periods.0.to": "2027-05-02",
            "weather.periods.0.gust": "30 m/s",
        }
    )
    safety = run.value("lid_safety")
    assert [day for day, times in enumerate(safety) if times == min(safety)] == [9, 10]
    assert safety[0] / safety[9] == pytest.approx(4)


@given(gust=st.integers(1, 60), stronger=st.integers(0, 40))
def test_a_stronger_gust_never_makes_the_roof_safer(gust: int, stronger: int) -> None:
    weak = run_of({"weather.gust": f"{gust} m/s"}).value("lid_safety")[0]
    strong = run_of({"weather.gust": f"{gust + stronger} m/s"}).value("lid_safety")[0]
    assert strong <= weak


@given(fixings=st.integers(0, 80), more=st.integers(0, 40))
def test_more_fixings_never_hold_less(fixings: int, more: int) -> None:
    few = run_of({"pen.roof.fixings": fixings}).value("lid_hold")
    assert run_of({"pen.roof.fixings": fixings + more}).value("lid_hold") >= few


@given(share=st.integers(0, 100))
def test_closing_the_sides_never_leaves_the_empty_and_the_blocked_coefficient(share: int) -> None:
    run = run_of({"pen.windbreak": f"{share} %", "pen.roof.pitch": "5 deg"})
    found = run.value("edge_uplift_coefficient")
    assert 1.8 <= found <= 2.6 or math.isclose(found, 1.8) or math.isclose(found, 2.6)
