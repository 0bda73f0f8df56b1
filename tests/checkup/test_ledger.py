"""The stay day by day: rows, what begins when, and totals that add up to the rows."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from flockcheck.checkup.check import check
from flockcheck.checkup.ledger import Ledger, NotInStay, ledger
from tests.outside.cases import book, changed, run_of, setup_of

PULLETS = {
    "birds.1.kind": "egg chicken",
    "birds.1.growth": "medium",
    "birds.1.count": "12",
    "birds.1.hatched": "2027-05-10",
    "birds.1.out": "2027-06-10",
    "birds.1.purpose": "eggs",
    "birds.1.leaves": "2027-07-20",
}
FINISHER = {"feed.later.0.from": "2027-06-01", "feed.later.0.protein": "18 %"}


def stay(
    changes: dict[str, Any] | None = None, without: tuple[str, ...] = (), **how: Any
) -> Ledger:
    setup = setup_of(changed(changes or {}, without))
    return ledger(setup, book(), check(setup, book()), **how)


def column_sum(found: Ledger, name: str) -> float:
    return sum(row.values[name] or 0.0 for row in found.rows)


def test_there_is_a_row_for_each_day_the_leaving_day_included() -> None:
    found = stay()
    assert len(found.rows) == 36
    assert (found.rows[0].first, found.rows[-1].last) == (date(2027, 5, 17), date(2027, 6, 21))
    assert found.rows[0].values["age"] == (35,)
    assert found.rows[-1].values["birds"] == (30,)


def test_birds_eat_nothing_on_the_day_they_leave() -> None:
    last = stay().rows[-1]
    assert last.values["feed"] is None
    assert last.values["water"] is None


@settings(max_examples=25, deadline=None)
@given(
    every=st.integers(1, 40),
    start=st.integers(0, 30),
    length=st.integers(0, 60),
    two=st.booleans(),
)
def test_totals_add_up_to_the_rows_whatever_is_shown(
    every: int, start: int, length: int, two: bool
) -> None:
    first = date.fromordinal(date(2027, 5, 17).toordinal() + start)
    last = date.fromordinal(first.toordinal() + length)
    changes = {**FINISHER, **(PULLETS if two else {})}
    found = stay(changes, every=every, first=first, last=last)
    batch = found.batch
    assert sum((row.last - row.first).days + 1 for row in found.rows) == batch.days
    for name in ("feed", "water", "nitrogen"):
        total = getattr(batch, name)
        assert total == pytest.approx(column_sum(found, name))
        daily = stay(changes, first=first, last=last)
        assert total == pytest.approx(column_sum(daily, name))
    assert sum(one.feed for one in batch.rations) == pytest.approx(batch.feed or 0.0)


def test_the_parts_of_a_stay_add_up_to_the_whole() -> None:
    whole, middle = stay(PULLETS).batch, date(2027, 6, 12)
    before = stay(PULLETS, last=middle).batch
    after = stay(PULLETS, first=date(2027, 6, 13)).batch
    for name in ("feed", "water", "nitrogen", "patches", "ground"):
        assert getattr(before, name) + getattr(after, name) == pytest.approx(getattr(whole, name))


def test_feed_to_order_is_told_apart_by_ration() -> None:
    found = stay(FINISHER).batch.rations
    assert [(one.first, one.last, one.protein) for one in found] == [
        (date(2027, 5, 17), date(2027, 5, 31), 0.20),
        (date(2027, 6, 1), date(2027, 6, 20), 0.18),
    ]


def test_a_ration_that_began_before_the_days_shown_counts_from_the_first_of_them() -> None:
    found = stay(FINISHER, first=date(2027, 6, 10)).batch.rations
    assert [(one.first, one.protein) for one in found] == [(date(2027, 6, 10), 0.18)]


def test_a_finding_begins_on_its_day_and_again_where_it_gets_worse() -> None:
    found = stay({"birds.0.count": "64"})
    begins = [
        (row.first, one.grade)
        for row in found.rows
        for one in row.begins
        if one.rule == "floor-crowded"
    ]
    grades = [grade for _, grade in begins]
    assert grades == ["watch", "mend"]
    assert begins[0][0] < begins[1][0]


def test_a_finding_without_days_begins_with_the_stay() -> None:
    found = stay({"site.slope": "9 %"})
    assert "slope-too-steep" in [one.rule for one in found.rows[0].begins]


def test_what_a_column_lacks_is_named_and_the_others_stand() -> None:
    found = stay(without=("feed.protein",))
    lacking = {column.name: column.needs for column in found.columns if column.needs}
    assert lacking == {"nitrogen": ("feed.protein",), "droppings": ("feed.protein",)}
    assert found.batch.nitrogen is None
    assert found.batch.feed is not None
    assert [one.protein for one in found.batch.rations] == [None]


def test_two_arrivals_have_their_own_age_and_weight_in_each_row() -> None:
    rows = {row.first: row.values for row in stay(PULLETS).rows}
    assert rows[date(2027, 6, 9)]["age"] == (58, None)
    assert rows[date(2027, 6, 10)]["age"] == (59, 31)
    assert rows[date(2027, 6, 22)]["age"] == (None, 43)


def test_only_birds_kept_for_meat_are_dressed() -> None:
    meat, eggs = stay(PULLETS).batch.yields
    assert meat.least is not None and meat.live is not None and meat.most is not None
    assert meat.least < meat.most < meat.live
    assert eggs.live is not None
    assert (eggs.least, eggs.most, eggs.cites) == (None, None, None)


def test_without_a_day_of_leaving_the_stay_is_looked_at_so_far() -> None:
    found = stay(without=("birds.0.leaves",))
    assert len(found.rows) == 57
    (group,) = found.batch.yields
    assert not group.ends
    assert group.day == date(2027, 7, 12)
    assert found.rows[-1].values["feed"] is not None


def test_days_outside_the_stay_are_refused_with_what_it_is() -> None:
    with pytest.raises(NotInStay, match="the stay runs from 2027-05-17 to 2027-06-21"):
        stay(first=date(2027, 7, 1))


def test_a_row_of_no_days_is_refused() -> None:
    with pytest.raises(ValueError, match="one day at least"):
        stay(every=0)


def test_a_row_of_several_days_has_the_worst_of_them() -> None:
    daily, weekly = stay(), stay(every=7)
    for at, row in enumerate(weekly.rows):
        days = [one.values for one in daily.rows[7 * at : 7 * at + 7]]
        assert row.values["floor_load"] == max(one["floor_load"] for one in days)
        assert row.values["droppings"] == max(one["droppings"] for one in days)
        margins = [one["night_margin"][0] for one in days if one["night_margin"][0] is not None]
        assert row.values["night_margin"] == (min(margins, default=None),)
        assert row.values["weight"] == days[0]["weight"]


def test_the_columns_are_the_measures_that_rules_judge() -> None:
    run = run_of(changed({}))
    found = {column.name: column for column in stay().columns}
    assert found["droppings"].series[0] == run.value("patch_droppings")
    assert found["floor_load"].series[0] == run.value("floor_load")
