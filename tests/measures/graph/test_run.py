"""Working measures out: axes, gathering, what does not apply, what is missing, and what changed."""

from __future__ import annotations

import gc
import weakref
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from flockcheck.measures.graph.run import Failure, Run
from flockcheck.measures.graph.spec import measure
from flockcheck.setup.form import general, kind_of, leaves, shape_of
from flockcheck.setup.reader import read_setup_text
from flockcheck.setup.sections import Drinker, Feeder, Group, Mesh, Pen, Site
from flockcheck.setup.view import Missing
from flockcheck.setup.written import Setup
from flockcheck.tables import Row, Table
from tests.measures.graph.graph_cases import ROOT, TWO, here, missing, run_of
from tests.measures.measure_cases import real_tables
from tests.measures.measure_cases import registry as built_in


@measure("area")
def floor(pen: Pen) -> float:
    return pen.length * pen.width


@measure("time", each="day")
def age(group: Group, day: date, here: int) -> int:
    return (day - group.hatched).days


# --- Axes and gathering --------------------------------------------------------------------------


def test_a_measure_of_the_pen_is_one_value() -> None:
    assert run_of(TWO, floor).value("floor") == 8


def test_a_measure_of_an_item_has_a_value_for_each() -> None:
    @measure("count")
    def heads(group: Group) -> int:
        return group.count

    run = run_of(TWO, heads)
    assert [run.value("heads", at) for at in range(2)] == [30, 5]


def test_a_measure_of_a_word_takes_the_word() -> None:
    @measure("word")
    def shout(predator: str) -> str:
        return predator.upper()

    assert run_of(TWO, shout).value("shout", 1) == "OWL"


def test_a_measure_by_day_is_a_list_from_out_to_leaves() -> None:
    run = run_of(TWO, here, age)
    assert [day.isoformat() for day in run.days] == [f"2027-05-0{day}" for day in range(1, 6)]
    assert run.value("here", 0) == [30, 30, 30, None, None]
    assert run.value("age", 1) == [None, None, 31, 32, 33]


def test_what_does_not_change_is_the_same_on_every_day() -> None:
    @measure("number", each="day")
    def room(here: int, floor: float) -> float:
        return floor / here

    assert run_of(TWO, here, floor, room).value("room", 1) == [None, None, 1.6, 1.6, 1.6]


def test_gathered_items_leave_out_those_that_do_not_apply_on_a_day() -> None:
    @measure("names", each="day", gather="group")
    def all_here(group: list[Group], here: list[int], age: list[int]) -> tuple[str, ...]:
        rows = zip(group, here, age, strict=True)
        return tuple(f"{count} {one.kind} of {days} days" for one, count, days in rows)

    assert run_of(TWO, here, age, all_here).value("all_here") == [
        ("30 meat chicken of 30 days",),
        ("30 meat chicken of 31 days",),
        ("30 meat chicken of 32 days", "5 turkey of 31 days"),
        ("5 turkey of 32 days",),
        ("5 turkey of 33 days",),
    ]


def test_a_day_without_any_gathered_item_does_not_apply() -> None:
    @measure("count", each="day", gather="group")
    def total(here: list[int]) -> int:
        return sum(here)

    later = TWO.replace("out: 2027-05-03, leaves: 2027-05-05", "out: 2027-05-05")
    assert run_of(later, here, total).registry.nodes["total"].daily
    gap = TWO.replace("out: 2027-05-03, ", "out: 2027-05-05, ")
    assert run_of(gap, here, total).value("total") == [30, 30, 30, None, 5]


def test_gathered_items_of_a_measure_that_goes_by_no_day() -> None:
    @measure("length")
    def rim(feeder: Feeder) -> float | None:
        return feeder.length if feeder.form == "trough" else None

    @measure("names", gather="feeder")
    def rims(rim: list[float], feeder: list[Feeder]) -> tuple[str, ...]:
        return tuple(f"{length} m {one.form}" for length, one in zip(rim, feeder, strict=True))

    assert run_of(TWO, rim, rims).value("rims") == ("1.0 m trough",)


def test_two_words_are_gathered_each_by_itself() -> None:
    @measure("names", each="day", gather=("group", "feeder"))
    def both(here: list[int], feeder: list[Feeder]) -> tuple[str, ...]:
        return f"{sum(here)} birds", f"{len(feeder)} feeders"

    assert run_of(TWO, here, both).value("both")[2] == ("35 birds", "2 feeders")


