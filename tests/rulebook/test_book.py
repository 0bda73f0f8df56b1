"""Books side by side, and the compiled form that is kept for the next start."""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from typing import Any

import pytest

from flockcheck.checkup.check import check
from flockcheck.cli.check import fault_words
from flockcheck.rulebook import book as books_module
from flockcheck.rulebook.book import COMPILED, Rulebook, compiled_text, load_books, read_files
from flockcheck.rulebook.model import RulebookError
from tests.little_cases import (
    CLUB,
    LITTLE,
    birds,
    books,
    changed,
    little,
    registry,
    report,
    rules_found,
    setup,
)


def book_of(folder: Path, *files: tuple[str, str]) -> Path:
    for name, text in files:
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder


def stacked(*more: Path, **options: Any) -> Rulebook:
    return load_books(books(*more), registry(), version="0", **options)


def refused(*more: Path) -> list[str]:
    with pytest.raises(RulebookError) as caught:
        stacked(*more)
    return [f"{caught.value.book}: {fault_words(fault)}" for fault in caught.value.faults]


TIGHT = (LITTLE / "room" / "tight.yaml").read_text(encoding="utf-8")


def test_two_books_are_asked_side_by_side() -> None:
    both = stacked(CLUB)
    assert set(both.rules) == {*little().rules, "members-met"}
    crowd = check(setup(birds(60)), both)
    assert rules_found(crowd) == ["members-met", "tight"]
    assert both.rules["members-met"].book == "club_book"
    assert both.standards == little().standards == ("little-hall", "little-perch")


def test_each_book_is_named_with_the_version_of_its_own_files(tmp_path: Path) -> None:
    (_, club) = stacked(CLUB).books[-2:]
    assert club[0] == "club_book"
    other = Path(shutil.copytree(CLUB, tmp_path / "club_book"))
    rule = other / "house" / "members-met.yaml"
    rule.write_text(changed(rule.read_text(), ("50, grade", "60, grade")))
    assert stacked(other).books[-1][0] == "club_book"
    assert stacked(other).books[-1][1] != club[1]


def test_a_rule_of_one_name_is_refused_naming_both_books(tmp_path: Path) -> None:
    other = book_of(tmp_path / "other", ("room/tight.yaml", TIGHT))
    assert refused(other) == [
        "other: room/tight.yaml, line 1, rule: `tight` stands in the book little_book already; "
        "say `replaces: yes` where it should take its place"
    ]


def test_a_rule_that_says_so_takes_the_others_place(tmp_path: Path) -> None:
    text = changed(TIGHT, ("why:", "replaces: yes\nwhy:"), ("at_most: 15", "at_most: 50"),
                   ("at_most: 20", "at_most: 50"), ("at_most: 25", "at_most: 50"))  # fmt: skip
    other = stacked(book_of(tmp_path / "other", ("room/tight.yaml", text)))
    assert other.rules["tight"].book == "other"
    assert check(setup(birds(100)), other).findings == ()
    assert rules_found(report(birds(100))) == ["tight"]


def test_a_rule_can_not_replace_another_of_its_own_book(tmp_path: Path) -> None:
    twice = book_of(
        tmp_path / "twice",
        ("room/lone.yaml", changed(TIGHT, ("rule: tight", "rule: lone"))),
        ("yard/lone.yaml", changed(TIGHT, ("rule: tight", "rule: lone\nreplaces: yes"))),
    )
    (fault,) = refused(twice)
    assert fault == "twice: yard/lone.yaml, line 1, rule: `lone` stands in the book twice already"


def test_a_table_of_one_name_is_refused_and_replaced_alike(tmp_path: Path) -> None:
    heavy = changed(
        (LITTLE / "tables" / "growth.yaml").read_text(encoding="utf-8"), ("[100, 5]", "[100, 10]")
    )
    replaced = stacked(book_of(tmp_path / "heavy", ("tables/growth.yaml", heavy)))
    assert check(setup(birds(40)), replaced).findings != ()
    clash = book_of(
        tmp_path / "clash", ("tables/growth.yaml", changed(heavy, ("replaces: yes\n", "")))
    )
    (fault,) = refused(clash)
    assert "`growth` stands in the book little_book already" in fault


def test_a_book_may_use_the_sources_and_levers_of_those_below_it(tmp_path: Path) -> None:
    text = changed(TIGHT, ("rule: tight", "rule: tighter"))
    other = stacked(book_of(tmp_path / "other", ("room/tighter.yaml", text)))
    assert rules_found(check(setup(birds(100)), other)) == ["tight", "tighter"]


def test_a_book_that_lies_about_in_links_reads_nothing_else(tmp_path: Path) -> None:
    folder = book_of(tmp_path / "book", ("room/tight.yaml", TIGHT))
    (folder / "room" / "linked.yaml").symlink_to(LITTLE / "room" / "roof-scant.yaml")
    (folder / "away").symlink_to(LITTLE / "kit")
    (folder / "room" / ".hidden.yaml").write_text("{")
    (folder / ".git").mkdir()
    (folder / ".git" / "x.yaml").write_text("{")
    (folder / "__pycache__").mkdir()
    (folder / "notes.txt").write_text("not read")
    assert set(read_files(str(folder))) == {"room/tight.yaml"}


@pytest.fixture
def cache(tmp_path: Path) -> Path:
    return tmp_path / "cache" / "flockcheck"


def kept_in(cache: Path) -> list[Path]:
    return sorted(cache.glob("*")) if cache.exists() else []


