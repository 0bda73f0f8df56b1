"""Spoiled rulebooks: each mistake gives one clear line with file, line and key, and all at once."""

from __future__ import annotations

import functools
import re
from collections.abc import Mapping

import pytest
from syrupy.assertion import SnapshotAssertion

from flockcheck.cli.check import fault_words
from flockcheck.rulebook.book import compile_files, read_files
from flockcheck.rulebook.model import BookFault, RulebookError
from tests.little_cases import LITTLE, ROOT, changed, registry

FILES = {name: data.decode() for name, data in read_files(str(LITTLE)).items()}

# What is spoiled; in which file; text before and after (no text before: the whole file).
SPOILED: list[tuple[str, str, str, str]] = [
    # rules: keys and names
    ("a misspelt key", "room/tight.yaml", "asks:", "aks:"),
    ("a key of its own", "room/tight.yaml", "asks:", "severity: high\nasks:"),
    ("another name than the file's", "room/tight.yaml", "rule: tight", "rule: loose"),
    ("a misspelt measure", "room/tight.yaml", "measure: floor_load", "measure: flor_load"),
    ("a misspelt key of the setup", "room/roof-scant.yaml", "key: pen.roof.cover",
     "key: pen.roof.covers"),
    ("a misspelt item word", "plan/moves-young.yaml", "each: group", "each: groups"),
    ("a measure of another item", "room/tight.yaml", "measure: floor_load", "measure: age"),
    ("a grade of its own", "room/tight.yaml", "grade: watch, practice", "grade: warn, practice"),
    ("no citation", "room/tight.yaml", "grade: watch, practice: common", "grade: watch"),
    ("an unknown source", "room/tight.yaml", "id: little-sheet", "id: little-sheets"),
    ("no question mark", "room/tight.yaml", "weight?", "weight"),
    # rules: limits
    ("a limit in another dimension", "room/tight.yaml", "at_most: 15 kg/m2", "at_most: 15 kg"),
    ("a limit without its unit", "room/tight.yaml", "at_most: 15 kg/m2", "at_most: 15"),
    ("a comparator that does not compare words", "kit/words.yaml", "is: two-step",
     "at_least: 2"),
    ("a word that the key does not take", "kit/words.yaml", "is: two-step", "is: two step"),
    ("none of what is no list", "room/roof-scant.yaml", "at_least: 1/2", "none: yes"),
    ("two comparators", "room/roof-scant.yaml", "{at_least: 1/2,", "{at_least: 1/2, at_most: 1,"),
    ("an unknown table", "fence/gets-in.yaml", "table: gets_through, column",
     "table: gets_thru, column"),
    ("an unknown column", "fence/gets-in.yaml", "column: passes", "column: passed"),
    ("a table that the pen can not pick from", "room/perch-short.yaml",
     "{each_bird: {table: perch_room}}", "{table: perch_room}"),
    ("a table for the asker alone", "room/roof-scant.yaml", "at_least: 1/2",
     "at_least: {table: figures}"),
    ("points that fall back", "room/cold-nights.yaml", "[41 days, 5 C]", "[20 days, 5 C]"),
    ("a key in another dimension", "kit/words.yaml", "{key: pen.length}", "{key: pen.weight}"),
    # rules: conditions
    ("a condition on nothing", "room/cold-nights.yaml", "for: {age:", "for: {agee:"),
    ("a word that a condition can not meet", "plan/local-rules.yaml", "[meat chicken,",
     "[meat chickens,"),
    ("a comparison of words by size", "plan/leaves-old.yaml", "{is: meat}", "{over: 3}"),
    ("written of no key", "kit/words.yaml", "written pen.weight", "written pen.heft"),
    # rules: texts, fixes, places
    ("a name in a text that is nothing", "room/tight.yaml", "{floor_load.first}", "{flor_load}"),
    ("days of what has none", "room/tight.yaml", "{pen.length}", "{pen.length.first}"),
    ("a text that tells nothing", "room/roof-scant.yaml",
     'says: "{pen.roof.cover} of the floor lies under the roof, and {limit} is wanted."\n', ""),
    ("an unknown lever", "room/tight.yaml", "less: group.count", "less: group.counts"),
    ("a way that the lever does not know", "room/tight.yaml", "more: pen.length",
     "less: pen.length"),
    ("a setting that the key does not take", "kit/outlet-spills.yaml", "to: downhill",
     "to: downwards"),
    ("a list with a wrong word", "fence/pets-loose.yaml", "[fox, mink, dog]", "[fox, minks]"),
    ("an item that the setup would refuse", "fence/gets-in.yaml", "height: 1.06 m",
     "height: 1.06"),
    ("a place that is no key", "room/cold-nights.yaml", "at: weather.night_low",
     "at: weather.night"),
    ("a missing key that is a measure", "kit/outlet-spills.yaml", "when: [drinker.fill]",
     "when: [spill_margin]"),
    ("what is worked out by day, for the brooding", "plan/lamp-loose.yaml",
     "key: brooder.lamp_supports", "measure: birds_present"),
    ("standing in for no rule", "room/hot-and-tight.yaml", "[tight, roof-scant]",
     "[tight, roof-scanty]"),
    ("standing in for itself", "room/hot-and-tight.yaml", "[tight, roof-scant]",
     "[tight, hot-and-tight]"),
    # tables
    ("a table of another name", "tables/feeder_law.yaml", "table: feeder_law",
     "table: feeder_laws"),
    ("a row for an unknown bird", "tables/growth.yaml", "group.kind: egg chicken",
     "group.kind: egg chickens"),
    ("a row by a word that `by` lacks", "tables/feeder_law.yaml", "by: [feeder.form]",
     "by: [group.kind]"),
    ("a word of `by` that is no key", "tables/feeder_law.yaml", "by: [feeder.form]",
     "by: [feeder.form, group.kin]"),
    ("a cell without its unit", "tables/feeder_law.yaml", "rim: 10 cm", "rim: 10"),
    ("a cell of another dimension", "tables/feeder_law.yaml", "rim: 10 cm", "rim: 10 kg"),
    ("a flag that is none", "tables/feeder_law.yaml", "round: no", "round: never"),
    ("a column that is missing", "tables/feeder_law.yaml", ", word: trough}", "}"),
    ("a column too many", "tables/feeder_law.yaml", "word: trough}", "word: trough, x: 1}"),
    ("a unit that is none", "tables/growth.yaml", "age: days", "age: dayz"),
    ("a unit for no column", "tables/growth.yaml", "weight: kg}", "weight: kg, wait: kg}"),
    ("points in the wrong order", "tables/growth.yaml", "[[0, 0], [100, 5]]",
     "[[100, 5], [0, 0]]"),
    ("a point of three", "tables/growth.yaml", "[100, 5]", "[100, 5, 6]"),
    ("a point that is no number", "tables/growth.yaml", "[100, 5]", "[100, 5 pigs]"),
    ("a table without all predators", "tables/gets_through.yaml",
     "  - {for: {}, values", "  - {for: {predator: [fox, dog]}, values"),
    # levers
    ("a lever of no key", "levers.yaml", "lever: pen.length", "lever: pen.long"),
    ("a step of another dimension", "levers.yaml", "metric: 10 cm}", "metric: 10 kg}"),
    ("moving along what is no key", "levers.yaml", "pen.weight: in", "pen.heft: in"),
    ("a lever twice", "levers.yaml", "lever: care.footwear", "lever: mesh.opening"),
    ("steps that are not said", "levers.yaml", "build the pen {new} long", "build on"),
    # sources
    ("a source twice", "sources.yaml", "id: little-law", "id: little-sheet"),
    ("a source of its own kind", "sources.yaml", "kind: law", "kind: gossip"),
    ("a year in words", "sources.yaml", "1999", "long ago"),
    # files
    ("a file that is no YAML", "room/tight.yaml", "title: The", "title: [The"),
    ("an anchor", "room/tight.yaml", "title: The", "title: &a The"),
    ("a key twice", "room/tight.yaml", "title: The", "title: A\ntitle: The"),
    ("a list for a rule", "room/tight.yaml", "", "- rule\n"),
    ("an empty file", "room/tight.yaml", "", ""),
    ("a rule outside a topic", "stray.yaml", "", FILES["room/tight.yaml"]),
]  # fmt: skip


