"""Texts to nodes: the places are right, and whatever is unsafe or no YAML is refused in words."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import example, given, settings
from hypothesis import strategies as st
from syrupy.assertion import SnapshotAssertion

from flockcheck.text import document
from flockcheck.text.document import (
    AND_MORE,
    MOST_BYTES,
    MOST_DEPTH,
    MOST_FAULTS,
    DocumentError,
    Fault,
    Mapping,
    Mark,
    Node,
    Scalar,
    Sequence,
    decode,
    on_screen,
    plain,
    quoted,
    read_document,
    read_nodes,
    walk,
)

ROOT = Path(__file__).parents[2]
TEXTS = sorted([*ROOT.glob("fixtures/**/*.yaml"), ROOT / "tests" / "setup" / "whole.flock.yaml"])
# Texts dense in what YAML gives a meaning to, so that a search meets its grammar, not only noise.
YAML_LIKE = st.lists(
    st.sampled_from(
        [
            *"ab1 \n\t:-?,[]{}#&*!|>'\"%@`~<\\\u00e9\u2028\x85\ufeff",
            *("\n  ", ": ", "- ", "\n- ", "a: ", "\r\n", "---\n", "...\n", "<<: ", "!!str "),
            *('"\\x1b"', "&a ", "*a", "? ", "\\U00110000", '"\\ud800"', "%YAML 1.2\n", "# x\n"),
        ]
    ),
    max_size=60,
).map("".join)
# Broken and unsafe texts that a keeper could write, by what is wrong with them.
SPOILED = {
    "two colons": "name: Hazel Lane: first\n",
    "two keys in a line": "a: 1 b: 2\n",
    "no colon": "pen:\n  length 12 ft\n  width: 3 m\n",
    "no colon in the last line": "a: 1\nb\n",
    "no colon in a list": "a:\n  - b: 1\n    c\n    d: 2\n",
    "no space after the colon": "pen:\n  length:3 m\n  width: 2 m\n",
    "no key": ": 3 m\n",
    "a line too far in": "pen:\n  length: 1 m\n   width: 2 m\n",
    "a line too far in after a comment": "pen:\n  length: 1 m\n\n  # note\n   width: 2 m\n",
    "a line too far out": "pen:\n  length: 1 m\n width: 2 m\n",
    "all keys too far in": "  a: 1\nb: 2\n",
    "a text block that falls back": "notes: |\n    one\n  two\nd: 1\n",
    "a tab before a key": "pen:\n\tlength: 3 m\n",
    "a tab before the next key": "pen:\n  length: 3 m\n\twidth: 2 m\n",
    "a tab in a text block": "notes: |\n\tone\n",
    "double quotes not closed": 'name: "abc\nb: 1\n',
    "single quotes not closed": "name: 'abc\n",
    "quotes cut off by a new document": 'name: "abc\n---\nb: 1\n',
    "an apostrophe in single quotes": "name: 'it's'\n",
    "words after quotes": 'name: "Hazel" Lane\n',
    "words after a quoted key": '"a" b: c\n',
    "a backslash": 'name: "a\\qb"\n',
    "a backslash with no number": 'name: "\\xZZ"\n',
    "a backslash with no character": 'name: "\\UFFFFFFFF"\n',
    "a backslash with a control code": 'name: "\\x1b[31mred"\n',
    "a list not closed": "predators: [fox, mink\npets: []\n",
    "a list not closed in its line": "birds:\n  - {count: [1, 2}\n",
    "a list not closed by the end": "predators: [",
    "keys not closed": "anchors: {count: 4, hold: 3 N\nnests: 3\n",
    "keys not closed by the end": "anchors: {count",
    "a comma left out": "anchors: {count: 4 hold: 3 N}\n",
    "a colon too many in brackets": "anchors: {count: 4: 5}\n",
    "a bracket too many": "predators: [fox]]\n",
    "a bracket on its own": "a: b\n]\n",
    "a brace for a value": "a: }\n",
    "a comma before the value": "a: , b\n",
    "an at sign": "name: @home\n",
    "a percent sign": "name: %x\n",
    "a backtick": "name: `x`\n",
    "a star": "name: *\n",
    "an ampersand": "name: & x\n",
    "a bar with text": "notes: | x\n",
    "a dash in the line of the key": "predators: - fox\n",
    "a key among dashes": "predators:\n  - fox\n  mink: 1\n",
    "a key of a thousand letters": "a" * 2000 + ": 1\n",
    "a directive": "%FOO bar\n---\na: 1\n",
    "another version of YAML": "%YAML 3.0\n---\na: 1\n",
    "a tag directive": "%TAG ! tag:x,2000:\n---\na: 1\n",
    "an anchor": "a: &b 1\n",
    "an anchor on a key": "&k a: 1\n",
    "an alias": "pen:\n  length: *b\n",
    "an alias in a list": "birds:\n  - count: 1\n    kind: *b\n",
    "an alias as a key": "*x : 2\n",
    "a tag": "a: !!python/object:os.system x\n",
    "a tag of one's own": "a: !x y\n",
    "a bare tag": "pen: ! {}\n",
    "a merge key": "pen:\n  <<: {length: 3 m}\n",
    "a key twice": "pen:\n  length: 3 m\n  width: 2 m\n  length: 4 m\n",
    "a key three times": "a: 1\na: 2\na: 3\n",
    "a list as a key": "? [a, b]\n: c\n",
    "keys as a key": "{a: b}: c\n",
    "a second document": "a: 1\n---\nb: 2\n",
    "a second document after dots": "a: 1\n...\nb: 2\n",
    "thirteen lists": "a: " + "[" * 12 + "]" * 12,
    "a control character": "name: a\xa0b\x01\n",
    "a control character further down": "a: 1\r\nb: 2\r\nc: \x7f\r\n",
    "a zero": "name: a\x00b\n",
    "half a character": "name: \ud800\n",
    "nothing": "",
    "a comment": "# nothing yet\n",
    "three dashes": "---\n",
    "one word": "hello\n",
    "a list alone": "- a\n- b\n",
    "several at once": "a: &x 1\nb: *x\nc: !!int 3\n<<: *x\na: 4\n",
}  # fmt: skip


def error_of(text: str) -> DocumentError:
    with pytest.raises(DocumentError) as caught:
        read_document(text)
    return caught.value


def fault_of(text: str) -> Fault:
    (fault,) = error_of(text).faults
    return fault


def fault_of_bytes(data: bytes) -> Fault:
    with pytest.raises(DocumentError) as caught:
        decode(data)
    (fault,) = caught.value.faults
    return fault


# --- What is read --------------------------------------------------------------------------------


def test_scalars_stay_text_whatever_yaml_would_make_of_them() -> None:
    text = "a: 012\nb: 1:30\nc: no\nd: 2027-04-20\ne: ~\nf:\ng: 1e3\nh: 0x1F\ni: .inf\n"
    assert plain(read_document(text)) == {
        "a": "012", "b": "1:30", "c": "no", "d": "2027-04-20", "e": "~", "f": "", "g": "1e3",
        "h": "0x1F", "i": ".inf",
    }  # fmt: skip


def test_lists_and_keys_are_read_in_block_and_in_flow() -> None:
    text = "a:\n  - b: 1\n    c: [x, y]\n  - {d: {}, e: []}\n"
    assert plain(read_document(text)) == {
        "a": [{"b": "1", "c": ["x", "y"]}, {"d": {}, "e": []}],
    }


def test_feet_and_inches_need_no_quotes() -> None:
    assert plain(read_document('height: 6\' 4"\nlip: 5" # above ground\n')) == {
        "height": "6' 4\"",
        "lip": '5"',
    }


def test_quotes_are_told_from_plain_text() -> None:
    root = read_document("a: x\nb: 'x'\nc: \"x\"\nd: |\n  x\n")
    quotes = [node.quoted for _, node in walk(root) if isinstance(node, Scalar)]
    assert quotes == [False, True, True, True]


def test_a_quoted_merge_key_is_a_key_like_any_other() -> None:
    assert plain(read_document('"<<": 1\n')) == {"<<": "1"}


def test_twelve_levels_are_read() -> None:
    text = "a: " + "[" * (MOST_DEPTH - 1) + "]" * (MOST_DEPTH - 1)
    assert len(list(walk(read_document(text)))) == MOST_DEPTH


def test_a_document_of_any_form_can_be_asked_for() -> None:
    assert plain(read_nodes("- a\n- b\n")) == ["a", "b"]
    assert plain(read_nodes("hello\n")) == "hello"


def test_walking_gives_every_node_with_its_path_in_the_order_of_the_text() -> None:
    root = read_document("a: 1\nb:\n  - c: 2\n  - [x]\n")
    assert [(path, type(node).__name__) for path, node in walk(root)] == [
        ("", "Mapping"),
        ("a", "Scalar"),
        ("b", "Sequence"),
        ("b.0", "Mapping"),
        ("b.0.c", "Scalar"),
        ("b.1", "Sequence"),
        ("b.1.0", "Scalar"),
    ]


def test_walking_a_part_begins_with_its_own_path() -> None:
    root = read_document("b: [x]\n")
    assert [path for path, _ in walk(root.entries["b"], "pen.b")] == ["pen.b", "pen.b.0"]


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.name.partition(".")[0])
def test_nodes_are_what_a_plain_yaml_library_loads(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    try:
        root: Node | None = read_document(text)
    except DocumentError as error:
        root = error.root
    assert root is not None
    # A key that stands twice: ours keeps the first, the library the last.
    text = text.replace("\n    count: 35\n", "\n")
    assert plain(root) == yaml.load(text, Loader=yaml.BaseLoader)


# --- Where it stands -----------------------------------------------------------------------------


def test_places_are_counted_in_characters_from_one() -> None:
    root = read_document("é: 😀 x\r\npen:\r\n  - b:  c # d\r\n")
    assert root.keys["é"] == Mark(1, 1, 0)
    assert root.entries["é"].start == Mark(1, 4, 3)
    pen = root.entries["pen"]
    assert isinstance(pen, Sequence)
    assert pen.start == Mark(3, 3, 16)
    inner = pen.items[0]
    assert isinstance(inner, Mapping)
    assert inner.start == Mark(3, 5, 18)
    value = inner.entries["b"]
    assert (value.start, value.end) == (Mark(3, 9, 22), Mark(3, 10, 23))


def source(text: str, node: Scalar) -> str:
    return text[node.start.at : node.end.at]


def is_line_and_column(text: str, mark: Mark) -> bool:
    # Line ends are those of YAML 1.1, which `splitlines` knows among others that are not printable.
    lines = (text[: mark.at] + "|").splitlines()
    return (len(lines), len(lines[-1])) == (mark.line, mark.column)


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.name.partition(".")[0])
def test_a_value_of_a_fixture_stands_where_its_place_says(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    try:
        root: Node | None = read_document(text)
    except DocumentError as error:
        root = error.root
    assert root is not None
    for _, node in walk(root):
        assert is_line_and_column(text, node.start)
        if isinstance(node, Scalar) and not node.quoted:
            assert source(text, node) == node.text
        if isinstance(node, Mapping):
            for key, mark in node.keys.items():
                assert text.startswith(key, mark.at)
                assert is_line_and_column(text, mark)


@given(YAML_LIKE)
@example("? a\n: 'b''c'\n")
@settings(max_examples=400, deadline=None)
def test_places_of_any_text_point_at_what_stands_there(text: str) -> None:
    text = text.lstrip("\ufeff")
    try:
        root = read_nodes(text)
    except DocumentError:
        return
    for _, node in walk(root):
        assert node.start.at <= node.end.at <= len(text)
        # The parser ends the last line where the text doesn't.
        assert is_line_and_column(text, node.start) or node.start.at == len(text)
        if not isinstance(node, Scalar):
            continue
        if node.quoted:
            assert source(text, node)[:1] in ("'", '"', "|", ">")
        else:
            # A plain text over several lines is folded: line ends and indents become one space.
            assert "".join(source(text, node).split()) == "".join(node.text.split())


# --- What is refused -----------------------------------------------------------------------------


def told(text: str) -> list[str]:
    return [
        f"line {fault.line}, column {fault.column}{', ' + fault.path if fault.path else ''}: "
        + fault.says
        for fault in error_of(text).faults
    ]


def test_every_slip_is_told_in_plain_words(snapshot: SnapshotAssertion) -> None:
    assert {name: told(text) for name, text in SPOILED.items()} == snapshot


def test_messages_are_one_or_two_sentences_without_the_parser_s_words() -> None:
    for name, text in SPOILED.items():
        for fault in error_of(text).faults:
            assert not any(
                word in fault.says
                for word in ("scalar", "token", "block", "mapping values", "node")
            ), name
            assert "\n" not in fault.says
            assert not fault.says.endswith(".")
            assert fault.says[0].islower() or fault.says[0] == "`"


def test_a_missing_colon_is_shown_in_its_own_line() -> None:
    assert fault_of("pen:\n  length 12 ft\n  width: 3 m\n") == Fault(
        2, 3, "", "a `:` is missing after the key in this line"
    )


def test_a_quoted_text_that_is_not_closed_is_shown_where_it_begins() -> None:
    assert fault_of('a: 1\nname: "Hazel\nb: 2\n') == Fault(
        2, 7, "", 'the text that begins here is not closed. Write `"` at its end'
    )


def test_a_key_twice_names_the_line_of_the_first_and_keeps_it() -> None:
    error = error_of("pen:\n  length: 3 m\n  length: 4 m\n")
    assert error.faults == (
        Fault(
            3,
            3,
            "pen.length",
            "`length` stands here a second time (first in line 2). Keep one",
        ),
    )
    assert error.root is not None
    assert plain(error.root) == {"pen": {"length": "3 m"}}


def test_all_that_is_unsafe_is_told_at_once() -> None:
    assert [fault.line for fault in error_of(SPOILED["several at once"]).faults] == [
        1,
        2,
        3,
        4,
        4,
        5,
    ]


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("a: &x 1\nb: *x\n", {"a": "1", "b": ""}),
        ("<<: {a: [1]}\nb: 2\n", {"b": "2"}),
        ("*x : {a: 1}\nb: 2\n", {"b": "2"}),
        ("? [a, {b: c}]\n: {d: e}\nf: 1\n", {"f": "1"}),
        ("? {a: b}\n: [c]\nf: [1]\n", {"f": ["1"]}),
        ("a: 1\n---\nb: 2\n", {"a": "1"}),
    ],
)
def test_the_rest_is_kept_without_what_was_refused(text: str, kept: dict[str, Any]) -> None:
    root = error_of(text).root
    assert root is not None
    assert plain(root) == kept


def test_nothing_is_kept_of_a_text_that_can_t_be_followed_to_its_end() -> None:
    assert error_of("a: &x 1\nb: [\n").root is None
    assert [fault.line for fault in error_of("a: &x 1\nb: [\n").faults] == [1, 2]


def test_an_error_as_text_has_every_line() -> None:
    assert str(error_of("a: 1\na: 2\n---\n")) == (
        "line 2: `a` stands here a second time (first in line 1). Keep one; "
        "line 3: a second document begins here (`---`). Put it into a file of its own"
    )


def test_the_slow_parser_refuses_the_same_texts(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(document, "_Loader", yaml.BaseLoader)
    # It takes a directive that it doesn't know for a comment.
    for name in SPOILED.keys() - {"a directive"}:
        error_of(SPOILED[name])


# --- Anything at all -----------------------------------------------------------------------------


@given(st.one_of(YAML_LIKE, st.text()))
@settings(max_examples=400, deadline=None)
def test_any_text_gives_nodes_or_a_document_error(text: str) -> None:
    try:
        plain(read_document(text))
    except DocumentError as error:
        lines = max(1, len((text + "|").splitlines()))
        for fault in error.faults:
            assert 1 <= fault.line <= lines
            assert fault.column >= 1
            assert fault.says


@given(YAML_LIKE)
@settings(max_examples=200, deadline=None)
def test_any_text_gives_nodes_or_a_document_error_with_the_slow_parser(text: str) -> None:
    fast = document._Loader
    document._Loader = yaml.BaseLoader
    try:
        read_document(text)
    except DocumentError:
        pass
    finally:
        document._Loader = fast


@given(st.one_of(st.binary(), st.text().map(lambda text: text.encode("utf-16"))))
@settings(deadline=None)
def test_any_bytes_give_a_text_or_a_document_error(data: bytes) -> None:
    try:
        text = decode(data)
    except DocumentError as error:
        assert len(error.faults) == 1
    else:
        assert text == data.decode("utf-8").lstrip("\ufeff")


# --- Bytes and bounds ----------------------------------------------------------------------------


def test_a_byte_order_mark_is_no_part_of_the_text() -> None:
    assert decode(b"\xef\xbb\xbfa: 1\n") == "a: 1\n"


@pytest.mark.parametrize(
    ("data", "fault"),
    [
        (
            "a: Ä\n".encode("utf-16"),
            Fault(1, 1, "", "the file is saved as UTF-16. Save it as UTF-8 text"),
        ),
        (
            "a: 1\n".encode("utf-16-le"),
            Fault(1, 1, "", "the file is saved as UTF-16. Save it as UTF-8 text"),
        ),
        (
            "a: \u00c4\n".encode("utf-16-be"),
            Fault(1, 1, "", "the file is saved as UTF-16. Save it as UTF-8 text"),
        ),
        (
            "a: 1\n".encode("utf-32"),
            Fault(1, 1, "", "the file is saved as UTF-32. Save it as UTF-8 text"),
        ),
        (
            b"PK\x03\x04\x00\x00",
            Fault(1, 1, "", "the file is not text (it holds zero bytes). Save it as UTF-8 text"),
        ),
        (
            "a: 1\nname: Ölüb".encode() + b"\xe4rn\n",
            Fault(2, 11, "", "byte 0xe4 is not UTF-8 text. Save the file as UTF-8"),
        ),
        (
            b"\xef\xbb\xbfa\xff",
            Fault(1, 2, "", "byte 0xff is not UTF-8 text. Save the file as UTF-8"),
        ),
    ],
)
def test_bytes_that_are_no_text_are_told_with_their_place(data: bytes, fault: Fault) -> None:
    assert fault_of_bytes(data) == fault


def test_a_file_of_more_than_a_megabyte_is_not_read() -> None:
    says = "the file is longer than 1 MB, the most that is read. Check that it is the right file"
    assert fault_of_bytes(b"a" * (MOST_BYTES + 1)) == Fault(1, 1, "", says)
    assert fault_of("a" * (MOST_BYTES + 1)) == Fault(1, 1, "", says)
    assert decode(b"a" * MOST_BYTES)


def test_no_more_than_a_hundred_faults_are_listed() -> None:
    faults = error_of("a: 1\n" * 5000).faults
    assert len(faults) == MOST_FAULTS + 1
    assert faults[-1] == Fault(MOST_FAULTS + 2, 1, "a", AND_MORE)


@pytest.mark.parametrize(
    "text",
    [
        "a: 1\n" * 150_000,
        "[" * MOST_BYTES,
        "{" * MOST_BYTES,
        "? " * 400_000,
        "- " * 400_000,
        '"' + "a" * 900_000,
        "&a " * 300_000,
        "*a, " * 200_000,
        "a:\n" + "  - &x *x\n" * 80_000,
    ],
    ids=lambda text: repr(text[:10]),
)
def test_a_text_made_to_cost_time_costs_little(text: str) -> None:
    begun = time.process_time()
    error_of(text)
    # A guard against what takes minutes, not a measure of speed.
    assert time.process_time() - begun < 30


def test_a_name_is_shown_on_one_line_and_without_what_a_screen_obeys() -> None:
    assert on_screen("a\nb\t\x1b[31mc\x9b\u202ed\u2028e") == "a b  [31mc  d e"
    joined = "\u0646\u0645\u06cc\u200c\u062e\u0648\u0627\u0647\u0645 \U0001f468\u200d\U0001f33e"
    assert on_screen(joined) == joined


def test_hundreds_of_lists_within_lists_are_told_in_words_of_their_own() -> None:
    says = "lists lie within lists here, hundreds of levels deep. Is it the right file?"
    assert fault_of("a: " + "[" * 5000).says == says


def test_a_piece_of_a_file_is_shown_on_one_line_and_cut_where_it_is_long() -> None:
    assert quoted("3 m") == "`3 m`"
    assert quoted("a\nb\x1b") == "`a?b?`"
    assert quoted("a" * 60) == f"`{'a' * 60}`"
    assert quoted("a" * 61) == f"`{'a' * 57}...`"
