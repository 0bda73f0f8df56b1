"""The walk round the pen: what it shows for which setup, in which order, and that it is a page."""

from __future__ import annotations

import copy
import functools
from datetime import date

import pytest
from syrupy.assertion import SnapshotAssertion

from flockcheck.files import read_setup_file
from flockcheck.reports.roundtext import LINES, WIDTH, _for_setup, _weight, round_text
from flockcheck.reports.stations import place_of, station_of, stations
from flockcheck.rulebook.book import Rulebook
from flockcheck.setup.form import leaves
from flockcheck.setup.reader import read_setup_text
from flockcheck.setup.template import BIRDS, planned, setup_text
from flockcheck.workshop import load_rulebook
from tests.little_cases import ROOT, birds, little, setup

FIXTURES = sorted(
    path.relative_to(ROOT).as_posix()
    for path in (ROOT / "fixtures").rglob("*.flock.yaml")
    if path.parent.name != "broken"
)


@functools.cache
def built_in() -> Rulebook:
    return load_rulebook()


WALKED = """
    cold-nights gets-in heat-off-late hot-and-tight lamp-loose law-only leaves-old local-rules
    mesh-wide moves-young outlet-spills perch-short pets-loose rim-low roof-scant shots-missing
    tight words
"""


@functools.cache
def looking() -> Rulebook:
    """Some rules of the little book, each with a look that tells what it is."""
    book = copy.copy(little())
    book.rules = {
        name: little().rules[name]._replace(look=f"Look at {name}. Take your time.")
        for name in WALKED.split()
    }
    return book


def shown(text: str) -> list[str]:
    """The rules of the looking book whose looks are on a page, in their order."""
    heads = [line for line in text.splitlines() if line.startswith("[ ] Look at ")]
    return [line.removeprefix("[ ] Look at ").partition(".")[0] for line in heads]


def test_a_round_is_printed(snapshot: SnapshotAssertion) -> None:
    assert round_text(looking(), setup(("opening: 20 mm, ", ""))) == snapshot


def test_a_round_for_any_pen_is_printed(snapshot: SnapshotAssertion) -> None:
    assert round_text(looking()) == snapshot


def test_rules_that_are_not_asked_are_not_walked() -> None:
    rules = shown(round_text(looking(), setup()))
    # Nothing is hot, bought in, an egg chicken, or for the day they leave; reminders are for once.
    for name in ("hot-and-tight", "shots-missing", "law-only", "leaves-old", "local-rules"):
        assert name not in rules
    assert {"tight", "gets-in", "outlet-spills", "moves-young"} <= set(rules)


def test_a_rule_whose_question_is_open_is_walked_and_its_key_is_a_blank() -> None:
    text = round_text(looking(), setup(("opening: 20 mm, ", "")))
    assert "mesh-wide" in shown(text)
    assert "mesh.opening: ____" in text


def test_a_blank_has_no_number_of_an_item() -> None:
    text = round_text(looking(), setup((", outlet: uphill", "")))
    assert "drinkers.outlet: ____" in text


def test_looks_stand_in_walking_order() -> None:
    text = round_text(looking(), setup(), whole=True)
    names = [station.name for station in stations()]
    heads = [line.partition(" --")[0] for line in text.splitlines() if line.endswith("---")]
    assert heads == [name for name in names if name in heads]
    assert len(heads) > 5
    order = shown(text)
    walked = ["mesh-wide", "roof-scant", "perch-short", "rim-low", "outlet-spills", "tight"]
    assert [name for name in order if name in walked] == walked


def test_a_page_passes_no_station_by_however_much_there_is_to_look_at() -> None:
    book = copy.copy(looking())
    # So many looks at the floor that there is no room for all.
    tight = book.rules["tight"]
    book.rules = {
        **book.rules,
        **{f"more-{at}": tight._replace(name=f"more-{at}") for at in range(60)},
    }
    text = round_text(book, setup(birds(70)))
    assert len(text.splitlines()) == LINES
    assert "more to look at: `flockcheck round --whole` prints them all." in text
    assert "mesh-wide" in shown(text)
    whole = round_text(book, setup(birds(70)), whole=True)
    assert len(whole.splitlines()) > LINES and "more to look at" not in whole


def test_each_predator_is_named_once_at_the_top() -> None:
    assert "Against fox and mink." in round_text(looking(), setup())
    assert "Against" not in round_text(looking(), setup(("[fox, mink]", "[]")))


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ([], "By the file: ready."),
        ([("latches: two-step", "latches: simple")], "By the file: not ready (1 to mend)."),
        (
            [("mesh: {opening: 20 mm, skirt: 30 cm}\n", "mesh: {opening: 30 mm, skirt: 30 cm}\n")],
            "By the file: not ready (1 to stop for).",
        ),
        ([birds(70)], "By the file: ready until 28 May"),
        ([("store: sealed", "store: open")], "By the file: ready (1 tip)."),
    ],
)
def test_the_page_says_how_the_file_stands(changes: list[tuple[str, str]], said: str) -> None:
    assert said in round_text(looking(), setup(*changes))


