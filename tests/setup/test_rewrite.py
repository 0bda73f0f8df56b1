"""Changing a keeper's text: the value changes, and nothing else of what was written."""

from __future__ import annotations

import difflib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from flockcheck.setup.edits import Write, applied
from flockcheck.setup.reader import read_setup_text
from flockcheck.setup.rewrite import RewriteError, replacements, rewritten
from flockcheck.setup.rewrite_proof import spoils
from flockcheck.text.layout import comments
from tests.setup.rewrite_cases import changes, written

HEAD = """flockcheck: 1
pen: {length: 4 m, width: 2 m}
birds:
  - kind: meat chicken   # bought in May
    growth: medium
    count: 40            # two crates
    hatched: 2027-04-01
    out: 2027-05-01
"""


def lines_changed(old: str, new: str) -> list[str]:
    """What a change took out and put in, line by line."""
    found = difflib.ndiff(old.splitlines(keepends=True), new.splitlines(keepends=True))
    return [line for line in found if line[0] in "+-"]


def change(text: str, *wanted: tuple[str, str] | Write) -> str:
    """A text with changes, by which the edits for other programs are tried as well."""
    written = [one if isinstance(one, Write) else Write(*one) for one in wanted]
    new = rewritten(text, written)
    assert applied(text, replacements(text, written)) == new
    return new


@pytest.mark.parametrize(
    ("old", "text", "new"),
    [
        ("count: 40", "38", "count: 38"),
        ("count: 40", "8", "count: 8"),
        ("count: '40'", "38", "count: '38'"),
        ('count: "40"', "38", 'count: "38"'),
        ("count: >-  # crates\n      40", "38", "count: >-  # crates\n      38"),
        ("count: |2-\n      40", "38", "count: |2-\n      38"),
        ("count:\n      40", "38", "count:\n      38"),
        ("? count\n    : 40", "38", "? count\n    : 38"),
    ],
)
def test_a_value_keeps_the_quotes_and_the_lines_it_stood_in(old: str, text: str, new: str) -> None:
    before = HEAD.replace("count: 40            # two crates", old)
    assert change(before, ("birds.0.count", text)) == before.replace(old, new)


def test_a_comment_in_line_with_others_stays_in_line() -> None:
    assert lines_changed(HEAD, change(HEAD, ("birds.0.count", "8"))) == [
        "-     count: 40            # two crates\n",
        "+     count: 8             # two crates\n",
    ]


def test_a_comment_that_a_longer_value_reaches_moves_on() -> None:
    text = HEAD.replace("{length: 4 m, width: 2 m}", "\n  length: 4 m  # tape\n  width: 2 m")
    assert "  length: 13 ft 1 1/2 in  # tape\n" in change(text, ("pen.length", "13 ft 1 1/2 in"))


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("6' 4\"", "{length: 6' 4\", width: 2 m}"),
        ("-5 C", "-5 C"),
        ("1 in 16", "1 in 16"),
    ],
)
def test_a_value_is_quoted_only_where_it_must_be(text: str, written: str) -> None:
    path = {"6' 4\"": "pen.length", "-5 C": "weather.night_low", "1 in 16": "site.slope"}[text]
    assert f": {written}" in change(HEAD, (path, text))


def test_a_text_with_yaml_signs_gets_quotes() -> None:
    text = HEAD.replace("pen:", "name: Alder bank\npen:")
    said = "Alder bank: two crates # not 'three'"
    assert "name: 'Alder bank: two crates # not ''three'''\n" in change(text, ("name", said))
    assert 'name: "a, b"' in change(text.replace("Alder bank", '"Alder"'), ("name", "a, b"))


def test_lines_a_byte_order_mark_and_trailing_blanks_stay_as_they_are() -> None:
    text = "\ufeff" + HEAD.replace("growth: medium", "growth: medium  ").replace("\n", "\r\n")
    assert lines_changed(text, change(text, ("birds.0.count", "38"))) == [
        "-     count: 40            # two crates\r\n",
        "+     count: 38            # two crates\r\n",
    ]
    assert change(text, ("site.slope", "4 %")).endswith("01\r\nsite:\r\n  slope: 4 %\r\n")


