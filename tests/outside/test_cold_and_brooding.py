"""Critical temperatures and brooder curves, held against their publications.

No publication says which night birds of an age can bear: `night_warmth` is common practice. What is
held here is that it lies where the published temperatures say it may.
"""

from __future__ import annotations

import pytest

from flockcheck.measures.brooding import WEEK, right_warmth
from flockcheck.measures.cold import critical_by_age, critical_by_weight
from tests.outside.cases import Bird, figure, table

# Meltzer, Goodman and Fistool 1982, British Poultry Science 23:383-391, abstract (read at
# scilit.com): lower critical temperature of growing White Leghorn-type pullets, X in days and
# W in g: 35 - 0.286 X for 1 to 21, 63.3 X^-0.254 for 21 to 70, 42 - 1.18 W^0.480 for 40 to 163,
# 42 - 3.60 W^0.260 for 163 to 800. The values below were worked out from these lines by hand
# and are given to a tenth, so half a tenth is rounding.
BY_AGE = {1: 34.7, 3: 34.1, 7: 33.0, 10: 32.1, 14: 31.0, 17: 30.1, 28: 27.2, 42: 24.5, 56: 22.8,
          70: 21.5}  # fmt: skip
BY_WEIGHT = {40: 35.1, 60: 33.6, 100: 31.2, 200: 27.7, 400: 24.9, 600: 23.0, 800: 21.5}
ROUNDING = 0.05 + 1e-9
# Penn State Extension, 4-H embryology, brooding (read): 92 to 95 F in the first week at the height
# of the chick's back, 5 F less each week until room temperature. Carolina Farm Stewardship
# Association (read): 95 F in the first week. By week, F:
WEEKS = {1: 95, 2: 90, 3: 85, 4: 80, 5: 75}


def fahrenheit(celsius: float) -> float:
    return celsius * 1.8 + 32


def curve(weeks: float) -> float:
    figures = table("figures")
    return fahrenheit(right_warmth(weeks * WEEK, figures))


@pytest.mark.parametrize(("days", "celsius"), BY_AGE.items())
def test_the_critical_temperature_by_age_is_the_published_line(days: int, celsius: float) -> None:
    assert critical_by_age(days) == pytest.approx(celsius, abs=ROUNDING)


@pytest.mark.parametrize(("grams", "celsius"), BY_WEIGHT.items())
def test_the_critical_temperature_by_weight_is_the_published_line(
    grams: int, celsius: float
) -> None:
    assert critical_by_weight(grams) == pytest.approx(celsius, abs=ROUNDING)


def test_the_published_lines_meet_where_one_takes_over_from_the_other() -> None:
    # Both give 29.0 to 29.2 C at 21 days and 28.4 to 28.5 C at 163 g. A wrong coefficient or
    # exponent would open a gap of degrees.
    assert critical_by_age(21 + 1e-9) - critical_by_age(21) == pytest.approx(0, abs=0.25)
    assert critical_by_weight(163 + 1e-9) - critical_by_weight(163) == pytest.approx(0, abs=0.15)


def test_critical_temperatures_fall_with_age_and_with_weight() -> None:
    # Each line by itself; at a join the next one begins up to a quarter of a degree higher.
    for ages in (range(1, 22), range(22, 71)):
        by_age = [critical_by_age(days) for days in ages]
        assert by_age == sorted(by_age, reverse=True)
    for weights in (range(40, 164), range(164, 801)):
        by_weight = [critical_by_weight(grams) for grams in weights]
        assert by_weight == sorted(by_weight, reverse=True)


def test_the_nights_that_are_allowed_lie_well_below_the_critical_temperature_of_a_lone_chick() -> (
    None
):
    # A lone chick below its critical temperature eats more and is not yet in danger; a dry group
    # bears more still. A night line above the critical temperature would forbid what the brooder
    # itself does.
    chickens = Bird("meat chicken")
    for days in (14, 21, 28, 35, 42, 56, 70):
        watch, mend, stop = (
            table("night_warmth")(column, at=days, group=chickens)
            for column in ("watch", "mend", "stop")
        )
        assert stop < mend < watch < critical_by_age(days)


def test_chicks_are_never_put_out_into_a_night_that_chilled_day_olds_for_life() -> None:
    # University of Georgia, poultry ventilation newsletter 7(12), 1995 (read): 45 minutes of 55 F
    # (12.8 C) on the first day, and chicks were lighter at slaughter.
    assert table("night_warmth")("mend", at=0, group=Bird("meat chicken")) > 12.8


@pytest.mark.parametrize(("week", "degrees"), WEEKS.items())
def test_the_brooder_curve_begins_each_week_where_the_sheets_put_it(
    week: int, degrees: int
) -> None:
    # The step of 5 F is kept as 2.8 C: a tenth of a degree in five weeks. Through the week it falls
    # to the next, and never below the advised band of the first.
    assert curve(week - 1) == pytest.approx(degrees, abs=0.3)
    if week == 1:
        assert curve(0.5) >= 92


def test_the_brooder_curve_ends_at_room_temperature() -> None:
    # "Until room temperature" (Penn State): a research protocol ends at 70 F (at second hand).
    assert curve(8) == pytest.approx(70, abs=0.5)
    assert curve(20) == curve(8)


def test_the_danger_line_of_the_first_week_is_the_coolest_brooder_of_the_trial() -> None:
    # May and Lott 2000, Poultry Science 79:669-671 (read in the abstract): brooders that began at
    # 28 to 32 C grew chicks alike, and most deaths were in the first week of the coolest.
    assert figure("brooder_start") - figure("brooder_step") > 32 - 0.5
    assert right_warmth(0.99 * WEEK, table("figures")) > 28