@pytest.mark.parametrize("fixture", FIXTURES)
def test_it_is_one_page_for_every_fixture(fixture: str) -> None:
    text = round_text(built_in(), read_setup_file(str(ROOT / fixture)))
    lines = text.splitlines()
    assert 20 < len(lines) <= LINES
    assert max(len(line) for line in lines) <= WIDTH
    assert text.count("[ ]") > 12


@pytest.mark.parametrize("birds", BIRDS)
def test_it_is_one_page_for_a_new_setup_and_for_any_pen(birds: str) -> None:
    plan = planned(birds, "metric", date(2027, 4, 5))
    new = read_setup_text(setup_text(plan), "new.flock.yaml")
    for text in (round_text(built_in(), new), round_text(built_in())):
        assert len(text.splitlines()) <= LINES
        assert text.count("[ ]") > 12


def test_every_station_gives_a_look_for_any_pen() -> None:
    text = round_text(built_in())
    assert all(f"{station.name} --" in text for station in stations())


def test_the_whole_round_leaves_no_look_out() -> None:
    said = " ".join(round_text(built_in(), whole=True).replace("[ ]", "").split())
    for rule in built_in().rules.values():
        if rule.look and rule.on != "leaves" and rule.grades:
            assert rule.look in said


def test_a_look_is_shortened_by_whole_sentences_only() -> None:
    book = copy.copy(looking())
    sentence = "Look at it from afar for as long as it takes."
    long = " ".join([sentence] * 5)
    book.rules = {"tight": book.rules["tight"]._replace(look=long)}
    (item,) = round_text(book, setup()).split("[ ] ")[1:]
    said = " ".join(item.partition("\n\n")[0].split())
    assert said == " ".join([sentence] * 3)


def test_a_short_sentence_is_not_left_by_itself() -> None:
    book = copy.copy(looking())
    look = f"Stand by at noon. {'Do they pant, ' * 12}or lie still? Wait a while."
    book.rules = {"tight": book.rules["tight"]._replace(look=look)}
    (item,) = round_text(book, setup()).split("[ ] ")[1:]
    assert " ".join(item.partition("\n\n")[0].split()) == look.removesuffix(" Wait a while.")


def test_what_can_stop_a_move_weighs_most_and_then_what_was_found() -> None:
    book = copy.copy(looking())
    # At one station: two that can say stop, of which only one finds something, and one that can't.
    chosen = {"b-found": "tight", "a-calm": "gets-in", "c-mild": "mesh-wide"}
    book.rules = {
        name: looking().rules[rule]._replace(name=name, at="pen.length")
        for name, rule in chosen.items()
    }
    weights = sorted(_for_setup(book, setup(birds(70))), key=_weight)
    assert [one.rule.name for one in weights] == ["b-found", "a-calm", "c-mild"]


@pytest.mark.parametrize("key", [leaf.replace(".*", "") for leaf in leaves()])
def test_every_key_of_the_setup_has_a_station(key: str) -> None:
    general = {"flockcheck", "name", "notes", "look_ahead", "standards"}
    if key not in general and not key.startswith("accepted"):
        first = key.partition(".")[0]
        known = {part for station in stations() for part in station.keys}
        assert any(key == part or key.startswith(f"{part}.") for part in known), first


def test_every_topic_of_the_built_in_rules_has_a_station() -> None:
    topics = {topic for station in stations() for topic in station.topics}
    assert {rule.topic for rule in built_in().rules.values()} <= topics


def test_no_key_belongs_to_two_stations() -> None:
    keys = [key for station in stations() for key in station.keys]
    topics = [topic for station in stations() for topic in station.topics]
    assert len(keys) == len(set(keys)) and len(topics) == len(set(topics))


@pytest.mark.parametrize(
    ("place", "topic", "station"),
    [
        ("pen.roof.cover", "space", "Roof and lid"),
        ("pen.length", "space", "Inside: the floor"),
        ("pen.moves.step", "moves", "Ground and weather"),
        ("care.closed_at_night", "predators", "Round the outside"),
        ("care.checks_per_day", "care", "People and neighbours"),
        ("mesh", "fence", "Fence and rail"),
        ("", "feed", "Inside: feeders"),
        ("", "something new", "Inside: the birds"),
    ],
)
def test_the_longest_key_decides_and_the_topic_where_there_is_none(
    place: str, topic: str, station: str
) -> None:
    assert station_of(place, topic) == station


@pytest.mark.parametrize(
    ("rule", "place"),
    [
        ("moves-young", "birds.out"),
        ("mesh-wide", "mesh.opening"),
        ("gets-in", "predators"),
        ("tight", "birds.count"),
        ("outlet-spills", "drinkers.freeboard"),
        ("shots-missing", "birds"),
    ],
)
def test_a_rule_is_about_the_key_it_points_at(rule: str, place: str) -> None:
    assert place_of(little().rules[rule]) == place
