"""Setups that failed in a way every keeper has seen: the right rule says so, and first of all."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from flockcheck.checkup.check import check
from flockcheck.checkup.model import Report
from flockcheck.files import read_setup_file
from flockcheck.workshop import tools
from tests.checkup.test_sound_setups import report as sound

WRONG = Path(__file__).parents[2] / "fixtures" / "gone-wrong"
# File: the rule and grade that must come first, and what else a keeper would call as wrong.
CAUGHT: dict[str, tuple[str, str, tuple[str, ...]]] = {
    # The tank runs out on the grass within the hour: birds without water on a warm day.
    "drained-tank": ("outlet-uphill", "stop", ()),
    # A hand's height under the rail, no skirt: a fox walks in. Birds slip out there as well.
    "fox-under-the-rail": ("gap-under-rail", "stop", ("gap-lets-chicks-out",)),
    # Sheets that lie loose go with the first front.
    "lid-in-the-hedge": ("lid-blows-off", "stop", ()),
    # From the plate into frost at under four weeks: they pile up. That they were not hardened off
    # is the same mistake, seen from the brooder.
    "chilled-chicks": ("cold-for-age", "stop", ("not-hardened",)),
    # Over a hundred degrees without wind kills heavy birds in the shade.
    "heat-wave": ("heat-too-much", "stop", ()),
    # Empty for a part of each day: uneven, and they peck each other. Nothing dies of it at once.
    "empty-feeder": ("feeder-runs-empty", "mend", ()),
    # Faster than a bird can run. That nobody walked behind made it worse.
    "caught-under-the-rail": ("tow-too-fast", "stop", ("nobody-watching",)),
    # Netting of an inch, and chicks under four weeks: rats take one or two each night.
    "rats-at-night": ("mesh-lets-in", "stop", ()),
    # Soaked mash topped up for three days at 32 C: sour, then worse. It makes them ill by degrees.
    "sour-feed": ("wet-feed-lies", "mend", ()),
    # Two strange dogs, netting, and the electric net rolled up at the barn.
    "dog-in-the-pen": ("mesh-torn", "stop", ()),
}


@cache
def report(name: str) -> Report:
    came = check(read_setup_file(str(WRONG / f"{name}.flock.yaml")), tools().rulebook)
    assert not came.errors
    assert not came.failures
    return came


def test_every_file_there_is_in_the_list() -> None:
    assert {path.name.removesuffix(".flock.yaml") for path in WRONG.iterdir()} == set(CAUGHT)


@pytest.mark.parametrize("name", sorted(CAUGHT))
def test_what_went_wrong_comes_first(name: str) -> None:
    rule, grade, _ = CAUGHT[name]
    first = report(name).findings[0]
    assert (first.rule, first.grade) == (rule, grade)


@pytest.mark.parametrize("name", sorted(CAUGHT))
def test_nothing_else_is_called_as_bad_that_was_in_order(name: str) -> None:
    rule, _, also = CAUGHT[name]
    bad = {one.rule for one in report(name).findings if one.grade in ("stop", "mend")}
    assert bad == {rule, *also}


@pytest.mark.parametrize("name", sorted(CAUGHT))
def test_the_birds_may_not_move_in_or_not_to_the_end(name: str) -> None:
    came = report(name)
    assert came.verdict in ("not ready", "ready until")
    if came.verdict == "ready until":
        assert came.ready_until is not None
        assert came.looked_until is not None
        assert came.ready_until < came.looked_until


def test_the_heat_wave_is_seen_from_its_first_day() -> None:
    came = report("heat-wave")
    assert came.ready_until is not None
    assert came.ready_until.isoformat() == "2027-08-08"


def test_the_dogs_would_have_met_a_live_net() -> None:
    # The same netting inside a live net wants an eye and no more: what failed was the net at the
    # barn.
    torn = [one for one in sound("classic-drag-pen").findings if one.rule == "mesh-torn"]
    assert [one.grade for one in torn] == ["watch"]