def test_a_key_is_added_after_its_sisters() -> None:
    text = HEAD + "    # weigh them\nsite:\n    slope: 4 %\n"
    new = change(
        text, ("birds.0.isolated", "10 days"), ("site.rest", "90 days"), ("pen.height", "2 ft")
    )
    assert lines_changed(text, new) == [
        "- pen: {length: 4 m, width: 2 m}\n",
        "+ pen: {length: 4 m, width: 2 m, height: 2 ft}\n",
        "+     isolated: 10 days\n",
        "+     rest: 90 days\n",
    ]


def test_a_section_is_added_as_the_keeper_indents() -> None:
    text = HEAD + "\nsite:\n    slope: 4 %\n\nfeed:\n    form: dry   # crumbs\n"
    new = change(
        text,
        ("care.checks_per_day", "3"),
        ("care.closed_at_night", "yes"),
        ("pen.roof.cover", "60 %"),
        Write("guardians.0", "", (("kind", "dog"), ("count", "2"))),
        ("predators", "[fox, mink]"),
    )
    assert lines_changed(text, new) == [
        "- pen: {length: 4 m, width: 2 m}\n",
        "+ pen: {length: 4 m, width: 2 m, roof: {cover: 60 %}}\n",
        "+ \n",
        "+ care:\n",
        "+     checks_per_day: 3\n",
        "+     closed_at_night: yes\n",
        "+ guardians:\n",
        "+   - kind: dog\n",
        "+     count: 2\n",
        "+ predators: [fox, mink]\n",
    ]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("guardians: []\n", "guardians: [{kind: dog, count: 2}]\n"),
        ("guardians: [ # none yet\n  ]\n", "guardians: [{kind: dog, count: 2} # none yet\n  ]\n"),
        (
            "guardians:\n- {kind: goose}  # loud\n",
            "guardians:\n- {kind: goose}  # loud\n- {kind: dog, count: 2}\n",
        ),
        (
            "guardians:\n  -   kind: goose\n",
            "guardians:\n  -   kind: goose\n  -   kind: dog\n      count: 2\n",
        ),
        (
            "guardians: [{kind: goose}]  # loud\n",
            "guardians: [{kind: goose}, {kind: dog, count: 2}]  # loud\n",
        ),
        (
            "guardians: [\n    {kind: goose},  # loud\n  ]\n",
            "guardians: [\n    {kind: goose},  # loud\n    {kind: dog, count: 2},\n  ]\n",
        ),
        (
            "guardians: [\n    {kind: goose}  # loud\n  ]\n",
            "guardians: [\n    {kind: goose},  # loud\n    {kind: dog, count: 2}\n  ]\n",
        ),
    ],
)
def test_an_item_is_added_as_the_items_before_it_are_written(old: str, new: str) -> None:
    at = read_setup_text(HEAD + old, "x").lists["guardians"]
    item = (("kind", "dog"), ("count", "2"))
    assert change(HEAD + old, Write(f"guardians.{at}", "", item)) == HEAD + new


@pytest.mark.parametrize(
    ("old", "words", "new"),
    [
        ("[fox, mink, hawk]", "[fox, hawk]", "[fox, hawk]"),
        ("[fox, mink, hawk]", "hawk", "[hawk]"),
        ("[fox, mink, hawk]", "rat, mink, hawk", "[rat, mink, hawk]"),
        ("['fox']", "fox, mink", "['fox', 'mink']"),
        ("[fox, mink]", "[]", "[]"),
        ("\n- fox  # seen\n- mink\n", "fox, hawk, rat", "\n- fox  # seen\n- hawk\n- rat\n"),
        ("\n- fox  # seen\n- mink\n", "mink", "\n# seen\n- mink\n"),
        ("\n  - fox\n", "[]", "\n    []\n"),
    ],
)
def test_a_list_of_words_takes_others(old: str, words: str, new: str) -> None:
    text = f"{HEAD}predators: {old}\n"
    assert change(text, ("predators", words)) == f"{HEAD}predators: {new}\n"


def test_one_word_of_a_list_changes_at_its_place() -> None:
    text = HEAD + "predators: [fox, mink]\n"
    new = change(text, ("predators.1", "rat"), ("predators.2", "hawk"))
    assert new == HEAD + "predators: [fox, rat, hawk]\n"


