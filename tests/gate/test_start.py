"""What a check of one file imports: nothing that only other runs need, so a start is quick."""

from __future__ import annotations

import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
GOOD = ROOT / "fixtures" / "good" / "hazel-lane.flock.yaml"
# What only other runs need: those of a folder, of a club, with kept reports, in another format,
# with a plugin, or whose rulebook or setup has mistakes to tell.
FOR_OTHERS = (
    "concurrent",
    "flockcheck.checkup.plan",
    "flockcheck.checkup.prove",
    "flockcheck.checkup.whatif",
    "flockcheck.checkup.working",
    "flockcheck.cli.mend",
    "flockcheck.club.crew",
    "flockcheck.club.identity",
    "flockcheck.club.kept",
    "flockcheck.club.merge",
    "flockcheck.club.record",
    "flockcheck.club.settings",
    "flockcheck.club.since",
    "flockcheck.hooks",
    "flockcheck.reports.club",
    "flockcheck.reports.jsonform",
    "flockcheck.reports.margin",
    "flockcheck.reports.sarif",
    "flockcheck.reports.working",
    "flockcheck.rulebook.compile",
    "flockcheck.rulebook.schemawords",
    "flockcheck.setup.amiss",
    "flockcheck.setup.edits",
    "flockcheck.setup.rewrite",
    "flockcheck.text.garbled",
    "flockcheck.text.misread",
    "hashlib",
    "importlib.metadata",
    "jsonschema",
    "multiprocessing",
    "platformdirs",
    "pluggy",
)
# What is needed only where a finding may have a fix.
FOR_FIXES = (
    "flockcheck.checkup.fixes",
    "flockcheck.checkup.grids",
    "flockcheck.checkup.levers",
    "flockcheck.checkup.offers",
    "flockcheck.checkup.proof",
    "flockcheck.checkup.search",
    "flockcheck.checkup.trials",
)
RUN = """
import sys
from flockcheck.cli import main
try:
    main(sys.argv[1:])
except SystemExit:
    pass
print(*sorted(sys.modules), file=sys.stderr)
"""


def imported(*args: str) -> list[str]:
    """The modules that a run has imported, read from a process of its own."""
    command = [sys.executable, "-c", RUN, *args]
    done = subprocess.run(command, capture_output=True, text=True, check=True, cwd=ROOT)
    assert "questions checked" in done.stdout
    return done.stderr.split()


def needless(modules: list[str], others: tuple[str, ...]) -> list[str]:
    return [name for name in modules if name.startswith(others)]


@pytest.fixture(scope="module", autouse=True)
def _compiled() -> None:
    """A rulebook is compiled once; after that every run takes it as it is kept."""
    imported("check", "--no-fixes", str(GOOD))


def test_a_check_of_one_file_imports_only_what_it_uses() -> None:
    assert needless(imported("check", str(GOOD)), FOR_OTHERS) == []


def test_where_no_fix_is_asked_for_nothing_that_finds_one_is_imported() -> None:
    assert needless(imported("check", "--no-fixes", str(GOOD)), FOR_FIXES) == []


def test_where_no_finding_has_a_lever_nothing_that_finds_a_fix_is_imported() -> None:
    small = str(ROOT / "fixtures" / "minimal.flock.yaml")
    assert needless(imported("check", small), FOR_OTHERS + FOR_FIXES) == []


def test_yaml_comes_in_whole_though_its_patterns_wait() -> None:
    """All that yaml can do without its C parser works as after a plain import."""
    code = """
import re, sys
from flockcheck.cli import import_yaml
make = re.compile
import_yaml()
assert re.compile is make
import yaml
assert type(yaml.reader.Reader.NON_PRINTABLE) is not re.Pattern
text = "{a: 1.5, b: 0x1F, c: 2027-04-20, d: yes, e: null, f: x}"
print(yaml.load(text, Loader=yaml.SafeLoader))
try:
    yaml.load("a: \\x07", Loader=yaml.SafeLoader)
except yaml.reader.ReaderError as error:
    print(error.reason)
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    values = {"a": 1.5, "b": 31, "c": date(2027, 4, 20), "d": True, "e": None, "f": "x"}
    assert done.stdout.splitlines() == [
        str(values),
        "special characters are not allowed",
    ]
