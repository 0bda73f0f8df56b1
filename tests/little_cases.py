"""A small rulebook and setups made from its base, for tests of what the judge makes of them.

The book in `tests/data/little_book` uses every construct of the grammar and depends on no built-in
rule. Chickens in it gain 50 g a day, so that N of them weigh N * age / 200 kg on a square metre of
the base pen (10 m2); hatched on 1 April, they are as old on a day of May as its date plus 30, less
one: 30 days on 1 May and 60 days on the 31st.
"""

from __future__ import annotations

import functools
import shutil
import tempfile
from datetime import date
from pathlib import Path
from typing import Any

from flockcheck.checkup.check import check
from flockcheck.checkup.model import Finding, Report
from flockcheck.measures.graph.registry import Registry
from flockcheck.plugins import gather, registry_of
from flockcheck.rulebook.book import Rulebook, load_books
from flockcheck.setup.reader import read_setup_text
from flockcheck.setup.written import Setup

ROOT = Path(__file__).parents[1]
LITTLE = ROOT / "tests" / "data" / "little_book"
CLUB = ROOT / "tests" / "data" / "club_book"
BASE = LITTLE.joinpath("base.flock.yaml").read_text(encoding="utf-8")


def registry() -> Registry:
    """The built-in measures."""
    return registry_of(gather())


@functools.cache
def figures_folder() -> str:
    """A book of the built-in tables and sources alone, which the built-in measures rest on."""
    folder = Path(tempfile.mkdtemp(prefix="flockcheck-figures-"))
    shutil.copytree(ROOT / "rules" / "tables", folder / "tables")
    shutil.copy(ROOT / "rules" / "sources.yaml", folder)
    shutil.copy(LITTLE / "base.flock.yaml", folder)
    return str(folder)


def books(*more: Path) -> list[tuple[str, str]]:
    """The little book on its tables, with more on top: pairs of name and folder."""
    return [
        ("figures", figures_folder()),
        ("little_book", str(LITTLE)),
        *((folder.name, str(folder)) for folder in more),
    ]


@functools.cache
def little() -> Rulebook:
    """The little book."""
    return load_books(books(), registry(), version="0")


def changed(text: str, *changes: tuple[str, str]) -> str:
    """A text with some parts replaced, each of which must be there."""
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def setup(*changes: tuple[str, str], file: str = "little.flock.yaml") -> Setup:
    """The base setup with some of its text replaced."""
    return read_setup_text(changed(BASE, *changes), file)


def report(*changes: tuple[str, str], book: Rulebook | None = None, **options: Any) -> Report:
    """The report of the base setup with some of its text replaced."""
    return check(setup(*changes), book or little(), **options)


def found(of: Report, rule: str) -> Finding:
    """The only finding of a rule."""
    (one,) = [finding for finding in of.findings if finding.rule == rule]
    return one


def rules_found(of: Report) -> list[str]:
    """The rules of the findings, in their order."""
    return [finding.rule for finding in of.findings]


def may(day: int) -> date:
    """A day of May 2027."""
    return date(2027, 5, day)


def birds(count: int) -> tuple[str, str]:
    """The change to so many birds."""
    return ("count: 40", f"count: {count}")
