"""The proof of a rewritten setup: it holds what it held, what was wanted, and nothing else."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from flockcheck.setup.edits import Wanted, words_of
from flockcheck.setup.form import general, kind_of, resolve, shape_of
from flockcheck.setup.reader import SetupError, read_setup_text
from flockcheck.setup.scalars import Unfit, read_scalar
from flockcheck.setup.written import Setup
from flockcheck.text.layout import comments

# A value in base units, and its text.
Held = tuple[Any, str]


def spoils(old: str, new: str, wanted: Sequence[Wanted]) -> str:
    """What is wrong with a setup's new text after changes of its old one; empty if nothing is."""
    before = read_setup_text(old, "old")
    try:
        after = read_setup_text(new, "new")
        due, lists = _due(before, wanted)
    except SetupError as error:
        return f"in line {error.faults[0].line} {error.faults[0].says}"
    except Unfit as error:
        return error.says
    there = {path: _held(one.value, one.text) for path, one in after.values.items()}
    for path in {**due, **there}:
        if due.get(path) != there.get(path):
            return f"`{path}` would not be what it should"
    if lists != after.lists:
        return "an entry of a list would come or go"
    if [path for path in there if path in before.values] != [p for p in before.values if p in due]:
        return "the keys would stand in another order"
    said, says = ([comment for _, comment in comments(text)] for text in (old, new))
    return "" if said == says else "a comment would be lost"


def _due(before: Setup, wanted: Sequence[Wanted]) -> tuple[dict[str, Held], dict[str, int]]:
    """What the new text must hold: values by path, and the lengths of its lists of sections.

    Raises Unfit where a wanted text is none that its key takes.
    """
    due = {path: _held(one.value, one.text) for path, one in before.values.items()}
    lists = dict(before.lists)
    for one in wanted:
        pairs = [(f"{one.path}.{key}", text) for key, text in one.item] or [(one.path, one.text)]
        for path, text in pairs:
            if not text:
                gone = [key for key in due if f"{key}.".startswith(f"{path}.")]
                for key in gone:
                    del due[key]
                continue
            above, _, name = path.rpartition(".")
            if name.isdigit() and above not in lists and _is_word_list(above):
                words = list(due[above][0]) if above in due else []
                words[int(name) : int(name) + 1] = [text]
                path, text = above, ", ".join(words)
            due[path] = _read(path, text)
            _lengthen(lists, path)
    return due, lists


def _held(value: Any, text: str) -> Held:
    # A block of text ends with a line break of its own.
    return value.strip() if isinstance(value, str) else value, text.strip()


def _is_word_list(path: str) -> bool:
    shape = shape_of(general(path))
    return bool(shape) and kind_of(shape or {}) == "list"


def _read(path: str, text: str) -> Held:
    """What a text is as the value of a key. Raises Unfit."""
    shape = shape_of(general(path))
    if shape is None:
        raise Unfit(f"`{path}` is no key")
    if kind_of(shape) != "list":
        return _held(read_scalar(text, shape)[0], text)
    words = words_of(text)
    read = tuple(read_scalar(word, resolve(shape["items"]))[0] for word in words)
    return _held(read, ", ".join(words))


def _lengthen(lists: dict[str, int], path: str) -> None:
    """Count the list items that a path leads through."""
    names = path.split(".")
    for at, name in enumerate(names[:-1]):
        if name.isdigit():
            above = ".".join(names[:at])
            lists[above] = max(lists.get(above, 0), int(name) + 1)