def test_an_empty_list_is_gathered_as_empty() -> None:
    @measure("count", gather="guardian")
    def guards(guardian: list[Any]) -> int:
        return len(guardian)

    assert run_of(TWO, guards).value("guards") == 0
    assert run_of(TWO + "guardians: []\n", guards).value("guards") == 0


def test_gathered_days_come_as_one_list_with_what_goes_by_them() -> None:
    @measure("count", gather="day")
    def bird_days(group: Group, here: list[int | None], day: list[date]) -> int:
        assert len(here) == len(day)
        return sum(count or 0 for count in here)

    run = run_of(TWO, here, bird_days)
    assert [run.value("bird_days", at) for at in range(2)] == [90, 15]


def test_gathered_days_and_items_come_as_lists_of_lists() -> None:
    @measure("count", gather=("day", "group"))
    def most(here: list[list[int | None]]) -> int:
        return max(sum(count or 0 for count in column) for column in zip(*here, strict=True))

    assert run_of(TWO, here, most).value("most") == 35


def test_the_day_that_is_asked_for_alone_is_gathered_too() -> None:
    @measure("count", gather="day")
    def length(day: list[date]) -> int:
        return len(day)

    run = run_of(TWO, length)
    assert run.value("length") == 5
    setup = run.setup.with_value("birds.1.leaves", date(2027, 5, 9))
    assert run.changed(setup, ["birds.1.leaves"]).value("length") == 9


def table(*rows: Row, beyond: str = "hold") -> Table:
    return Table("weights", "weights", ("group.kind",), "age", "straight", beyond, {}, list(rows))


WEIGHTS = table(Row({"group.kind": ("turkey",)}, [0.0, 31.0], {"kg": [0.0, 3.1]}, {}))


def test_a_table_is_asked_by_its_name_or_by_that_of_a_measure_with_a_word_behind() -> None:
    @measure("mass", each="day")
    def heavy(group: Group, age: int, weights: Table) -> float:
        found: float = weights("kg", at=age, group=group)
        return found

    @measure("mass", each="day")
    def weights(group: Group, age: int, weights_table: Table) -> float:
        found: float = weights_table("kg", at=age, group=group)
        return found

    expected = [None, None, *[pytest.approx(3.1)] * 3]
    assert run_of(TWO, here, age, heavy, weights=WEIGHTS).value("heavy", 1) == expected
    assert run_of(TWO, here, age, weights, weights=WEIGHTS).value("weights", 1) == expected


def test_a_measure_of_an_item_wants_to_know_which() -> None:
    with pytest.raises(TypeError, match=r"^age goes by group; say which one$"):
        run_of(TWO, here, age).value("age")


# --- What does not apply -------------------------------------------------------------------------


def test_who_asks_for_what_does_not_apply_is_not_called() -> None:
    @measure("length")
    def lid(pen: Pen) -> float | None:
        return None

    @measure("length")
    def never(lid: float) -> float:
        raise AssertionError

    @measure("length", each="day")
    def never_by_day(lid: float, day: date) -> float:
        raise AssertionError

    run = run_of(TWO, lid, never, never_by_day)
    assert run.value("never") is None
    assert run.value("never_by_day") == [None] * 5
    assert run.failures == []


def test_a_default_stands_in_for_what_does_not_apply() -> None:
    @measure("length")
    def lid(pen: Pen) -> float | None:
        return None

    @measure("length")
    def height(pen: Pen, lid: float = 0.1) -> float:
        return pen.width + lid

    assert run_of(TWO, lid, height).value("height") == pytest.approx(2.1)


def test_where_no_gathered_item_applies_nothing_does() -> None:
    @measure("length")
    def rim(feeder: Feeder) -> float | None:
        return None

    @measure("length", gather="feeder")
    def rims(rim: list[float]) -> float:
        raise AssertionError

    assert run_of(TWO, rim, rims).value("rims") is None


# --- What is missing -----------------------------------------------------------------------------


def test_a_key_that_was_left_out_is_missing() -> None:
    @measure("mass")
    def weight(pen: Pen) -> float:
        return pen.weight

    assert missing(run_of(TWO, weight), "weight").keys == ("pen.weight",)


