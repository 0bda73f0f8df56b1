"""Sections hold the keys of the schema, typed; what is left out is missing by its path."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from types import GenericAlias
from typing import Any, get_args, get_origin, get_type_hints

import pytest

from flockcheck.setup.form import QUIET, general, kind_of, leaves, resolve, schema, shape_of
from flockcheck.setup.reader import read_setup_text
from flockcheck.setup.sections import ITEMS, PARTS, Pen, Whole
from flockcheck.setup.view import Missing, Section, absent_value, value_or
from flockcheck.setup.written import Setup

WHOLE = Path(__file__).with_name("whole.flock.yaml").read_text(encoding="utf-8")
MINIMAL = (Path(__file__).parents[2] / "fixtures" / "minimal.flock.yaml").read_text("utf-8")
# What a key of each kind is when it is read.
TYPES: dict[str, Any] = {
    "quantity": float,
    "number": float,
    "integer": int,
    "flag": bool,
    "date": date,
    "word": str,
    "text": str,
    "weights": tuple[tuple[float, float], ...],
}


def setup_of(text: str) -> Setup:
    return read_setup_text(text, "a.flock.yaml")


@pytest.fixture(scope="module")
def whole() -> Whole:
    return Whole(setup_of(WHOLE), "")


@pytest.fixture(scope="module")
def minimal() -> Whole:
    return Whole(setup_of(MINIMAL), "")


def classes(kind: type[Section], path: str = "") -> Iterator[tuple[type[Section], str]]:
    """Every section class with the path of its keys."""
    yield kind, path
    for key, part in kind._parts.items():
        inner = f"{path}.{key}" if path else key
        shape = shape_of(inner)
        assert shape is not None
        yield from classes(part, f"{inner}.*" if kind_of(shape) == "list" else inner)


SECTIONS = [pytest.param(kind, path, id=path or "whole") for kind, path in classes(Whole)]


def hints_of(kind: type[Section]) -> dict[str, Any]:
    # `date: date` in a class body would find the annotation itself before the type.
    hints = get_type_hints(kind, localns={"date": date})
    return {
        key.removesuffix("_"): hint for key, hint in hints.items() if key in kind.__annotations__
    }


def type_of(shape: dict[str, Any], part: type[Section] | None) -> Any:
    kind = kind_of(shape)
    if kind == "section":
        return part
    if kind == "list":
        inner = kind_of(resolve(shape["items"]))
        return GenericAlias(tuple, (part if inner == "section" else TYPES[inner], ...))
    return TYPES[kind]


# --- Annotations ---------------------------------------------------------------------------------


@pytest.mark.parametrize(("kind", "path"), SECTIONS)
def test_a_section_has_the_keys_of_the_schema_in_their_order(
    kind: type[Section], path: str
) -> None:
    shape = shape_of(path)
    assert shape is not None
    keys = [key for key in hints_of(kind) if key != "_parts"]
    assert keys == list(shape["properties"])


@pytest.mark.parametrize(("kind", "path"), SECTIONS)
def test_the_type_of_a_key_is_what_the_schema_says(kind: type[Section], path: str) -> None:
    shape = shape_of(path)
    assert shape is not None
    hints = hints_of(kind)
    for key, inner in shape["properties"].items():
        assert hints[key] == type_of(resolve(inner), kind._parts.get(key)), key


def test_every_section_of_the_schema_has_a_class() -> None:
    known = {path for _, path in classes(Whole)}
    above = {leaf.rpartition(".")[0] for leaf in leaves()}
    assert above <= known
    assert len(known) == len(list(classes(Whole)))


def test_only_a_key_that_python_keeps_for_itself_has_a_line_below_its_name() -> None:
    names = {key for kind, _ in classes(Whole) for key in kind.__annotations__}
    assert {name for name in names if name.endswith("_")} == {"from_"}


def test_item_words_and_parts_name_lists_and_sections_of_the_file() -> None:
    properties = schema()["properties"]
    lists = {key for key, shape in properties.items() if kind_of(resolve(shape)) == "list"}
    assert set(ITEMS.values()) == lists - {"standards", "pets", "accepted"}
    sections = [key for key, shape in properties.items() if kind_of(resolve(shape)) == "section"]
    assert list(PARTS) == sections


# --- Reading what is written ---------------------------------------------------------------------


def values(section: Section, kind: type[Section]) -> Iterator[tuple[str, Any, Any]]:
    """Every key of a section and those below it with its value and type."""
    for key, hint in get_type_hints(kind, localns={"date": date}).items():
        if key == "_parts":
            continue
        try:
            value = getattr(section, key)
        except Missing as missing:
            yield missing.keys[0], missing, hint
            continue
        part = kind._parts.get(key)
        if isinstance(value, Section):
            assert part is not None
            assert type(value) is part
            yield from values(value, part)
        elif part is not None:
            for item in value:
                assert type(item) is part
                yield from values(item, part)
        else:
            yield key, value, hint


def test_every_value_of_the_file_has_the_annotated_type(whole: Whole) -> None:
    found = list(values(whole, Whole))
    written = [(key, value, hint) for key, value, hint in found if not isinstance(value, Missing)]
    assert len(written) > 190
    for key, value, hint in written:
        if get_origin(hint) is tuple:
            assert isinstance(value, tuple), key
            inner = get_args(hint)[0]
            assert all(isinstance(one, get_origin(inner) or inner) for one in value), key
        else:
            assert type(value) is hint, key


def test_a_key_is_read_by_its_name(whole: Whole) -> None:
    assert whole.pen.length == pytest.approx(4.2)
    assert whole.pen.roof.material == "aluminium"
    assert whole.birds[2].kind == "turkey"
    assert whole.weather.periods[0].from_ == date(2027, 6, 12)
    assert whole.brooder.log[1].date == date(2027, 4, 20)
    assert whole.predators == ("fox", "badger", "weasel", "hawk", "rat")


def test_every_key_that_is_read_is_heard_with_its_path() -> None:
    heard: list[str] = []
    whole = Whole(setup_of(WHOLE), "", heard.append)
    _ = whole.pen.roof.pitch, whole.birds[1].laying, whole.pets
    with pytest.raises(Missing):
        _ = whole.birds[1].leaves
    assert heard == [
        "pen.roof.pitch", "birds", "birds.1.laying", "pets", "birds", "birds.1.leaves",
    ]  # fmt: skip


def test_a_key_that_stands_for_none_is_heard_too() -> None:
    heard: list[str] = []
    assert Whole(setup_of(MINIMAL), "", heard.append).mesh.skirt == 0
    assert heard == ["mesh.skirt"]


def test_a_key_is_heard_as_often_as_it_is_read() -> None:
    heard: list[str] = []
    pen = Whole(setup_of(MINIMAL), "", heard.append).pen
    for _ in range(2):
        assert pen.length > 0
        assert value_or(pen, "length", 0.0) == pen.length
        assert value_or(pen, "weight", 9.0) == 9.0
        with pytest.raises(Missing):
            _ = pen.weight
    once = ["pen.length", "pen.length", "pen.length", "pen.weight", "pen.weight"]
    assert heard == once * 2


def test_the_same_key_of_two_setups_is_read_apart() -> None:
    first, second = (
        Whole(setup_of(MINIMAL.replace("count:", f"sexes: {sexes}\n    count:")), "")
        for sexes in ("male", "female")
    )
    assert [one.birds[0].sexes for one in (first, second, first)] == ["male", "female", "male"]


def test_a_section_shows_which_one_it_is(whole: Whole) -> None:
    assert [repr(one) for one in (whole, whole.pen, whole.birds[1])] == [
        "<Whole setup>",
        "<Pen pen>",
        "<Group birds.1>",
    ]


def test_a_section_can_be_copied(whole: Whole) -> None:
    assert copy.copy(whole.pen).length == whole.pen.length
    assert copy.deepcopy(whole.pen).roof.pitch == whole.pen.roof.pitch


# --- Reading what is not -------------------------------------------------------------------------


@pytest.mark.parametrize(
    "path", ["pen.weight", "pen.roof.cover", "site.slope", "birds.0.leaves", "feed.form", "name"]
)
def test_a_key_that_was_left_out_is_missing_by_its_path(minimal: Whole, path: str) -> None:
    thing: Any = minimal
    *above, last = path.split(".")
    for part in above:
        thing = thing[int(part)] if part.isdigit() else getattr(thing, part)
    with pytest.raises(Missing) as caught:
        getattr(thing, last)
    assert caught.value.keys == (path,)
    assert str(caught.value) == path


@pytest.mark.parametrize("path", ["feeders", "drinkers", "predators"])
def test_a_list_that_was_left_out_is_missing(minimal: Whole, path: str) -> None:
    with pytest.raises(Missing) as caught:
        getattr(minimal, path)
    assert caught.value.keys == (path,)


def test_a_list_in_a_section_that_was_left_out_is_missing(minimal: Whole) -> None:
    with pytest.raises(Missing) as caught:
        _ = minimal.weather.periods
    assert caught.value.keys == ("weather.periods",)
    with pytest.raises(Missing) as caught:
        _ = minimal.birds[0].weights
    assert caught.value.keys == ("birds.0.weights",)


def test_what_is_taken_as_none_is_read_as_none(minimal: Whole) -> None:
    assert minimal.mesh.skirt == 0.0
    assert minimal.pen.anchors.count == 0
    assert minimal.site.nitrogen_used == 0.0
    assert [minimal.guardians, minimal.pets, minimal.standards, minimal.accepted] == [()] * 4
    assert minimal.birds[0].sexes == "mixed"
    assert minimal.look_ahead == 56.0


def test_anchors_that_were_left_out_hold_nothing_known(minimal: Whole) -> None:
    with pytest.raises(Missing) as caught:
        _ = minimal.pen.anchors.hold
    assert caught.value.keys == ("pen.anchors.hold",)


def test_only_the_closed_list_of_keys_stands_for_none() -> None:
    absent = {leaf for leaf in leaves() if "absent" in (shape_of(leaf) or {})}
    # Of a list of entries there is no leaf of its own.
    for key in ("guardians", "accepted"):
        assert absent_value(schema()["properties"][key]) == ()
    assert absent == {
        "look_ahead", "standards", "site.nitrogen_used", "pen.anchors.count", "birds.*.sexes",
        "mesh.skirt", "pets",
    }  # fmt: skip
    assert absent | {"accepted"} >= QUIET


def test_a_key_that_the_format_lacks_is_a_mistake_in_the_code(minimal: Whole) -> None:
    for thing, name in (
        (minimal, "penn"), (minimal.pen, "colour"), (minimal.birds[0], "name"),
        (minimal.pen, "__len__"), (minimal, "_secret"), (minimal.pen, "length__"),
    ):  # fmt: skip
        with pytest.raises(AttributeError):
            getattr(thing, name)
    with pytest.raises(AttributeError, match=r"^the setup format has no key pen\.roof\.colour$"):
        _ = minimal.pen.roof.colour  # type: ignore[attr-defined]


def test_an_entry_past_the_end_of_its_list_has_no_keys(minimal: Whole) -> None:
    with pytest.raises(IndexError):
        _ = minimal.birds[1]


def test_missing_names_each_key_once_and_may_say_why_instead() -> None:
    missing = Missing("pen.weight", "pen.length", "pen.weight")
    assert missing.keys == ("pen.weight", "pen.length")
    assert str(missing) == "pen.weight, pen.length"
    assert str(Missing(why="the table ends at 70 days")) == "the table ends at 70 days"


# --- The form behind them ------------------------------------------------------------------------


def test_a_path_is_made_general_by_its_numbers() -> None:
    assert general("birds.0.count") == "birds.*.count"
    assert general("pen.moves.later.12.from") == "pen.moves.later.*.from"
    assert general("name") == "name"


def test_the_shape_of_a_path_is_found_with_a_star_or_a_number() -> None:
    assert shape_of("birds.*.count") == shape_of("birds.3.count")
    assert shape_of("birds.count") is None
    assert shape_of("pen.0") is None
    assert shape_of("") == schema()


def test_what_stands_beside_a_reference_wins_over_it() -> None:
    shape = shape_of("pen.length")
    assert shape is not None
    assert (shape["dimension"], shape["least"]) == ("length", "0.3 m")
    assert shape["description"].startswith("The inside length")


def test_each_key_is_of_one_kind() -> None:
    kinds = {leaf: kind_of(shape_of(leaf) or {}) for leaf in leaves()}
    assert {kinds[leaf] for leaf in kinds} == {*TYPES, "list"}
    assert kinds["flockcheck"] == "integer"
    assert kinds["birds.*.weights"] == "weights"
    assert kinds["care.checks_per_day"] == "number"


def test_keys_come_in_the_order_of_the_schema() -> None:
    assert leaves("pen.anchors") == ["pen.anchors.count", "pen.anchors.hold"]
    assert leaves()[:5] == ["flockcheck", "name", "notes", "look_ahead", "standards"]
    assert leaves("predators") == ["predators"]
    assert leaves("no.such.key") == []
    assert hints_of(Pen)["length"] is float
