"""Facts of the trade about floor, droppings and ground: common practice, no source.

The setups stand under `fixtures/trade`.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from flockcheck.checkup.check import check
from flockcheck.checkup.model import Report
from flockcheck.files import read_setup_file
from flockcheck.measures.graph.run import Run
from flockcheck.setup.written import Setup
from tests.outside.cases import book, found, grade

TRADE = Path(__file__).parents[2] / "fixtures" / "trade"
PRACTICE = "common practice, no source"
DAILY = "fact-1-fifty-birds-moved-daily"
THIRD_DAY = "fact-2-every-third-day-at-the-end"
PULLETS = "fact-2-pullets-stay-three-days"
ACRE = 4046.8564224
# What speaks of room and of what lies on the ground.
SPACE = ("floor-crowded", "floor-per-bird", "headroom-low")
GROUND = ("droppings-heavy", "ground-too-small", "rest-too-short", "step-too-short")


def setup(name: str, **changes: object) -> Setup:
    read = read_setup_file(str(TRADE / f"{name}.flock.yaml"))
    for key, value in changes.items():
        read = read.with_value(key.replace("__", "."), value)
    return read


def report(name: str, **changes: object) -> Report:
    done = check(setup(name, **changes), book())
    assert not done.errors and not done.failures
    return done


def test_fact_1_the_pen_and_the_birds_are_those_of_the_fact() -> None:
    values = setup(DAILY).values
    told = {key: values[f"pen.{key}"].text for key in ("length", "width", "height", "floor")}
    assert told == {"length": "12 ft", "width": "10 ft", "height": "24 in", "floor": "open"}
    assert values["birds.0.count"].value == 50
    assert values["pen.moves.every"].value == 1
    out, leaves = values["birds.0.out"].value, values["birds.0.leaves"].value
    # Two and a half weeks, in whole days, and six weeks more.
    assert (out - values["birds.0.hatched"].value).days == 18
    assert (leaves - out).days == 42


def test_fact_1_fifty_fast_birds_moved_daily_have_room_and_clean_ground() -> None:
    done = report(DAILY)
    for rule in (*SPACE, *GROUND):
        assert grade(done, rule) in ("nothing", "watch"), (rule, PRACTICE)
    assert [one.rule for one in done.findings if one.grade in ("stop", "mend")] == []


def test_fact_1_it_gets_tight_near_the_end() -> None:
    tight = found(report(DAILY), "floor-crowded")
    assert tight is not None and tight.grade == "watch", PRACTICE
    assert tight.first is not None and tight.first >= date(2027, 7, 3)


def test_fact_1_holds_for_droppings_near_the_end_too() -> None:
    heavy = found(report(DAILY), "droppings-heavy")
    assert heavy is not None and heavy.grade == "watch", PRACTICE
    # The second half of the stay.
    assert heavy.first is not None and heavy.first > date(2027, 6, 24)


def test_fact_2_moved_every_third_day_at_the_end_the_droppings_want_mending() -> None:
    heavy = found(report(THIRD_DAY), "droppings-heavy")
    assert heavy is not None and heavy.grade == "mend", PRACTICE
    mends = [span for span in heavy.spans if span.grade == "mend"]
    assert mends[0].first == date(2027, 7, 3)


def test_fact_2_the_two_setups_differ_in_the_rhythm_alone() -> None:
    daily, third = setup(DAILY), setup(THIRD_DAY)
    keys = {*daily.values, *third.values} - {"name"}
    differ = {key for key in keys if daily.values.get(key) is None}
    assert differ == {"pen.moves.later.0.from", "pen.moves.later.0.every"}
    assert all(daily.values[key].value == third.values[key].value for key in keys - differ)


def test_fact_2_fifty_pullets_of_three_to_four_weeks_may_stay_about_three_days() -> None:
    done = report(PULLETS)
    assert setup(PULLETS).values["pen.moves.every"].value == 3
    for rule in (*SPACE, *GROUND):
        assert grade(done, rule) == "nothing", (rule, PRACTICE)


@pytest.mark.parametrize(("every", "expected"), [(3.0, "watch"), (7.0, "mend")])
def test_fact_2_chicks_of_a_meat_strain_are_near_the_line_after_three_days(
    every: float, expected: str
) -> None:
    chicks = {"birds__0__kind": "meat chicken", "birds__0__growth": "fast"}
    done = report(PULLETS, pen__moves__every=every, **chicks)
    assert grade(done, "droppings-heavy") == expected, PRACTICE


def test_fact_10_a_third_of_an_acre_carries_one_such_batch() -> None:
    batch = setup(DAILY)
    assert batch.values["site.ground"].text == "1/3 acre"
    assert grade(check(batch, book()), "ground-too-small") == "nothing", PRACTICE
    run = Run(batch, book().registry, book().tables)
    # 42 moves of 120 sq ft, about a ninth of an acre; two more such batches would fill it.
    assert run.value("patches_used")[-1] == 42
    assert run.value("ground_used")[-1] == pytest.approx(42 * 120 * 0.3048**2)
    assert run.value("ground_used")[-1] < ACRE / 3


def test_fact_10_over_the_whole_third_of_an_acre_they_spread_what_a_farm_may() -> None:
    run = Run(setup(DAILY), book().registry, book().tables)
    on_all_of_it = run.value("nitrogen_so_far")[-1] / (ACRE / 3) * 10_000
    assert on_all_of_it < 170, PRACTICE