def test_what_is_missing_is_carried_up_to_whoever_asks() -> None:
    @measure("mass")
    def weight(pen: Pen) -> float:
        return pen.weight

    @measure("load")
    def load(weight: float, floor: float) -> float:
        return weight / floor

    assert missing(run_of(TWO, weight, floor, load), "load").keys == ("pen.weight",)


def test_the_keys_of_all_parameters_are_named() -> None:
    @measure("mass")
    def weight(pen: Pen) -> float:
        return pen.weight

    @measure("slope")
    def slope(site: Site) -> float:
        return site.slope

    @measure("number")
    def pull(weight: float, slope: float, drinker: Drinker) -> float:
        return weight * slope

    run = run_of(TWO, weight, slope, pull)
    assert missing(run, "pull", 0).keys == ("pen.weight", "site.slope", "drinkers")


def test_the_keys_of_all_gathered_items_are_named() -> None:
    @measure("mass")
    def held(feeder: Feeder) -> float:
        return feeder.holds

    @measure("mass", gather="feeder")
    def all_held(held: list[float]) -> float:
        return sum(held)

    run = run_of(TWO, held, all_held)
    assert missing(run, "all_held").keys == ("feeders.0.holds", "feeders.1.holds")


def test_a_list_that_was_left_out_is_missing_for_who_gathers_it() -> None:
    @measure("mass")
    def held(drinker: Drinker) -> float:
        return drinker.holds

    @measure("mass", gather="drinker")
    def all_held(held: list[float]) -> float:
        return sum(held)

    assert missing(run_of(TWO, held, all_held), "all_held").keys == ("drinkers",)


def test_a_table_that_is_silent_says_why_and_names_no_key() -> None:
    @measure("mass", each="day")
    def weight(group: Group, age: int, weights: Table) -> float:
        found: float = weights("kg", at=age, group=group)
        return found

    run = run_of(TWO, here, age, weight, weights=WEIGHTS)
    silent = missing(run, "weight", 0)
    assert silent.keys == ()
    assert silent.why == "the table weights has nothing for group.kind meat chicken"
    ends = run_of(TWO, here, age, weight, weights=WEIGHTS._replace(beyond="refuse"))
    assert missing(ends, "weight", 1).why == "the table weights ends at age 31"


def test_a_word_that_a_table_asks_for_is_missing_like_any_key() -> None:
    @measure("number")
    def need(drinker: Drinker, weights: Table) -> float:
        found: float = weights("kg", drinker=drinker)
        return found

    drinkers = table(Row({"drinker.form": ("bell",)}, [], {"kg": [1.0]}, {}))
    run = run_of(TWO + "drinkers:\n  - {count: 1}\n", need, weights=drinkers)
    assert missing(run, "need", 0).keys == ("drinkers.0.form",)


def test_why_is_carried_up_beside_the_keys() -> None:
    @measure("mass")
    def weight(group: Group, weights: Table) -> float:
        found: float = weights("kg", at=1, group=group)
        return found

    @measure("number")
    def both(weight: float, group: Group, site: Site, slope: float) -> float:
        return 1.0

    @measure("slope")
    def slope(site: Site) -> float:
        return site.slope

    found = missing(run_of(TWO, weight, slope, both, weights=WEIGHTS), "both", 0)
    assert found.keys == ("site.slope",)
    assert found.why.startswith("the table weights has nothing")


def test_an_error_that_was_raised_keeps_nothing_alive() -> None:
    class Big:
        pass

    kept: list[weakref.ref[Big]] = []

    @measure("mass")
    def weight(pen: Pen) -> float:
        big = Big()
        kept.append(weakref.ref(big))
        return pen.weight

    run = run_of(TWO, weight)
    first, second = missing(run, "weight"), missing(run, "weight")
    assert first is not second
    del first, second
    gc.collect()
    assert [ref() for ref in kept] == [None] * len(kept)
    error = run.done("weight").missing
    assert error is not None
    assert error.__traceback__ is None


# --- Defaults ------------------------------------------------------------------------------------


@measure("length")
def bump(site: Site) -> float:
    return site.unevenness


@measure("length")
def gap(mesh: Mesh, bump: float = 0.0) -> float:
    return mesh.ground_gap + bump


@measure("length")
def gap_and_more(gap: float) -> float:
    return gap + 1


