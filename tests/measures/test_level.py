"""Whether water stands level in the drinkers where the pen stands on a slope."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.measures.measure_cases import missing_keys, run_of

FLAT = {"site.unevenness": "0 cm"}


def test_bumps_add_to_the_slope_over_the_length_of_the_pen() -> None:
    assert run_of().value("slope_here") == pytest.approx(0.05 + 0.04 / 4)


def test_unwritten_unevenness_adds_nothing_and_would_sharpen_the_answer() -> None:
    run = run_of(without=["site.unevenness"])
    assert run.value("slope_here") == pytest.approx(0.05)
    assert run.done("spill_margin", 0).sharper == {"site.unevenness"}


@pytest.mark.parametrize("text", ["5 %", "1 in 20", "2.8624052 deg"])
def test_a_slope_is_one_slope_however_it_is_written(text: str) -> None:
    run = run_of({**FLAT, "site.slope": text, "drinkers.0.outlet": "uphill"})
    assert run.value("fall_over_run", 0) == pytest.approx(0.015, abs=1e-6)


@pytest.mark.parametrize("fill", ["vacuum", "float", "valve"])
def test_an_outlet_that_faces_uphill_drains_the_tank_and_turned_downhill_it_does_not(
    fill: str,
) -> None:
    """A fact of the trade: 5 % slope, 30 cm run, 10 mm rim."""
    uphill = run_of({**FLAT, "drinkers.0.fill": fill, "drinkers.0.outlet": "uphill"})
    assert uphill.value("spill_margin", 0) == pytest.approx(-0.005)
    downhill = run_of({**FLAT, "drinkers.0.fill": fill, "drinkers.0.outlet": "downhill"})
    assert downhill.value("spill_margin", 0) is None
    assert downhill.value("dry_share", 0) == 0


def test_an_outlet_across_the_slope_halves_the_fall() -> None:
    run = run_of({**FLAT, "drinkers.0.outlet": "across"})
    assert run.value("spill_margin", 0) == pytest.approx(0.010 - 0.0075)


@pytest.mark.parametrize(
    ("fill", "outlet", "speaks"),
    [
        ("vacuum", "uphill", {"spill_margin"}),
        ("float", "across", {"spill_margin"}),
        ("valve", "downhill", {"dry_share"}),
        ("none", "downhill", {"level_margin", "dry_share"}),
        ("none", "uphill", {"level_margin", "dry_share"}),
    ],
)
def test_exactly_one_side_speaks_for_a_drinker(fill: str, outlet: str, speaks: set[str]) -> None:
    run = run_of({"drinkers.0.fill": fill, "drinkers.0.outlet": outlet})
    measures = ("spill_margin", "level_margin", "dry_share")
    assert {name for name in measures if run.value(name, 0) is not None} == speaks


@pytest.mark.parametrize("form", ["nipple", "cup"])
def test_nipples_and_cups_have_no_open_water_to_be_out_of_level(form: str) -> None:
    run = run_of({"drinkers.0.form": form})
    for measure in ("fall_over_run", "spill_margin", "level_margin", "dry_share"):
        assert run.value(measure, 0) is None


def test_water_filled_by_hand_needs_no_outlet() -> None:
    run = run_of({"drinkers.0.fill": "none"}, without=["drinkers.0.outlet"])
    assert missing_keys(run, "level_margin", 0) == set()
    assert missing_keys(run, "dry_share", 0) == set()


def test_what_decides_who_speaks_is_asked_for() -> None:
    assert missing_keys(run_of(without=["drinkers.0.fill"]), "spill_margin", 0) == {
        "drinkers.0.fill"
    }
    assert missing_keys(run_of(without=["drinkers.0.outlet"]), "spill_margin", 0) == {
        "drinkers.0.outlet"
    }


def test_the_fall_is_known_where_the_freeboard_is_not() -> None:
    run = run_of({"drinkers.0.outlet": "uphill"}, without=["drinkers.0.freeboard"])
    assert missing_keys(run, "spill_margin", 0) == {"drinkers.0.freeboard"}
    assert run.value("fall_over_run", 0) == pytest.approx(0.018)


def test_a_trough_of_sixty_centimetres_on_five_per_cent_falls_three() -> None:
    """Published: 29.96 mm (L sin th); square to the base it is 30 mm."""
    run = run_of({**FLAT, "drinkers.0.run": "60 cm"})
    assert run.value("fall_over_run", 0) == pytest.approx(0.02996, rel=0.002)


def test_a_downhill_outlet_leaves_dry_what_rises_over_the_depth() -> None:
    run = run_of({**FLAT, "site.slope": "20 %", "drinkers.0.depth": "20 mm"})
    assert run.value("dry_share", 0) == pytest.approx(2 / 3)


@given(run=st.integers(10, 300), depth=st.integers(1, 100), slope=st.integers(1, 40))
def test_hand_filled_water_keeps_its_volume(run: int, depth: int, slope: int) -> None:
    found = run_of(
        {
            **FLAT,
            "site.slope": f"{slope} %",
            "drinkers.0.fill": "none",
            "drinkers.0.run": f"{run} cm",
            "drinkers.0.depth": f"{depth} mm",
        }
    ).value("dry_share", 0)
    length, fall = run / 100, slope / 100
    if found > 0:
        wet = length * (1 - found)
        assert wet * wet * fall / 2 == pytest.approx(depth / 1000 * length)
    else:
        assert length / 2 * fall <= depth / 1000 * (1 + 1e-9)


@given(
    slope=st.integers(0, 30), steeper=st.integers(0, 15), fill=st.sampled_from(["float", "none"])
)
def test_a_steeper_place_is_never_less_dry_nor_safer_from_spilling(
    slope: int, steeper: int, fill: str
) -> None:
    def at(percent: int, outlet: str) -> dict[str, float]:
        run = run_of(
            {
                "site.slope": f"{percent} %",
                "drinkers.0.fill": fill,
                "drinkers.0.outlet": outlet,
            }
        )
        measures = ("spill_margin", "level_margin", "dry_share")
        found = {name: run.value(name, 0) for name in measures}
        return {name: value for name, value in found.items() if value is not None}

    for outlet in ("uphill", "across", "downhill"):
        flat, steep = at(slope, outlet), at(slope + steeper, outlet)
        for name, value in flat.items():
            assert steep[name] >= value if name == "dry_share" else steep[name] <= value
