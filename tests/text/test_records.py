"""Our quick `NamedTuple` makes what Python's own makes."""

from __future__ import annotations

import copy
import pickle
import typing
from typing import TYPE_CHECKING, Any

import pytest

from flockcheck.text import records
from flockcheck.text.nodes import Mark


def of(base: Any) -> Any:
    """The same record on a base."""

    class Bird(base):  # type: ignore[misc]  # the base is what is tested
        """A bird."""

        kind: str
        weight: float | None
        rings: tuple[str, ...] = ()

        @property
        def words(self) -> str:
            return f"{self.kind} {self.weight}"

        @classmethod
        def hatched(cls, kind: str) -> Bird:
            return cls(kind, 0.04)

    return Bird


def test_a_record_is_what_pythons_own_named_tuple_would_be() -> None:
    ours, theirs = of(records.NamedTuple), of(typing.NamedTuple)
    for made in (ours, theirs):
        bird = made("turkey", weight=2.0)
        assert bird == ("turkey", 2.0, ())
        assert bird._replace(rings=("red",)).rings == ("red",)
        assert bird.words == "turkey 2.0"
        assert made.hatched("turkey").weight == 0.04
        assert repr(bird) == "Bird(kind='turkey', weight=2.0, rings=())"
        assert bird._asdict() == {"kind": "turkey", "weight": 2.0, "rings": ()}
        assert made._make(["duck", 3.0, ()]) == made(kind="duck", weight=3.0)
        assert copy.copy(bird) == bird and isinstance(copy.copy(bird), made)
        assert isinstance(bird._replace(kind="duck"), made)
        with pytest.raises(AttributeError):
            bird.weight = 3.0
        with pytest.raises(AttributeError):
            bird.age = 3
        with pytest.raises((TypeError, ValueError), match="unexpected field names"):
            bird._replace(age=3)
        with pytest.raises(TypeError, match="got 1"):
            made._make(["duck"])
        with pytest.raises(TypeError, match="'weight'"):
            made("duck")
        with pytest.raises(TypeError, match="'age'"):
            made("duck", 3.0, age=3)
    shared = ("_fields", "_field_defaults", "__match_args__")
    for same in (*shared, "__doc__", "__name__", "__qualname__", "__module__", "__bases__"):
        assert getattr(ours, same) == getattr(theirs, same), same


def test_records_of_as_many_fields_keep_their_own_names() -> None:
    class Egg(records.NamedTuple):
        weight: float
        shell: str = "brown"

    class Nest(records.NamedTuple):
        eggs: int
        straw: bool

    assert Egg(weight=58.0) == (58.0, "brown") and Nest(straw=True, eggs=2) == (2, True)
    assert Egg(58.0).shell == "brown" and Nest(2, True).eggs == 2
    assert not hasattr(Nest(2, True), "weight")


def test_a_records_types_can_be_asked_for() -> None:
    assert typing.get_type_hints(Mark)["line"] is int


def test_a_record_can_be_sent_to_another_process() -> None:
    assert pickle.loads(pickle.dumps(Mark(1, 2, 3))) == Mark(1, 2, 3)


def test_a_field_without_a_default_can_not_follow_one_with_it() -> None:
    if not TYPE_CHECKING:
        with pytest.raises(TypeError, match="come last"):

            class Wrong(records.NamedTuple):
                kind: str = ""
                weight: float