GAP = TWO + "mesh: {ground_gap: 2 cm}\n"


def test_a_default_stands_in_for_what_is_missing_and_the_key_would_sharpen_it() -> None:
    run = run_of(GAP, bump, gap, gap_and_more)
    assert run.value("gap") == 0.02
    assert run.done("gap").sharper == {"site.unevenness"}
    assert run.done("gap_and_more").sharper == {"site.unevenness"}
    assert run.sharper() == {"site.unevenness"}


def test_a_default_is_not_used_where_the_key_is_written() -> None:
    run = run_of(GAP + "site: {unevenness: 3 cm}\n", bump, gap, gap_and_more)
    assert run.value("gap") == pytest.approx(0.05)
    assert run.sharper() == set()


def test_a_default_for_an_item_list_stands_in_where_the_list_was_left_out() -> None:
    @measure("mass")
    def held(drinker: Drinker) -> float:
        return drinker.holds

    @measure("mass", gather="drinker")
    def all_held(pen: Pen, held: tuple[float, ...] = ()) -> float:
        return sum(held)

    run = run_of(TWO, held, all_held)
    assert run.value("all_held") == 0
    assert run.sharper() == {"drinkers"}


# --- Once ----------------------------------------------------------------------------------------


class Counted:
    """Measures that count how often they are called."""

    def __init__(self) -> None:
        self.calls: Counter[str] = Counter()
        calls = self.calls

        @measure("area")
        def size(pen: Pen) -> float:
            calls["size"] += 1
            return pen.length * pen.width

        @measure("count", each="day")
        def present(group: Group, day: date) -> int | None:
            calls["present"] += 1
            return group.count if group.out <= day <= group.leaves else None

        @measure("count", each="day")
        def doubled(present: int) -> int:
            calls["doubled"] += 1
            return 2 * present

        @measure("count", each="day", gather="group")
        def total(present: list[int], doubled: list[int]) -> int:
            calls["total"] += 1
            return sum(present) + sum(doubled)

        @measure("number", each="day")
        def room(total: int, size: float) -> float:
            calls["room"] += 1
            return size / total

        @measure("slope")
        def slope(site: Site) -> float:
            calls["slope"] += 1
            return site.slope

        @measure("number")
        def steep(slope: float, size: float, pen: Pen) -> float:
            calls["steep"] += 1
            return slope * size * pen.nests

        self.functions = (size, present, doubled, total, room, slope, steep)

    def run(self, text: str) -> Run:
        return run_of(text, *self.functions)

    def all(self, run: Run) -> None:
        for name in ("room", "steep"):
            run.value(name)

    def during(self, work: Callable[[], Any]) -> set[str]:
        """What was called during some work."""
        self.calls.clear()
        work()
        return set(self.calls)


COUNTED = TWO.replace("width: 2 m", "width: 2 m, nests: 2") + "site: {slope: 5 %}\n"


def test_each_node_is_worked_out_once() -> None:
    counted = Counted()
    run = counted.run(COUNTED)
    for _ in range(3):
        counted.all(run)
    assert counted.calls["size"] == counted.calls["slope"] == counted.calls["steep"] == 1
    assert counted.calls["present"] == 10


def test_a_day_like_the_one_before_is_not_worked_out_again() -> None:
    counted = Counted()
    run = counted.run(COUNTED)
    run.value("room")
    # Each group doubled once; the total of the first group, of both and of the second.
    assert counted.calls["doubled"] == 2
    assert counted.calls["total"] == 3
    assert counted.calls["room"] == 3
    assert run.value("room") == [8 / 90, 8 / 90, 8 / 105, 8 / 15, 8 / 15]


def test_only_what_is_asked_for_is_worked_out() -> None:
    counted = Counted()
    assert counted.during(lambda: counted.run(COUNTED).value("steep")) == {
        "size", "slope", "steep",
    }  # fmt: skip


# --- What was read -------------------------------------------------------------------------------


def test_a_node_knows_the_keys_that_it_rests_on() -> None:
    run = Counted().run(COUNTED)
    assert run.reads("steep") == {"pen.length", "pen.width", "pen.nests", "site.slope"}
    assert run.done("steep").reads == {"pen.nests"}
    assert run.reads("doubled", 1) == {
        "birds", "birds.0.leaves", "birds.0.out", "birds.1.count", "birds.1.leaves", "birds.1.out",
    }  # fmt: skip
    assert run.everything >= run.reads("steep")


