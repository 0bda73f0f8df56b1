"""Changes of the keeper's own text, each at its own place: comments, layout and quotes are kept.

Pure: a text and changes go in, a text comes out. What comes out is read again and must hold what
was there, the changes, and nothing else; a change that can't be written so raises RewriteError.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from flockcheck.setup.edits import (
    Edit,
    EditError,
    Wanted,
    Write,
    addition,
    applied,
    hand_of,
    removal,
    value_edit,
    words_of,
)
from flockcheck.setup.form import general, kind_of, resolve, shape_of
from flockcheck.setup.rewrite_proof import spoils
from flockcheck.setup.spelling import Hand
from flockcheck.text.document import quoted
from flockcheck.text.layout import Part, read_layout

# What is to be added below a part: texts by key or by place in a list, and more such below.
Tree = dict[str, Any]


class RewriteError(ValueError):
    """A change that can't be written into a file; the text says which, and what to do."""


def rewritten(text: str, wanted: Sequence[Wanted]) -> str:
    """A setup's text with changes made, proved to hold all else as it was. Raises RewriteError."""
    mark, text = _unmarked(text)
    new = _changed(text, wanted)
    spoiled = spoils(text, new, wanted)
    if spoiled:
        raise RewriteError(f"the changes can't be written here: {spoiled}. Make them yourself")
    return mark + new


def replacements(text: str, wanted: Sequence[Wanted]) -> tuple[Edit, ...]:
    """The edits by which a setup's text becomes the rewritten one, in order.

    They stand apart where the changes do; else one covers them all. Raises RewriteError.
    """
    new = rewritten(text, wanted)
    try:
        edits = _shifted(text, wanted)
        if applied(text, edits) == new:
            return edits
    except (EditError, RewriteError):
        pass
    if new == text:
        return ()
    before = _alike(text, new)
    after = min(_alike(text[::-1], new[::-1]), min(len(text), len(new)) - before)
    return (Edit(before, len(text) - after, new[before : len(new) - after]),)


def _unmarked(text: str) -> tuple[str, str]:
    """A text's byte-order marks, and the text behind them: places are counted from there."""
    bare = text.lstrip("\ufeff")
    return text[: len(text) - len(bare)], bare


def _shifted(text: str, wanted: Sequence[Wanted]) -> tuple[Edit, ...]:
    """The edits of a text that may have a byte-order mark."""
    mark, bare = _unmarked(text)
    by = len(mark)
    return tuple(Edit(one.start + by, one.end + by, one.text) for one in _edits(bare, wanted))


def _alike(one: str, other: str) -> int:
    """How many signs two texts have in common from their beginning on."""
    for at, (mine, its) in enumerate(zip(one, other, strict=False)):
        if mine != its:
            return at
    return min(len(one), len(other))


def _refusal(one: Wanted) -> RewriteError:
    way = f"Write {quoted(one.text)} there yourself" if one.text else "Change it yourself"
    return RewriteError(f"`{one.path}` can't be changed here without spoiling the file. {way}")


def _changed(text: str, wanted: Sequence[Wanted]) -> str:
    """A text with changes made, not yet proved."""
    root = read_layout(text)
    # What takes something away goes one by one, since each shifts what the next one meets.
    slow = [one for one in wanted if not one.item and (not one.text or _fewer(root, one))]
    text = _applied(text, _edits(text, [one for one in wanted if one not in slow]), wanted)
    for one in slow:
        text = _fewer_words(text, one) if one.text else _without(text, one)
    return text


def _applied(text: str, edits: Sequence[Edit], wanted: Sequence[Wanted]) -> str:
    try:
        return applied(text, edits)
    except EditError:
        paths = ", ".join(f"`{one.path}`" for one in wanted)
        says = "can't be changed together, as they meet at one place of the file"
        raise RewriteError(f"{paths} {says}. Change one of them yourself") from None


def _edits(text: str, wanted: Sequence[Wanted]) -> list[Edit]:
    """The edits that replace and add what is wanted, in the order of the text."""
    root = read_layout(text)
    hand = hand_of(text, root)
    edits: list[tuple[int, int, Edit]] = []
    added: dict[str, tuple[Wanted, Part, Tree]] = {}
    for one in wanted:
        part, rest = _find(root, one.path)
        if rest:
            above = one.path.removesuffix(".".join(rest)).removesuffix(".")
            _plant(added.setdefault(above, (one, part, {}))[2], one, rest)
        elif one.item or not one.text:
            raise _refusal(one)
        elif part.kind == "scalar":
            edit = value_edit(text, part, one.text)
            edits.append((edit.start, 0, edit))
        elif part.kind == "list" and not _of_sections(one.path):
            found = _words_edits(text, part, one, hand)
            edits += [(edit.start, -one.path.count(".") - 1, edit) for edit in found]
        else:
            raise _refusal(one)
    for above, (one, part, tree) in added.items():
        try:
            found = addition(text, part, _grown(tree, above, part, one), hand, top=not above)
        except EditError:
            raise _refusal(one) from None
        edits += [(edit.start, -above.count(".") - bool(above), edit) for edit in found]
    # Where several texts go to one place, what lies deeper comes first.
    return [edit for *_, edit in sorted(edits, key=lambda found: found[:2])]


