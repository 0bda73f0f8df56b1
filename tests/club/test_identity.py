"""Kept reports go by what a report rests on: a change of any of it is another name."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest
from platformdirs import user_cache_dir

import flockcheck
from flockcheck.club import identity as module
from flockcheck.club.identity import identity
from flockcheck.club.work import Wishes
from flockcheck.workshop import cache_folder
from tests.club.club_cases import club as settings
from tests.little_cases import CLUB


def test_it_is_the_same_each_time_and_wherever_a_rulebook_lies(tmp_path: Path) -> None:
    shutil.copytree(CLUB, tmp_path / "other" / "name")
    here, there = str(CLUB), str(tmp_path / "other" / "name")
    assert identity([here], Wishes(), None) == identity([there], Wishes(), None)
    assert identity([], Wishes(), None) is not None


@pytest.mark.parametrize(
    "wishes",
    [
        Wishes(standards=("little-hall",)),
        Wishes(units="us"),
        Wishes(on=date(2027, 5, 1)),
        Wishes(on=date(2027, 5, 2)),
        Wishes(fixes=True),
        Wishes(keep=("pen.length",)),
        Wishes(plan=True),
    ],
)
def test_every_wish_counts(wishes: Wishes) -> None:
    assert identity([], wishes, None) != identity([], Wishes(), None)
    assert identity([], wishes, None) == identity([], Wishes(*wishes), None)


def test_every_field_of_the_wishes_is_tried_above() -> None:
    assert Wishes._fields == ("standards", "units", "on", "fixes", "keep", "plan")


def test_the_clubs_settings_count_by_their_bytes(tmp_path: Path) -> None:
    plain = settings("name: x")
    names = {
        identity([], Wishes(), one)
        for one in (None, plain, settings("name: y"), settings("name: x # note"))
    }
    assert len(names) == 4
    moved = plain._replace(file="../club.yaml", folder=str(tmp_path))
    assert identity([], Wishes(), moved) == identity([], Wishes(), plain)


def test_a_rulebook_counts_by_its_bytes_and_its_place_in_the_order(tmp_path: Path) -> None:
    shutil.copytree(CLUB, tmp_path / "book")
    book, other = str(tmp_path / "book"), str(CLUB)
    before = identity([book, other], Wishes(), None)
    assert before == identity([other, book], Wishes(), None)
    rule = tmp_path / "book" / "house" / "members-met.yaml"
    rule.write_text(rule.read_text() + "# a note\n")
    after = identity([book, other], Wishes(), None)
    assert len({before, after, identity([other, book], Wishes(), None)}) == 3


def test_the_program_counts_by_its_bytes_and_version(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    package = tmp_path / "flockcheck"
    (package / "measures").mkdir(parents=True)
    (package / "__init__.py").write_text("")
    source = package / "measures" / "wind.py"
    source.write_text("a = 1\n")
    monkeypatch.setattr(flockcheck, "__file__", str(package / "__init__.py"))
    names = [identity([], Wishes(), None)]
    source.write_text("a = 2\n")
    names.append(identity([], Wishes(), None))
    (package / "measures" / "__pycache__").mkdir()
    (package / "measures" / "__pycache__" / "wind.pyc").write_text("compiled")
    assert identity([], Wishes(), None) == names[-1]
    monkeypatch.setattr(flockcheck, "__version__", "9")
    names.append(identity([], Wishes(), None))
    assert None not in names
    assert len(set(names)) == 3


def test_what_can_not_be_read_keeps_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert identity([str(tmp_path / "nosuch")], Wishes(), None) is None
    monkeypatch.setattr(module, "_MOST_FILES", 3)
    assert identity([], Wishes(), None) is None


@pytest.mark.parametrize("cache", ["", "  ", "/srv/caches", None])
def test_the_cache_folder_is_where_platformdirs_has_it(
    monkeypatch: pytest.MonkeyPatch, cache: str | None
) -> None:
    """It is found without asking platformdirs, whose import takes its time."""
    if cache is None:
        monkeypatch.delenv("XDG_CACHE_HOME", raising=False)
    else:
        monkeypatch.setenv("XDG_CACHE_HOME", cache)
    assert cache_folder() == user_cache_dir("flockcheck", appauthor=False)
