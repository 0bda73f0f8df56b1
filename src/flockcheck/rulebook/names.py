"""The names that a rulebook may use, what each stands for, and a slip in one of its files."""

from __future__ import annotations

from typing import Any

from flockcheck.measures.graph.registry import Registry
from flockcheck.rulebook.model import Term
from flockcheck.setup.form import kind_of, leaves, resolve, shape_of
from flockcheck.setup.reader import nearest
from flockcheck.setup.sections import ITEMS, PARTS
from flockcheck.text.document import Mark
from flockcheck.text.records import NamedTuple


class Slip(Exception):
    """A mistake in a rule file: where, at which key, and what is wrong."""

    def __init__(self, mark: Mark, key: str, says: str) -> None:
        self.mark = mark
        self.key = key
        self.says = says
        super().__init__(says)


class Named(NamedTuple):
    """What a name in a rule stands for: its term, dimension, item axis, and whether it is daily.

    `words` are those that the setup format knows for it, where it takes words.
    """

    term: Term
    dimension: str
    item: str
    daily: bool
    words: tuple[str, ...] = ()


class Names:
    """The names that a rulebook may use: measures, keys of the setup, item words and tables."""

    def __init__(self, registry: Registry, columns: dict[str, dict[str, str]]) -> None:
        self.registry = registry
        self.columns = columns
        # What each table goes along, and by which words; filled in by the compiler, which also
        # tells whether some table could not be read: one that is missing then is no second mistake.
        self.along: dict[str, str] = {}
        self.by: dict[str, tuple[str, ...]] = {}
        self.spoiled = False

    def unless_spoiled(self, says: str) -> str:
        """A complaint that something is not there; empty while a file that could hold it is not."""
        return "" if self.spoiled else says

    def find(self, name: str, mark: Mark, key: str) -> Named:
        """What a name stands for. Raises Slip with the nearest right name."""
        if name in self.registry.nodes:
            node = self.registry.nodes[name]
            return Named(["measure", name], node.spec.gives, node.item or "", node.daily)
        first, _, rest = name.partition(".")
        if first in ITEMS:
            shape = shape_of(f"{ITEMS[first]}.*" + (f".{rest}" if rest else ""))
            if shape is not None and kind_of(shape) != "section":
                return Named(
                    ["item", first, rest], _dimension(shape), first, False, words_of(shape)
                )
        elif first in PARTS or not rest:
            shape = shape_of(name)
            if shape is not None and kind_of(shape) != "section":
                return Named(["key", name], _dimension(shape), "", False, words_of(shape))
        known = [*self.registry.nodes, *_known_keys()]
        near = nearest(name, known)
        hint = f"; did you mean `{near}`?" if near else ""
        raise Slip(mark, key, f"`{name}` is no measure and no key of the setup{hint}")


def _known_keys() -> list[str]:
    words = {key: word for word, key in ITEMS.items()}
    found = []
    for leaf in leaves():
        first, _, rest = leaf.partition(".*.")
        found.append(f"{words[first]}.{rest}" if rest and first in words else leaf)
    return found


def _dimension(shape: dict[str, Any]) -> str:
    kind = kind_of(shape)
    if kind == "quantity":
        return str(shape["dimension"])
    if kind == "list":
        return "names" if kind_of(resolve(shape["items"])) != "section" else "count"
    return {"integer": "count", "number": "number", "text": "word", "weights": "names"}.get(
        kind, kind
    )


def words_of(shape: dict[str, Any]) -> tuple[str, ...]:
    """The words that a key, or each name of its list, may be; none where any text will do."""
    if shape and kind_of(shape) == "list":
        shape = resolve(shape["items"])
    return tuple(shape["enum"]) if shape and kind_of(shape) == "word" else ()
