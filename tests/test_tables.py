"""Tables: the row that is for what was asked, and the value at a point along it."""

from __future__ import annotations

from types import SimpleNamespace as Of

import pytest
from hypothesis import given
from hypothesis import strategies as st

from flockcheck.setup.view import Missing
from flockcheck.tables import TableSilent, interpolate, word_of
from tests.table_cases import FAST, GROWTH, SLOW, Unwritten, row, table

# Rising points with a value each, and no two points so near that rounding decides.
POINTS = st.lists(
    st.tuples(st.integers(-10_000, 10_000), st.integers(-10_000, 10_000)),
    min_size=1,
    max_size=8,
    unique_by=lambda point: point[0],
).map(sorted)
BETWEEN = ("straight", "steps", "smooth")


def test_the_first_row_that_is_for_what_was_asked_is_read() -> None:
    assert GROWTH("weight", 5, group=Of(kind="turkey")) == 2
    assert GROWTH("weight", 5, group=FAST) == 20
    assert GROWTH("weight", 5, group=SLOW) == 200


def test_any_of_several_words_will_do() -> None:
    assert GROWTH("weight", 0, group=Of(kind="meat chicken", growth="medium")) == 10


def test_a_row_for_all_comes_last_and_is_read_where_no_other_is() -> None:
    short = table(row({"predator": ("fox",)}, value=1), row({}, value=2), along="")
    assert short("value", predator="fox") == 1
    assert short("value", predator="owl") == 2


def test_a_word_that_no_row_tells_apart_need_not_be_written() -> None:
    assert GROWTH("weight", 5, group=Unwritten("turkey")) == 2


def test_a_word_that_decides_is_missing_where_it_was_left_out() -> None:
    with pytest.raises(Missing) as caught:
        GROWTH("weight", 5, group=Unwritten("meat chicken"))
    assert caught.value.keys == ("birds.0.growth",)


def test_a_table_without_a_row_says_what_it_was_asked_for() -> None:
    with pytest.raises(TableSilent) as caught:
        GROWTH("weight", 5, group=Of(kind="egg chicken"))
    assert caught.value.why == "the table growth has nothing for group.kind egg chicken"
    assert str(caught.value) == caught.value.why


def test_a_table_without_a_row_names_every_word_that_was_looked_at() -> None:
    only = table(GROWTH.rows[1])
    with pytest.raises(TableSilent) as caught:
        only("weight", 5, group=SLOW)
    assert caught.value.why == (
        "the table growth has nothing for group.kind meat chicken, group.growth slow"
    )


def test_each_word_is_looked_up_once() -> None:
    asked: list[str] = []

    class Counted:
        def __getattr__(self, name: str) -> str:
            asked.append(name)
            return {"kind": "meat chicken", "growth": "slow"}[name]

    assert GROWTH("weight", 0, group=Counted()) == 100
    assert asked == ["kind", "growth"]


def test_a_thing_that_was_not_passed_is_a_mistake_of_the_code() -> None:
    with pytest.raises(TypeError, match=r"^a table's rows differ by group\.kind: pass group=$"):
        GROWTH("weight", 5)


def test_words_are_texts_and_flags_are_yes_or_no() -> None:
    who = {"group": Of(kind="turkey", bought_in=True, isolated=False, sides=2), "predator": "fox"}
    words = ("group.kind", "group.bought_in", "group.isolated", "group.sides", "predator")
    assert [word_of(who, word) for word in words] == ["turkey", "yes", "no", "2", "fox"]


# --- Which value ---------------------------------------------------------------------------------


def test_a_plain_row_has_one_value_a_column() -> None:
    figures = table(row({"figure": ("drag",)}, value=1.2, area=3.0))
    assert figures("value", figure="drag") == 1.2
    assert figures("area", figure="drag") == 3.0


def test_columns_of_a_row_are_read_apart() -> None:
    two = table(row({}, (0, 1, 10), (10, 2, 30)))
    assert (two("weight", 5), two("feed", 5)) == (1.5, 20)


def test_a_row_with_points_needs_a_point() -> None:
    with pytest.raises(TypeError, match=r"^the table growth is read at a point along age$"):
        GROWTH("weight", group=FAST)


def test_past_its_end_a_table_holds_its_last_value() -> None:
    assert GROWTH("weight", 99, group=SLOW) == 350


def test_past_its_end_a_table_that_refuses_says_where_it_ends() -> None:
    refusing = GROWTH._replace(beyond="refuse")
    assert refusing("weight", 10, group=FAST) == 30
    with pytest.raises(TableSilent) as caught:
        refusing("weight", 10.5, group=FAST)
    assert caught.value.why == "the table growth ends at age 10"


def test_before_its_begin_every_table_holds_its_first_value() -> None:
    for beyond in ("hold", "refuse"):
        assert GROWTH._replace(beyond=beyond)("weight", -3, group=FAST) == 10


def test_the_end_of_the_row_that_is_asked_for_is_told() -> None:
    assert GROWTH.last(group=FAST) == 10
    assert GROWTH.last(group=SLOW) == 20
    assert GROWTH.last(group=Of(kind="egg chicken")) is None
    assert table(row({}, value=1)).last() is None


def test_many_points_are_read_like_each_by_itself() -> None:
    refusing = GROWTH._replace(beyond="refuse").curve("weight", group=FAST)
    ages = [None, -3.0, 2.5, 2.5, 10.0, None]
    assert refusing.each(ages) == [None if age is None else refusing(age) for age in ages]
    with pytest.raises(TableSilent, match="ends at age 10"):
        refusing.each([2.5, 10.5])


# --- Between points ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("between", "at", "value"),
    [
        ("straight", 5, 15), ("straight", 10, 20), ("straight", 12.5, 25),
        ("steps", 5, 10), ("steps", 9.999, 10), ("steps", 10, 20), ("steps", 19, 20),
        ("steps", 20, 40), ("smooth", 10, 20),
    ],
)  # fmt: skip
def test_a_value_between_points(between: str, at: float, value: float) -> None:
    assert interpolate([0, 10, 20], [10, 20, 40], at, between) == value


def test_two_points_are_joined_by_a_straight_line_however_smooth() -> None:
    assert interpolate([0, 10], [0, 5], 4, "smooth") == 2


@given(POINTS, st.sampled_from(BETWEEN))
def test_every_point_has_its_own_value(points: list[tuple[int, int]], between: str) -> None:
    xs, ys = [float(x) for x, _ in points], [float(y) for _, y in points]
    assert [interpolate(xs, ys, x, between) for x in xs] == pytest.approx(ys, abs=1e-9)


@given(POINTS, st.floats(0, 1e6), st.sampled_from(BETWEEN))
def test_outside_its_points_a_curve_is_flat(
    points: list[tuple[int, int]], away: float, between: str
) -> None:
    xs, ys = [float(x) for x, _ in points], [float(y) for _, y in points]
    assert interpolate(xs, ys, xs[0] - away, between) == ys[0]
    assert interpolate(xs, ys, xs[-1] + away, between) == ys[-1]
