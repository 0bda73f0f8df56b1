"""What every keeper knows, held against the rules: setups that must come out as they do in life."""

from __future__ import annotations

from functools import cache
from itertools import product
from typing import Any

import pytest

from flockcheck.checkup.check import check
from flockcheck.checkup.examples import base_document, changed_setup
from flockcheck.checkup.model import Report
from flockcheck.workshop import tools

SPACE = ("floor-crowded", "floor-per-bird", "feeder-space-short", "drinker-space-short")
# A pen of 10 by 12 ft with 50 fast meat birds from two and a half weeks on.
CLASSIC: dict[str, Any] = {
    "pen.length": "12 ft",
    "pen.width": "10 ft",
    "pen.height": "24 in",
    "birds.0.growth": "fast",
    "birds.0.count": "50",
    "birds.0.hatched": "2027-04-30",
    "birds.0.leaves": "2027-06-28",
    "feeders.0.length": "5 ft",
}


@cache
def rulebook() -> Any:
    return tools().rulebook


def report(changes: dict[str, Any]) -> Report:
    setup = changed_setup(base_document(rulebook().base()), changes, "fact.flock.yaml")
    return check(setup, rulebook())


def grades(changes: dict[str, Any], *rules: str) -> dict[str, str]:
    """The worst grade of each of these rules that finds something."""
    return {one.rule: one.grade for one in report(changes).findings if one.rule in rules}


def asked(changes: dict[str, Any], rule: str) -> bool:
    """Whether a rule finds something or says what it lacks, where it is sure to if asked."""
    found = report(changes)
    return rule in {
        *(one.rule for one in found.findings),
        *(one.rule for one in found.not_checked),
        *(one.rule for one in found.partly_checked),
    }


def test_fifty_fast_birds_in_the_classic_pen_want_an_eye_near_the_end_and_no_more() -> None:
    assert grades(CLASSIC, *SPACE) == {"floor-crowded": "watch"}
    (tight,) = (one for one in report(CLASSIC).findings if one.rule == "floor-crowded")
    assert tight.first is not None
    assert "2027-06-14" < tight.first.isoformat() < "2027-06-28"


def test_an_outlet_that_faces_uphill_drains_the_tank_and_turned_downhill_does_not() -> None:
    sloping = {
        "site.slope": "5 %",
        "drinkers.0.run": "30 cm",
        "drinkers.0.freeboard": "10 mm",
    }
    both = ("outlet-uphill", "trough-out-of-level")
    for fill in ("vacuum", "float"):
        filled = {**sloping, "drinkers.0.fill": fill}
        assert grades({**filled, "drinkers.0.outlet": "uphill"}, *both) == {"outlet-uphill": "stop"}
        assert grades({**filled, "drinkers.0.outlet": "downhill"}, *both) == {}


def test_the_small_feeder_and_drinker_of_the_brooder_do_not_serve_the_flock_on_pasture() -> None:
    small = {
        "birds.0.count": "50",
        "feed.always": "no",
        "feeders": [{"form": "pan", "count": "1", "diameter": "12 in"}],
        "drinkers": [
            {"form": "bell", "supply": "tank", "count": "1", "diameter": "8 in", "holds": "1 gal"}
        ],
    }
    rules = ("feeder-space-short", "drinker-space-short", "drinker-runs-dry")
    assert grades(small, *rules) == {
        "feeder-space-short": "mend",
        "drinker-space-short": "mend",
        "drinker-runs-dry": "stop",
    }


def test_a_lid_that_is_not_screwed_down_blows_off() -> None:
    assert grades({"pen.lid_fastened": "no"}, "lid-blows-off") == {"lid-blows-off": "stop"}
    assert grades({"pen.lid_fastened": "yes"}, "lid-blows-off") == {}


def test_five_gallons_last_fifty_birds_of_three_to_four_weeks_well_over_a_day() -> None:
    drinker = {**CLASSIC, "water.visits_per_day": "1", "weather.day_high": "70 F"}
    drinker |= {"drinkers.0.count": "1", "drinkers.0.holds": "5 gal"}
    weeks = {**drinker, "birds.0.hatched": "2027-04-26", "birds.0.leaves": "2027-05-24"}
    assert grades(weeks, "drinker-runs-dry") == {}


def test_dogs_near_the_pen_answer_a_fox_in_part_and_dogs_far_off_do_not() -> None:
    # A net over what the roof leaves open is half an answer to a fox; dogs near by do the rest.
    half = {"pen.roof.cover": "60 %", "pen.roof.over_rest": "netting", "predators": "[fox]"}
    half |= {"care.night_house": "no", "site.house": "300 m"}

    def with_dogs(distance: str) -> list[str]:
        dogs = [{"kind": "dog", "count": "2", "role": "yard", "distance": distance}]
        found = report({**half, "guardians": dogs}).findings
        return [one.grade for one in found if one.about == "predators.0"]

    assert with_dogs("40 m") == []
    assert with_dogs("400 m") == ["mend"]


@pytest.mark.parametrize(
    ("fill", "outlet"),
    list(product(("vacuum", "float", "valve", "none"), ("downhill", "across", "uphill"))),
)
def test_exactly_one_rule_speaks_for_how_a_drinker_stands(fill: str, outlet: str) -> None:
    # Without its run neither rule can be judged, so the one that is asked says so.
    changes = {
        "drinkers.0.fill": fill,
        "drinkers.0.outlet": outlet,
        "drinkers.0.run": "left out",
    }
    assert asked(changes, "outlet-uphill") != asked(changes, "trough-out-of-level")
    nipples = {**changes, "drinkers.0.form": "nipple"}
    assert not asked(nipples, "outlet-uphill")
    assert not asked(nipples, "trough-out-of-level")
