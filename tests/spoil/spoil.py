"""Spoil figures and formulas one by one, and see that the check which guards each of them fails.

    python tests/spoil/spoil.py                    # all of spoils.yaml
    python tests/spoil/spoil.py barriers.yaml wind # those whose file, guard or source has this

`spoils.yaml` says what is spoiled (a file, the exact text and what it becomes), what it guards and
by which source, and which tests of `tests/outside` must fail then. All happens in copies of the
project in a temporary folder; the checkout is never touched. First the named tests must pass on an
unspoiled copy. A spoil is seen to fail if each of its tests runs and fails by an assertion: one
that can't be collected or stops with another error is no guard. Exits with 1 if any survived.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from queue import Queue
from typing import NamedTuple
from xml.etree import ElementTree

import yaml

ROOT = Path(__file__).resolve().parents[2]
SPOILS = Path(__file__).with_name("spoils.yaml")
OUTSIDE = "tests/outside/"
# What the checks need of the project.
PARTS = ("src", "rules", "tests", "fixtures")
# A test may hang on a spoiled formula; none of them takes seconds when it is whole.
LONGEST = 120.0
SURVIVED = 1


class Spoil(NamedTuple):
    """One thing spoiled: in `file` the text `find` becomes `becomes`.

    Where `below` is given, that text stands once in the file and `find` is the first one after it;
    else `find` itself stands once. `guards` and `source` name the figure or formula and who
    published it, `fails` the tests that must fail, as `module.py::test`.
    """

    file: str
    guards: str
    source: str
    find: str
    becomes: str
    fails: tuple[str, ...]
    below: str = ""

    def spoiled(self, text: str) -> str:
        """The file's text with this spoiled. Raises ValueError where it is not as expected."""
        once = self.below or self.find
        if text.count(once) != 1:
            raise ValueError(f"{self.file} has {once!r} {text.count(once)} times, not once")
        start = text.index(once)
        at = text.find(self.find, start)
        # A row of a table is a few lines; further on it would be another one's.
        if at < 0 or text.count("\n", start, at) > 2:
            raise ValueError(f"{self.file} has no {self.find!r} just below {once!r}")
        return text[:at] + self.becomes + text[at + len(self.find) :]

    @property
    def tests(self) -> list[str]:
        """The tests as pytest is given them."""
        return [OUTSIDE + name for name in self.fails]


class Outcome(NamedTuple):
    """What came of running some tests: those that failed by an assertion, and what else went wrong.

    Tests are named without their parameters; `ran` holds all that ran.
    """

    failed: frozenset[str]
    ran: frozenset[str]
    errors: tuple[str, ...]


def spoils() -> list[Spoil]:
    """All of `spoils.yaml`."""
    entries = yaml.safe_load(SPOILS.read_text(encoding="utf-8"))
    return [
        Spoil(entry["file"], **{**spoil, "fails": tuple(spoil["fails"])})
        for entry in entries
        for spoil in entry["spoils"]
    ]


def copy_project(folder: Path) -> None:
    """A copy of what the checks need, importable by `run_tests`."""
    passed_over = shutil.ignore_patterns("__pycache__", "__snapshots__", "compiled.json", ".*")
    for part in PARTS:
        shutil.copytree(ROOT / part, folder / part, ignore=passed_over)
    shutil.copy(ROOT / "pyproject.toml", folder)
    # The rulebook is installed under another name than its folder has.
    (folder / "src" / "flockcheck_rules").symlink_to(folder / "rules", target_is_directory=True)


def run_tests(folder: Path, tests: Iterable[str]) -> Outcome:
    """Run tests of a copy in a process of their own."""
    report = folder / "report.xml"
    report.unlink(missing_ok=True)
    command = [sys.executable, "-m", "pytest", "-q", "--tb=line", "-p", "no:cacheprovider"]
    try:
        done = subprocess.run(
            [*command, f"--junitxml={report}", *tests],
            cwd=folder,
            capture_output=True,
            text=True,
            timeout=LONGEST,
            check=False,
            # Without kept bytecode: a spoiled module may be as long and as old as the whole one.
            env={
                **os.environ,
                "PYTHONPATH": str(folder / "src"),
                "PYTHONDONTWRITEBYTECODE": "1",
                # The checks of the outside need none of the plugins, which take half the time.
                "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1",
            },
        )
    except subprocess.TimeoutExpired:
        return Outcome(frozenset(), frozenset(), (f"no answer in {LONGEST:g} seconds",))
    if not report.exists():
        return Outcome(frozenset(), frozenset(), (done.stdout[-500:] + done.stderr[-500:],))
    return _outcome(report)


