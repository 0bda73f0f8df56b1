"""A storm of spoiled setups and random bytes: no traceback, no failure, nothing over a second.

    python tests/fuzz/storm.py --mutants 100000 --keepers 20000 --bytes 100000 --jobs 2

Mutants are made from the setups of `fixtures/` and from `tests/setup/whole.flock.yaml`. Each one,
and each string of bytes, is read, checked and reported as text and as JSON, all in this process.
A keeper's setup is one of them with other numbers and with comments all over. One in `--deep` of
those that can be read goes on: fixes, a plan, a what if, and a mend on a copy; see `deep.py`.
What is made depends on the seed and the number alone, so `--only mutants:1234` makes one again and
shows it. Time is processor time, so that a busy machine makes no difference.
"""

from __future__ import annotations

import argparse
import gc
import json
import multiprocessing
import re
import sys
import time
import traceback
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from random import Random
from types import ModuleType
from typing import NamedTuple

from flockcheck.checkup.check import check
from flockcheck.checkup.model import Report, unreadable
from flockcheck.reports import jsonform
from flockcheck.reports import text as textform
from flockcheck.reports.standing import fails, standing_of
from flockcheck.rulebook.book import Rulebook
from flockcheck.setup.reader import SetupError, read_setup_bytes
from flockcheck.workshop import load_rulebook

# Run as a script, Python knows of no tests, or of those that some package has left lying about.
if __name__ != "tests.fuzz.storm":
    sys.modules["tests"] = ModuleType("tests")
    sys.modules["tests"].__path__ = [str(Path(__file__).parents[1])]

from tests.fuzz.deep import deeper
from tests.fuzz.keepers import keepers_text
from tests.fuzz.mutants import KINDS, sources

MAKERS = {**KINDS, "keepers": keepers_text}
# Processor seconds that are too many: for a check, and for all that may come after it.
SLOW, DEEP_SLOW = 1.0, 30.0
# One in so many goes deep.
DEEP = 50


class Outcome(NamedTuple):
    """What came of one input: was it read, the exit status, seconds, and what went wrong.

    `deep` are the seconds of what came after the check; 0 where nothing did.
    """

    number: int
    read: bool
    exit: int
    seconds: float
    wrong: str
    deep: float = 0.0

    @property
    def slow(self) -> bool:
        """Whether it took too long."""
        return self.seconds > SLOW or self.deep > DEEP_SLOW


class Tally(NamedTuple):
    """What came of one kind of input."""

    kind: str
    thrown: int
    read: int
    exits: Counter[int]
    slowest: Outcome
    slow: list[Outcome]
    wrong: list[Outcome]
    deep: int
    slowest_deep: Outcome


@cache
def rulebook() -> Rulebook:
    """The built-in rules."""
    return load_rulebook()


def outcome(kind: str, number: int, seed: int, deep: int = 0) -> Outcome:
    """One input read, checked and reported in both forms; one in `deep` goes on (0: none)."""
    data = MAKERS[kind](number, seed)
    book = rulebook()
    begun = time.process_time()
    read, ended, wrong, setup = True, 2, "", None
    try:
        try:
            setup = read_setup_bytes(data, "storm.flock.yaml")
            report = check(setup, book, standards=book.standards if number % 5 == 0 else ())
        except SetupError as error:
            read = False
            report = unreadable(error.file, error.faults)
        failed = fails(standing_of(report), "mend")
        ended = 2 if report.errors else int(failed)
        wrong = _amiss(report, book)
    except Exception:  # whatever it is, it is what is looked for
        wrong = traceback.format_exc()
    found = Outcome(number, read, ended, time.process_time() - begun, wrong)
    if setup is None or ended == 2 or wrong or not deep or number % deep:
        return found
    begun = time.process_time()
    try:
        report, wrong = deeper(data, setup, book, Random(f"deep {seed} {number}"))
        wrong = wrong or _amiss(report, book)
    except Exception:  # as above
        wrong = traceback.format_exc()
    taken = time.process_time() - begun
    # What is left of it to be swept up is not the next one's time.
    gc.collect()
    return found._replace(wrong=wrong, deep=taken)