# Where one part of a file is wrong only beside another, the other one's line may be told.
TOLD_ELSEWHERE = {
    ("plan/lamp-loose.yaml", "key: brooder.lamp_supports"),
    ("tables/feeder_law.yaml", "by: [feeder.form]"),
    ("tables/gets_through.yaml", "  - {for: {}, values"),
    ("room/roof-scant.yaml", FILES["room/roof-scant.yaml"].splitlines()[7] + "\n"),
    ("levers.yaml", "build the pen {new} long"),
}


def spoil(files: Mapping[str, str], name: str, old: str, new: str) -> dict[str, str]:
    """The files with one of them spoiled."""
    return {**files, name: changed(files[name], (old, new)) if old else new}


@functools.cache
def figures() -> dict[str, bytes]:
    """Tables by the names of the built-in ones, with next to nothing in them: quickly compiled."""
    row = "{values: {value: 1}, practice: common}"
    names = [f"tables/{path.name}" for path in (ROOT / "rules" / "tables").glob("*.yaml")]
    return {
        name: f"table: {name[7:-5]}\nsays: so\ngives: {{value: count}}\nrows: [{row}]\n".encode()
        for name in names
        if name not in FILES
    }


def mistakes(files: Mapping[str, bytes]) -> tuple[BookFault, ...]:
    """What is wrong with a book of these files on top of the tables that measures need."""
    stack = [("figures", "", figures()), ("little_book", "", dict(files))]
    with pytest.raises(RulebookError) as caught:
        compile_files(stack, registry())
    assert caught.value.book == "little_book"
    return caught.value.faults


