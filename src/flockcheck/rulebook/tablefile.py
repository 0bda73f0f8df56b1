"""A table file to a compiled table: numbers in base units, rows with their citations."""

from __future__ import annotations

from typing import Any

from flockcheck.rulebook.expressions import Slip
from flockcheck.setup.reader import FLAGS
from flockcheck.text.document import Mapping, Node, Scalar, Sequence, plain
from flockcheck.text.quantities import DIMENSIONS, QuantityError, parse_quantity, unit_factor

# Tried in this order for a row that writes its own unit: `21 C` is a temperature, `7 %` a share.
_QUANTITY = ("number", "share", *(name for name in DIMENSIONS if name not in ("number", "share")))


def compile_table(node: Mapping, file: str) -> dict[str, Any]:
    """The compiled form of a table's nodes (which satisfy the table schema). Raises Slip."""
    entries = node.entries
    name = _text(entries["table"])
    stem = file.rpartition("/")[2].removesuffix(".yaml")
    if stem != name:
        raise Slip(node.keys["table"], "table", f"the file is called {stem}.yaml, the table {name}")
    units = plain(entries["gives"])
    along = _text(entries["along"]) if "along" in entries else ""
    bare = plain(entries["units"]) if "units" in entries else {}
    rows = entries["rows"]
    assert isinstance(rows, Sequence)
    by = plain(entries["by"]) if "by" in entries else []
    compiled = []
    for at, row in enumerate(rows.items):
        assert isinstance(row, Mapping)
        compiled.append(_row(row, units, along, bare, by, f"rows.{at}"))
    return {
        "name": name,
        "says": _text(entries["says"]),
        "by": by,
        "along": along,
        "between": _text(entries["between"]) if "between" in entries else "straight",
        "beyond": _text(entries["beyond"]) if "beyond" in entries else "hold",
        "units": units,
        "rows": compiled,
    }


def _row(
    row: Mapping,
    units: dict[str, str],
    along: str,
    bare: dict[str, str],
    by: list[str],
    key: str,
) -> dict[str, Any]:
    where: dict[str, list[str]] = {}
    chosen = row.entries.get("for")
    if isinstance(chosen, Mapping):
        for word, wanted in chosen.entries.items():
            if word not in by:
                raise Slip(chosen.keys[word], f"{key}.for", f"`by` does not name `{word}`")
            found = plain(wanted)
            where[word] = found if isinstance(found, list) else [found]
    xs: list[float] = []
    ys: dict[str, list[Any]] = {column: [] for column in units}
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
            ys[column].append(_cell(cell, units[column], bare.get(column, ""), f"{key}.values"))
        for column in values.entries:
            if column not in units:
                raise Slip(values.keys[column], f"{key}.values", f"there is no column `{column}`")
    return {"where": where, "xs": xs, "ys": ys, "cites": citation(row)}


def _axis(node: Node, unit: str, key: str) -> float:
    """A point on the axis in base units; a bare number is in `unit`, or has none."""
    text = _text(node)
    for dimension in ("number", "time", *DIMENSIONS):
        try:
            number = parse_quantity(text, "number").value
            if not unit:
                return number
            factor, offset = unit_factor(unit, dimension)
            return number * factor + offset
        except QuantityError:
            try:
                return parse_quantity(text, dimension).value
            except QuantityError:
                continue
        except KeyError:
            continue
    raise Slip(node.start, key, f"`{text}` is no number in {unit or 'any unit'}")


def _cell(node: Node, dimension: str, unit: str, key: str) -> Any:
    text = _text(node)
    if dimension == "flag":
        if text not in FLAGS:
            raise Slip(node.start, key, f"`{text}` is neither `yes` nor `no`")
        return FLAGS[text]
    if dimension == "word":
        return text
    if dimension == "quantity":
        for guess in _QUANTITY:
            try:
                return parse_quantity(text, guess).value
            except QuantityError:
                continue
        raise Slip(node.start, key, f"`{text}` is no quantity")
    try:
        if unit:
            factor, offset = unit_factor(unit, dimension)
            return parse_quantity(text, "number").value * factor + offset
        return parse_quantity(text, dimension).value
    except (QuantityError, KeyError) as error:
        says = getattr(error, "says", f"{unit} is no unit of {dimension}")
        raise Slip(node.start, key, says) from None


def _text(node: Node) -> str:
    return " ".join(node.text.split()) if isinstance(node, Scalar) else ""


def citation(item: Mapping) -> dict[str, Any]:
    """A limit's or row's citation: `{"practice": "common"}` or the source with its marks."""
    if "practice" in item.entries:
        return {"practice": "common"}
    found: dict[str, Any] = plain(item.entries["source"])
    return found
