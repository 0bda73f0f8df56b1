"""The layout of a text: where keys, values and comments stand, whatever breaks its lines."""

from __future__ import annotations

import pytest

from flockcheck.text.layout import (
    Part,
    comments,
    line_break,
    line_end,
    line_start,
    mark_at,
    next_line,
    read_layout,
)

TEXT = """# top
pen: # the low one
  length: '4 m'   # tape
  notes: | # long
    first # not a comment
    second

# between
birds:
  - kind: dog
  - {count: 2, "weights": [1, # in brackets
      2]}
last: a#b
# end"""
SAID = ["# top", "# the low one", "# tape", "# long", "# between", "# in brackets", "# end"]
BREAKS = ["\n", "\r\n", "\r", "\u2028", "\x85"]


def at(part: Part, path: str) -> Part:
    for name in path.split("."):
        entry = part.entry(name)
        assert entry is not None, name
        part = entry.value
    return part


@pytest.mark.parametrize("newline", BREAKS)
@pytest.mark.parametrize(
    ("path", "kind", "style", "written"),
    [
        ("pen.length", "scalar", "'", "'4 m'"),
        ("birds.0", "section", "", "kind: dog"),
        ("birds.1.weights.0", "scalar", "", "1"),
        ("birds.1.count", "scalar", "", "2"),
        ("last", "scalar", "", "a#b"),
    ],
)
def test_a_part_knows_its_place_and_style(
    path: str, kind: str, style: str, written: str, newline: str
) -> None:
    text = TEXT.replace("\n", newline)
    part = at(read_layout(text), path)
    assert (part.kind, part.style) == (kind, style)
    assert text[part.start.at : part.end.at] == written
    assert mark_at(text, part.start.at) == part.start


@pytest.mark.parametrize("newline", BREAKS)
def test_every_comment_is_found_and_nothing_else(newline: str) -> None:
    text = TEXT.replace("\n", newline)
    found = list(comments(text))
    assert [said for _, said in found] == SAID
    assert all(text.startswith(said, place) for place, said in found)


def test_what_stands_in_brackets_is_told_from_what_stands_on_lines() -> None:
    root = read_layout(TEXT)
    assert [at(root, path).bracketed for path in ("birds", "birds.1", "birds.1.count")] == [
        False,
        False,
        True,
    ]
    assert root.entry("nowhere") is None


@pytest.mark.parametrize("newline", BREAKS)
def test_lines_begin_and_end_where_the_parser_has_them(newline: str) -> None:
    text = f"one{newline}two{newline}"
    second = len("one" + newline)
    assert line_break(text) == newline
    assert (line_start(text, second + 1), line_end(text, second)) == (second, second + 3)
    assert (next_line(text, 0), next_line(text, second)) == (second, len(text))
    assert mark_at(text, len(text)).line == 3


def test_a_text_of_one_line_breaks_as_most_do() -> None:
    assert line_break("one") == "\n"