def _of_sections(path: str) -> bool:
    shape = shape_of(general(path))
    return bool(shape) and kind_of(resolve((shape or {}).get("items", {}))) == "section"


def _find(root: Part, path: str) -> tuple[Part, list[str]]:
    """The deepest part of a path that is written, and the names below it that are not."""
    part, names = root, path.split(".")
    for at, name in enumerate(names):
        entry = part.entry(name)
        if entry is None:
            return part, names[at:]
        part = entry.value
    return part, []


def _plant(tree: Tree, one: Wanted, rest: list[str]) -> None:
    """Take a wanted text into what is to be added below a part."""
    for name in rest[:-1]:
        tree = tree.setdefault(name, {})
        if not isinstance(tree, dict):
            raise _refusal(one)
    if one.item:
        held = tree.setdefault(rest[-1], {})
        for key, text in one.item:
            _plant(held, Write(f"{one.path}.{key}", text), key.split("."))
    elif rest[-1] in tree:
        raise _refusal(one)
    else:
        tree[rest[-1]] = one.text


def _grown(tree: Any, path: str, part: Part | None, one: Wanted) -> Any:
    """What is to be added below a path, with lists where the format has lists.

    `part` is what stands there already.
    """
    shape = shape_of(general(path))
    kind = kind_of(shape) if shape else ""
    if isinstance(tree, str):
        return words_of(tree) if kind == "list" else tree
    if kind == "section" and (part is None or part.kind == "section"):
        below = f"{path}." if path else ""
        return {key: _grown(value, f"{below}{key}", None, one) for key, value in tree.items()}
    if kind == "list" and (part is None or part.kind == "list"):
        first = len(part.entries) if part else 0
        places = [str(at) for at in range(first, first + len(tree))]
        if set(places) == set(tree):
            return [_grown(tree[at], f"{path}.{at}", None, one) for at in places]
    raise _refusal(one)


def _words_edits(text: str, part: Part, one: Wanted, hand: Hand) -> list[Edit]:
    """The edits that make a list of words another that is as long or longer."""
    words, there = words_of(one.text), len(part.entries)
    edits = [
        value_edit(text, entry.value, word)
        for entry, word in zip(part.entries, words, strict=False)
        if _said(text, entry.value) != word
    ]
    return edits + (addition(text, part, words[there:], hand) if words[there:] else [])


def _said(text: str, part: Part) -> str:
    """A word as it stands in a list, without its quotes."""
    return text[part.start.at : part.end.at].strip("'\"")


def _fewer(root: Part, one: Wanted) -> bool:
    part, rest = _find(root, one.path)
    return not rest and part.kind == "list" and len(words_of(one.text)) < len(part.entries)


def _fewer_words(text: str, one: Wanted) -> str:
    """A text with a list of words made a shorter one."""
    words = words_of(one.text)
    while True:
        part, _ = _find(read_layout(text), one.path)
        if len(part.entries) <= len(words):
            break
        if not words and len(part.entries) == 1:
            # A list in dashes has no other way to be empty.
            written = "[]" if part.style else "  []"
            return applied(text, [Edit(part.start.at, part.end.at, written)])
        gone = [entry for entry in part.entries if _said(text, entry.value) not in words]
        text = applied(text, [removal(text, part, (gone or part.entries)[-1])])
    return applied(text, _edits(text, [one]))


def _without(text: str, one: Wanted) -> str:
    """A text without a key; a section that would be left empty goes as well."""
    root = read_layout(text)
    names = one.path.split(".")
    if _find(root, one.path)[1]:
        return text
    while names:
        part, _ = _find(root, ".".join(names[:-1])) if names[1:] else (root, [])
        entry = part.entry(names[-1])
        if entry is None or entry.key is None:
            break
        if len(part.entries) > 1:
            return applied(text, [removal(text, part, entry)])
        names.pop()
    raise _refusal(one)