def _amiss(report: Report, book: Rulebook) -> str:
    """What is wrong with a report: a measure or rule failed, or it can't be written or read."""
    if report.failures:
        return f"failed: {'; '.join(report.failures)}"
    if any("\n" in fault.says or fault.line < 1 for fault in report.errors):
        return "an error that is no line with a place"
    shown = textform.write([report], book, [])
    codes = re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f]", shown)
    if codes:
        return f"the text report holds {codes[0]!r}"
    written = jsonform.write([report], book, [])
    written.encode("utf-8")
    json.loads(written, parse_constant=_refuse)
    return ""


def _refuse(constant: str) -> None:
    raise ValueError(f"the JSON report holds {constant}")


def _one(task: tuple[str, int, int, int]) -> Outcome:
    return outcome(*task)


def outcomes(kind: str, count: int, seed: int, jobs: int, deep: int = 0) -> Iterator[Outcome]:
    """What came of `count` inputs of one kind, in their order."""
    tasks = ((kind, number, seed, deep) for number in range(count))
    if jobs < 2 or "fork" not in multiprocessing.get_all_start_methods():
        yield from map(_one, tasks)
        return
    # Compiled once, so that no worker has to.
    rulebook()
    # What is there already is nothing for the workers to search again and again.
    gc.freeze()
    with multiprocessing.get_context("fork").Pool(jobs) as pool:
        yield from pool.imap(_one, tasks, chunksize=10 if deep == 1 else 50)
    gc.unfreeze()


def storm(kind: str, count: int, seed: int = 1, jobs: int = 1, deep: int = 0) -> Tally:
    """Throw `count` inputs of one kind and count what came of them."""
    none = Outcome(-1, False, 0, 0.0, "")
    tally = Tally(kind, count, 0, Counter(), none, [], [], 0, none)
    for one in outcomes(kind, count, seed, jobs, deep):
        tally.exits[one.exit] += 1
        if one.wrong:
            tally.wrong.append(one)
        if one.slow:
            tally.slow.append(one)
        slowest = max(tally.slowest, one, key=lambda each: each.seconds)
        slowest_deep = max(tally.slowest_deep, one, key=lambda each: each.deep)
        tally = tally._replace(
            read=tally.read + one.read,
            slowest=slowest,
            deep=tally.deep + (one.deep > 0),
            slowest_deep=slowest_deep,
        )
    return tally


def told(tally: Tally) -> str:
    """A tally in a few lines."""
    exits = ", ".join(f"{tally.exits[code]} with {code}" for code in sorted(tally.exits))
    lines = [
        f"{tally.thrown} {tally.kind}: {tally.read} read and checked, "
        f"{tally.thrown - tally.read} refused; ended {exits}",
        f"  {len(tally.wrong)} with a traceback or failure, {len(tally.slow)} too slow; "
        f"the slowest took {tally.slowest.seconds:.2f} s ({tally.kind}:{tally.slowest.number})",
    ]
    if tally.deep:
        most = tally.slowest_deep
        lines.append(
            f"  {tally.deep} solved, planned, tried and mended; "
            f"the slowest took {most.deep:.2f} s ({tally.kind}:{most.number})"
        )
    for one in tally.wrong[:20]:
        lines.append(f"  {tally.kind}:{one.number}: {one.wrong.strip()}")
    lines += [
        f"  {tally.kind}:{one.number} took {one.seconds:.2f} s"
        + (f" and {one.deep:.2f} s" if one.deep else "")
        for one in tally.slow[:20]
    ]
    return "\n".join(lines)


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--mutants", type=int, default=2000)
    parser.add_argument("--keepers", type=int, default=500)
    parser.add_argument("--bytes", type=int, default=2000)
    parser.add_argument("--deep", type=int, default=DEEP, metavar="N", help="One in so many.")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--only", metavar="KIND:NUMBER", help="Make one again and show it.")
    options = parser.parse_args()
    if options.only:
        kind, _, number = options.only.partition(":")
        sys.stdout.buffer.write(MAKERS[kind](int(number), options.seed) + b"\n")
        print(outcome(kind, int(number), options.seed, deep=1))
        return
    rules = len(rulebook().rules)
    print(f"{len(sources())} setups, {rules} rules, seed {options.seed}", flush=True)
    tallies = []
    for kind in ("mutants", "keepers", "bytes"):
        count = getattr(options, kind)
        if not count:
            continue
        tallies.append(storm(kind, count, options.seed, options.jobs, options.deep))
        print(told(tallies[-1]), flush=True)
    sys.exit(any(tally.wrong or tally.slow for tally in tallies))


if __name__ == "__main__":
    main()
