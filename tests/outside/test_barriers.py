"""What publications say of how predators get in and what stops them, against the two tables.

The grades of `barriers` are judgements made from these texts (whole, half, none), so what is held
here is what a text says outright, not a number. Read in the places named.
"""

from __future__ import annotations

import pytest

from tests.outside.cases import table

TABLES = ("ways_in", "barriers", "gets_through")

# Who comes which way, by the words of the publication.
WAYS = [
    # pinemarten.ie/gun-clubs: "a skilful climber". Vincent Wildlife Trust, How to exclude pine
    # martens from game and poultry pens: "can usually gain access to pens in three ways".
    ("marten", ("over", "through", "under")),
    # University of Nebraska NebGuide G1688: raccoons "are exceptional climbers", with "tremendous
    # dexterity in their front paws"; both they and opossums "are nocturnal".
    ("raccoon", ("over", "reach", "nights")),
    # Handbook extract on raising poultry (what-when-how.com): opossums "squeeze through any hole",
    # "dig into earthen pens", "also will climb"; "nocturnal".
    ("opossum", ("over", "through", "under", "nights")),
    # The same: mink "have no trouble climbing and getting through any hole"; weasel and mink "tend
    # to do their damage at night".
    ("mink", ("over", "through", "nights")),
    ("weasel", ("through", "nights")),
    # Washington Department of Fish and Wildlife: coyotes go over a fence with paws and hind legs,
    # and "all coyotes are excellent diggers".
    ("coyote", ("over", "under")),
    # Moseby and Read 2006 (abstract): fences against foxes and cats need a foot apron and an
    # overhang.
    ("fox", ("over", "under")),
    ("cat", ("over",)),
    # wildlife-damage-management.extension.org: rats gain entry through any opening over 1/2 in.
    ("rat", ("through",)),
    # Nebraska (hawks and owls): birds of prey come from above; owls by night.
    ("hawk", ("over",)),
    ("owl", ("over", "nights")),
]
PREDATORS = sorted(row.where["predator"][0] for row in table("barriers").rows)
COLUMNS = tuple(table("barriers").units)


@pytest.mark.parametrize(("predator", "ways"), WAYS)
def test_a_predator_comes_the_ways_that_publications_name(
    predator: str, ways: tuple[str, ...]
) -> None:
    for way in ways:
        assert table("ways_in")(way, predator=predator), way


def test_what_comes_over_a_side_climbs_it() -> None:
    # One fact in two tables: whoever the publications call a climber, or a bird.
    for predator in ("marten", "raccoon", "opossum", "mink", "cat", "hawk", "owl", "coyote"):
        assert table("gets_through")("climbs", predator=predator), predator


def test_birds_of_prey_neither_walk_nor_dig() -> None:
    for predator in ("hawk", "eagle", "owl"):
        for way in ("under", "walks", "reach"):
            assert not table("ways_in")(way, predator=predator), (predator, way)


def test_all_three_tables_speak_of_the_same_predators() -> None:
    for name in ("ways_in", "gets_through"):
        rows = sorted(row.where["predator"][0] for row in table(name).rows)
        assert rows == PREDATORS, name


@pytest.mark.parametrize("predator", PREDATORS)
def test_no_fence_dog_or_house_stops_a_predator_whole(predator: str) -> None:
    # Poole, Western and McKillop 2004 (abstract): 6 kV on steel wire, kept up, stopped 90 % of
    # badgers, wire that was stepped up 95 %. Van Bommel and Johnson 2012: of keepers of guardian
    # dogs 65 % lost nothing any more (at second hand). Neither is all.
    for barrier in ("net", "dog", "house"):
        assert table("barriers")(barrier, predator=predator) <= 0.5, barrier


def test_an_electric_net_stops_badgers_in_part_and_not_in_vain() -> None:
    # The same trial: 83 % at 4 kV against 4 % without current.
    assert table("barriers")("net", predator="badger") == 0.5


def test_nothing_but_current_and_company_stands_against_a_bear() -> None:
    # Vermont Fish and Wildlife (Addison Independent, 2019-06-18): bears "are strong enough to break
    # into most unprotected chicken coops"; the net is "good extra protection ... especially against
    # black bears".
    for barrier in COLUMNS:
        grade = table("barriers")(barrier, predator="bear")
        assert grade == (0.5 if barrier in ("net", "dog") else 0), barrier


def test_half_inch_cloth_stops_the_small_predators() -> None:
    # Fitzwater 1972 (abstract): half-inch mesh "is needed to keep all small predators out of the
    # poultry yard", weasels among them; the wildlife handbook of Nebraska says the same of weasels
    # (from memory). Netting of an inch, which they pass, counts nothing.
    for predator in ("rat", "mink", "mongoose", "marten", "skunk", "opossum", "weasel"):
        assert table("barriers")("cloth", predator=predator) == 1, predator
    assert table("barriers")("hex", predator="weasel") == 0


def test_chicken_netting_alone_stops_nothing_that_bites_or_tears() -> None:
    # Massachusetts Division of Fisheries and Wildlife: poultry netting keeps birds in, not always
    # predators out; City of Toronto does not accept it below ground.
    for predator in PREDATORS:
        stops = table("barriers")("hex", predator=predator)
        assert stops <= (1 if predator in ("hawk", "crow") else 0.5), predator


def test_a_wide_skirt_stops_a_fox_and_a_narrow_one_in_part() -> None:
    # Moseby and Read 2006: a 30 cm apron "effectively contained most" foxes, and was widened where
    # needed. A smallholding magazine of 2018: 60 cm, pegged, is better than burying.
    assert table("barriers")("skirt", predator="fox") == 0.5
    assert table("barriers")("wide_skirt", predator="fox") == 1
