"""Citations in words."""

from __future__ import annotations

from typing import Any

import pytest

from flockcheck.reports.sources import cite_words
from flockcheck.rulebook.model import Source

SOURCES = {
    "a": Source("a", "Small pens", "Little Extension", "2011", "extension", ""),
    "b": Source("b", "Old pens", "Little Extension", "", "extension", ""),
    "c": Source("c", "Rules of the barn", "a school in the hills", "undated", "report", ""),
}


@pytest.mark.parametrize(
    ("cite", "words"),
    [
        ({"practice": "common"}, "Common practice, no source."),
        ({"id": "a", "where": "p. 3"}, "Little Extension, Small pens (2011), p. 3."),
        ({"id": "b"}, "Little Extension, Old pens."),
        ({"id": "a", "where": "p. 3", "recalled": "yes"},
         "Little Extension, Small pens (2011), p. 3; figure from memory."),
        ({"id": "a", "where": "p. 3", "seen": "second hand"},
         "Little Extension, Small pens (2011), p. 3; seen second hand."),
        ({"id": "a", "where": "p. 3", "derived": "half of it"},
         "Little Extension, Small pens (2011), p. 3; derived from half of it."),
        ({"id": "c"}, "A school in the hills, Rules of the barn (undated)."),
        ({"id": "gone", "where": "p. 3"}, "gone, p. 3."),
    ],
)  # fmt: skip
def test_a_citation_says_who_what_where_and_how_it_was_seen(
    cite: dict[str, Any], words: str
) -> None:
    assert cite_words(cite, SOURCES) == words


def test_a_brief_one_leaves_out_how_a_figure_was_worked_out() -> None:
    cite = {"id": "a", "where": "p. 3", "derived": "half of it"}
    assert cite_words(cite, SOURCES, brief=True).endswith("p. 3; worked out from it.")
