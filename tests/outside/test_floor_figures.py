"""Floor, feeder and drinker figures that rules and tables use, held against what was published.

The numbers are compared in their own units after conversion by definition (1 ft = 0.3048 m, 1 lb =
0.45359237 kg), so there is no tolerance besides rounding.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from flockcheck.rulebook.model import Limit
from tests.outside.cases import EXACT, Bird, Kit, book, changed, grade, report_of, table

TABLES = ("floor_need", "floor_good", "feeder_need", "drinker_need")

INCH = 0.0254
SQUARE_FOOT = 0.3048**2
POUND = 0.45359237
CHICKENS = [
    Bird("meat chicken", "fast"),
    Bird("meat chicken", "medium"),
    Bird("meat chicken", "slow"),
    Bird("egg chicken", "light"),
]

# Penn State Extension, Space should increase as birds grow (read at poultryproducer.com): from day,
# sq ft of floor, inches of feeder, inches of drinker, each the least: weeks 1, 2-3, 3-5, 5-8, 8 up.
PSU = [
    (0, 1 / 4, 1, 1 / 2),
    (7, 1 / 2, 1.5, 1 / 2),
    (21, 3 / 4, 2, 1 / 2),
    (35, 1, 2, 3 / 4),
    (56, 1.5, 3, 1),
]


def limits(rule: str, source: str) -> list[Limit]:
    """A rule's limits that cite a source."""
    cited = [limit for limit in book().rules[rule].limits if limit.cites.get("id") == source]
    assert cited, f"{rule} no longer cites {source}"
    return cited


def numbers(found: Sequence[Limit]) -> set[float]:
    """What the limits say, in base units: plain numbers and numbers for each bird."""
    values = (limit.value[1] if limit.value[0] == "each_bird" else limit.value for limit in found)
    return {round(float(value[1]), 9) for value in values if value[0] == "literal"}


def test_loads_of_meat_birds_are_those_of_the_law() -> None:
    # Council Directive 2007/43/EC, article 3(2): 33 kg/m2; 39 and 42 only in houses with records
    # and measured air (annex II, annex V), which no pen is. Read at legislation.gov.uk and eur-lex.
    assert numbers(limits("floor-crowded", "eu-2007-43")) == {33}


def test_loads_of_organic_birds_are_those_of_the_regulations() -> None:
    # Fattening poultry: 21 kg/m2 in fixed houses, 30 in mobile ones of at most 150 m2: Regulation
    # 889/2008, annex III (read at gesetze.legal/eu/vo_eg_2008_889/anhang_iii); others report the
    # same of 2020/464, annex I part IV.
    assert numbers(limits("floor-crowded", "eu-889-2008")) == {21, 30}
    organic = [
        limit for limit in limits("floor-crowded", "eu-889-2008") if limit.standard == "eu-organic"
    ]
    assert numbers(organic) == {30}


def test_the_load_of_united_states_organic_birds_is_five_pounds_a_square_foot() -> None:
    # 7 CFR 205.241(b)(10), typed from memory: 5.0 lb of bird on each sq ft, or 24.4 kg/m2.
    (value,) = numbers(limits("floor-crowded", "us-7cfr205-241"))
    assert value == pytest.approx(5.0 * POUND / SQUARE_FOOT, rel=1e-6)
    assert value == pytest.approx(24.4, abs=0.05)


def test_turkeys_stop_at_the_lower_end_of_a_review_and_below_an_older_formula() -> None:
    # British Poultry Science 2022, doi 10.1080/00071668.2022.2050673: 36 to 40 kg/m2 (abstract).
    assert numbers(limits("floor-crowded", "sci-bps-2022-turkey")) == {36}
    # Farm Animal Welfare Council 1995, appendix D: 0.0459 W^(2/3) m2 for a bird of W kg, which is
    # 37.3 kg/m2 at 5 kg and more for heavier ones (read at fawc.org.uk).
    assert pytest.approx(37.3, abs=0.05) == 5 / (0.0459 * 5 ** (2 / 3))
    assert 36 < 37.3


def test_the_load_to_watch_lies_between_what_two_and_one_and_a_half_square_feet_come_to() -> None:
    # Virginia Cooperative Extension 2902-1083: at least 1.5, better 2 sq ft for a meat bird (read).
    # A bird of 5 lb comes to 16.3 or 12.2 kg/m2 on that.
    (watch,) = numbers(limits("floor-crowded", "ext-vce-2902-1083"))
    assert 5 * POUND / (2 * SQUARE_FOOT) < watch < 5 * POUND / (1.5 * SQUARE_FOOT)


def test_hens_get_the_floor_of_the_law_of_organic_rules_and_of_a_science_opinion() -> None:
    # 9 hens to the square metre: 1999/74/EC, article 4(1)(4). 6: 889/2008, annex III (read). 4:
    # European Food Safety Authority 2023, EFSA Journal 21(2):7789 (reported at second hand).
    for source, hens in (("eu-1999-74", 9), ("eu-889-2008", 6), ("efsa-2023-7789", 4)):
        assert numbers(limits("floor-per-bird", source)) == {round(1 / hens, 9)}, source


