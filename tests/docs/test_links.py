"""Links between the pages lead to a file that is there, and to a heading in it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.little_cases import ROOT

PAGES = [
    ROOT / "README.md",
    ROOT / "DEVELOPERS.md",
    *sorted((ROOT / "docs").rglob("*.md")),
]
FENCED = re.compile(r"^```.*?^```$", re.M | re.S)
LINK = re.compile(r"\]\(([^)\s]+)\)")


def anchors(page: Path) -> set[str]:
    """The headings of a page as code hosts name them."""
    text = FENCED.sub("", page.read_text(encoding="utf-8"))
    heads = re.findall(r"^#+ (.*)$", text, re.M)
    return {re.sub(r"[^\w -]", "", head.lower()).replace(" ", "-") for head in heads}


def links(page: Path) -> list[str]:
    """Where a page leads to, within the project."""
    found = LINK.findall(FENCED.sub("", page.read_text(encoding="utf-8")))
    return [link for link in found if not re.match(r"[a-z]+:", link)]


@pytest.fixture(scope="module")
def headings() -> dict[Path, set[str]]:
    return {page.resolve(): anchors(page) for page in PAGES}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_links_lead_somewhere(page: Path, headings: dict[Path, set[str]]) -> None:
    broken = []
    for link in links(page):
        path, _, anchor = link.partition("#")
        target = (page.parent / path).resolve() if path else page.resolve()
        there = target.exists() and (not anchor or anchor in headings.get(target, {anchor}))
        if not there:
            broken.append(link)
    assert broken == []


def test_a_broken_link_would_be_seen() -> None:
    assert anchors(ROOT / "docs" / "rules" / "measures.md") >= {"floor_load", "the-measures"}
    assert len(links(ROOT / "docs" / "rules" / "README.md")) > 90
