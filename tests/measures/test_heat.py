"""How hot the days are for the birds: humidity, sun and roof counted in."""

from __future__ import annotations

import pytest

from flockcheck.measures.heat import stull
from tests.measures.measure_cases import missing_keys, run_of

WHOLE = {"pen.roof.cover": "100 %"}


@pytest.mark.parametrize(("cover", "degrees"), [("0 %", 5), ("49 %", 5), ("50 %", 2), ("99 %", 2)])
def test_the_sun_adds_by_the_share_that_is_roofed(cover: str, degrees: float) -> None:
    assert run_of({"pen.roof.cover": cover}).value("sun_allowance") == degrees


@pytest.mark.parametrize(
    ("material", "insulated", "degrees"),
    [
        ("steel", "no", 2),
        ("aluminium", "no", 2),
        ("polycarbonate", "no", 2),
        ("tarpaulin", "no", 2),
        ("steel", "yes", 0),
        ("plywood", "no", 0),
    ],
)
def test_under_a_whole_roof_it_is_what_the_roof_is_made_of(
    material: str, insulated: str, degrees: float
) -> None:
    roof = {**WHOLE, "pen.roof.material": material, "pen.roof.insulated": insulated}
    assert run_of(roof).value("sun_allowance") == degrees


def test_only_what_matters_of_the_roof_is_asked_for() -> None:
    assert missing_keys(run_of(), "sun_allowance") == set()
    assert missing_keys(run_of(WHOLE), "sun_allowance") == {"pen.roof.material"}
    steel = run_of({**WHOLE, "pen.roof.material": "steel"})
    assert missing_keys(steel, "sun_allowance") == {"pen.roof.insulated"}
    assert run_of({**WHOLE, "pen.roof.material": "plywood"}).value("sun_allowance") == 0
    assert run_of({**WHOLE, "pen.roof.insulated": "yes"}).value("sun_allowance") == 0


def test_the_sun_heats_the_air_and_not_the_wet_bulb() -> None:
    shade = {**WHOLE, "pen.roof.material": "plywood", "weather.day_high": "30 C"}
    cool = run_of(shade).value("heat_index", 0)[0]
    sunny = run_of({**shade, "pen.roof.cover": "0 %"}).value("heat_index", 0)[0]
    assert sunny - cool == pytest.approx(0.85 * 5)


def test_the_index_is_that_of_the_day_and_its_humidity() -> None:
    wave = {
        "weather.periods.0.from": "2027-05-01",
        "weather.periods.0.to": "2027-05-02",
        "weather.periods.0.day_high": "33 C",
        "weather.periods.0.humidity": "70 %",
    }
    run = run_of(wave)
    hot = run.value("heat_index", 0)[9]
    assert hot == pytest.approx(0.85 * (33 + 2) + 0.15 * stull(33, 70))
    assert run.value("heat_index", 0)[8] < hot
    assert run.value("high_here")[8:12] == [21, 33, 33, 21]


def test_birds_that_leave_in_the_morning_do_not_meet_the_heat_of_that_day() -> None:
    assert run_of().value("heat_index", 0)[-1] is None
    assert run_of().value("high_here")[-1] is None