@pytest.mark.parametrize("bird", CHICKENS)
def test_growing_chickens_get_the_floor_of_the_extension_table_step_by_step(bird: Bird) -> None:
    least = table("floor_need")
    for from_day, square_feet, _, _ in PSU:
        # Fast birds are at market weight from six weeks, and there the 1.5 sq ft of Virginia
        # 2902-1083 begin for them.
        starts = 42 if bird.growth == "fast" and from_day == 56 else from_day
        found = least("least", at=starts, group=bird) / SQUARE_FOOT
        assert found == pytest.approx(square_feet, rel=EXACT), from_day
        if starts:
            assert least("least", at=starts - 0.5, group=bird) / SQUARE_FOOT < square_feet


def test_meat_birds_near_market_do_well_on_what_two_publications_advise() -> None:
    # 2 sq ft: Virginia 2902-1083, "recommended" (read); Certified Naturally Grown, "2 square feet
    # per bird if poultry is penned and is moved to fresh pasture each day" (read at
    # naturallygrown.org).
    for growth, age in (("fast", 42), ("medium", 56), ("slow", 56)):
        good = table("floor_good")("good", at=age, group=Bird("meat chicken", growth))
        assert good == pytest.approx(2 * SQUARE_FOOT, rel=EXACT), growth


def test_turkeys_get_the_floor_of_two_publications() -> None:
    # 6 sq ft indoors: poultry.extension.org, space allowances (read). 1 sq ft to 6 weeks and 2 to
    # 12: American Livestock Breeds Conservancy, chapter 6.
    for name, column in (("floor_need", "least"), ("floor_good", "good")):
        for age, square_feet in ((0, 1), (41, 1), (42, 2), (83, 2), (84, 6), (140, 6)):
            found = table(name)(column, at=age, group=Bird("turkey")) / SQUARE_FOOT
            assert found == pytest.approx(square_feet, rel=EXACT), (name, age)


@pytest.mark.parametrize("bird", CHICKENS)
def test_chickens_get_the_feeding_edge_of_the_extension_table(bird: Bird) -> None:
    for from_day, _, inches, _ in PSU:
        found = table("feeder_need")("rim", at=from_day, group=bird, feeder=Kit("trough")) / INCH
        assert found == pytest.approx(inches, rel=EXACT), from_day
    # The same 3 in for grown birds: Virginia 2902-1083 (meat birds) and 2902-1085 (hens), read.
    grown = table("feeder_need")("rim", at=200, group=bird, feeder=Kit("trough")) / INCH
    assert grown == pytest.approx(3, rel=EXACT)


def test_hens_get_no_less_at_a_round_feeder_than_others_ask_there() -> None:
    # 4 cm: 1999/74/EC. 1.5 in: Humane Farm Animal Care, hens (at second hand).
    for form in ("pan", "tube"):
        rim = table("feeder_need")("rim", at=200, group=Bird("egg chicken"), feeder=Kit(form))
        assert rim >= 0.04
        assert rim >= 1.5 * INCH


@pytest.mark.parametrize("bird", CHICKENS)
def test_chickens_get_the_drinking_edge_of_the_extension_table(bird: Bird) -> None:
    for from_day, _, _, inches in PSU:
        found = table("drinker_need")("edge", at=from_day, group=bird, drinker=Kit("trough")) / INCH
        assert found == pytest.approx(inches, rel=EXACT), from_day
    # One inch for grown birds: Virginia 2902-1083 too (read).
    grown = table("drinker_need")("edge", at=200, group=bird, drinker=Kit("trough")) / INCH
    assert grown == pytest.approx(1, rel=EXACT)


@pytest.mark.parametrize("bird", CHICKENS)
def test_round_drinkers_ask_no_more_than_straight_ones_and_no_less_than_the_law(bird: Bird) -> None:
    for age in (0, 35, 56, 126, 200):
        bell = table("drinker_need")("edge", at=age, group=bird, drinker=Kit("bell"))
        trough = table("drinker_need")("edge", at=age, group=bird, drinker=Kit("trough"))
        # 1 cm for each hen: 1999/74/EC, article 4(1)(1)(b).
        assert 0.01 <= bell <= trough


def test_turkeys_get_the_feeding_edge_of_their_trade_sheet() -> None:
    # Bird Shippers of America, turkeys: 2 in from day-old, 3 in from three weeks.
    for age, inches in ((0, 2), (20, 2), (21, 3), (140, 3)):
        for form in ("trough", "pan", "tube"):
            rim = table("feeder_need")("rim", at=age, group=Bird("turkey"), feeder=Kit(form))
            assert rim / INCH == pytest.approx(inches, rel=EXACT)


def test_the_edge_below_which_nobody_has_tried_is_that_of_the_pasture_trial() -> None:
    # SARE FNE18-904, final report: no difference in growth from 2.5 in down to 0.8 in (read).
    (value,) = numbers(limits("feeder-space-short", "sare-fne18-904"))
    assert value == pytest.approx(0.8 * INCH, rel=1e-6)


@pytest.mark.parametrize(
    ("square_feet", "expected"), [(2, "nothing"), (1.99, "watch"), (1.5, "watch"), (1.49, "mend")]
)
def test_a_whole_setup_is_judged_by_the_floor_that_extension_advises(
    square_feet: float, expected: str
) -> None:
    # Twenty fast birds of seven weeks in a pen of that many square feet each, written in feet.
    pen: dict[str, Any] = {
        "birds.0.growth": "fast",
        "birds.0.count": 20,
        "birds.0.leaves": "2027-05-31",
        "pen.length": f"{20 * square_feet / 5:.15g} ft",
        "pen.width": "5 ft",
    }
    assert grade(report_of(changed(pen)), "floor-per-bird") == expected
