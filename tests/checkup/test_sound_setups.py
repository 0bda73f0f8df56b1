"""Ordinary, well-run setups of many kinds, into which an experienced keeper would move birds.

Where one of them is told to stop or to mend, the limit or the measure is wrong, not the keeper.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from flockcheck.checkup.check import check
from flockcheck.checkup.model import Report
from flockcheck.files import read_setup_file
from flockcheck.workshop import tools

SOUND = Path(__file__).parents[2] / "fixtures" / "sound"
NAMES = sorted(path.name.removesuffix(".flock.yaml") for path in SOUND.glob("*.flock.yaml"))
# A report of a sound setup stays short enough to be read.
MOST_TO_WATCH = 7


@cache
def report(name: str) -> Report:
    came = check(read_setup_file(str(SOUND / f"{name}.flock.yaml")), tools().rulebook)
    assert not came.errors
    assert not came.failures
    return came


def test_there_are_ten_of_them() -> None:
    assert len(NAMES) == 10


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_to_stop_for_or_to_mend(name: str) -> None:
    bad = [(one.rule, one.says) for one in report(name).findings if one.grade in ("stop", "mend")]
    assert bad == []


@pytest.mark.parametrize("name", NAMES)
def test_the_birds_may_move_in(name: str) -> None:
    came = report(name)
    if came.open_end:
        assert (came.verdict, came.ready_until) == ("ready until", came.looked_until)
    else:
        assert came.verdict == "ready"


@pytest.mark.parametrize("name", NAMES)
def test_four_questions_of_five_can_be_checked(name: str) -> None:
    came = report(name)
    assert came.checked >= 0.8 * came.asked


@pytest.mark.parametrize("name", NAMES)
def test_there_is_little_to_watch(name: str) -> None:
    watched = [one.rule for one in report(name).findings if one.grade == "watch"]
    assert len(watched) <= MOST_TO_WATCH, watched


def test_they_are_of_all_kinds() -> None:
    setups = [read_setup_file(str(SOUND / f"{name}.flock.yaml")) for name in NAMES]

    def values(key: str) -> set[object]:
        return {setup.values[key].value for setup in setups if key in setup.values}

    kinds = {"meat chicken", "egg chicken", "turkey"}
    assert values("birds.0.kind") | values("birds.1.kind") == kinds
    assert values("pen.moves.by") == {"hand", "vehicle"}
    assert values("pen.frame.material") == {"timber", "steel", "pvc"}
    assert values("pen.roof.shape") == {"ridge"}
    assert values("mesh.weave") == {"hexagonal", "welded"}
    counts = [
        sum(
            int(setup.values[f"birds.{place}.count"].value)
            for place in (0, 1)
            if f"birds.{place}.count" in setup.values
        )
        for setup in setups
    ]
    assert (min(counts), max(counts)) == (12, 150)
    assert sum("birds.0.leaves" not in setup.values for setup in setups) == 1