def test_a_key_that_was_missing_counts_as_read() -> None:
    run = Counted().run(TWO)
    assert missing(run, "steep").keys == ("site.slope",)
    assert run.reads("steep") == {"pen.length", "pen.width", "site.slope"}


def test_keys_that_were_tried_only_in_search_of_others_do_not_count_as_read() -> None:
    @measure("number")
    def odd(pen: Pen) -> float:
        return pen.height * pen.weight

    run = run_of(TWO, odd)
    assert missing(run, "odd").keys == ("pen.height", "pen.weight")
    assert run.reads("odd") == run.everything == {"pen.height"}


# --- What changed --------------------------------------------------------------------------------


def changed(run: Run, path: str, value: Any) -> Run:
    return run.changed(run.setup.with_value(path, value), [path])


@pytest.mark.parametrize(
    ("path", "value", "again"),
    [
        ("pen.nests", 3, {"steep"}),
        ("pen.length", 5.0, {"size", "room", "steep"}),
        ("site.slope", 0.1, {"slope", "steep"}),
        ("birds.1.count", 7, {"present", "doubled", "total", "room"}),
        ("birds.1.leaves", date(2027, 5, 4), {"present", "doubled", "total", "room"}),
        ("name", "Another", set()),
        ("mesh.skirt", 0.3, set()),
    ],
)
def test_only_what_rests_on_a_changed_key_is_worked_out_again(
    path: str, value: Any, again: set[str]
) -> None:
    counted = Counted()
    run = counted.run(COUNTED)
    counted.all(run)
    new = changed(run, path, value)
    assert counted.during(lambda: counted.all(new)) == again
    fresh = Run(new.setup, new.registry, new.tables)
    assert (new.value("room"), new.value("steep")) == (fresh.value("room"), fresh.value("steep"))


def test_a_change_of_one_entry_leaves_the_others_as_they_are() -> None:
    counted = Counted()
    run = counted.run(COUNTED)
    counted.all(run)
    new = changed(run, "birds.1.count", 7)
    counted.during(lambda: counted.all(new))
    # Five days of the second group, none of the first.
    assert counted.calls["present"] == 5
    assert new.done("present", 0) is run.done("present", 0)


def test_another_number_of_entries_reaches_all_who_gather_them() -> None:
    counted = Counted()
    run = counted.run(COUNTED)
    counted.all(run)
    more = read_setup_text(
        COUNTED.replace("feeders:", "  - {kind: turkey, count: 1, hatched: 2027-04-02, "
                        "out: 2027-05-01, leaves: 2027-05-05}\nfeeders:"),
        "a.flock.yaml",
    )  # fmt: skip
    new = run.changed(more, ["birds.2.count", "birds.2.out", "birds.2.leaves"])
    assert new.value("total") == Run(more, run.registry, {}).value("total")
    assert new.value("steep") == run.value("steep")


def test_a_shifted_stay_changes_every_day() -> None:
    counted = Counted()
    run = counted.run(COUNTED)
    counted.all(run)
    new = changed(run, "birds.1.leaves", date(2027, 5, 8))
    assert len(new.days) == len(new.value("room")) == 8
    assert len(new.value("present", 0)) == 8


def test_a_key_within_the_stay_leaves_the_days_as_they_are() -> None:
    counted = Counted()
    run = counted.run(COUNTED)
    counted.all(run)
    assert changed(run, "pen.nests", 3).days is run.days
    new = changed(run, "birds.0.leaves", date(2027, 5, 2))
    assert new.days == run.days
    assert counted.during(lambda: counted.all(new)) == {"present", "doubled", "total", "room"}
    # The second group stays as it was.
    assert counted.calls["present"] == 5


def test_a_group_that_comes_without_shifting_the_days_can_shift_them_later() -> None:
    counted = Counted()
    run = counted.run(COUNTED)
    counted.all(run)
    third = "  - {kind: turkey, count: 1, hatched: 2027-04-02, out: 2027-05-02, leaves: 2027-05-04}"
    text = COUNTED.replace("feeders:", f"{third}\nfeeders:")
    more = run.changed(read_setup_text(text, "a.flock.yaml"), ["birds"])
    counted.all(more)
    assert more.days == run.days
    assert len(changed(more, "birds.2.leaves", date(2027, 5, 9)).days) == 9


