"""Electric nets and high fences: how high, against whom, and what rests on them alone."""

from __future__ import annotations

from typing import Any

import pytest

from tests.measures.guard_cases import GUARD, NET, SOUND
from tests.measures.measure_cases import missing_keys, run_of

# No skirt, and two days on one patch: nothing but the net stops what digs.
DUG = {**SOUND, "mesh.skirt": "0 cm", **NET}
BARE = {"pen.roof.cover": "0 %", "pen.roof.over_rest": "open", "mesh.height": "90 cm"}


@pytest.mark.parametrize(
    ("voltage", "live"), [("0 kV", False), ("3.9 kV", False), ("4 kV", True), ("4000 V", True)]
)
def test_a_net_is_live_from_four_kilovolts(voltage: str, live: bool) -> None:
    net = {**NET, "guardians.0.voltage": voltage, "predators": ["fox", "weasel"]}
    run = run_of(net)
    assert run.value("live_net_round") is live
    assert run.value("live_net_against", 0) is live
    assert run.value("live_net_against", 1) is False


def test_without_a_net_none_is_live_and_an_unread_one_is_not_known() -> None:
    assert run_of(GUARD).value("live_net_round") is False
    run = run_of(NET, without=["guardians.0.voltage"])
    assert missing_keys(run, "live_net_round") == {"guardians.0.voltage"}
    second = {"guardians.1.kind": "electric net", "guardians.1.voltage": "5 kV"}
    two = run_of({**NET, **second}, without=["guardians.0.voltage"])
    assert two.value("live_net_round") is True


def test_the_lowest_net_is_the_one_that_counts() -> None:
    nets = {**NET, "guardians.0.height": "1.2 m"}
    assert run_of(nets).value("net_height") == pytest.approx(1.2)
    second = {"guardians.1.kind": "electric net", "guardians.1.height": "42 in"}
    assert run_of({**nets, **second}).value("net_height") == pytest.approx(1.0668)
    assert run_of(GUARD).value("net_height") is None
    assert missing_keys(run_of(NET), "net_height") == {"guardians.0.height"}


def test_jumpers_are_those_of_the_list() -> None:
    run = run_of({"predators": ["rat", "fox", "hawk", "dog"]})
    assert run.value("jumpers") == ("fox", "dog")
    assert missing_keys(run_of(without=["predators"]), "jumpers") == {"predators"}


# What rests on the net.


def resting(changes: dict[str, Any], *predators: str) -> tuple[str, ...]:
    found: tuple[str, ...] = run_of({**DUG, "predators": list(predators), **changes}).value(
        "resting_on_net"
    )
    return found


def test_a_predator_rests_on_the_net_where_a_way_is_open_without_it() -> None:
    assert resting({}, "fox", "hawk", "badger") == ("fox", "badger")


@pytest.mark.parametrize(
    "changes",
    [
        {"mesh.skirt": "30 cm"},
        {"pen.moves.every": "1 day"},
        {"pen.floor": "wire"},
        {"site.house": "80 m"},
        {"care.night_house": "yes"},
    ],
)
def test_what_stands_there_besides_takes_the_weight_off_the_net(changes: dict[str, Any]) -> None:
    assert resting(changes, "fox") == ()


def test_the_voltage_of_the_net_itself_makes_no_difference() -> None:
    assert resting({"guardians.0.voltage": "0 kV"}, "fox") == ("fox",)


def test_what_a_net_does_not_stop_does_not_rest_on_it() -> None:
    assert resting({}, "rat", "weasel", "snake", "hawk") == ()


def test_what_is_known_of_one_predator_is_enough() -> None:
    keys = {**DUG, "predators": ["cat", "fox"], "mesh.opening": "13 mm"}
    run = run_of(keys, without=["mesh.weave"])
    assert run.value("resting_on_net") == ("fox",)
    alone = run_of({**keys, "predators": ["cat"]}, without=["mesh.weave"])
    assert missing_keys(alone, "resting_on_net") == {"mesh.weave"}


def test_jumpers_at_the_net_are_those_who_rest_on_it() -> None:
    run = run_of({**DUG, "predators": ["fox", "badger"]})
    assert run.value("jumpers_at_net") == ("fox",)


# Who jumps in where nothing covers the pen.


def test_only_what_cannot_climb_is_kept_out_by_the_height_of_the_mesh() -> None:
    run = run_of({**SOUND, **BARE, "predators": ["fox", "dog", "wolf", "hawk"]})
    assert run.value("fence_jumpers") == ("dog", "wolf")


@pytest.mark.parametrize(
    "changes",
    [
        {"pen.roof.cover": "100 %"},
        {"pen.roof.over_rest": "mesh", "pen.roof.over_rest_opening": "50 mm"},
        {"care.night_house": "yes"},
        {**NET, "site.house": "80 m"},
    ],
)
def test_a_closed_top_leaves_no_jumper(changes: dict[str, Any]) -> None:
    run = run_of({**SOUND, **BARE, "predators": ["dog"], **changes})
    assert run.value("fence_jumpers") == ()


def test_the_height_itself_makes_no_jumper_less() -> None:
    run = run_of({**SOUND, **BARE, "predators": ["dog"], "mesh.height": "2 m"})
    assert run.value("fence_jumpers") == ("dog",)


def test_a_top_that_is_not_written_is_asked_for() -> None:
    run = run_of({**SOUND, **BARE, "predators": ["dog"]}, without=["pen.roof.cover"])
    assert missing_keys(run, "fence_jumpers") == {"pen.roof.cover"}
