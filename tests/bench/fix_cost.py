"""What looking for all fixes costs beside a plain check of the same setup, as ratios of one run.

Run it with the environment in which flockcheck is installed, from the checkout's folder:

    python tests/bench/fix_cost.py [SETUP ...] [--runs 5] [--plan]

Without a SETUP it is every fixture that can be read. A check asks every question and draws the
verdict; with fixes it looks for those of every finding, and tries each on the whole. Each pair of
runs stands side by side, so that a machine whose speed drifts changes both. Only ratios are
printed: seconds of one machine say nothing about another.
"""

from __future__ import annotations

import argparse
import statistics
import time
from collections.abc import Callable
from pathlib import Path

from flockcheck.checkup.check import check
from flockcheck.checkup.solve import solve
from flockcheck.rulebook.book import Rulebook
from flockcheck.setup.reader import SetupError, read_setup_bytes
from flockcheck.setup.written import Setup
from flockcheck.workshop import load_rulebook

# The targets: of a typical setup, and of the worst.
TYPICAL, WORST = 40, 150
FIXTURES = Path(__file__).parents[2] / "fixtures"


def seconds(work: Callable[[], object]) -> float:
    """How long some work takes."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def ratio(setup: Setup, rulebook: Rulebook, runs: int, *, plan: bool) -> float:
    """How many checks all fixes of a setup cost: the median of pairs of runs."""
    pairs = [
        seconds(lambda: solve(setup, rulebook, plan=plan)) / seconds(lambda: check(setup, rulebook))
        for _ in range(runs)
    ]
    return statistics.median(pairs)


def setups(named: list[str]) -> list[Setup]:
    """The setups of some files, or every fixture that can be read."""
    paths = [Path(name) for name in named] or sorted(FIXTURES.rglob("*.flock.yaml"))
    found = []
    for path in paths:
        try:
            found.append(read_setup_bytes(path.read_bytes(), path.name))
        except SetupError:
            continue
    return found


def main() -> None:
    """Print the ratio of each setup, that of a typical one and that of the worst."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("setups", nargs="*", metavar="SETUP")
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--plan", action="store_true", help="look for a plan as well")
    asked = parser.parse_args()
    rulebook = load_rulebook()
    told = []
    for setup in setups(asked.setups):
        findings = check(setup, rulebook).findings
        found = ratio(setup, rulebook, asked.runs, plan=asked.plan)
        told.append((found, setup.file, len(findings)))
    for found, name, count in sorted(told):
        print(f"{found:7.1f} checks for {count:2} findings  {name}")
    with_any = [found for found, _, count in told if count]
    if with_any:
        typical, worst = statistics.median(with_any), max(with_any)
        print(f"typical, of those with findings: {typical:.1f} (at most {TYPICAL})")
        print(f"worst: {worst:.1f} (at most {WORST})")


if __name__ == "__main__":
    main()