def test_a_whole_section_can_change_at_once() -> None:
    counted = Counted()
    run = counted.run(COUNTED)
    counted.all(run)
    setup = run.setup.with_value("pen.length", 5.0).with_value("pen.nests", 1)
    new = run.changed(setup, ["pen"])
    assert counted.during(lambda: counted.all(new)) == {"size", "steep", "room"}


def test_a_key_that_was_missing_and_is_written_now_is_worked_out() -> None:
    counted = Counted()
    run = counted.run(COUNTED.replace("site: {slope: 5 %}\n", ""))
    assert missing(run, "steep").keys == ("site.slope",)
    assert changed(run, "site.slope", 0.05).value("steep") == pytest.approx(0.8)


def test_a_further_key_that_is_written_now_is_no_longer_missing() -> None:
    @measure("number")
    def odd(pen: Pen) -> float:
        return pen.height * pen.weight * pen.nests

    run = run_of(TWO, odd)
    assert missing(run, "odd").keys == ("pen.height", "pen.weight", "pen.nests")
    new = changed(run, "pen.weight", 50.0)
    assert missing(new, "odd").keys == ("pen.height", "pen.nests")


def test_a_change_leaves_the_first_run_as_it_was() -> None:
    counted = Counted()
    run = counted.run(COUNTED)
    counted.all(run)
    before = run.value("room")
    counted.all(changed(run, "pen.length", 9.0))
    assert run.value("room") == before


def test_changes_can_follow_one_another() -> None:
    counted = Counted()
    run = counted.run(COUNTED)
    counted.all(run)
    twice = changed(changed(run, "pen.length", 5.0), "birds.0.count", 3)
    assert twice.value("room") == Run(twice.setup, run.registry, {}).value("room")


# --- What fails ----------------------------------------------------------------------------------


def test_a_measure_that_raises_is_named_once_and_stops_no_other() -> None:
    @measure("number")
    def broken(group: Group) -> float:
        return 1 / 0

    @measure("number", gather="group")
    def above(broken: list[float]) -> float:
        return sum(broken)

    run = run_of(TWO, broken, above, floor)
    assert run.value("floor") == 8
    assert missing(run, "broken", 0).why == (
        "the measure broken failed (ZeroDivisionError: division by zero)"
    )
    assert missing(run, "above").why.startswith("the measure broken failed")
    assert missing(run, "above").keys == ()
    assert run.failures == [Failure("broken", "ZeroDivisionError: division by zero")]


def test_a_measure_that_fails_on_one_day_fails_as_a_whole() -> None:
    @measure("number", each="day")
    def broken(day: date) -> float:
        return 1 / (day.day - 3)

    run = run_of(TWO, broken)
    assert "failed" in missing(run, "broken").why
    assert len(run.failures) == 1


def test_a_key_that_the_format_lacks_is_a_failure_of_the_measure() -> None:
    @measure("number")
    def wrong(pen: Pen) -> float:
        found: float = pen.colour  # type: ignore[attr-defined]
        return found

    run = run_of(TWO, wrong)
    missing(run, "wrong")
    assert run.failures == [
        Failure("wrong", "AttributeError: the setup format has no key pen.colour")
    ]


def test_a_failure_stays_known_where_it_is_not_worked_out_again() -> None:
    @measure("number")
    def broken(pen: Pen) -> float:
        return pen.length / 0

    run = run_of(TWO, broken, floor)
    missing(run, "broken")
    kept, again = changed(run, "name", "x"), changed(run, "pen.length", 9.0)
    assert kept.failures == run.failures
    assert again.failures == []
    missing(again, "broken")
    assert again.failures == run.failures


# --- The stay ------------------------------------------------------------------------------------


def test_the_days_are_told_once_and_rest_on_their_keys() -> None:
    run = run_of(TWO, here)
    assert run.days is run.days
    run.value("here", 0)
    assert run.reads("here", 0) >= {"birds.0.out", "birds.1.leaves", "birds.0.count"}


# --- Changes of whole setups with the built-in measures ------------------------------------------

