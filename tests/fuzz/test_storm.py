"""A small share of the storm, and that it would notice what it looks for.

The whole of it is `python tests/fuzz/storm.py --mutants 100000 --bytes 100000 --jobs 2`. What comes
after a check is in `test_deep.py`.
"""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Callable
from typing import Any

import pytest

from flockcheck.checkup.check import check
from flockcheck.checkup.model import Report
from flockcheck.reports import jsonform, text
from tests.fuzz import storm as storming
from tests.fuzz.mutants import ROOT, mutant, random_bytes, sources
from tests.fuzz.storm import outcome, storm, told


@pytest.mark.parametrize(("kind", "count"), [("mutants", 1000), ("bytes", 2000)])
def test_no_traceback_no_failure_and_none_takes_a_second(kind: str, count: int) -> None:
    tally = storm(kind, count, jobs=2)
    assert not tally.wrong, told(tally)
    assert not tally.slow, told(tally)
    assert sum(tally.exits.values()) == count
    # Enough of the mutants are read for the rules to meet them, and enough are refused.
    if kind == "mutants":
        assert 300 < tally.read < 700
        assert min(tally.exits[code] for code in (0, 1, 2)) > 50


def test_the_same_number_and_seed_make_the_same_input() -> None:
    for make in (mutant, random_bytes):
        assert [make(number, 3) for number in range(40)] == [make(at, 3) for at in range(40)]
        assert make(7, 3) != make(8, 3)
        assert [make(number, 3) for number in range(9)] != [make(at, 4) for at in range(9)]


def test_mutants_come_of_many_setups() -> None:
    assert len(sources()) > 15
    assert {"whole", "hazel-lane", "typing-errors"} <= {source.name for source in sources()}


def broken(*args: Any, **options: Any) -> Report:
    raise KeyError("beak")


def failing(*args: Any, **options: Any) -> Report:
    return check(*args, **options)._replace(failures=("beak: it is bent",))


def coloured(*args: Any, **options: Any) -> str:
    return "\x1b[31m"


def endless(*args: Any, **options: Any) -> str:
    return json.dumps({"weight": float("inf")})


@pytest.mark.parametrize(
    ("place", "name", "instead", "says"),
    [
        (storming, "check", broken, "KeyError: 'beak'"),
        (storming, "check", failing, "failed: beak: it is bent"),
        (text, "write", coloured, "the text report holds '\\x1b'"),
        (jsonform, "write", endless, "the JSON report holds Infinity"),
    ],
)
def test_what_goes_wrong_is_noticed(
    place: Any, name: str, instead: Callable[..., Any], says: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    number = next(at for at in range(100) if outcome("mutants", at, 1).read)
    monkeypatch.setattr(place, name, instead)
    assert says in outcome("mutants", number, 1).wrong
    assert f"mutants:{number}: " in told(storm("mutants", number + 1))


def test_what_takes_too_long_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    clock = iter(range(1000))
    monkeypatch.setattr(time, "process_time", lambda: 2.0 * next(clock))
    tally = storm("bytes", 3)
    assert [one.number for one in tally.slow] == [0, 1, 2]
    assert "bytes:2 took 2.00 s" in told(tally)


def test_as_a_script_it_tells_what_came_and_ends_with_0() -> None:
    done = subprocess.run(
        [
            *(sys.executable, "tests/fuzz/storm.py", "--mutants", "20", "--bytes", "20"),
            *("--keepers", "2"),
        ],
        cwd=ROOT,
        capture_output=True,
        encoding="utf-8",
        check=False,
        timeout=120,
    )
    assert (done.returncode, done.stderr) == (0, "")
    heads = [line for line in done.stdout.splitlines()[1:] if not line.startswith(" ")]
    assert [head.partition(": ")[0] for head in heads] == ["20 mutants", "2 keepers", "20 bytes"]
    assert heads[2].startswith("20 bytes: 0 read and checked, 20 refused; ended 20 with 2")
    assert done.stdout.count("  0 with a traceback or failure, 0 too slow; ") == 3
