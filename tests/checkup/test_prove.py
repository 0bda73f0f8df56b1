"""Proving a rulebook: the built-in one passes, and each thing that can be amiss is named."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from flockcheck.checkup.check import check
from flockcheck.checkup.examples import base_document, changed_setup, read_examples
from flockcheck.checkup.finding import finding_of
from flockcheck.checkup.prove import BASE, Proof, prove
from flockcheck.checkup.readers import Scope
from flockcheck.checkup.trial import tried
from flockcheck.checkup.wording import Wording
from flockcheck.rulebook.book import Rulebook, read_files
from flockcheck.workshop import tools

RULES = Path(__file__).resolve().parents[2] / "rules"

SHORT = """
rule: pen-short
asks: Is the pen long enough?
title: The pen is short
key: pen.length
limits: [{at_least: 3 m, grade: mend, practice: common}]
says: "The pen is {value} long; {limit} is asked for."
why: Birds run to and fro.
"""
HEAVY = """
rule: floor-heavy
asks: Do they weigh much?
title: They weigh much
measure: floor_load
limits: [{at_most: 15 kg/m2, grade: watch, practice: common}]
says: "They weigh {value}."
why: Birds grow.
"""
NEAR = """
rule: outlet-near
asks: Is there rim enough?
title: The rim is low
each: drinker
for: {drinker.fill: [vacuum, float, valve]}
key: drinker.freeboard
limits:
  - {at_least: 10 mm, grade: mend, practice: common}
  - {at_least: 5 mm, grade: stop, practice: common}
says: "The rim is {value}."
why: Water runs over.
"""
RANGE = """
rule: range-asked
asks: Is there the range that a standard asks for?
title: Too little range
for: {group.kind: meat chicken}
key: site.ground
limits:
  - at_least: {each_bird: 2 m2}
    grade: mend
    standard: a-label
    source: {id: eu-889-2008, where: annex III}
says: "There are {value}."
why: Grass grows back.
"""
RANGE_EXAMPLES = """
  - {with: {}, finds: not asked}
  - {with: {site.ground: 60 m2}, standard: a-label, finds: kept}
  - {with: {site.ground: 59 m2}, standard: a-label, finds: broken}
  - {with: {site.ground: left out}, standard: a-label, finds: not checked, needs: site.ground}
  - {with: {birds.0.kind: egg chicken}, standard: a-label, finds: not asked}
"""
SHORT_EXAMPLES = """
  - {with: {}, finds: nothing}
  - {with: {pen.length: 3 m}, finds: nothing}
  - {with: {pen.length: 2.9 m}, finds: mend}
  - {with: {pen.length: 9 ft}, finds: mend}
"""
HEAVY_EXAMPLES = """
  - {with: {birds.0.count: 45}, finds: nothing}
  - {with: {birds.0.count: 46}, finds: watch, from: 2027-06-20, until: 2027-06-21}
  - {with: {birds.0.count: 46}, finds: watch, on: 2027-06-21}
  - {with: {birds.0.count: 46, pen.length: 12 ft}, finds: nothing}
"""
NEAR_EXAMPLES = """
  - {with: {drinkers.0.freeboard: 10 mm}, finds: nothing}
  - {with: {drinkers.0.freeboard: 9.8 mm}, finds: mend}
  - {with: {drinkers.0.freeboard: 5 mm}, finds: mend}
  - {with: {drinkers.0.freeboard: 4.9 mm}, finds: stop}
  - {with: {drinkers.0.freeboard: 0.1 in}, finds: stop}
  - {with: {drinkers.0.freeboard: left out}, finds: not checked, needs: drinkers.0.freeboard}
  - {with: {drinkers.0.fill: none}, finds: not asked}
  - {with: {drinkers.1: {form: bell, fill: float, freeboard: 1 mm}}, finds: stop, item: drinkers.1}
  - {with: {drinkers.1: "{form: bell, fill: valve}"}, finds: nothing, item: drinkers.0}
  - {with: {drinkers: [{form: nipple, fill: none}]}, finds: not asked}
"""
REMINDER = """
rule: ask-first
asks: Did you ask?
title: Ask first
for: {group.kind: turkey}
always: yes
says: Ask first.
why: Somebody may mind.
"""
REMINDER_EXAMPLES = """
  - {with: {}, finds: not asked}
  - {with: {birds.0.kind: turkey, birds.0.growth: left out}, finds: nothing}
