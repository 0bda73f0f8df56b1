"""Our quick `NamedTuple` makes what Python's own makes."""

from __future__ import annotations

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
        with pytest.raises(AttributeError):
            bird.weight = 3.0
    for same in ("_fields", "_field_defaults", "__doc__", "__name__", "__module__", "__bases__"):
        assert getattr(ours, same) == getattr(theirs, same), same


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
