"""A lever to its compiled form: a key that a fix may move, with what it is moved by."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from flockcheck.rulebook.expressions import literal
from flockcheck.rulebook.names import Slip
from flockcheck.rulebook.rulefile import starred, text_of
from flockcheck.setup.form import kind_of, shape_of
from flockcheck.setup.reader import faults_of
from flockcheck.text.document import Mapping, Node, Scalar, Sequence, plain

WAYS = ("less", "more", "earlier", "later", "set", "add")


def compile_lever(item: Mapping, slip: Callable[[Slip], None]) -> dict[str, Any] | None:
    """The compiled form of one lever (which satisfies the levers schema); None where it is no key.

    Mistakes go to `slip`.
    """
    path = text_of(item.entries, "lever")
    shape = shape_of(starred(path))
    if shape is None:
        slip(Slip(item.keys["lever"], path, f"`{path}` is no key of the setup"))
        return None
    kind = kind_of(shape)
    # A date moves by a time, everything else by what it is itself.
    dimension = str(shape.get("dimension") or ("time" if kind == "date" else "number"))
    for word in ("step", "sizes", "floor", "ceiling"):
        for node in _amounts(item.entries.get(word)):
            _try(slip, node, f"{path}.{word}", dimension)
    if "at_most_change" in item.entries:
        node = item.entries["at_most_change"]
        share = isinstance(node, Scalar) and node.text.endswith("%")
        _try(slip, node, f"{path}.at_most_change", "share" if share else dimension)
    along = item.entries.get("along")
    if isinstance(along, Mapping):
        _along(along, path, slip)
    _beside(item, path, slip)
    entry = plain(item)
    words = {way: entry[way] for way in WAYS if way in entry}
    return {"path": path, "kind": entry["kind"], "words": words, "data": entry}


def _along(along: Mapping, path: str, slip: Callable[[Slip], None]) -> None:
    """What moves along: keys of the setup, and with one of them only what does so itself."""
    for name, mark in along.keys.items():
        if shape_of(starred(name)) is None:
            slip(Slip(mark, f"{path}.along", f"`{name}` is no key of the setup"))
        leader = text_of(along.entries, name).removeprefix("with ")
        if leader != text_of(along.entries, name) and leader not in along.entries:
            slip(Slip(mark, f"{path}.along", f"`{leader}` does not move along itself"))


def _beside(item: Mapping, path: str, slip: Callable[[Slip], None]) -> None:
    """What else a lever writes, or where else it stands: keys of the setup, and values for them."""
    also = item.entries.get("also")
    if also is not None and shape_of(text_of(item.entries, "also")) is None:
        says = f"`{text_of(item.entries, 'also')}` is no key of the setup"
        slip(Slip(also.start, f"{path}.also", says))
    beside = item.entries.get("with")
    for name, node in beside.entries.items() if isinstance(beside, Mapping) else ():
        shape = shape_of(name)
        if shape is None:
            slip(Slip(node.start, f"{path}.with", f"`{name}` is no key of the setup"))
            continue
        for one in node.entries.values() if isinstance(node, Mapping) else [node]:
            for fault in faults_of(one, shape, name):
                slip(Slip(one.start, f"{path}.with", fault.says))


def _amounts(node: Node | None) -> Iterator[Node]:
    """Every quantity under `step` or `sizes`, for each family of units."""
    if isinstance(node, Scalar):
        yield node
    elif isinstance(node, Sequence):
        for item in node.items:
            yield from _amounts(item)
    elif isinstance(node, Mapping):
        for key in ("us", "metric", "clear"):
            yield from _amounts(node.entries.get(key))


def _try(slip: Callable[[Slip], None], node: Node, key: str, dimension: str) -> None:
    try:
        literal(node, dimension, key)
    except Slip as error:
        slip(error)