"""
BOOKS = {
    "pen-short": (SHORT, SHORT_EXAMPLES),
    "floor-heavy": (HEAVY, HEAVY_EXAMPLES),
    "outlet-near": (NEAR, NEAR_EXAMPLES),
    "ask-first": (REMINDER, REMINDER_EXAMPLES),
    "range-asked": (RANGE, RANGE_EXAMPLES),
}


@cache
def builtin() -> tuple[Rulebook, dict[str, bytes]]:
    return tools().rulebook, read_files(str(RULES))


@cache
def builtin_proof() -> Proof:
    return prove(*builtin())


@cache
def base_text() -> str:
    return (RULES / BASE).read_text(encoding="utf-8")


@cache
def book_of(name: str) -> Rulebook:
    """The built-in rulebook with one rule on top. Its examples are not compiled, so one will do."""
    with TemporaryDirectory() as folder:
        place = Path(folder, "plan", f"{name}.yaml")
        place.parent.mkdir()
        place.write_text(text_of(name, BOOKS[name][1]), encoding="utf-8")
        return tools([folder]).rulebook


def text_of(name: str, examples: str) -> str:
    return f"{BOOKS[name][0]}examples:\n{examples}"


def proof_of(name: str, examples: str, base: str = "") -> Proof:
    """The proof of a folder with one rule (and a base setup of its own)."""
    files = {f"plan/{name}.yaml": text_of(name, examples).encode()}
    if base:
        files[BASE] = base.encode()
    return prove(book_of(name), files)


def test_every_example_of_the_built_in_rulebook_comes_out_as_it_says() -> None:
    assert builtin_proof().wrong == ()


def test_no_rule_of_the_built_in_rulebook_lacks_a_kind_of_example() -> None:
    assert builtin_proof().lacks == ()


def test_the_base_setup_of_the_built_in_rulebook_leaves_no_question_open() -> None:
    proof = builtin_proof()
    assert proof.unchecked == ()
    assert proof.rules == len(builtin()[0].rules)
    assert proof.examples > 8 * proof.rules


def test_no_finding_of_an_example_speaks_of_what_is_not_written() -> None:
    rulebook, files = builtin()
    base = base_document(base_text())
    for rule in rulebook.rules.values():
        for example in read_examples(files[f"{rule.topic}/{rule.name}.yaml"]):
            trial = tried(rulebook, rule, base, example.changes)
            for item, answer in trial.answers:
                if answer.failed:
                    scope = Scope(trial.run, rule.each, item)
                    found = finding_of(rule, scope, list(answer.failed), Wording(trial.setup))
                    assert "what is not written" not in found.says
                    assert "an unwritten number" not in found.says


@pytest.mark.parametrize("name", BOOKS)
def test_a_rule_with_every_kind_of_example_passes(name: str) -> None:
    proof = proof_of(name, BOOKS[name][1])
    assert (proof.wrong, proof.lacks, proof.rules) == ((), (), 1)
    assert proof.passes


# The rule, an example that is amiss, and what is said of it.
AMISS = [
    ("pen-short", "{with: {pen.length: 2.9 m}, finds: watch}", "it finds mend, not watch: The pen"),
    ("pen-short", "{with: {pen.length: 2.9 m}, finds: nothing}", "it finds mend, not nothing"),
    ("pen-short", "{with: {}, finds: mend}", "it finds nothing, not mend"),
    ("pen-short", "{with: {pen.length: left out}, finds: not checked}", "this makes no setup"),
    ("pen-short", "{with: {pen.length: 3}, finds: mend}", "`3` has no unit"),
    ("pen-short", "{with: {site.well.depth: 3 m}, finds: mend}", "has no place in the base setup"),
    ("pen-short", "{with: {birds.3.count: 3}, finds: mend}", "has no place in the base setup"),
    ("pen-short", "{with: {pen.frame.wall: left out}, finds: mend}", "so it can't be left out"),
    ("pen-short", "{with: {predators: '[fox'}, finds: mend}", "`predators`: "),
    ("floor-heavy", "{with: {birds.0.count: 46}, finds: watch, from: 2027-06-19}",
     "it begins from 2027-06-20, not from 2027-06-19"),
    ("floor-heavy", "{with: {birds.0.count: 46}, finds: watch, until: 2027-06-20}",
     "it lasts until 2027-06-21, not until 2027-06-20"),
    ("pen-short", "{with: {pen.length: 2 m}, finds: mend, from: 2027-05-17}",
     "it begins from no day on, not from 2027-05-17"),
    ("floor-heavy", "{with: {birds.0.count: 46}, finds: watch, on: 2027-06-19}",
     "it finds nothing, not watch"),
    ("outlet-near", "{with: {drinkers.0.freeboard: left out}, finds: nothing}",
     "it finds not checked, not nothing: `drinkers.0.freeboard` is missing"),
    ("outlet-near", "{with: {drinkers.0.freeboard: left out}, finds: not checked}",
     "it names `drinkers.0.freeboard` as missing; `needs` should say the same"),
    ("outlet-near", "{with: {}, finds: nothing, needs: drinkers.0.run}",
     "it names nothing as missing"),
    ("outlet-near", "{with: {drinkers.0.fill: none}, finds: nothing}",
     "it finds not asked, not nothing"),
    ("outlet-near", "{with: {}, finds: nothing, item: drinkers.1}",
     "`drinkers.1` is not among the things"),
    ("ask-first", "{with: {}, finds: nothing}", "it finds not asked, not nothing"),
    ("range-asked", "{with: {site.ground: 60 m2}, standard: a-label, finds: broken}",
     "a-label is kept, not broken"),
    ("range-asked", "{with: {site.ground: 59 m2}, standard: a-label, finds: kept}",
     "a-label is broken, not kept"),
    ("range-asked", "{with: {site.ground: left out}, standard: a-label, finds: kept}",
     "a-label is not checked, not kept: `site.ground` is missing"),
    ("range-asked", "{with: {site.ground: left out}, standard: a-label, finds: not checked}",
     "it names `site.ground` as missing; `needs` should say the same"),
    ("range-asked", "{with: {}, standard: another, finds: kept}",
     "another is not asked, not kept"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "example", "says"), AMISS)
def test_an_example_that_comes_out_otherwise_is_named_with_its_line(
    name: str, example: str, says: str
) -> None:
    proof = proof_of(name, f"{BOOKS[name][1]}  - {example}\n")
    assert [(one.rule, one.file) for one in proof.wrong] == [(name, f"plan/{name}.yaml")]
    assert says in proof.wrong[0].says
    text = text_of(name, f"{BOOKS[name][1]}  - {example}\n")
    assert text.splitlines()[proof.wrong[0].line - 1].strip() == f"- {example}"
    assert not proof.passes


# The rule, the part of an example that goes, and what lacks then.
GONE = [
    ("pen-short", "length: 9 ft", {("units", "is written in other units than the base setup")}),
    ("pen-short", "length: 2.9 m",
     {("limit", "comes just to the side where the limit of line 6 fails")}),
    ("pen-short", "length: 3 m",
     {("limit", "comes just to the side where the limit of line 6 holds")}),
    ("floor-heavy", "finds: nothing", {("nothing", "finds nothing"),
     ("units", "is written in other units than the base setup")}),
    ("outlet-near", "finds: mend", {("grade", "finds mend"),
     ("limit", "comes just to the side where the limit of line 9 fails"),
     ("limit", "comes just to the side where the limit of line 10 holds")}),
    ("outlet-near", "finds: not checked",
     {("not checked", "leaves out `drinkers` and is not checked")}),
    ("ask-first", "finds: nothing", {("nothing", "finds nothing")}),
    ("range-asked", "finds: kept", {("standard", "finds a-label kept")}),
    ("range-asked", "finds: broken", {("standard", "finds a-label broken")}),
]  # fmt: skip


@pytest.mark.parametrize(("name", "gone", "lacks"), GONE)
def test_a_kind_of_example_that_lacks_is_named(
    name: str, gone: str, lacks: set[tuple[str, str]]
) -> None:
    kept = [line for line in BOOKS[name][1].splitlines() if gone not in line]
    proof = proof_of(name, "\n".join(kept))
    assert proof.wrong == ()
    assert {(one.kind, one.says.removeprefix("no example ")) for one in proof.lacks} == lacks


def test_a_limit_that_no_example_holds_against_anything_is_named() -> None:
    proof = proof_of("outlet-near", "  - {with: {drinkers.0.fill: none}, finds: not asked}\n")
    says = [one.says for one in proof.lacks if one.kind == "limit"]
    assert "no example shows how the limit of line 9 holds" in says
    assert "no example shows how the limit of line 10 fails" in says


def test_a_base_setup_in_which_something_is_found_is_no_base() -> None:
    lonely = base_text().replace("count: 30", "count: 2")
    proof = proof_of("pen-short", SHORT_EXAMPLES, lonely)
    assert [(one.rule, one.file) for one in proof.wrong] == [("lone-bird", BASE)]
    assert "the base setup finds mend: " in proof.wrong[0].says
    assert lonely.splitlines()[proof.wrong[0].line - 1].strip().startswith("- kind: meat chicken")


def test_a_base_setup_that_leaves_a_question_open_says_which() -> None:
    proof = proof_of("pen-short", SHORT_EXAMPLES, base_text().replace("  gust: 12 m/s\n", ""))
    assert ("lid-blows-off", ("weather.gust",)) in proof.unchecked
    assert proof.passes


def test_a_base_setup_that_can_not_be_read_is_said_to_be_so_line_by_line() -> None:
    proof = proof_of("pen-short", SHORT_EXAMPLES, "flockcheck: 1\npen: {length: 3}\n")
    assert {one.file for one in proof.wrong} == {BASE}
    assert any("`birds` is missing" in one.says for one in proof.wrong)
    assert any((one.line, "3" in one.says) == (2, True) for one in proof.wrong)


def test_the_base_setup_written_out_again_reads_the_same() -> None:
    again = changed_setup(base_document(base_text()), {}, BASE)
    first = tools().rulebook.base()
    assert base_document(first) == base_document(base_text())
    assert again.values["birds.0.count"].value == 30
    assert again.values["notes"].text == base_document(first)["notes"]


def test_what_is_left_out_goes_with_all_below_it() -> None:
    setup = changed_setup(base_document(base_text()), {"pen.roof": "left out"}, BASE)
    assert not setup.is_written("pen.roof")
    assert not setup.is_written("pen.roof.cover")
    assert setup.is_written("pen.frame.span")


def test_changes_reach_weights_new_items_and_new_sections() -> None:
    changes = {
        "birds.0.weights.28 days": "0.8 kg",
        "guardians.1.kind": "person",
        "weather.periods": "[{from: 2027-06-01, to: 2027-06-02, gust: 20 m/s}]",
    }
    setup = changed_setup(base_document(base_text()), changes, BASE)
    assert setup.values["birds.0.weights"].value == ((28.0, 0.8),)
    assert setup.values["guardians.1.kind"].value == "person"
    assert setup.values["weather.periods.0.gust"].value == 20.0


def test_a_finding_against_a_figure_of_a_table_cites_its_row() -> None:
    rulebook, _ = builtin()
    setup = changed_setup(base_document(base_text()), {"mesh.opening": "40 mm"}, BASE)
    mink = next(one for one in check(setup, rulebook).findings if one.about == "predators.1")
    assert mink.rule == "mesh-lets-in"
    assert [cite.get("id", "common practice") for cite in mink.cites] == [
        "common practice",
        "icwdm-mink",
    ]


HENS = {"birds.0.kind": "egg chicken", "birds.0.hatched": "2026-11-01"}
# The changes, a standard, a rule with a limit of it, and whether that is kept (None: not known).
STANDARDS: list[tuple[dict[str, str], str, str, bool | None]] = [
    ({"birds.0.count": "99"}, "eu-meat", "floor-crowded", True),
    ({"birds.0.count": "100"}, "eu-meat", "floor-crowded", False),
    ({"birds.0.count": "90"}, "eu-organic", "floor-crowded", True),
    ({"birds.0.count": "91"}, "eu-organic", "floor-crowded", False),
    ({"birds.0.count": "73"}, "us-organic", "floor-crowded", True),
    ({"birds.0.count": "74"}, "us-organic", "floor-crowded", False),
    ({"birds.0.out": "2027-05-10"}, "pasture-certifier", "out-too-young", True),
    ({"birds.0.out": "2027-05-09"}, "pasture-certifier", "out-too-young", False),
    ({**HENS, "birds.0.count": "51"}, "eu-organic", "floor-per-bird", True),
    ({**HENS, "birds.0.count": "52"}, "eu-organic", "floor-per-bird", False),
    ({**HENS, "birds.0.count": "77"}, "eu-hens", "floor-per-bird", True),
    ({**HENS, "birds.0.count": "78"}, "eu-hens", "floor-per-bird", False),
    ({**HENS, "birds.0.count": "32"}, "eu-hens", "feeder-space-short", True),
    ({**HENS, "birds.0.count": "33"}, "eu-hens", "feeder-space-short", False),
    ({**HENS, "birds.0.count": "219"}, "eu-hens", "drinker-space-short", True),
    ({**HENS, "birds.0.count": "220"}, "eu-hens", "drinker-space-short", False),
    ({**HENS, "drinkers.0.diameter": "left out"}, "eu-hens", "drinker-space-short", None),
]


@pytest.mark.parametrize(("changes", "standard", "rule", "kept"), STANDARDS)
def test_a_limit_of_a_standard_is_kept_up_to_its_figure_and_not_past_it(
    changes: dict[str, str], standard: str, rule: str, kept: bool | None
) -> None:
    setup = changed_setup(base_document(base_text()), changes, BASE)
    (answer,) = check(setup, builtin()[0], standards=(standard,)).standards
    assert answer.name == standard
    assert (rule in answer.by, rule in answer.not_checked) == (kept is False, kept is None)
