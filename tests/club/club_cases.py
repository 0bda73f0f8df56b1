"""Club files, and members' setups under them, on the little book."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from flockcheck.checkup.check import check
from flockcheck.checkup.model import Report
from flockcheck.club.jobs import NAME
from flockcheck.club.merge import with_club
from flockcheck.club.settings import ClubError, Settings, read_club_bytes
from flockcheck.setup.reader import read_setup_text
from flockcheck.setup.written import Setup
from tests.little_cases import BASE, changed, little

NOWHERE = "/nowhere/of/this/name"


def club(text: str, folder: str = NOWHERE) -> Settings:
    """The settings of a club's file, of which only what follows the version is given."""
    return read_club_bytes(f"club: 1\n{text}".encode(), NAME, folder)


def faults(text: str, folder: Path | str = NOWHERE) -> list[str]:
    """What is wrong with a club's file: line and words."""
    try:
        read_club_bytes(text.encode(), NAME, str(folder))
    except ClubError as error:
        return [f"{one.line}: {one.says}" for one in error.faults]
    return []


def member(text: str, *changes: tuple[str, str], folder: str = NOWHERE) -> Setup:
    """The base setup with some of its text replaced, as a club judges it."""
    read = read_setup_text(changed(BASE, *changes), "members/little.flock.yaml")
    return with_club(read, club(text, folder))


def judged(text: str, *changes: tuple[str, str], **options: Any) -> Report:
    """The report of such a setup."""
    return check(member(text, *changes), little(), **options)