@functools.cache
def faults(*changes: tuple[str, str, str]) -> tuple[BookFault, ...]:
    """What is wrong with the little book when it is spoiled so."""
    files: dict[str, str] = dict(FILES)
    for name, old, new in changes:
        files = spoil(files, name, old, new)
    return mistakes({name: text.encode() for name, text in files.items()})


@pytest.mark.parametrize(
    ("file", "old", "new"), [pytest.param(*row[1:], id=row[0]) for row in SPOILED]
)
def test_a_spoiled_file_gives_one_line_with_its_place(file: str, old: str, new: str) -> None:
    found = faults((file, old, new))
    assert len(found) == 1
    (fault,) = found
    assert fault.file == file
    assert 1 <= fault.line <= max(1, len(new.splitlines() if not old else FILES[file].splitlines()))
    if old and (file, old) not in TOLD_ELSEWHERE:
        at = FILES[file][: FILES[file].index(old)].count("\n") + 1
        assert fault.line in range(at, at + 1 + old.count("\n") + new.count("\n"))
    assert fault.says
    assert not re.search(r"Error|None|dict|\bstr\b|Traceback|is not valid under", fault.says)


def test_every_mistake_of_a_rulebook_is_told_in_plain_words(snapshot: SnapshotAssertion) -> None:
    told = [
        f"{what}\n    {fault_words(fault)}"
        for what, *change in SPOILED
        for fault in faults((change[0], change[1], change[2]))
    ]
    assert "\n".join(told) == snapshot


def test_all_mistakes_are_told_at_once_in_the_order_of_files_and_lines() -> None:
    found = faults(
        ("room/tight.yaml", "measure: floor_load", "measure: flor_load"),
        ("room/tight.yaml", "less: group.count", "less: group.counts"),
        ("tables/growth.yaml", "[[0, 0], [100, 5]], source: {id: little-paper, where: table 1}",
         "[[100, 5], [0, 0]], source: {id: little-paper, where: table 1}"),
        ("tables/growth.yaml", "group.kind: egg chicken", "group.kind: egg chickens"),
        ("levers.yaml", "lever: care.footwear", "lever: mesh.opening"),
        ("sources.yaml", "kind: law", "kind: gossip"),
    )  # fmt: skip
    places = [(fault.file, fault.line) for fault in found]
    assert places == sorted(places)
    assert {file for file, _ in places} == {
        "room/tight.yaml", "tables/growth.yaml", "levers.yaml", "sources.yaml",
    }  # fmt: skip
    assert len([file for file, _ in places if file == "tables/growth.yaml"]) == 2
    assert len([file for file, _ in places if file == "room/tight.yaml"]) == 1


def test_rules_that_would_hide_each_other_are_told_once() -> None:
    (fault,) = faults(("room/roof-scant.yaml", "fixes:", "instead_of: [hot-and-tight]\nfixes:"))
    assert fault_words(fault) == (
        "room/hot-and-tight.yaml, line 10, instead_of: `roof-scant` stands in for this rule in "
        "turn; both would be hidden"
    )


@pytest.mark.parametrize("file", ["sources.yaml", "levers.yaml", "tables/gets_through.yaml"])
def test_what_others_take_from_a_spoiled_file_is_no_second_mistake(file: str) -> None:
    (fault,) = faults((file, "", "[unclosed\n"))
    assert fault.file == file


def test_a_spoiled_table_that_measures_need_ends_no_run_with_a_traceback() -> None:
    files = {name: text.encode() for name, text in FILES.items() if not name.startswith("tables/")}
    files["tables/growth.yaml"] = b"[unclosed\n"
    with pytest.raises(RulebookError) as caught:
        compile_files([("alone", "", files)], registry())
    assert [fault.file for fault in caught.value.faults] == ["tables/growth.yaml"]


def test_an_empty_folder_is_no_rulebook() -> None:
    with pytest.raises(RulebookError) as caught:
        compile_files([("nothing", "", {})], registry())
    (fault,) = caught.value.faults
    assert fault_words(fault) == "this folder holds no rule, table, levers or sources"


def test_bytes_that_are_no_text_are_told_with_their_line() -> None:
    files = {name: text.encode() for name, text in FILES.items()}
    files["room/tight.yaml"] = files["room/tight.yaml"].replace(b"tight on", b"\xff")
    files["room/tight.yaml"] = b"rule: tight\nasks: \xff?\n"
    (fault,) = mistakes(files)
    assert (fault.file, fault.line) == ("room/tight.yaml", 2)
    assert "UTF-8" in fault.says
