"""Numbers that stand in print and are wrong: ours are the right ones, and not those."""

from __future__ import annotations

import pytest

from flockcheck.measures.frame import beam_sag
from flockcheck.measures.wind import wind_pressure
from flockcheck.text.quantities import parse_quantity
from tests.outside.cases import figure, table
from tests.outside.test_wind_figures import MPH, PSF, factors

INCH = 0.0254
POUNDS_A_SQUARE_FOOT = 0.45359237 / 0.3048**2


def test_a_roof_beam_that_a_page_lets_sag_10_mm_sags_28() -> None:
    # tech-calculation.com, roof beam: 2000 N/m, 6 m, 200 GPa, 6e-6 m4, "10 mm".
    sag = 1000 * beam_sag(2000 * 6, 6, 200e9 * 6e-6)
    assert sag == pytest.approx(28.1, abs=0.05)
    assert sag > 2 * 10


def test_a_pressure_that_a_page_leaves_in_poundals_is_a_thirtieth_of_it() -> None:
    # 98905.com: 100 mph and 0.075 lb/cu ft, "806.7 psf"; over 32.174 that is 25.1.
    right = 806.7 / 32.174
    assert right == pytest.approx(25.1, abs=0.05)
    # The standard's air is 2 % denser.
    assert wind_pressure(100 * MPH, 1.0, factors(1, 1)) / PSF == pytest.approx(25.1, rel=0.025)


@pytest.mark.parametrize(("hectare", "printed", "acre"), [(1000, 2470, 405), (2500, 6175, 1012)])
def test_birds_on_a_hectare_are_fewer_on_an_acre_and_not_more(
    hectare: int, printed: int, acre: int
) -> None:
    # what-when-how.com, humane poultry production: the limit for a hectare times 2.47.
    ratio = parse_quantity("1 acre", "area").value / parse_quantity("1 ha", "area").value
    assert hectare * ratio == pytest.approx(acre, abs=0.5)
    assert hectare * ratio < hectare < printed


def test_the_direction_factor_is_the_standards_and_not_a_pages_field_note() -> None:
    # calcady.com notes Kd = 1.0 for parts of buildings; ASCE/SEI 7, table 26.6-1, has 0.85.
    assert figure("air_direction_factor") == 0.85


def test_bare_and_galvanised_sheet_of_one_gauge_are_two_things() -> None:
    # 26 gauge: 0.0179 in and 0.749 lb/sq ft bare, 0.0217 in and 0.906 galvanised.
    density = table("frame_density")("density", material="steel")
    bare, coated = (density * inches * INCH for inches in (0.0179, 0.0217))
    assert coated / bare == pytest.approx(0.906 / 0.749, rel=0.005)
    # What a roof weighs that nobody weighed is no less than coated flat sheet of 29 gauge.
    assert table("cover_weight")("weight", material="steel") > 0.719 * POUNDS_A_SQUARE_FOOT
