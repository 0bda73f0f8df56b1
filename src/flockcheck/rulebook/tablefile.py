"""A table file to a compiled table: numbers in base units, rows with their citations."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

from flockcheck.rulebook.expressions import literal
from flockcheck.rulebook.names import Slip, words_of
from flockcheck.setup.form import shape_of
from flockcheck.setup.reader import FLAGS
from flockcheck.setup.sections import ITEMS
from flockcheck.text.document import Mapping, Node, Scalar, Sequence, plain
from flockcheck.text.quantities import DIMENSIONS, QuantityError, parse_quantity, unit_factor

# Tried in this order for a row that writes its own unit: `21 C` is a temperature, `7 %` a share.
_QUANTITY = ("number", "share", *(name for name in DIMENSIONS if name not in ("number", "share")))


def compile_table(
    node: Mapping, file: str, slip: Callable[[Slip], None] | None = None
) -> dict[str, Any]:
    """The compiled form of a table's nodes (which satisfy the table schema).

    Mistakes go to `slip`, and a row with one is left out; without it the first is raised.
    """
    note = slip or _raise
    entries = node.entries
    name = _text(entries["table"])
    stem = file.rpartition("/")[2].removesuffix(".yaml")
    if stem != name:
        says = f"the file is called {stem}.yaml, the table {name}"
        note(Slip(node.keys["table"], "table", says))
    form = _Form(
        plain(entries["gives"]),
        _text(entries["along"]) if "along" in entries else "",
        plain(entries["units"]) if "units" in entries else {},
        plain(entries["by"]) if "by" in entries else [],
    )
    for word in form.by:
        if "." in word and _shape(word) is None:
            note(Slip(node.keys["by"], "by", f"`{word}` is no key of the setup"))
    units_wrong = list(_wrong_units(form))
    for says in units_wrong:
        note(Slip(node.keys["units"], "units", says))
    rows = entries["rows"]
    assert isinstance(rows, Sequence)
    compiled = []
    for at, row in enumerate(rows.items):
        assert isinstance(row, Mapping)
        try:
            compiled.append(_row(row, form, f"rows.{at}"))
        except Slip as error:
            if not units_wrong:
                note(error)
    return {
        "name": name,
        "says": _text(entries["says"]),
        "by": form.by,
        "along": form.along,
        "between": _text(entries["between"]) if "between" in entries else "straight",
        "beyond": _text(entries["beyond"]) if "beyond" in entries else "hold",
        "units": form.units,
        "rows": compiled,
    }


def _wrong_units(form: _Form) -> Iterator[str]:
    """What is wrong with the units of bare numbers."""
    for word, unit in form.bare.items():
        if word != form.along and word not in form.units:
            yield f"there is no column `{word}`"
            continue
        kinds = list(DIMENSIONS) if word == form.along else [form.units[word]]
        if not any(_is_unit(unit, kind) for kind in kinds):
            yield f"`{unit}` is no unit" + ("" if word == form.along else f" of {kinds[0]}")


def _is_unit(unit: str, dimension: str) -> bool:
    try:
        unit_factor(unit, dimension)
    except QuantityError:
        return False
    return True


def _raise(slip: Slip) -> None:
    raise slip


class _Form(NamedTuple):
    """What the rows of a table have in common: columns, axis, units of bare numbers, words."""

    units: dict[str, str]
    along: str
    bare: dict[str, str]
    by: list[str]


def _shape(word: str) -> dict[str, Any] | None:
    """The shape of what a word of `by` stands for in a setup; None where the asker gives it."""
    first, _, rest = word.partition(".")
    if first not in ITEMS:
        return shape_of(word)
    return shape_of(f"{ITEMS[first]}.*" + (f".{rest}" if rest else ""))


def _row(row: Mapping, form: _Form, key: str) -> dict[str, Any]:
    units, along, bare = form.units, form.along, form.bare
    where: dict[str, list[str]] = {}
    chosen = row.entries.get("for")
    if isinstance(chosen, Mapping):
        for word, wanted in chosen.entries.items():
            if word not in form.by:
                raise Slip(chosen.keys[word], f"{key}.for", f"`by` does not name `{word}`")
            words = words_of(_shape(word) or {})
            found = literal(wanted, "word", f"{key}.for", words)
            where[word] = found if isinstance(found, list) else [found]
    xs: list[float] = []
    ys: dict[str, list[Any]] = {column: [] for column in units}
    # What a figure that writes its own unit is.
    kinds: dict[str, str] = {}
    if along:
        points = row.entries["points"]
        assert isinstance(points, Sequence)
        for point in points.items:
            assert isinstance(point, Sequence)
            if len(point.items) != len(units) + 1:
                says = f"a point here has {len(units) + 1} numbers: {along}, {', '.join(units)}"
                raise Slip(point.start, f"{key}.points", says)
            xs.append(_axis(point.items[0], bare.get(along, ""), f"{key}.points"))
            for column, cell in zip(units, point.items[1:], strict=True):
                ys[column].append(_cell(cell, units[column], bare.get(column, ""), f"{key}.points"))
        if any(b <= a for a, b in zip(xs, xs[1:], strict=False)):
            raise Slip(points.start, f"{key}.points", f"the points must go up along {along}")
    else:
        values = row.entries["values"]
        assert isinstance(values, Mapping)
        for column in units:
            if column not in values.entries:
                raise Slip(values.start, f"{key}.values", f"the column `{column}` is missing")
            cell = values.entries[column]
            if units[column] == "quantity":
                kinds[column], figure = _figure(cell, f"{key}.values")
                ys[column].append(figure)
                continue
            ys[column].append(_cell(cell, units[column], bare.get(column, ""), f"{key}.values"))
        for column in values.entries:
            if column not in units:
                raise Slip(values.keys[column], f"{key}.values", f"there is no column `{column}`")
    kept = {"where": where, "xs": xs, "ys": ys, "cites": citation(row)}
    return {**kept, "kinds": kinds} if kinds else kept


def _axis(node: Node, unit: str, key: str) -> float:
    """A point on the axis in base units; a bare number is in `unit`, or has none."""
    text = _text(node)
    for dimension in DIMENSIONS:
        try:
            if not unit:
                return parse_quantity(text, dimension).value
            factor, offset = unit_factor(unit, dimension)
        except QuantityError:
            continue
        return _number_or(text, factor, offset, dimension, node, key)
    says = f"`{unit}` is no unit" if unit else f"`{text}` is no quantity"
    raise Slip(node.start, key, says)


def _number_or(
    text: str, factor: float, offset: float, dimension: str, node: Node, key: str
) -> float:
    """A bare number times a unit, or a quantity that brings its own."""
    try:
        return parse_quantity(text, "number").value * factor + offset
    except QuantityError:
        try:
            return parse_quantity(text, dimension).value
        except QuantityError as error:
            raise Slip(node.start, key, f"{error.says}; it takes {error.would_do}") from None


def _cell(node: Node, dimension: str, unit: str, key: str) -> Any:
    text = _text(node)
    if dimension == "flag":
        if text not in FLAGS:
            raise Slip(node.start, key, f"`{text}` is neither `yes` nor `no`")
        return FLAGS[text]
    if dimension == "word":
        return text
    if dimension == "quantity":
        return _figure(node, key)[1]
    try:
        if not unit:
            return parse_quantity(text, dimension).value
        factor, offset = unit_factor(unit, dimension)
    except QuantityError as error:
        raise Slip(node.start, key, f"{error.says}; it takes {error.would_do}") from None
    return _number_or(text, factor, offset, dimension, node, key)


def _figure(node: Node, key: str) -> tuple[str, float]:
    """A quantity of any kind: its dimension, by its unit, and its value."""
    text = _text(node)
    for dimension in _QUANTITY:
        try:
            return dimension, parse_quantity(text, dimension).value
        except QuantityError:
            continue
    raise Slip(node.start, key, f"`{text}` is no quantity")


def _text(node: Node) -> str:
    return " ".join(node.text.split()) if isinstance(node, Scalar) else ""


def citation(item: Mapping) -> dict[str, Any]:
    """A limit's or row's citation: `{"practice": "common"}` or the source with its marks."""
    if "practice" in item.entries:
        return {"practice": "common"}
    found: dict[str, Any] = plain(item.entries["source"])
    return found