def test_a_key_that_goes_leaves_its_comment() -> None:
    text = HEAD.replace("{length: 4 m, width: 2 m}", "{length: 4 m, height: 2 m, width: 2 m}")
    text = (
        text.replace("  - kind", "  - purpose: meat\n    kind")
        + "    laying: 2 %  # few\nfeed:\n  form: dry\n"
    )
    new = change(
        text, ("pen.height", ""), ("birds.0.laying", ""), ("birds.0.purpose", ""), ("feed.form", "")
    )
    assert new == HEAD + "    # few\n"


def test_a_json_text_stays_one() -> None:
    import json

    data = {
        "flockcheck": 1,
        "pen": {"length": "4 m", "width": "2 m"},
        "birds": [
            {
                "kind": "meat chicken",
                "growth": "medium",
                "count": 40,
                "hatched": "2027-04-01",
                "out": "2027-05-01",
            }
        ],
    }
    text = json.dumps(data, indent=2)
    new = change(
        text, ("birds.0.count", "38"), ("birds.0.isolated", "9 days"), ("site.slope", "4 %")
    )
    birds = [{**data["birds"][0], "count": 38, "isolated": "9 days"}]  # type: ignore[index]
    assert json.loads(new) == {**data, "birds": birds, "site": {"slope": "4 %"}}


@pytest.mark.parametrize(
    ("path", "text", "says"),
    [
        ("birds.0.count", "many", "`many` is not a whole number"),
        ("birds.0.kind", "", "can't be written here: in line 5 `kind` is missing from this entry"),
        ("birds.0", "40", "`birds.0` can't be changed here without spoiling the file"),
        ("pen.length.roof", "4 m", "can't be changed here"),
        ("guardians.3.kind", "dog", "can't be changed here"),
        (
            "nowhere.at_all",
            "4 m",
            "can't be changed here without spoiling the file. Write `4 m` there",
        ),
    ],
)
def test_what_would_spoil_the_file_is_refused_in_words(path: str, text: str, says: str) -> None:
    with pytest.raises(RewriteError) as told:
        rewritten(HEAD, [Write(path, text)])
    assert says in str(told.value)


@pytest.mark.parametrize(
    ("spoiled", "says"),
    [
        (HEAD.replace("# two crates", ""), "a comment would be lost"),
        (HEAD.replace("growth: medium", "growth: slow"), "`birds.0.growth` would not be what it"),
        (HEAD.replace("    count: 40            # two crates\n", ""), "`count` is missing"),
        (HEAD + "predators: [fox]\n", "`predators` would not be what it should"),
        (HEAD + "guardians: []\n", "an entry of a list would come or go"),
        (HEAD.replace("length: 4 m, width: 2 m", "width: 2 m, length: 4 m"), "in another order"),
    ],
)
def test_the_proof_tells_what_was_lost(spoiled: str, says: str) -> None:
    assert says in spoils(HEAD, spoiled, [])


@settings(max_examples=150, deadline=None)
@given(seed=st.integers(0, 10**9))
def test_no_change_ever_loses_a_comment_or_a_key(seed: int) -> None:
    text = written(seed)
    wanted = changes(seed, text)
    new = change(text, *wanted)
    before, after = read_setup_text(text, "x"), read_setup_text(new, "x")
    own = {one.path: one.text.strip("[]") for one in wanted if not one.item}
    added = {f"{one.path}.{key}": said for one in wanted for key, said in one.item}
    due = {path: one.text for path, one in before.values.items()} | own | added
    assert {path: one.text for path, one in after.values.items()} == due
    assert [said for _, said in comments(new)] == [said for _, said in comments(text)]
    assert new.count("\r\n") == new.count("\n") or "\r\n" not in text


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 10**9))
def test_a_change_and_the_change_back_give_what_the_keeper_wrote(seed: int) -> None:
    text = written(seed)
    setup = read_setup_text(text, "x")
    there = [one for one in changes(seed, text) if one.path in setup.values]
    back = [one._replace(text=setup.values[one.path].text or "[]") for one in there]
    again = read_setup_text(rewritten(rewritten(text, there), back), "x")
    assert {path: one.text for path, one in again.values.items()} == {
        path: one.text for path, one in setup.values.items()
    }
