"""Table files: what their numbers come to in base units."""

from __future__ import annotations

from typing import Any

import pytest

from flockcheck.rulebook.names import Slip
from flockcheck.rulebook.tablefile import compile_table
from flockcheck.text.document import Mapping, read_nodes


def compiled(text: str, name: str = "small") -> dict[str, Any]:
    node = read_nodes(text)
    assert isinstance(node, Mapping)
    return compile_table(node, f"tables/{name}.yaml")


def points(units: str, gives: str, *rows: str) -> dict[str, Any]:
    """The only row of a table along age with these points."""
    text = f"table: small\nsays: so\nalong: age\n{units}gives: {{{gives}}}\nrows:\n"
    (row,) = compiled(text + f"  - {{points: [{', '.join(rows)}], practice: common}}\n")["rows"]
    return {"xs": row["xs"], **row["ys"]}


@pytest.mark.parametrize(
    ("units", "first", "xs", "ys"),
    [
        ("units: {age: days, rim: in}\n", "[3, 2]", 3, 0.0508),
        ("units: {age: weeks, rim: cm}\n", "[3, 2]", 21, 0.02),
        ("units: {rim: cm}\n", "[3 weeks, 2]", 21, 0.02),
        ("units: {age: weeks, rim: cm}\n", "[3 days, 2 in]", 3, 0.0508),
        ("units: {age: weeks}\n", "[3, 2 cm]", 21, 0.02),
        ("", "[3, 2 cm]", 3, 0.02),
        ("", "[21 days, 20 mm]", 21, 0.02),
        ("units: {age: C}\n", "[3, 2 cm]", 3, 0.02),
        ("units: {age: F}\n", "[32, 2 cm]", 0, 0.02),
    ],
)
def test_bare_numbers_are_in_the_units_above_and_others_bring_their_own(
    units: str, first: str, xs: float, ys: float
) -> None:
    found = points(units, "rim: length", first)
    assert found["xs"] == [pytest.approx(xs)]
    assert found["rim"] == [pytest.approx(ys)]


def test_columns_come_in_the_order_of_gives() -> None:
    found = points("", "rim: length, round: flag, word: word", "[3, 2 cm, yes, tube]")
    assert found == {"xs": [3], "rim": [0.02], "round": [True], "word": ["tube"]}


@pytest.mark.parametrize(
    ("value", "number"),
    [
        ("1.77", 1.77),
        ("7 %", 0.07),
        ("21 C", 21),
        ("18 weeks", 126),
        ("30 cm", 0.3),
        ("1/3", 1 / 3),
    ],
)
def test_a_figure_is_read_in_the_unit_it_brings(value: str, number: float) -> None:
    text = (
        f"table: small\nsays: so\ngives: {{value: quantity}}\nrows: [{{values: {{value: {value}}}"
    )
    (row,) = compiled(text + ", practice: common}]\n")["rows"]
    assert row["ys"]["value"] == [pytest.approx(number)]


def test_a_row_keeps_the_words_it_is_for_and_its_citation() -> None:
    text = (
        "table: small\nsays: so\nby: [group.kind, figure]\ngives: {value: count}\nrows:\n"
        "  - {for: {group.kind: [turkey, meat chicken], figure: any one}, values: {value: 1},"
        " source: {id: a, where: p. 3, seen: second hand}, note: low}\n"
    )
    (row,) = compiled(text)["rows"]
    assert row["where"] == {"group.kind": ["turkey", "meat chicken"], "figure": ["any one"]}
    assert row["cites"] == {"id": "a", "where": "p. 3", "seen": "second hand"}


def test_without_a_listener_the_first_mistake_is_raised() -> None:
    with pytest.raises(Slip, match="the points must go up along age"):
        points("", "rim: length", "[3, 2 cm]", "[2, 2 cm]")
    with pytest.raises(Slip, match=r"the file is called other\.yaml, the table small"):
        compiled("table: small\nsays: so\ngives: {a: count}\nrows: []\n", "other")


def test_with_a_listener_every_row_with_a_mistake_is_told_and_left_out() -> None:
    node = read_nodes(
        "table: small\nsays: so\ngives: {a: length}\nrows:\n"
        "  - {values: {a: 1}, practice: common}\n"
        "  - {values: {a: 1 m}, practice: common}\n"
        "  - {values: {b: 1 m}, practice: common}\n"
    )
    assert isinstance(node, Mapping)
    told: list[Slip] = []
    table = compile_table(node, "tables/small.yaml", told.append)
    assert [(slip.mark.line, slip.key) for slip in told] == [
        (5, "rows.0.values"),
        (7, "rows.2.values"),
    ]
    assert [row["ys"] for row in table["rows"]] == [{"a": [1.0]}]


def test_a_figure_with_a_unit_of_its_own_keeps_what_it_is() -> None:
    text = (
        "table: figures\nsays: chosen\nby: [figure]\ngives: {value: quantity}\nrows:\n"
        "  - {for: {figure: old}, values: {value: 18 weeks}, practice: common}\n"
        "  - {for: {figure: more}, values: {value: 7 %}, practice: common}\n"
        "  - {for: {figure: plain}, values: {value: 173}, practice: common}\n"
    )
    rows = compiled(text, "figures")["rows"]
    told = [(row["ys"]["value"], row["kinds"]["value"]) for row in rows]
    assert told == [([126.0], "time"), ([pytest.approx(0.07)], "share"), ([173.0], "number")]
