"""What a full check costs beside a bare C parse of the same file, as ratios of one run.

Run it with the environment in which flockcheck is installed:

    python tests/bench/check_cost.py [SETUP] [--runs 30] [--profile]

Without a SETUP it is a stay of a hundred days with three groups, made from the base setup of the
built-in rules, and all rules are asked. A check is reading the text, asking every rule and drawing
the verdict; the rulebook is loaded before, as one run loads it for many setups. A bare parse is
`yaml.load` with the C loader, which only builds lists, maps and texts. Each pair of runs stands
side by side, so that a machine whose speed drifts changes both. Only ratios are printed: seconds of
one machine say nothing about another.
"""

from __future__ import annotations

import argparse
import cProfile
import pstats
import statistics
import time
from collections.abc import Callable
from pathlib import Path

import yaml

from flockcheck.checkup.check import check
from flockcheck.measures.graph.run import Run
from flockcheck.rulebook.book import Rulebook
from flockcheck.setup.reader import read_setup_text
from flockcheck.workshop import tools

# The target, and what is reached for.
AT_MOST, REACHED_FOR = 20, 10
# A hundred days in the pen: 25 April to 3 August.
THREE_GROUPS = """birds:
  - kind: meat chicken
    growth: medium
    count: 12
    hatched: 2027-03-21
    out: 2027-04-25
    purpose: meat
    leaves: 2027-06-10
    sexes: mixed
    bought_in: no
    vaccinated: [coccidiosis]
  - kind: meat chicken
    growth: slow
    count: 14
    hatched: 2027-04-12
    out: 2027-05-17
    purpose: meat
    leaves: 2027-07-12
    sexes: mixed
    bought_in: no
    vaccinated: [coccidiosis]
  - kind: egg chicken
    growth: medium
    count: 6
    hatched: 2026-11-20
    out: 2027-05-30
    purpose: eggs
    leaves: 2027-08-03
    sexes: female
    laying: 80 %
    egg_weight: 58 g
    bought_in: no
    vaccinated: [coccidiosis]

"""


def three_groups(rulebook: Rulebook) -> str:
    """The base setup with three groups that come and go within a hundred days."""
    text = rulebook.base()
    start, end = text.index("birds:\n"), text.index("feed:\n")
    return text[:start] + THREE_GROUPS + text[end:]


def seconds(work: Callable[[], object]) -> float:
    """Processor seconds of one call."""
    before = time.process_time()
    work()
    return time.process_time() - before


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("setup", nargs="?")
    parser.add_argument("--runs", type=int, default=30)
    parser.add_argument("--profile", action="store_true", help="say where a check spends its time")
    options = parser.parse_args()
    rulebook = tools().rulebook
    text = (
        Path(options.setup).read_text(encoding="utf-8") if options.setup else three_groups(rulebook)
    )

    def bare() -> object:
        return yaml.load(text, Loader=yaml.CSafeLoader)

    def read() -> object:
        return read_setup_text(text, "bench.flock.yaml")

    def whole() -> object:
        return check(read_setup_text(text, "bench.flock.yaml"), rulebook)

    setup = read_setup_text(text, "bench.flock.yaml")
    days = len(Run(setup, rulebook.registry, rulebook.tables).days)
    report = check(setup, rulebook)
    print(
        f"{setup.lists['birds']} groups, {days} days, {len(rulebook.rules)} rules, "
        f"{report.asked} questions, {report.checked} checked, {len(report.findings)} findings"
    )
    for name, work in (("reading", read), ("a full check", whole)):
        work(), bare()
        ratios = [seconds(work) / seconds(bare) for _ in range(options.runs)]
        low, _, high = statistics.quantiles(ratios, n=4)
        print(
            f"{name:<13} costs {statistics.median(ratios):.1f} bare C parses "
            f"(half of {options.runs} pairs between {low:.1f} and {high:.1f})"
        )
    print(f"the target is {AT_MOST} at most, reaching for {REACHED_FOR}")
    if options.profile:
        profile = cProfile.Profile()
        for _ in range(10):
            profile.runcall(whole)
        pstats.Stats(profile).sort_stats("tottime").print_stats(25)


main()
