"""Published figures of fences against what the rules say of them.

Skirts, nets, heights, wire and inspections; openings are held in test_openings.py. Each figure is
typed from the publication named beside it. "Read" means in a copy or reprint of its text, "from
memory" that it was not read off the page. A rule's grades are its own: what is held is that a
fence as advised is let be, and that one short of the advice is not.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from tests.outside.cases import book, changed, figure, found, grade, report_of, table

TABLES = ("ways_in", "barriers")
FIGURES = ("finest_cloth", "wire_light", "fence_height", "net_live", "net_target")
INCH = 0.0254
FOX = "predators.0"
# A pen in which only the fence stands: no night house, no net, nobody near, three days on a patch.
ALONE = {
    "predators": ["fox"],
    "care.night_house": "no",
    "site.house": "500 m",
    "pen.moves.every": "3 days",
}
WITHOUT = ("guardians",)
NET = {
    "guardians.0.kind": "electric net",
    "guardians.0.count": "1",
    "guardians.0.height": "1.2 m",
    "guardians.0.voltage": "6.5 kV",
    "guardians.0.joules": "1",
    "guardians.0.certified": "yes",
}


def asked(rule: str, changes: Mapping[str, Any], about: str | None = FOX) -> str:
    """What a rule finds in a pen with only the fence and these changes."""
    return grade(report_of(changed({**ALONE, **changes}, WITHOUT)), rule, about)


# Skirts laid out, and mesh in the ground.


@pytest.mark.parametrize(
    ("width", "finds"),
    [
        # British Waterfowl Association, fencing leaflet: 8 in (20 cm) in the ground, read. The
        # least that is published anywhere, and less than all others: not enough here.
        ("8 in", "mend"),
        # Massachusetts Division of Fisheries and Wildlife: at least 12 in (30 cm) buried, read.
        # Vermont Fish and Wildlife, 2019: 12 in of cloth in the ground, read.
        ("12 in", "watch"),
        # Moseby and Read 2006, Biological Conservation 127:429-437: foot apron of 30 cm, read in
        # the abstract.
        ("30 cm", "watch"),
        # University of Nebraska, Prevention and control of wildlife damage, 1994: coyotes, apron of
        # 15 in; badgers, 12 to 18 in buried; both from memory.
        ("15 in", "watch"),
        ("18 in", "watch"),
        # A sanctuary fence in New Zealand: skirt of 400 mm, at second hand.
        ("400 mm", "watch"),
        # A smallholding magazine of 2018: 60 cm flat on the ground, pegged, at second hand.
        # Nebraska on foxes: buried 1 to 2 ft, from memory.
        ("60 cm", "nothing"),
        ("2 ft", "nothing"),
    ],
)
def test_a_skirt_is_judged_by_what_was_tried_against_diggers(width: str, finds: str) -> None:
    assert asked("dug-under", {"mesh.skirt": width}) == finds


def test_no_published_apron_is_asked_of_a_pen_that_is_gone_by_the_next_day() -> None:
    # Burying is for fences that stand; nobody published an apron for a pen that moves.
    assert asked("dug-under", {"mesh.skirt": "0 cm", "pen.moves.every": "1 day"}) == "watch"


# Voltage: Poole, Western and McKillop 2004, Crop Protection 23, abstract, read. Badgers that were
# kept out by steel wire whose voltage was stepped up: 4 % at 0 kV, 68 % at 2 kV, 83 % at 4 kV and
# 95 % at 6 kV.
KEPT_OUT = {0: 4, 2: 68, 4: 83, 6: 95}
GRADES = ("stop", "mend", "watch", "nothing")


def net_grade(voltage: str) -> str:
    return asked("net-weak", {**net(voltage), "mesh.skirt": "0 cm"}, "guardians.0")


def net(voltage: str) -> dict[str, str]:
    return {**NET, "guardians.0.voltage": voltage}


def test_each_step_of_the_trial_is_one_grade_better() -> None:
    assert sorted(KEPT_OUT.values()) == list(KEPT_OUT.values())
    assert [net_grade(f"{kilovolts} kV") for kilovolts in KEPT_OUT] == list(GRADES)


@pytest.mark.parametrize(
    ("below", "finds"), [("1.99 kV", "stop"), ("3.99 kV", "mend"), ("5.99 kV", "watch")]
)
def test_just_below_a_step_counts_as_the_step_before(below: str, finds: str) -> None:
    assert net_grade(below) == finds


def test_the_rule_tells_the_figures_of_the_trial() -> None:
    why = book().rules["net-weak"].why
    assert "95 of a hundred at 6 kV, 83 at 4 kV, 68 at 2 kV and 4 with the current off" in why
    assert figure("net_live") == 4000
    assert figure("net_target") == 6000


def test_a_bear_takes_six_kilovolts_and_seven_tenths_of_a_joule() -> None:
    # Bear-smart electric fence quick tips: at least 6 kV and 0.7 J, read in a copy.
    def weak(voltage: str, joules: str) -> str:
        bear = {**net(voltage), "guardians.0.joules": joules, "predators": ["bear"]}
        return asked("net-weak", bear, "guardians.0")

    assert weak("6 kV", "0.7") == "nothing"
    assert weak("5.9 kV", "0.7") == "mend"
    assert weak("6 kV", "0.6") == "mend"


def test_an_energiser_gives_five_joules_at_most() -> None:
    # IEC 60335-2-76, clause 22.108: at most 5 J in one pulse into the standard load, read in sheets
    # that reproduce it.
    def found_with(joules: str) -> str:
        strong = {**net("6.5 kV"), "guardians.0.joules": joules}
        return asked("energiser-uncertified", strong, "guardians.0")

    assert found_with("5") == "nothing"
    assert found_with("5.1") == "mend"


# Heights.


@pytest.mark.parametrize("height", ["42 in", "47 in", "48 in"])
def test_poultry_nets_as_they_are_sold_are_high_enough(height: str) -> None:
    # "The option of either 42 or 47 inches high", a practitioner's article on net fencing, part one
    # (read at informedfarmers.com/electric-fencing-poultry-1); 48 in is sold too.
    sold = {**net("6.5 kV"), "guardians.0.height": height}
    assert asked("fence-low", sold, None) == "nothing"


def test_a_fence_is_high_enough_to_stop_a_dog_from_six_feet() -> None:
    # Massachusetts Division of Fisheries and Wildlife: 6 ft, read. 1.8 m is what that is called in
    # metric: 2 %.
    open_top = {"pen.roof.cover": "0 %", "pen.roof.over_rest": "open", "predators": ["dog"]}
    assert figure("fence_height") == pytest.approx(6 * 12 * INCH, rel=0.02)
    assert asked("fence-low", {**open_top, "mesh.height": "6 ft"}, None) == "nothing"
    assert asked("fence-low", {**open_top, "mesh.height": "5 ft 6 in"}, None) == "mend"


def test_no_height_helps_against_a_climber() -> None:
    # Moseby and Read 2006, Robley and others 2007 (abstracts, read): fences of 1.8 m hold foxes and
    # cats only with an overhang of 60 cm, which no pen has.
    open_top = {"pen.roof.cover": "0 %", "pen.roof.over_rest": "open", "mesh.height": "1.8 m"}
    for predator in ("fox", "cat"):
        assert asked("open-above", {**open_top, "predators": [predator]}) == "stop"


def test_small_mesh_reaches_eighteen_inches_up_against_a_paw() -> None:
    # Washington Department of Fish and Wildlife, raccoons: small mesh on the lowest 18 in (46 cm),
    # read in a reprint.
    low = {"mesh.opening": "2 in", "mesh.lower_opening": "1/2 in", "predators": ["raccoon"]}
    assert asked("reached-through", {**low, "mesh.lower_height": "18 in"}) == "nothing"
    assert asked("reached-through", {**low, "mesh.lower_height": "46 cm"}) == "nothing"
    assert asked("reached-through", {**low, "mesh.lower_height": "17 in"}) == "mend"


# From above.


def test_owls_are_told_two_nets_five_to_six_inches_apart_and_no_perch_within_a_hundred_yards() -> (
    None
):
    # Cooperative Extension, hawks and owls: two layers of net 5 to 6 in apart; perches taken away
    # within 100 yd; read.
    advice = " ".join(fix.words for fix in book().rules["open-above"].fixes if fix.way == "do")
    assert "two nets five to six inches apart" in advice
    assert "within a hundred yards" in advice


def test_one_net_is_half_an_answer_to_an_owl_and_a_whole_one_to_a_hawk() -> None:
    # The same: a single net that roosting birds touch fails against owls.
    assert table("barriers")("netting", predator="owl") == 0.5
    assert table("barriers")("netting", predator="hawk") == 1


# Weave and wire.


@pytest.mark.parametrize("predator", ["fox", "raccoon", "coyote", "dog", "badger"])
def test_chicken_netting_alone_is_not_relied_on(predator: str) -> None:
    # Massachusetts Division of Fisheries and Wildlife: netting keeps chickens in and not always
    # predators out, read in a reprint. City of Toronto: it doesn't accept it as a skirt, read.
    netting = {"predators": [predator], "mesh.weave": "hexagonal", "mesh.opening": "1 in"}
    assert asked("mesh-torn", netting) in ("stop", "mend")


def test_netting_on_a_strong_frame_by_day_is_enough_with_a_night_house() -> None:
    # Washington Department of Fish and Wildlife: one-inch poultry wire for the day, and a locked
    # house at night, read in a reprint.
    day_pen = {"predators": ["raccoon"], "mesh.weave": "hexagonal", "mesh.opening": "1 in"}
    assert asked("mesh-torn", {**day_pen, "care.night_house": "yes"}) == "nothing"
    assert asked("mesh-torn", day_pen) == "mend"


def test_hardware_cloth_of_nineteen_gauge_stands_against_fox_and_raccoon() -> None:
    # Cooperative Extension, rodents: half-inch cloth of 19 gauge; the steel wire gauge puts that at
    # 0.041 in (1.04 mm); both typed from memory. 1.0 mm is how it is sold in metric: 5 %.
    assert figure("wire_light") == pytest.approx(0.041 * INCH, rel=0.05)
    for predator in ("fox", "raccoon"):
        cloth = {"predators": [predator], "mesh.wire": "0.041 in", "mesh.opening": "0.459 in"}
        assert asked("mesh-torn", cloth) == "nothing"


def test_a_dog_takes_fourteen_gauge() -> None:
    # Steel wire gauge, typed from memory: 14 gauge is 0.080 in (2.03 mm). That a dog takes it is
    # common practice.
    assert asked("mesh-torn", {"predators": ["dog"], "mesh.wire": "0.080 in"}) == "nothing"
    assert asked("mesh-torn", {"predators": ["dog"], "mesh.wire": "0.041 in"}) == "mend"


def test_quarter_inch_cloth_closes_the_sides_to_the_slimmest() -> None:
    # Vermont Fish and Wildlife, 2019: quarter-inch cloth along the bottom, read; US Geological
    # Survey: quarter-inch cloth against snakes, read. Its clear opening is 0.224 in.
    assert figure("finest_cloth") == pytest.approx(0.25 * INCH)
    for predator in ("weasel", "snake"):
        keys = {"predators": [predator], "mesh.opening": "0.224 in"}
        assert asked("predator-unanswered", keys) == "nothing"


def test_every_predator_that_the_guides_call_a_digger_comes_under_the_rail() -> None:
    # Washington Department of Fish and Wildlife, "all coyotes are excellent diggers"; the handbook
    # on raising poultry, opossums "dig into earthen pens"; read. Badger, fox and skunk: Nebraska,
    # from memory.
    for predator in ("coyote", "opossum", "badger", "fox", "skunk"):
        assert table("ways_in")("under", predator=predator), predator


# Inspections.


def test_a_fence_that_is_walked_every_two_weeks_is_looked_over_often_enough() -> None:
    # A sanctuary in New Zealand, 2021: walked every two weeks, read. How long a pen may
    # wait for birds after that nobody has published: 30 and 60 days are common practice.
    report = report_of(changed({"mesh.inspected": "2027-05-03"}))
    assert grade(report, "inspection-old") == "nothing"
    assert found(report_of(changed({"mesh.inspected": "2027-03-01"})), "inspection-old")


# One figure in two places: what counts as a barrier, and what a rule asks for.


@pytest.mark.parametrize(
    ("rule", "figures"),
    [
        ("dug-under", ("skirt_narrow", "skirt_wide")),
        ("reached-through", ("reach_opening",)),
        ("net-weak", ("net_live", "net_target")),
        ("fence-low", ("fence_height",)),
        ("guardian-far", ("dog_hears",)),
        ("dog-untried", ("dog_grown",)),
    ],
)
def test_rules_ask_for_what_counts_as_a_barrier(rule: str, figures: tuple[str, ...]) -> None:
    limits = [limit.value[1] for limit in book().rules[rule].limits if limit.value[0] == "literal"]
    for name in figures:
        assert figure(name) in limits, name
