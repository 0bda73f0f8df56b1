"""The rule pages hold what a reader looks for, and every source is told of."""

from __future__ import annotations

import re
from pathlib import Path

from flockcheck.rulebook.book import load_books
from flockcheck.rulebook.model import Rule
from tests.little_cases import ROOT, registry

BOOK = load_books([("flockcheck_rules", str(ROOT / "rules"))], registry(), version="0")
PAGES = ROOT / "docs" / "rules"
# Sources that only a note speaks of, beside the one that its figure was taken from.
MOST_IDLE = 3


def page(rule: Rule) -> str:
    return Path(PAGES, rule.topic, f"{rule.name}.md").read_text(encoding="utf-8")


def rule_page(name: str) -> str:
    return page(BOOK.rules[name])


def test_every_rule_has_a_page_with_its_question_reason_limits_and_examples() -> None:
    for rule in BOOK.rules.values():
        text = page(rule)
        heads = set(re.findall(r"^## (.*)$", text, re.M))
        assert f"# {rule.title}" in text
        assert rule.asks in text
        assert heads >= {"What happens", "Examples"}
        own = [limit for limit in rule.limits if not limit.standard]
        assert ("Limits" in heads) == bool(own or rule.otherwise)
        assert ("Take care" in heads) == bool(rule.caution)
        assert ("Sources" in heads) != rule.always
        assert "{" not in re.sub(r"^```.*?^```$", "", text, flags=re.M | re.S)


def test_a_page_says_how_each_figure_was_seen() -> None:
    marks = {"recalled": "**from memory**", "seen": "**second hand**", "derived": "**worked out"}
    seen = set()
    for rule in BOOK.rules.values():
        text = page(rule)
        for limit in rule.limits:
            for mark in marks.keys() & limit.cites.keys():
                seen.add(mark)
                assert f"(../by-source.md#{limit.cites['id']})" in text
                assert marks[mark] in text
            assert "practice" not in limit.cites or "common practice, no source" in text
    assert seen == set(marks)


def test_a_page_keeps_the_standards_apart_from_the_limits() -> None:
    before, _, after = rule_page("floor-crowded").partition("## Standards")
    assert "us-organic" not in before
    assert "us-organic" in after


def test_examples_stand_in_plain_words() -> None:
    text = rule_page("floor-crowded")
    assert "- With 45 birds: nothing is found\n" in text
    assert "- With 64 birds: mend from 2 June to 21 June\n" in text
    spill = "With the outlet uphill, a slope of 5 %, a run of 30 cm to the outlet and a freeboard"
    assert f"- {spill} of 10 mm: stop\n" in rule_page("outlet-uphill")


def test_the_formula_of_a_measure_stands_with_its_sum() -> None:
    text = rule_page("pen-lifts")
    assert "V^2 = W / (0.00256 Cf A)" in text
    assert ">>> round(lift_gust(" in text
    assert "[`roof_uplift`](../tables.md#roof_uplift)" in text


def test_every_cited_source_has_its_entry_and_names_what_rests_on_it() -> None:
    entries = dict(
        re.findall(
            r"^### (\S+)\n\n(.*?)(?=^##|\Z)",
            (PAGES / "by-source.md").read_text("utf-8"),
            re.M | re.S,
        )
    )
    for rule in BOOK.rules.values():
        for limit in (*rule.limits, *(one for other in rule.otherwise for one in other.limits)):
            if "id" in limit.cites:
                assert f"({rule.topic}/{rule.name}.md)" in entries[limit.cites["id"]]
    for table in BOOK.tables.values():
        for row in table.rows:
            if "id" in row.cites:
                assert f"(tables.md#{table.name})" in entries[row.cites["id"]]


def test_a_source_on_which_nothing_rests_is_listed_apart_and_they_do_not_grow_in_number() -> None:
    text = (PAGES / "by-source.md").read_text("utf-8")
    resting, _, idle = text.partition("## Listed, but nothing rests on them")
    told = set(re.findall(r"^### (\S+)$", resting, re.M))
    listed = set(re.findall(r"^- .*\(([a-z0-9-]+)\)$", idle.partition("## Common")[0], re.M))
    assert not told & listed
    glossary = set(BOOK.sources) - told - listed
    assert len(glossary) < 20
    assert len(listed) <= MOST_IDLE, "cite the new source where its figure stands, or leave it out"