def _outcome(report: Path) -> Outcome:
    """What a report in the usual XML says."""
    failed, ran, errors = set(), set(), []
    for case in ElementTree.parse(report).iter("testcase"):
        module = case.get("classname", "").rpartition(".")[2]
        name = f"{OUTSIDE}{module}.py::{case.get('name', '').partition('[')[0]}"
        ran.add(name)
        for one in case.findall("failure"):
            said = one.get("message", "")
            if said.startswith(("assert ", "AssertionError")):
                failed.add(name)
            else:
                errors.append(f"{name}: {said[:200]}")
        errors += [f"{name}: {one.get('message', '')[:200]}" for one in case.findall("error")]
    return Outcome(frozenset(failed), frozenset(ran), tuple(errors))


def survived(spoil: Spoil, outcome: Outcome) -> str:
    """Why a spoil was not seen to fail; empty where it was."""
    if missing := [test for test in spoil.tests if test not in outcome.ran]:
        return "; ".join([f"{', '.join(missing)} did not run", *outcome.errors])
    passed = [test for test in spoil.tests if test not in outcome.failed]
    if passed:
        return "; ".join([f"{', '.join(passed)} did not fail", *outcome.errors])
    return ""


def tried(spoil: Spoil, folder: Path) -> str:
    """Spoil a copy, run the tests that guard it and restore it; why it survived, else empty."""
    file = folder / spoil.file
    whole = file.read_text(encoding="utf-8")
    try:
        file.write_text(spoil.spoiled(whole), encoding="utf-8")
    except ValueError as error:
        return str(error)
    try:
        return survived(spoil, run_tests(folder, spoil.tests))
    finally:
        file.write_text(whole, encoding="utf-8")


@contextmanager
def copies(count: int) -> Iterator[list[Path]]:
    """Some copies of the project, which are gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="flockcheck-spoil-") as name:
        folders = [Path(name, str(number)) for number in range(count)]
        for folder in folders:
            copy_project(folder)
        yield folders


def try_all(wanted: Sequence[Spoil], folders: Sequence[Path]) -> Iterator[tuple[Spoil, str]]:
    """Try spoils, one at a time in each copy; each with why it survived, in their order."""
    free: Queue[Path] = Queue()
    for folder in folders:
        free.put(folder)

    def one(spoil: Spoil) -> str:
        folder = free.get()
        try:
            return tried(spoil, folder)
        finally:
            free.put(folder)

    with ThreadPoolExecutor(len(folders)) as pool:
        yield from zip(wanted, pool.map(one, wanted), strict=True)


def baseline(wanted: Sequence[Spoil], folder: Path) -> str:
    """What fails before anything is spoiled; empty where all passes."""
    tests = sorted({test for spoil in wanted for test in spoil.tests})
    outcome = run_tests(folder, tests)
    return "; ".join([*sorted(outcome.failed), *outcome.errors])


def main() -> int:
    """Try the spoils asked for and tell what came of each."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n\n", 1)[0])
    parser.add_argument("words", nargs="*", help="only spoils whose file, guard or source has one")
    parser.add_argument("--jobs", type=int, default=2, help="copies to try in at a time")
    asked = parser.parse_args()
    wanted = [
        spoil
        for spoil in spoils()
        if not asked.words
        or any(word in f"{spoil.file} {spoil.guards} {spoil.source}" for word in asked.words)
    ]
    seen = 0
    with copies(max(1, asked.jobs)) as folders:
        if wrong := baseline(wanted, folders[0]):
            print(f"not whole before anything is spoiled: {wrong}")
            return SURVIVED
        for spoil, why in try_all(wanted, folders):
            seen += not why
            print(f"{'SURVIVED' if why else 'fails':<9}{spoil.guards} ({spoil.source})")
            if why:
                print(f"         {why}")
    print(f"{len(wanted)} spoils, {seen} seen to fail")
    return 0 if seen == len(wanted) else SURVIVED


if __name__ == "__main__":
    sys.exit(main())
