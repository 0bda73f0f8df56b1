"""Changes of a setup: made from texts as a keeper writes them, and put into a copy."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from flockcheck.checkup.model import Change
from flockcheck.setup.form import Shape, general, kind_of, resolve, shape_of
from flockcheck.setup.scalars import read_scalar
from flockcheck.setup.written import Setup, Written


def value_of(text: Any, path: str, shape: Shape) -> tuple[Any, str]:
    """The value of a text (or list of texts) for a key, and its unit's family. Raises Unfit."""
    if kind_of(shape) != "list":
        return read_scalar(str(text), shape)
    inner = resolve(shape["items"])
    return tuple(read_scalar(str(one), inner)[0] for one in text), ""


def changed_to(setup: Setup, path: str, to: Any) -> Change:
    """The change that writes something at a path; a dict is an item added to a list. Raises Unfit.

    `to` is a text, a list of words, or the keys of the item as texts.
    """
    shape = shape_of(general(path)) or {}
    if isinstance(to, dict):
        inner = resolve(shape["items"])["properties"]
        for key, text in to.items():
            read_scalar(str(text), resolve(inner[key]))
        at = setup.lists.get(path, 0)
        # In the order of the format, as the keeper would write it.
        item = tuple((key, str(to[key])) for key in inner if key in to)
        return Change(f"{path}.{at}", None, None, "", item_text(item), item)
    value, _ = value_of(to, path, shape)
    written = setup.values.get(path)
    text = f"[{', '.join(map(str, to))}]" if isinstance(value, tuple) else str(to)
    if written is None:
        return Change(path, None, value, "", text)
    was = f"[{written.text}]" if isinstance(written.value, tuple) else written.text
    return Change(path, written.value, value, was, text)


def item_text(item: Iterable[tuple[str, str]]) -> str:
    """An item of a list as it stands on one line of YAML."""
    return f"{{{', '.join(f'{key}: {text}' for key, text in item)}}}"


def apply(setup: Setup, changes: Iterable[Change]) -> Setup:
    """A copy of a setup with changes made, as if the keeper had written them."""
    values, lists, marks = dict(setup.values), dict(setup.lists), dict(setup.marks)
    for change in changes:
        _, mark = setup.place(change.path)
        if not change.item:
            shape = shape_of(general(change.path)) or {}
            text = change.text.strip("[]") if isinstance(change.new, tuple) else change.text
            family = "" if isinstance(change.new, tuple) else read_scalar(text, shape)[1]
            values[change.path] = Written(change.new, text, mark, mark, family)
            continue
        of = change.path.rpartition(".")[0]
        lists[of] = lists.get(of, 0) + 1
        marks[change.path] = mark
        for key, text in change.item:
            path = f"{change.path}.{key}"
            value, family = read_scalar(text, shape_of(general(path)) or {})
            values[path] = Written(value, text, mark, mark, family)
    return setup._replace(values=values, lists=lists, marks=marks)
