"""Facts of the trade that a whole setup must come out with: common practice, no source.

Every keeper who has done it knows them, and no publication says them. The setups stand under
`fixtures/trade`; a test changes a key or two where the fact has a second half.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from flockcheck.checkup.check import check
from flockcheck.checkup.model import Report
from flockcheck.files import read_setup_file
from flockcheck.measures.graph.run import Run
from flockcheck.setup.written import Setup
from tests.outside.cases import book, grade

TRADE = Path(__file__).parents[2] / "fixtures" / "trade"
PRACTICE = "common practice, no source"


def setup(name: str, **changes: object) -> Setup:
    """A setup of fixtures/trade; `changes` are keys with `__` for the dot, in base units."""
    read = read_setup_file(str(TRADE / f"{name}.flock.yaml"))
    for key, value in changes.items():
        read = read.with_value(key.replace("__", "."), value)
    return read


def report(name: str, **changes: object) -> Report:
    found = check(setup(name, **changes), book())
    assert not found.errors and not found.failures
    return found


def bad(found: Report) -> list[str]:
    """The rules that say stop or mend."""
    return [finding.rule for finding in found.findings if finding.grade in ("stop", "mend")]


@pytest.mark.parametrize("fill", ["vacuum", "float"])
def test_fact_4_an_outlet_that_faces_uphill_drains_the_tank(fill: str) -> None:
    found = report("fact-4-outlet-uphill", drinkers__0__fill=fill)
    assert grade(found, "outlet-uphill", "drinkers.0") == "stop", PRACTICE
    assert found.verdict == "not ready"
    # Nothing else is wrong with this setup.
    assert bad(found) == ["outlet-uphill"]


@pytest.mark.parametrize("fill", ["vacuum", "float"])
def test_fact_4_turned_downhill_it_does_not(fill: str) -> None:
    found = report("fact-4-outlet-downhill", drinkers__0__fill=fill)
    assert grade(found, "outlet-uphill", "drinkers.0") == "nothing", PRACTICE
    assert grade(found, "trough-out-of-level", "drinkers.0") == "nothing"
    assert bad(found) == []
    assert found.verdict == "ready"


def test_fact_4_the_two_setups_differ_in_the_outlet_alone() -> None:
    up, down = setup("fact-4-outlet-uphill"), setup("fact-4-outlet-downhill")
    keys = {*up.values, *down.values} - {"name"}
    differ = {key for key in keys if up.values[key].value != down.values[key].value}
    assert differ == {"drinkers.0.outlet"}


def test_fact_9_a_full_five_gallon_drinker_lasts_fifty_chicks_well_over_a_day() -> None:
    five = setup("fact-9-five-gallon-drinker")
    assert five.values["birds.0.count"].value == 50
    assert five.values["drinkers.0.holds"].text == "5 gal"
    found = check(five, book())
    assert grade(found, "drinker-runs-dry") == "nothing", PRACTICE
    assert bad(found) == []
    run = Run(five, book().registry, book().tables)
    ages = [age for age in run.value("age", 0) if age is not None]
    assert (ages[0], ages[-1]) == (21, 28)
    # "Well over a day" is read as a day and a half of what they usually drink, and more than a day
    # and a quarter of the most that they are allowed.
    usual = [days for days in run.value("water_lasts") if days is not None]
    most = [days for days in run.value("water_lasts_high") if days is not None]
    assert min(usual) >= 1.5
    assert min(most) >= 1.25


def test_fact_9_holds_in_mild_weather_only() -> None:
    hot = report("fact-9-five-gallon-drinker", weather__day_high=35.0)
    assert grade(hot, "drinker-runs-dry") != "nothing", PRACTICE


def about_the_fox(found: Report) -> set[str]:
    """The grades of all that is said of the fox, by whichever rule."""
    open_questions = [one for one in found.not_checked if one.about == "predators.0"]
    assert not open_questions, open_questions
    return {finding.grade for finding in found.findings if finding.about == "predators.0"}


def test_fact_11_yard_dogs_close_by_and_a_house_answer_the_fox_in_part() -> None:
    # Netting on the sides stops it in part, the dogs or the people do the rest; roof and skirt
    # close the other ways.
    found = report("fact-11-dogs-near")
    assert about_the_fox(found) == set(), PRACTICE
    assert bad(found) == []


@pytest.mark.parametrize(
    ("house", "dogs", "expected"),
    [(45.0, 300.0, set()), (310.0, 40.0, set()), (310.0, 300.0, {"mend"})],
)
def test_fact_11_either_the_house_or_the_dogs_are_enough_and_neither_is_not(
    house: float, dogs: float, expected: set[str]
) -> None:
    found = report("fact-11-dogs-near", site__house=house, guardians__0__distance=dogs)
    assert about_the_fox(found) == expected, PRACTICE


def test_fact_11_far_across_the_pasture_the_same_dogs_do_not_answer_it() -> None:
    found = report("fact-11-dogs-far")
    assert about_the_fox(found) == {"mend"}, PRACTICE
    # Birds of prey are answered by the roof, dogs or no dogs: nothing else is wrong.
    assert len(bad(found)) == 1


def test_fact_11_livestock_dogs_that_live_with_the_flock_answer_it_at_any_distance() -> None:
    found = report("fact-11-dogs-far", guardians__0__role="livestock")
    assert not about_the_fox(found) & {"stop", "mend"}, PRACTICE


def test_fact_11_dogs_alone_never_answer_a_fox() -> None:
    # No skirt, and three days on one patch: time to dig.
    bare = {"mesh__skirt": 0.0, "mesh__ground_gap": 0.0, "pen__moves__every": 3.0}
    assert about_the_fox(report("fact-11-dogs-near", **bare)) & {"stop", "mend"}, PRACTICE