FIXTURES = (
    "fixtures/good/hazel-lane", "fixtures/good/orchard-hens", "fixtures/bad/steep-and-crowded",
    "fixtures/mixed/two-batches", "fixtures/minimal", "tests/setup/whole",
)  # fmt: skip
# Without these a setup is none.
NEEDED = ("flockcheck", "kind", "growth", "count", "hatched", "out", "length", "width")


@cache
def setup_of(fixture: str) -> Setup:
    text = (ROOT / f"{fixture}.flock.yaml").read_text(encoding="utf-8")
    return read_setup_text(text, fixture)


def everything(run: Run) -> Iterator[tuple[str, int | None]]:
    """Every node of a run."""
    for name, node in run.registry.nodes.items():
        if node.item is None:
            yield name, None
            continue
        try:
            count = len(run.items(node.item))
        except Missing:
            continue
        yield from ((name, at) for at in range(count))


def outcome(run: Run, name: str, item: int | None) -> Any:
    done = run.done(name, item)
    if done.missing is not None:
        return "missing", done.missing.keys, done.missing.why
    return done.value


@cache
def worked(fixture: str) -> Run:
    run = Run(setup_of(fixture), built_in(), real_tables())
    for node in everything(run):
        run.done(*node)
    return run


def values_for(path: str, setup: Setup) -> st.SearchStrategy[Any]:
    """Other values for a key, near what is written."""
    shape = shape_of(general(path)) or {}
    kind = kind_of(shape)
    found = setup.values.get(path)
    if kind in ("quantity", "number"):
        number = found.value if found else 1.0
        return st.sampled_from([0.0, 0.3, 0.5, 1.1, 2.0, 20.0]).map(lambda times: number * times)
    if kind == "integer":
        return st.integers(0, 60)
    if kind == "flag":
        return st.booleans()
    if kind == "date":
        day = found.value if found else date(2027, 5, 20)
        return st.integers(-40, 40).map(lambda days: day + timedelta(days=days))
    if kind == "word":
        return st.sampled_from(shape["enum"] or ["x"])
    if kind == "list":
        words = shape["items"].get("enum") or ["fox", "mink", "hawk", "rat", "bear"]
        return st.lists(st.sampled_from(words), max_size=3, unique=True).map(tuple)
    if kind == "weights":
        return st.sampled_from([(), ((14.0, 0.3),), ((20.0, 0.5), (40.0, 1.5))])
    return st.just("other")


@st.composite
def changes(draw: st.DrawFn, setup: Setup) -> tuple[Setup, list[str]]:
    """A setup with a few keys changed, written or left out, and their paths."""
    counts = {"guardians": 0, "feeders": 0, "drinkers": 0, **setup.lists}
    paths = [
        path
        for leaf in leaves()
        for path in (
            [leaf.replace("*", str(at)) for at in range(counts.get(leaf.partition(".*")[0], 0))]
            if "*" in leaf
            else [leaf]
        )
    ]
    changed_paths: list[str] = []
    for _ in range(draw(st.integers(1, 3))):
        path = draw(st.sampled_from(paths))
        values = dict(setup.values)
        if path in values and path.rpartition(".")[2] not in NEEDED and draw(st.booleans()):
            del values[path]
            setup = setup._replace(values=values)
        else:
            setup = setup.with_value(path, draw(values_for(path, setup)))
        changed_paths.append(path)
    return setup, changed_paths


@pytest.mark.parametrize("fixture", FIXTURES)
@given(data=st.data())
@settings(max_examples=20, deadline=None)
def test_after_any_change_every_measure_is_what_a_fresh_run_makes_it(
    fixture: str, data: st.DataObject
) -> None:
    run = worked(fixture)
    for _ in range(data.draw(st.integers(1, 2))):
        setup, paths = data.draw(changes(run.setup))
        run = run.changed(setup, paths)
        fresh = Run(setup, run.registry, run.tables)
        assert run.days == fresh.days
        assert list(everything(run)) == list(everything(fresh))
        for name, item in everything(run):
            assert outcome(run, name, item) == outcome(fresh, name, item), (name, item, paths)
            assert run.reads(name, item) == fresh.reads(name, item), (name, item, paths)
        assert run.sharper() == fresh.sharper()
        assert sorted(run.failures) == sorted(fresh.failures)


@pytest.mark.parametrize("fixture", FIXTURES)
def test_no_built_in_measure_fails_on_a_fixture(fixture: str) -> None:
    assert worked(fixture).failures == []