def with_cache(cache: Path, *more: Path) -> Rulebook:
    return stacked(*more, cache=lambda: str(cache))


@pytest.fixture
def compiled(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How often a book was compiled."""
    times: list[int] = []
    real = books_module.compile_files

    def counted(*args: Any) -> Any:
        times.append(1)
        return real(*args)

    monkeypatch.setattr(books_module, "compile_files", counted)
    return times


def test_a_compiled_book_is_kept_and_gives_the_same_answers(
    cache: Path, compiled: list[int]
) -> None:
    first, second = with_cache(cache), with_cache(cache)
    assert len(compiled) == 1
    assert len(kept_in(cache)) == 1
    crowd = setup(birds(100), ("opening: 20 mm", "opening: 60 mm"))
    assert check(crowd, first) == check(crowd, second) == check(crowd, little())
    parts = ("rules", "tables", "sources", "levers", "standards")
    assert [getattr(first, part) for part in parts] == [getattr(second, part) for part in parts]
    assert first.base() == second.base()


def test_a_change_of_one_byte_compiles_again(
    tmp_path: Path, cache: Path, compiled: list[int]
) -> None:
    folder = Path(shutil.copytree(CLUB, tmp_path / "club_book"))
    with_cache(cache, folder)
    rule = folder / "house" / "members-met.yaml"
    rule.write_text(changed(rule.read_text(), ("50, grade", "51, grade")))
    again = with_cache(cache, folder)
    assert len(compiled) == 2
    assert again.rules["members-met"].limits[0].value == ["literal", 51.0]
    # A moved or renamed file is a change as well; another folder with the same files is not.
    rule.rename(rule.with_name("members-met2.yaml"))
    with pytest.raises(RulebookError):
        with_cache(cache, folder)


def test_another_version_of_the_program_compiles_again(cache: Path, compiled: list[int]) -> None:
    for version in ("1", "2", "1"):
        load_books(books(), registry(), version=version, cache=lambda: str(cache))
    assert len(compiled) == 2


def spoilings(text: str) -> dict[str, str]:
    return {
        "nothing": "",
        "the first half": text[: len(text) // 2],
        "without its last sign": text[:-1],
        "no JSON": "{" * 200_000,
        "other JSON": "[]",
        "another key": text.replace('"key": "', '"key": "0', 1),
        "without its data": '{"key": "x", "sum": 0, "data": {}}',
        "a limit changed by one digit": text.replace("15.0", "75.0", 1),
        "a name changed": text.replace("floor_load", "floor_lead"),
    }


@pytest.mark.parametrize("how", list(spoilings("")))
def test_a_spoiled_cache_is_passed_over_and_written_anew(
    how: str, cache: Path, compiled: list[int]
) -> None:
    with_cache(cache)
    (place,) = kept_in(cache)
    good = place.read_text()
    bad = spoilings(good)[how]
    assert bad != good
    place.write_text(bad)
    again = with_cache(cache)
    assert len(compiled) == 2
    assert check(setup(birds(100)), again) == report(birds(100))
    assert place.read_text() == good


def test_a_cache_of_bytes_that_are_no_text_is_passed_over(cache: Path) -> None:
    with_cache(cache)
    (place,) = kept_in(cache)
    place.write_bytes(b"\xff\xfe\x00")
    assert set(with_cache(cache).rules) == set(little().rules)


def test_a_cache_folder_that_can_not_be_written_is_no_trouble(tmp_path: Path) -> None:
    in_the_way = tmp_path / "file"
    in_the_way.write_text("no folder")
    assert set(with_cache(in_the_way / "flockcheck").rules) == set(little().rules)
    assert in_the_way.read_text() == "no folder"


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write all")
def test_a_cache_folder_without_leave_is_no_trouble(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    assert set(with_cache(tmp_path / "flockcheck").rules) == set(little().rules)


def test_a_failed_write_leaves_no_part_behind(cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*args: Any, **options: Any) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    assert set(with_cache(cache).rules) == set(little().rules)
    assert kept_in(cache) == []


def test_the_form_that_the_wheel_carries_is_taken_for_a_book_alone(
    tmp_path: Path, compiled: list[int]
) -> None:
    folder = Path(shutil.copytree(LITTLE.parents[2] / "rules", tmp_path / "rules"))
    text = compiled_text(str(folder), "rules", registry(), "1")
    (folder / COMPILED).write_text(text, encoding="utf-8")
    before = len(compiled)
    load_books([("rules", str(folder))], registry(), version="1")
    assert len(compiled) == before
    load_books([("rules", str(folder))], registry(), version="2")
    assert len(compiled) == before + 1


def test_the_grades_of_a_rule_are_those_outside_standards_worst_first() -> None:
    rules = little().rules
    assert rules["tight"].grades == ("stop", "mend", "watch")
    assert rules["outlet-spills"].grades == ("stop", "mend", "watch", "tip")
    assert rules["law-only"].grades == ()
    assert [rules[name].can_stop for name in ("tight", "mesh-wide", "law-only")] == [
        True, False, False,
    ]  # fmt: skip


def test_a_rulebook_error_says_how_many_mistakes_and_which_is_the_first(tmp_path: Path) -> None:
    with pytest.raises(RulebookError, match=r"rulebook other: 1 mistake, first .*tight") as caught:
        stacked(book_of(tmp_path / "other", ("room/tight.yaml", TIGHT)))
    assert len(caught.value.faults) == 1
