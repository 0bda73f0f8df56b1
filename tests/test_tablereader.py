"""A table as a run reads it: found once, told to all who rest on it, and never too much kept."""

from __future__ import annotations

from gc import collect
from types import SimpleNamespace as Of
from weakref import ref

import pytest

from flockcheck.setup.view import Missing
from flockcheck.tablereader import TableReader
from flockcheck.tables import TableSilent
from tests.table_cases import FAST, GROWTH, SLOW, Unwritten, row, table


def test_a_reader_gives_what_its_table_gives() -> None:
    reader = TableReader(GROWTH, [])
    for words in (FAST, SLOW):
        # Told apart by itself, as the sections of a setup are.
        group = type("Group", (), vars(words))()
        assert reader.last(group=group) == GROWTH.last(group=group)
        assert reader.row({"group": group}) is GROWTH.row({"group": group})


def test_a_reader_finds_a_row_once_for_the_same_thing() -> None:
    asked: list[str] = []

    class Counted:
        def __getattr__(self, name: str) -> str:
            asked.append(name)
            return {"kind": "meat chicken", "growth": "slow"}[name]

    reader, group = TableReader(GROWTH, []), Counted()
    assert [reader("weight", at, group=group) for at in (0, 5, 10)] == [100, 200, 300]
    assert asked == ["kind", "growth"]
    assert reader("weight", 0, group=Counted()) == 100
    assert len(asked) == 4


def test_what_finding_a_row_read_is_heard_at_each_use() -> None:
    heard: list[str] = []

    class Told:
        def __getattr__(self, name: str) -> str:
            heard.append(f"birds.0.{name}")
            return {"kind": "meat chicken", "growth": "slow"}[name]

    reader, group = TableReader(GROWTH, heard), Told()
    reader("weight", 0, group=group)
    first = heard.copy()
    assert first == ["birds.0.kind", "birds.0.growth"]
    heard.clear()
    reader("weight", 5, group=group)
    assert heard == first


def test_a_run_finds_what_another_found_and_hears_for_itself_what_that_reads() -> None:
    for words in (FAST, SLOW, Of(kind="egg chicken", growth="fast"), FAST):
        heard: list[str] = []

        class Told:
            def __getattr__(self, name: str, heard: list[str] = heard, words: Of = words) -> str:
                heard.append(name)
                return str(getattr(words, name))

        reader, group = TableReader(GROWTH, heard), Told()
        if words.kind == "egg chicken":
            with pytest.raises(TableSilent, match=r"nothing for group\.kind egg chicken$"):
                reader("weight", 5, group=group)
            assert heard == ["kind"]
        else:
            assert reader("weight", 5, group=group) == GROWTH("weight", 5, group=words)
            assert heard == ["kind", "growth"]


def test_a_changed_table_has_nothing_of_the_one_it_was() -> None:
    group = Unwritten("meat chicken")
    only = GROWTH._replace(rows=GROWTH.rows[2:])
    assert TableReader(only, [])("weight", 5, group=group) == 200
    assert TableReader(only._replace(between="steps"), [])("weight", 5, group=group) == 100
    with pytest.raises(Missing):
        TableReader(GROWTH, [])("weight", 5, group=group)


def test_what_is_kept_of_a_table_holds_no_setup() -> None:
    class Group:
        kind, growth, sides = "meat chicken", "slow", 2

    group = Group()
    gone = ref(group)
    reader = TableReader(GROWTH, [])
    assert (reader("weight", 5, group=group), reader.last(group=group)) == (200, 20)
    del group, reader
    collect()
    assert gone() is None


def test_however_many_points_are_read_no_more_than_so_many_are_kept() -> None:
    curve = TableReader(GROWTH._replace(rows=GROWTH.rows[2:]), []).curve(
        "weight", group=Unwritten("meat chicken")
    )
    for at in range(5000):
        assert curve(at / 1000) == pytest.approx(100 + 20 * at / 1000)
    assert len(curve.known) < 2000


def test_words_alone_find_the_same_column_in_every_run() -> None:
    figures = table(row({"figure": ("drag",)}, value=1.2), row({"figure": ("lift",)}, value=3.0))
    for _ in range(2):
        reader = TableReader(figures, [])
        assert [reader("value", figure=name) for name in ("drag", "lift", "drag")] == [1.2, 3, 1.2]
        with pytest.raises(TableSilent, match="nothing for figure sag"):
            reader("value", figure="sag")


def test_what_is_worked_out_once_is_heard_at_each_use() -> None:
    heard: list[str] = []
    made: list[str] = []
    reader = TableReader(GROWTH, heard)

    def make() -> int:
        made.append("made")
        heard.append("pen.floor")
        return 7

    assert [reader.once("floor", make) for _ in range(3)] == [7, 7, 7]
    assert (len(made), heard) == (1, ["pen.floor"] * 3)
    assert reader.once("roof", make) == 7
    assert len(made) == 2
